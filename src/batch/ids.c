/* Ids that a spreadsheet or a hand may have made out of one another: leading zeros lost, the letter
 * O for a zero. Nothing is joined by likeness; but a row whose id is not in the list of patients
 * while a like one is, is most likely that patient's: it is held back, and the other id named. */
#include "batch/batch_int.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

struct id {
    const char *text;
    uint64_t like;     /* hash of what the id has in common with those like it */
    bool has_facts;
    struct id *next;   /* of the same bucket */
};

struct ids {
    struct arena *arena;
    struct id **buckets;
    size_t n_buckets, n;
};

/* O is 0, and a run of digits begins with the first that is not 0. */
static size_t fold(const char *id, char *out, size_t size)
{
    size_t n = 0;
    bool in_digits = false;
    for (; *id != '\0' && n + 1 < size; id++) {
        char c = *id == 'o' || *id == 'O' ? '0' : *id;
        bool digit = isdigit((unsigned char)c) != 0;
        char next = id[1] == 'o' || id[1] == 'O' ? '0' : id[1];
        bool more = isdigit((unsigned char)next) != 0;
        if (!(digit && c == '0' && !in_digits && more)) {
            out[n++] = c;
            in_digits = digit;
        }
    }
    out[n] = '\0';
    return n;
}

static uint64_t likeness(const char *id)
{
    enum { FOLD_MAX = 128 };
    char text[FOLD_MAX];
    return hash_fnv1a64(text, fold(id, text, sizeof text));
}

static bool are_like(const char *a, const char *b)
{
    enum { FOLD_MAX = 128 };
    char fa[FOLD_MAX], fb[FOLD_MAX];
    fold(a, fa, sizeof fa);
    fold(b, fb, sizeof fb);
    return strcmp(fa, fb) == 0;
}

struct ids *ids_new(void)
{
    enum { FIRST_BUCKETS = 256 };
    struct ids *ids = mem_alloc(sizeof *ids);
    ids->arena = arena_new();
    ids->n_buckets = FIRST_BUCKETS;
    ids->buckets = mem_alloc(ids->n_buckets * sizeof(struct id *));
    return ids;
}

void ids_free(struct ids *ids)
{
    if (ids == NULL)
        return;
    free(ids->buckets);
    arena_free(ids->arena);
    free(ids);
}

static void grow(struct ids *ids)
{
    size_t n = ids->n_buckets * 2;
    struct id **buckets = mem_alloc(n * sizeof(struct id *));
    for (size_t i = 0; i < ids->n_buckets; i++) {
        for (struct id *id = ids->buckets[i], *next; id != NULL; id = next) {
            next = id->next;
            id->next = buckets[id->like % n];
            buckets[id->like % n] = id;
        }
    }
    free(ids->buckets);
    ids->buckets = buckets;
    ids->n_buckets = n;
}

void ids_add(struct ids *ids, const char *text, bool has_facts)
{
    uint64_t like = likeness(text);
    for (struct id *id = ids->buckets[like % ids->n_buckets]; id != NULL; id = id->next) {
        if (id->like == like && strcmp(id->text, text) == 0) {
            id->has_facts = id->has_facts || has_facts;
            return;
        }
    }
    if (ids->n >= ids->n_buckets)
        grow(ids);
    struct id *id = arena_alloc(ids->arena, sizeof *id);
    *id = (struct id){arena_strdup(ids->arena, text), like, has_facts,
                      ids->buckets[like % ids->n_buckets]};
    ids->buckets[like % ids->n_buckets] = id;
    ids->n++;
}

enum id_doubt ids_doubt(const struct ids *ids, const char *text, const char **nearest)
{
    uint64_t like = likeness(text);
    const struct id *self = NULL, *listed = NULL, *other = NULL;
    for (const struct id *id = ids->buckets[like % ids->n_buckets]; id != NULL; id = id->next) {
        if (id->like != like)
            continue;
        if (strcmp(id->text, text) == 0) {
            self = id;
            continue;
        }
        if (!are_like(id->text, text))
            continue;
        /* The same one of several, whatever the order of the input. */
        if (id->has_facts && (listed == NULL || strcmp(id->text, listed->text) < 0))
            listed = id;
        if (other == NULL || strcmp(id->text, other->text) < 0)
            other = id;
    }
    if (other == NULL)
        return ID_ALONE;
    bool known = self != NULL && self->has_facts;
    *nearest = !known && listed != NULL ? listed->text : other->text;
    return !known && listed != NULL ? ID_HELD : ID_ALIKE;
}
