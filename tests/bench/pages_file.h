/*
 * Reads page lists back from the text of `endfeel report --dump pages`, so that a measured
 * program draws what the pipeline drew without computing it. A line that is not understood ends
 * the program: a bench that skips lines measures less work than it claims.
 */
#ifndef ENDFEEL_BENCH_PAGES_FILE_H
#define ENDFEEL_BENCH_PAGES_FILE_H

#include "page/page.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { PAGES_FILE_MAX = 256 << 20 };

struct pages_file {
    struct page_list **lists;
    size_t n, cap;
};

static _Noreturn void pages_file_bad(const char *path, size_t line)
{
    fprintf(stderr, "%s:%zu: not a line of a page dump\n", path, line);
    exit(STATUS_USAGE);
}

/* Undoes \xHH in place; returns the text after the opening quote, NULL when there is none. */
static char *pages_file_quoted(char *line, size_t *len)
{
    char *from = strchr(line, '"');
    if (from == NULL) {
        return NULL;
    }
    char *start = ++from, *to = start;
    while (*from != '"' && *from != '\0') {
        unsigned byte = 0;
        if (sscanf(from, "\\x%2x", &byte) == 1) {
            *to++ = (char)byte;
            from += 4;
        } else {
            *to++ = *from++;
        }
    }
    *to = '\0';
    *len = (size_t)(to - start);
    return start;
}

static struct colour pages_file_colour(const char *hex)
{
    unsigned r = 0, g = 0, b = 0;
    if (sscanf(hex, " #%2x%2x%2x", &r, &g, &b) != 3) {
        fprintf(stderr, "not a colour: %s\n", hex);
        exit(STATUS_USAGE);
    }
    return (struct colour){(float)r / 255.0F, (float)g / 255.0F, (float)b / 255.0F};
}

static bool pages_file_text(struct page_list *l, struct page *p, char *line)
{
    double x, y, size;
    int face;
    char anchor[16], colour[16];
    size_t len = 0;
    if (sscanf(line, "text %lf %lf %lf %d %15s %15s", &x, &y, &size, &face, anchor, colour) != 6) {
        return false;
    }
    char *text = pages_file_quoted(line, &len);
    if (text == NULL) {
        return false;
    }
    struct page_text *t = page_add_text(l, p, x, y, face, size, text, len);
    t->anchor = anchor[0] == 's' ? ANCHOR_START : anchor[0] == 'm' ? ANCHOR_MIDDLE : ANCHOR_END;
    t->colour = pages_file_colour(colour);
    return true;
}

static bool pages_file_ops(struct page_list *l, struct page_path *path, char *at)
{
    for (char *word = strtok(at, " "); word != NULL; word = strtok(NULL, " ")) {
        double v[6] = {0};
        int n = word[0] == 'C' ? 6 : word[0] == 'Z' ? 0 : 2;
        for (int i = 0; i < n; i++) {
            char *number = strtok(NULL, " ");
            if (number == NULL) {
                return false;
            }
            v[i] = strtod(number, NULL);
        }
        switch (word[0]) {
        case 'M':
            page_path_move(l, path, v[0], v[1]);
            break;
        case 'L':
            page_path_line(l, path, v[0], v[1]);
            break;
        case 'C':
            page_path_curve(l, path, v[0], v[1], v[2], v[3], v[4], v[5]);
            break;
        case 'Z':
            page_path_close(l, path);
            break;
        default:
            return false;
        }
    }
    return true;
}

static bool pages_file_path(struct page_list *l, struct page *p, char *line)
{
    char *ops = strstr(line, " :");
    if (ops == NULL) {
        return false;
    }
    *ops = '\0';
    struct page_path *path = page_path_begin(l, p);
    char *at = strstr(line, " fill");
    if (at != NULL) {
        path->fill = true;
        path->fill_colour = pages_file_colour(at + 5);
    }
    if ((at = strstr(line, " stroke")) != NULL) {
        path->stroke = true;
        path->width = strtod(at + 7, &at);
        path->stroke_colour = pages_file_colour(at);
    }
    if ((at = strstr(line, " dash")) != NULL) {
        path->dash_on = strtod(at + 5, &at);
        path->dash_off = strtod(at, NULL);
    }
    path->cap = strstr(line, " round") == NULL ? CAP_BUTT : CAP_ROUND;
    return pages_file_ops(l, path, ops + 2);
}

static bool pages_file_box(struct page_list *l, struct page *p, char *line)
{
    double a, b, c, d;
    size_t len = 0;
    if (sscanf(line, "%*s %lf %lf %lf %lf", &a, &b, &c, &d) != 4) {
        return false;
    }
    const char *text = pages_file_quoted(line, &len);
    if (text != NULL && line[0] == 'l') { /* of a picture the file holds the name only */
        page_add_link(l, p, a, b, c, d, text);
    }
    return text != NULL;
}

