/*
 * One page as a content stream. What libharu's own operators would write, without their cost:
 * numbers to 0.01 pt, text by one byte a character, state set only when it changes, and in tagged
 * documents every mark inside a marked-content sequence.
 *
 * Invariants: a text object holds only text; a marked-content sequence lies wholly inside or
 * wholly outside a text object; graphics state is saved around an image only.
 */
#include "page/image.h"
#include "pdf/pdf_int.h"

#include <math.h>
#include <string.h>

enum { NO_MARK = -1, DOCUMENT = 0 }; /* what is open: none, an artifact, or an element's index */

struct pen {
    const struct font_set *fonts;
    struct tag_tree *tags; /* NULL: not tagged */
    struct buf *out;
    bool in_text;
    long text_x, text_y;   /* where the current line starts, 1/100 pt */
    int face;
    bool wide;             /* by glyph id, not by one byte */
    long size;             /* 1/100 pt; 0 = not set yet */
    struct colour fill, stroke;
    long width, dash_on, dash_off;
    enum page_cap cap;
    unsigned page_object;
    long open;             /* the mark that is open: NO_MARK, DOCUMENT (an artifact), an element */
    size_t element;        /* the innermost element; DOCUMENT outside all */
    int artifact_depth;    /* tags inside an artifact are not tags */
};

/* ---- numbers ----------------------------------------------------------------------------- */

/* lround() is a call, and half of a page is numbers; they were checked to be in range. */
static long hundredths(double v)
{
    return (long)(v * 100.0 + (v < 0.0 ? -0.5 : 0.5));
}

enum { NUMBER_MOST = 16 }; /* bytes of one, with a space: no number here has been let past 10^8 */

/* Writes h / 100 without trailing zeros; returns the end. */
static inline char *put_hundredths(char *to, long h)
{
    if (h < 0) {
        *to++ = '-';
        h = -h;
    }
    unsigned part = (unsigned)h % 100;
    to = pdf_digits(to, (unsigned)h / 100);
    if (part > 0) {
        *to++ = '.';
        memcpy(to, pdf_pairs + (size_t)2 * part, 2);
        to += to[1] == '0' ? 1 : 2;
    }
    return to;
}

/* n numbers and an operator on a line of their own. */
static void put_operator(struct pen *p, const long *numbers, int n, const char *operator)
{
    enum { NUMBERS_MOST = 6, OPERATOR_MOST = 16 };
    char *to = buf_room(p->out, NUMBERS_MOST * NUMBER_MOST + OPERATOR_MOST);
    for (int i = 0; i < n; i++) {
        to = put_hundredths(to, numbers[i]);
        *to++ = ' ';
    }
    while (*operator != '\0') {
        *to++ = *operator++;
    }
    *to++ = '\n';
    buf_take(p->out, to);
}

/* ---- state ------------------------------------------------------------------------------- */

static bool same_colour(struct colour a, struct colour b)
{
    return a.r == b.r && a.g == b.g && a.b == b.b;
}

static void set_colour(struct pen *p, struct colour *held, struct colour c, const char *grey,
                       const char *rgb)
{
    if (same_colour(*held, c)) {
        return;
    }
    *held = c;
    long numbers[3] = {hundredths(c.r), hundredths(c.g), hundredths(c.b)};
    if (numbers[0] == numbers[1] && numbers[1] == numbers[2]) {
        put_operator(p, numbers, 1, grey);
    } else {
        put_operator(p, numbers, 3, rgb);
    }
}

static void set_pen(struct pen *p, const struct page_path *path)
{
    set_colour(p, &p->stroke, path->stroke_colour, "G", "RG");
    long width = hundredths(path->width);
    if (width != p->width) {
        p->width = width;
        put_operator(p, &width, 1, "w");
    }
    if (path->cap != p->cap) {
        p->cap = path->cap;
        buf_adds(p->out, path->cap == CAP_ROUND ? "1 J\n" : "0 J\n");
    }
    long dash[2] = {hundredths(path->dash_on), hundredths(path->dash_off)};
    if (dash[0] != p->dash_on || dash[1] != p->dash_off) {
        p->dash_on = dash[0];
        p->dash_off = dash[1];
        if (dash[0] == 0) {
            buf_adds(p->out, "[] 0 d\n");
        } else {
            buf_addc(p->out, '[');
            put_operator(p, dash, 2, "] 0 d");
        }
    }
}

/* ---- objects and marks ------------------------------------------------------------------- */

static void close_mark(struct pen *p)
{
    if (p->open != NO_MARK) {
        buf_adds(p->out, "EMC\n");
        p->open = NO_MARK;
    }
}

