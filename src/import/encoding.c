/* Other encodings to UTF-8, a piece of the file at a time. Only what a map declares or a byte order
 * mark proves comes here: no encoding is guessed from its bytes. */
#include "import/import_int.h"

#include <errno.h>
#include <iconv.h>
#include <stdlib.h>
#include <string.h>

enum { CARRY_MAX = 8, PIECE = 4096, NOT_UTF8 = 0xFF };

static const struct {
    const char *name, *converter;
    size_t unit; /* bytes of the smallest character */
} encodings[ENCODING_COUNT] = {
    [ENCODING_UNDECLARED] = {"", NULL, 1},
    [ENCODING_UTF_8] = {"utf-8", NULL, 1},
    [ENCODING_UTF_16] = {"utf-16", NULL, 2},
    [ENCODING_UTF_16LE] = {"utf-16le", "UTF-16LE", 2},
    [ENCODING_UTF_16BE] = {"utf-16be", "UTF-16BE", 2},
    [ENCODING_WINDOWS_1252] = {"windows-1252", "WINDOWS-1252", 1},
    [ENCODING_LATIN_1] = {"latin-1", "ISO-8859-1", 1},
};

struct decoder {
    iconv_t cd;
    enum encoding encoding;
    char carry[CARRY_MAX]; /* the beginning of a character, cut by the end of a piece */
    size_t n_carry;
    int utf8_left;         /* continuation bytes a UTF-8 reader would expect */
    bool saw_high, saw_other;
};

const char *encoding_name(enum encoding e)
{
    return encodings[e].name;
}

bool encoding_is_16_bit(enum encoding e)
{
    return e == ENCODING_UTF_16 || e == ENCODING_UTF_16LE || e == ENCODING_UTF_16BE;
}

struct decoder *decoder_new(enum encoding e)
{
    iconv_t cd = iconv_open("UTF-8", encodings[e].converter);
    if (cd == (iconv_t)-1)
        return NULL;
    struct decoder *d = mem_alloc(sizeof *d);
    d->cd = cd;
    d->encoding = e;
    return d;
}

void decoder_free(struct decoder *d)
{
    if (d == NULL)
        return;
    iconv_close(d->cd);
    free(d);
}

/* Would these bytes have been UTF-8? Told afterwards, when a map says otherwise. */
static void watch_utf8(struct decoder *d, const char *bytes, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        unsigned char c = (unsigned char)bytes[i];
        bool follows = (c & 0xC0) == 0x80;
        if (d->utf8_left > 0 || follows) {
            d->saw_other = d->saw_other || d->utf8_left == 0 || !follows;
            d->utf8_left -= d->utf8_left > 0 ? 1 : 0;
            continue;
        }
        if (c < 0x80)
            continue;
        d->saw_high = true;
        d->saw_other = d->saw_other || c < 0xC2 || c > 0xF4;
        d->utf8_left = c >= 0xF0 ? 3 : c >= 0xE0 ? 2 : 1;
    }
}

bool decoder_saw_utf8(const struct decoder *d)
{
    return d->saw_high && !d->saw_other && d->utf8_left == 0;
}

/* The control bytes of Latin-1 stand in no text a person typed; a file that holds them is most
 * likely Windows-1252. */
static size_t text_len(const struct decoder *d, const char *s, size_t len)
{
    if (d->encoding != ENCODING_LATIN_1)
        return len;
    for (size_t i = 0; i < len; i++)
        if ((unsigned char)s[i] >= 0x80 && (unsigned char)s[i] < 0xA0)
            return i;
    return len;
}

/* Converts from *s on; stops before a character that is cut off. */
static void convert(struct decoder *d, char **s, size_t *len, struct buf *out)
{
    char piece[PIECE];
    while (*len > 0) {
        size_t part = text_len(d, *s, *len), before = part, room = sizeof piece;
        char *to = piece;
        size_t done = part > 0 ? iconv(d->cd, s, &part, &to, &room) : 0;
        int why = errno;
        buf_add(out, piece, sizeof piece - room);
        *len -= before - part;
        if (done != (size_t)-1 && before > 0)
            continue;
        if (before > 0 && why == E2BIG)
            continue;
        if (before > 0 && why == EINVAL)
            return;
        size_t unit = encodings[d->encoding].unit;
        buf_addc(out, (char)NOT_UTF8);
        *s += unit < *len ? unit : *len;
        *len -= unit < *len ? unit : *len;
    }
}

void decoder_add(struct decoder *d, const char *bytes, size_t len, bool last, struct buf *out)
{
    char *joined = mem_alloc(d->n_carry + len + 1), *s = joined;
    size_t n = d->n_carry + len;
    memcpy(joined, d->carry, d->n_carry);
    if (len > 0)
        memcpy(joined + d->n_carry, bytes, len);
    if (encodings[d->encoding].unit == 1)
        watch_utf8(d, bytes, len);
    convert(d, &s, &n, out);
    d->n_carry = n < CARRY_MAX ? n : 0;
    memcpy(d->carry, s, d->n_carry);
    if (last && d->n_carry > 0) {
        buf_addc(out, (char)NOT_UTF8);
        d->n_carry = 0;
    }
    free(joined);
}