static bool pages_file_item(struct page_list *l, struct page *p, char *line)
{
    char role[32];
    size_t len = 0;
    if (str_starts(line, "text ")) {
        return pages_file_text(l, p, line);
    }
    if (str_starts(line, "path")) {
        return pages_file_path(l, p, line);
    }
    if (str_starts(line, "link ") || str_starts(line, "image ")) {
        return pages_file_box(l, p, line);
    }
    if (sscanf(line, "begin %31s", role) == 1) {
        page_tag_begin(l, p, role, pages_file_quoted(line, &len));
        return true;
    }
    if (strcmp(line, "end") == 0) {
        page_tag_end(l, p);
        return true;
    }
    return false;
}

static bool pages_file_property(struct page_list *l, char *line)
{
    static const char *const names[] = {"title ", "author ", "subject ", "language ", "date "};
    const char **places[] = {&l->title, &l->author, &l->subject, &l->language, &l->date};
    for (size_t i = 0; i < ARRAY_LEN(names); i++) {
        if (str_starts(line, names[i])) {
            size_t len = 0;
            *places[i] = arena_strdup(l->arena, pages_file_quoted(line, &len));
            return true;
        }
    }
    return false;
}

static struct page_list *pages_file_new_list(struct pages_file *f)
{
    if (f->n == f->cap) {
        f->cap = f->cap == 0 ? 64 : f->cap * 2;
        f->lists = mem_resize(f->lists, f->cap * sizeof(*f->lists));
    }
    return f->lists[f->n++] = page_list_new();
}

/* One line; a document starts with its properties or, without any, with its page 1. */
static bool pages_file_line(struct pages_file *f, char *line)
{
    struct page_list *l = f->n == 0 ? pages_file_new_list(f) : f->lists[f->n - 1];
    double width, height, y;
    size_t number, len = 0;
    int level;
    bool page = sscanf(line, "page %zu %lf %lf", &number, &width, &height) == 3;
    static const char *const starts[] = {"title ", "author ", "subject ", "language ", "date "};
    bool property = false;
    for (size_t i = 0; i < ARRAY_LEN(starts); i++) {
        property = property || str_starts(line, starts[i]);
    }
    if (l->n > 0 && (property || (page && number == 1))) {
        l = pages_file_new_list(f);
    }
    if (property) {
        return pages_file_property(l, line);
    }
    if (page) {
        page_add(l, width, height);
        return true;
    }
    if (sscanf(line, "bookmark %d %zu %lf", &level, &number, &y) == 3) {
        page_add_bookmark(l, number - 1, y, level, pages_file_quoted(line, &len));
        return true;
    }
    return l->n > 0 && pages_file_item(l, &l->pages[l->n - 1], line);
}

static inline struct pages_file pages_file_read(const char *path)
{
    struct pages_file f = {.lists = NULL};
    struct diag_list diags;
    struct buf bytes;
    diag_list_init(&diags);
    buf_init(&bytes, PAGES_FILE_MAX);
    if (!file_read(path, PAGES_FILE_MAX, &bytes, &diags.sink) || bytes.len == 0) {
        fprintf(stderr, "%s: cannot read, or empty\n", path);
        exit(STATUS_SYSTEM);
    }
    size_t line = 0;
    for (char *at = bytes.data; *at != '\0';) {
        char *end = strchr(at, '\n');
        char *next = end == NULL ? at + strlen(at) : end + 1;
        if (end != NULL) {
            *end = '\0';
        }
        line++;
        if (!pages_file_line(&f, at)) {
            pages_file_bad(path, line);
        }
        at = next;
    }
    buf_release(&bytes);
    diag_list_release(&diags);
    return f;
}

static inline void pages_file_release(struct pages_file *f)
{
    for (size_t i = 0; i < f->n; i++) {
        page_list_free(f->lists[i]);
    }
    free(f->lists);
}

/* ---- measuring --------------------------------------------------------------------------- */

static inline double bench_cpu(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

/* Calls `write` for document after document, round and round, in `rounds` spells of at least
 * `seconds` of processor time, and prints the best spell: neighbours only make a spell longer. */
static inline void bench_documents(const char *name, size_t n,
                                   size_t (*write)(void *user, size_t index), void *user,
                                   double seconds, int rounds)
{
    double best = 0;
    size_t bytes = 0, at = 0;
    for (size_t i = 0; i < n; i++) {
        bytes += write(user, i);
    }
    for (int r = 0; r < rounds; r++) {
        double start = bench_cpu(), spent = 0;
        size_t done = 0;
        do {
            (void)write(user, at++ % n);
            done++;
            spent = bench_cpu() - start;
        } while (spent < seconds || done < n);
        double cost = spent / (double)done;
        best = best == 0 || cost < best ? cost : best;
    }
    printf("%s %.1f %.1f %zu\n", name, 1.0 / best, best * 1e6, bytes / n);
}

#endif