static void end_text(struct pen *p)
{
    if (p->in_text) {
        close_mark(p);
        buf_adds(p->out, "ET\n");
        p->in_text = false;
    }
}

/* Readies the stream for an item: in or out of a text object, inside its tag's mark. */
static void enter(struct pen *p, bool text)
{
    if (p->in_text && !text) {
        end_text(p);
    } else if (!p->in_text && text) {
        close_mark(p);
        buf_adds(p->out, "BT\n");
        p->in_text = true;
        p->text_x = 0;
        p->text_y = 0;
    }
    if (p->tags == NULL) {
        return;
    }
    /* What stands in no element is decoration to a reader of the structure. */
    long wanted = p->artifact_depth > 0 ? DOCUMENT : (long)p->element;
    if (p->open == wanted) {
        return;
    }
    close_mark(p);
    if (wanted == DOCUMENT) {
        buf_adds(p->out, "/Artifact BMC\n");
    } else {
        const char *role = p->tags->elements[p->element].role;
        size_t len = strlen(role);
        char *to = buf_room(p->out, len + PDF_DIGITS_MOST + 24);
        *to++ = '/';
        memcpy(to, role, len);
        to = pdf_digits(pdf_word(to + len, "<</MCID "), tag_tree_content(p->tags, p->element));
        buf_take(p->out, pdf_word(to, ">>BDC\n"));
    }
    p->open = wanted;
}

/* ---- text -------------------------------------------------------------------------------- */

static void set_face(struct pen *p, int face, bool wide, long size)
{
    if (face != p->face || wide != p->wide || size != p->size) {
        p->face = face;
        p->wide = wide;
        p->size = size;
        char *to = pdf_word(buf_room(p->out, 16 + NUMBER_MOST), wide ? "/G" : "/F");
        *to++ = (char)('0' + face);
        *to++ = ' ';
        to = put_hundredths(to, size);
        buf_take(p->out, pdf_word(to, " Tf\n"));
    }
}

static void move_to(struct pen *p, double x, double y)
{
    long at[2] = {hundredths(x), hundredths(y)};
    long step[2] = {at[0] - p->text_x, at[1] - p->text_y};
    p->text_x = at[0];
    p->text_y = at[1];
    put_operator(p, step, 2, "Td");
}

/* A byte of a string in parentheses. A line end would be read as another, or split the line. */
static inline char *put_byte(char *to, unsigned byte)
{
    static const char escaped[256] = {['('] = '(', [')'] = ')', ['\\'] = '\\',
                                      ['\r'] = 'r', ['\n'] = 'n'};
    char c = escaped[byte];
    if (c != 0) {
        *to++ = '\\';
    }
    *to++ = c != 0 ? c : (char)byte;
    return to;
}

/* The next character that shows; 0 at the end. A soft hyphen is invisible inside a line, and
 * measured as nothing too. */
static inline int32_t next_character(const char **at, const char *end)
{
    while (*at < end) {
        unsigned char byte = (unsigned char)**at;
        int32_t c = byte < 0x80 ? ((*at)++, byte) : utf8_next(at, end);
        if (c != PDF_SOFT_HYPHEN) {
            return c;
        }
    }
    return 0;
}

/* A character as it is shown: in which face, and by which byte; 0: by its glyph. */
struct sign {
    int face;
    unsigned code;
};

static inline struct sign sign_of(const struct pen *p, int face, int32_t c)
{
    return c < 0x7F ? (struct sign){face, (unsigned)c}
                    : (struct sign){font_pick(p->fonts, face, c), font_code(c)};
}

/* One string a face. Most characters take one byte, in ASCII their own; others two, their glyph's
 * id: twice the bytes to write and to pack. */
static void show(struct pen *p, const struct page_text *t)
{
    enum { CHARACTER_MOST = 4, AROUND = 8 };
    long size = hundredths(t->size);
    const char *at = t->text, *end = t->text + t->len;
    int32_t c = next_character(&at, end);
    struct sign sign = sign_of(p, t->face, c);
    while (c != 0) {
        int face = sign.face;
        bool wide = sign.code == 0;
        set_face(p, face, wide, size);
        char *to = buf_room(p->out, CHARACTER_MOST * ((size_t)(end - at) + 1) + AROUND);
        *to++ = '(';
        do {
            if (wide) {
                unsigned glyph = font_glyph(p->fonts, face, c);
                to = put_byte(to, glyph >> 8 & 0xFFU);
                sign.code = glyph & 0xFFU;
            }
            to = put_byte(to, sign.code);
            c = next_character(&at, end);
            sign = sign_of(p, t->face, c);
        } while (c != 0 && sign.face == face && (sign.code == 0) == wide);
        memcpy(to, ")Tj\n", 4);
        buf_take(p->out, to + 4);
    }
}

