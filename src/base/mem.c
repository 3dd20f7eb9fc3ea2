/* Memory: the one wrapper around the allocator, arenas and byte buffers. A failed allocation ends
 * the process with a line and STATUS_SYSTEM: nothing above this file needs an out-of-memory path,
 * and a parent that runs workers sees the exit. That holds for the libraries too, some of which go
 * on without what they could not store: a text without width is worse than no report. */
#include "base/base.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { ARENA_BLOCK = 16 << 10, ARENA_ALIGN = _Alignof(max_align_t) };

struct arena_block {
    struct arena_block *next;
    size_t size, used;
    _Alignas(max_align_t) char data[];
};

struct arena {
    struct arena_block *head; /* newest first; the oldest block stays on clear */
    size_t bytes;
};

static void (*last_act)(void);

void mem_before_end(void (*act)(void))
{
    last_act = act;
}

_Noreturn void mem_end(const char *why)
{
    static const char before[] = "endfeel: system: ";
    ssize_t ignored = write(STDERR_FILENO, before, sizeof before - 1);
    ignored = write(STDERR_FILENO, why, strlen(why));
    ignored = write(STDERR_FILENO, "\n", 1);
    (void)ignored;
    if (last_act != NULL)
        last_act();
    _exit(STATUS_SYSTEM);
}

static _Noreturn void out_of_memory(void)
{
    mem_end("out of memory");
}

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define OTHER_ALLOCATOR
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || !defined(__GLIBC__)
#define OTHER_ALLOCATOR
#endif

#ifndef OTHER_ALLOCATOR
/* The program's own definitions come before the system's for every library it loads. */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *ptr, size_t size);

void *malloc(size_t size)
{
    void *p = __libc_malloc(size);
    if (p == NULL)
        out_of_memory();
    return p;
}

void *calloc(size_t n, size_t size)
{
    void *p = __libc_calloc(n, size);
    if (p == NULL)
        out_of_memory();
    return p;
}

void *realloc(void *ptr, size_t size)
{
    void *p = __libc_realloc(ptr, size);
    if (p == NULL && size > 0)
        out_of_memory();
    return p;
}
#endif

void *mem_alloc(size_t size)
{
    void *p = calloc(1, size > 0 ? size : 1);
    if (p == NULL)
        out_of_memory();
    return p;
}

void *mem_resize(void *ptr, size_t size)
{
    void *p = realloc(ptr, size > 0 ? size : 1);
    if (p == NULL)
        out_of_memory();
    return p;
}

char *mem_strdup(const char *s)
{
    size_t size = strlen(s) + 1;
    return memcpy(mem_alloc(size), s, size);
}

static struct arena_block *block_new(struct arena *a, size_t size)
{
    struct arena_block *b = mem_resize(NULL, sizeof *b + size);
    *b = (struct arena_block){.next = a->head, .size = size};
    a->head = b;
    a->bytes += sizeof *b + size;
    return b;
}

struct arena *arena_new(void)
{
    struct arena *a = mem_alloc(sizeof *a);
    block_new(a, ARENA_BLOCK);
    return a;
}

void arena_free(struct arena *a)
{
    if (a == NULL)
        return;
    struct arena_block *next;
    for (struct arena_block *b = a->head; b != NULL; b = next) {
        next = b->next;
        free(b);
    }
    free(a);
}

void arena_clear(struct arena *a)
{
    while (a->head->next != NULL) {
        struct arena_block *b = a->head;
        a->head = b->next;
        a->bytes -= sizeof *b + b->size;
        free(b);
    }
    a->head->used = 0;
}

static size_t room_for(size_t size)
{
    size_t need = (size + ARENA_ALIGN - 1) & ~(size_t)(ARENA_ALIGN - 1);
    return need == 0 ? ARENA_ALIGN : need;
}

/* Not zeroed. */
static void *take(struct arena *a, size_t size)
{
    size_t need = room_for(size);
    struct arena_block *b = a->head;
    if (b->size - b->used < need)
        b = block_new(a, need > ARENA_BLOCK ? need : ARENA_BLOCK);
    void *p = b->data + b->used;
    b->used += need;
    return p;
}

/* Clears a whole number of aligned places. Most are few: two stores of a fixed size that may
 * overlap cost less than a call. */
