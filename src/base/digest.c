/* Digests: FNV-1a for shards and look-ups, SHA-256 for the manifest. */
#include "base/base.h"

#include <nettle/sha2.h>
#include <string.h>

_Static_assert(sizeof(struct digest) >= sizeof(struct sha256_ctx), "room for the library's state");

uint64_t hash_fnv1a64(const void *data, size_t len)
{
    const unsigned char *p = data;
    uint64_t h = 14695981039346656037u;
    for (size_t i = 0; i < len; i++)
        h = (h ^ p[i]) * 1099511628211u;
    return h;
}

static struct sha256_ctx *context(struct digest *d)
{
    return (struct sha256_ctx *)(void *)d->state;
}

void digest_init(struct digest *d)
{
    memset(d, 0, sizeof *d);
    sha256_init(context(d));
}

void digest_add(struct digest *d, const void *data, size_t len)
{
    sha256_update(context(d), len, data);
}

void digest_hex(struct digest *d, char out[DIGEST_HEX])
{
    unsigned char bytes[SHA256_DIGEST_SIZE];
    sha256_digest(context(d), sizeof bytes, bytes);
    for (size_t i = 0; i < sizeof bytes; i++)
        snprintf(out + 2 * i, 3, "%02x", bytes[i]);
}