static void write_text(struct pen *p, const struct page_text *t)
{
    if (t->len == 0) {
        return;
    }
    enter(p, true);
    set_colour(p, &p->fill, t->colour, "g", "rg");
    double x = t->x;
    if (t->anchor != ANCHOR_START) {
        double width = font_width(p->fonts, t->face, t->size, t->text, t->len);
        x -= t->anchor == ANCHOR_MIDDLE ? width / 2 : width;
    }
    move_to(p, x, t->y);
    show(p, t);
}

/* ---- paths ------------------------------------------------------------------------------- */

static void write_path(struct pen *p, const struct page_path *path)
{
    static const int numbers_of[] = {2, 2, 6, 0};
    static const char operators[] = "mlch";
    if (path->n_ops == 0 || (!path->stroke && !path->fill)) {
        return;
    }
    enter(p, false);
    if (path->fill) {
        set_colour(p, &p->fill, path->fill_colour, "g", "rg");
    }
    if (path->stroke) {
        set_pen(p, path);
    }
    const double *from = path->points;
    char *to = buf_room(p->out, path->n_points * NUMBER_MOST + path->n_ops * 2 + 2);
    for (size_t i = 0; i < path->n_ops; i++) {
        for (int k = numbers_of[path->ops[i]]; k > 0; k--) {
            to = put_hundredths(to, hundredths(*from++));
            *to++ = ' ';
        }
        *to++ = operators[path->ops[i]];
        *to++ = '\n';
    }
    *to++ = path->fill ? (path->stroke ? 'B' : 'f') : 'S';
    *to++ = '\n';
    buf_take(p->out, to);
}

/* The one place where the state is saved: an image is a unit square, and is scaled by it. */
static void write_image(struct pen *p, const struct page_image *i)
{
    long matrix[6] = {hundredths(i->width), 0, 0, hundredths(i->height), hundredths(i->x),
                      hundredths(i->y)};
    enter(p, false);
    buf_adds(p->out, "q\n");
    put_operator(p, matrix, 6, "cm");
    images_put_name(p->out, i->image->digest);
    buf_adds(p->out, " Do\nQ\n");
}

/* ---- tags -------------------------------------------------------------------------------- */

static void begin_tag(struct pen *p, const struct page_tag *tag)
{
    if (p->tags == NULL) {
        return;
    }
    if (p->artifact_depth > 0 || strcmp(tag->role, "Artifact") == 0) {
        p->artifact_depth++;
    } else {
        p->element = tag_tree_add(p->tags, p->element, tag->role, tag->alt, p->page_object);
    }
}

static void end_tag(struct pen *p)
{
    if (p->tags == NULL) {
        return;
    }
    if (p->artifact_depth > 0) {
        p->artifact_depth--;
    } else {
        p->element = p->tags->elements[p->element].parent;
    }
}

static void write_link(struct pen *p, struct hdoc *h, size_t index, const struct page_link *link)
{
    if (h == NULL) { /* drawn for paper, where nothing is followed */
        return;
    }
    bool tagged = p->tags != NULL && p->artifact_depth == 0 && p->element != DOCUMENT;
    unsigned key = tagged ? (unsigned)p->tags->n_keys : 0;
    unsigned object = hdoc_link(h, index, link, tagged, key);
    if (tagged) {
        tag_tree_link(p->tags, p->element, object);
    }
}

void content_write(const struct font_set *fonts, const struct page *page, size_t index,
                   unsigned page_object, struct hdoc *h, struct tag_tree *tags, struct buf *out)
{
    struct pen p = {.fonts = fonts, .tags = tags, .page_object = page_object, .out = out,
                    .face = -1, .width = 100, .open = NO_MARK, .element = DOCUMENT};
    for (size_t i = 0; i < page->n; i++) {
        const struct page_item *item = &page->items[i];
        switch (item->kind) {
        case PAGE_TEXT:
            write_text(&p, &item->u.text);
            break;
        case PAGE_PATH:
            write_path(&p, &item->u.path);
            break;
        case PAGE_LINK:
            write_link(&p, h, index, &item->u.link);
            break;
        case PAGE_TAG_BEGIN:
            begin_tag(&p, &item->u.tag);
            break;
        case PAGE_TAG_END:
            end_tag(&p);
            break;
        case PAGE_IMAGE:
            write_image(&p, &item->u.image);
            break;
        }
    }
    end_text(&p);
    close_mark(&p);
}