static void clear_places(char *p, size_t size)
{
    enum { ONE = ARENA_ALIGN, TWO = 2 * ARENA_ALIGN, FOUR = 4 * ARENA_ALIGN };
    if (size <= TWO) {
        memset(p, 0, ONE);
        memset(p + size - ONE, 0, ONE);
    } else if (size <= FOUR) {
        memset(p, 0, TWO);
        memset(p + size - TWO, 0, TWO);
    } else if (size <= 2 * FOUR) {
        memset(p, 0, FOUR);
        memset(p + size - FOUR, 0, FOUR);
    } else {
        memset(p, 0, size);
    }
}

/* Zeroed when it is taken, not with its block: what is about to be written comes into the cache
 * once. */
void *arena_alloc(struct arena *a, size_t size)
{
    void *p = take(a, size);
    clear_places(p, room_for(size));
    return p;
}

void *arena_room(struct arena *a, size_t size)
{
    return take(a, size);
}

void *arena_grow(struct arena *a, const void *old, size_t used, size_t size)
{
    void *more = take(a, size);
    return used > 0 ? memcpy(more, old, used) : more;
}

char *arena_strndup(struct arena *a, const char *s, size_t len)
{
    char *copy = take(a, len + 1);
    memcpy(copy, s, len);
    copy[len] = '\0';
    return copy;
}

char *arena_strdup(struct arena *a, const char *s)
{
    return s == NULL ? NULL : arena_strndup(a, s, strlen(s));
}

char *arena_printf(struct arena *a, const char *fmt, ...)
{
    enum { USUAL_MAX = 200 };
    char usual[USUAL_MAX];
    va_list ap, again;
    va_start(ap, fmt);
    va_copy(again, ap);
    size_t size = (size_t)vsnprintf(usual, sizeof usual, fmt, ap) + 1;
    va_end(ap);
    char *s = take(a, size);
    if (size <= sizeof usual)
        memcpy(s, usual, size);
    else
        vsnprintf(s, size, fmt, again);
    va_end(again);
    return s;
}

size_t arena_bytes(const struct arena *a)
{
    return a->bytes;
}

void buf_init(struct buf *b, size_t max)
{
    *b = (struct buf){.max = max};
}

void buf_release(struct buf *b)
{
    free(b->data);
    b->data = NULL;
    b->len = b->cap = 0;
}

void buf_clear(struct buf *b)
{
    b->len = 0;
    if (b->data != NULL)
        b->data[0] = '\0';
}

/* Never more than the maximum and its NUL, so that what fits is within both. */
void buf_grow(struct buf *b, size_t more)
{
    size_t need = b->len + more + 1, limit = b->max + 1;
    if (more > b->max || need > limit) {
        char why[80];
        snprintf(why, sizeof why, "a buffer would grow beyond its limit of %zu bytes", b->max);
        mem_end(why);
    }
    size_t cap = b->cap < 256 ? 256 : b->cap * 2;
    while (cap < need)
        cap *= 2;
    if (cap > limit)
        cap = limit;
    b->data = mem_resize(b->data, cap);
    b->cap = cap;
}

void buf_addf(struct buf *b, const char *fmt, ...)
{
    va_list ap, again;
    va_start(ap, fmt);
    va_copy(again, ap);
    /* Most texts fit where they go, and are made once only. */
    size_t room = b->data != NULL ? b->cap - b->len : 0;
    int len = vsnprintf(room > 0 ? b->data + b->len : NULL, room, fmt, ap);
    va_end(ap);
    (void)buf_room(b, (size_t)len);
    if ((size_t)len >= room)
        vsnprintf(b->data + b->len, (size_t)len + 1, fmt, again);
    va_end(again);
    b->len += (size_t)len;
}

void buf_addu(struct buf *b, uint64_t n)
{
    char digits[20];
    size_t at = sizeof digits;
    if (n < 10) { /* most are short */
        buf_addc(b, (char)('0' + n));
        return;
    }
    do {
        digits[--at] = (char)('0' + n % 10);
        n /= 10;
    } while (n > 0);
    char *to = buf_room(b, sizeof digits);
    for (; at < sizeof digits; at++)
        *to++ = digits[at];
    buf_take(b, to);
}

const char *buf_text(struct buf *b)
{
    (void)buf_room(b, 0);
    b->data[b->len] = '\0';
    return b->data;
}
