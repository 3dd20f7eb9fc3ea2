/*
 * bench_plain helvetica|utf8|dejavu PAGES: the same page lists through libharu's public calls only,
 * as a plain program would make them: a new document each, all compression on, saved to memory, the
 * same allocator settings as ours. State is set only when it changes, and text is converted and
 * split by face before the clock starts, so that the comparison is not with a careless program.
 *
 *   helvetica  the built-in face, not embedded: 8-bit text, signs it lacks become '?'
 *   utf8       HPDF_UseUTFEncodings and the same font files, embedded
 *   dejavu     the same with DejaVu Sans for everything, the face that most systems have and that
 *              holds every sign: what a program does that looks no further
 *
 * Tags are left out: the library has none. Prints what bench_ours prints.
 */
#include "pages_file.h"

#include "font/font.h"
#include "pdf/pdf.h"

#include <hpdf.h>

/* One piece of text in one face, ready to hand over. */
struct piece {
    int face;
    double x;
    char *text;
    struct piece *next;
};

struct state {
    struct pages_file pages;
    struct piece ****pieces; /* by document, page, item */
    struct arena *arena;
    bool utf8, one_family; /* one_family: DejaVu Sans alone */
    char files[FACE_COUNT][512];
};

static void on_error(HPDF_STATUS error, HPDF_STATUS detail, void *user)
{
    (void)user;
    fprintf(stderr, "libharu: %04lX, %lu\n", (unsigned long)error, (unsigned long)detail);
    exit(STATUS_SYSTEM);
}

/* ---- before the clock starts ------------------------------------------------------------- */

static void add_character(struct buf *text, int32_t c, bool utf8)
{
    if (utf8) {
        utf8_put(text, c);
    } else {
        buf_addc(text, c < 0x100 ? (char)c : '?');
    }
}

static struct piece *split(struct state *s, const struct font_set *fonts,
                           const struct page_text *t)
{
    struct piece *first = NULL, **link = &first;
    const char *at = t->text, *end = at + t->len;
    double x = t->x;
    struct buf text;
    buf_init(&text, 1 << 20);
    while (at < end) {
        const char *start = at, *ahead = at;
        bool parted = s->utf8 && !s->one_family;
        int face = parted ? font_pick(fonts, t->face, utf8_next(&ahead, end)) : t->face;
        buf_clear(&text);
        while (at < end) {
            ahead = at;
            int32_t c = utf8_next(&ahead, end);
            if (parted && font_pick(fonts, t->face, c) != face) {
                break;
            }
            add_character(&text, c, s->utf8);
            at = ahead;
        }
        struct piece *p = arena_alloc(s->arena, sizeof(*p));
        *p = (struct piece){face, x, arena_strndup(s->arena, text.data, text.len), NULL};
        x += font_width(fonts, t->face, t->size, start, (size_t)(at - start));
        *link = p;
        link = &p->next;
    }
    buf_release(&text);
    return first;
}

static void prepare(struct state *s, const struct font_set *fonts)
{
    s->arena = arena_new();
    s->pieces = arena_alloc(s->arena, s->pages.n * sizeof(*s->pieces));
    for (size_t d = 0; d < s->pages.n; d++) {
        const struct page_list *l = s->pages.lists[d];
        s->pieces[d] = arena_alloc(s->arena, l->n * sizeof(**s->pieces));
        for (size_t p = 0; p < l->n; p++) {
            const struct page *page = &l->pages[p];
            s->pieces[d][p] = arena_alloc(s->arena, (page->n + 1) * sizeof(***s->pieces));
            for (size_t i = 0; i < page->n; i++) {
                if (page->items[i].kind == PAGE_TEXT) {
                    s->pieces[d][p][i] = split(s, fonts, &page->items[i].u.text);
                }
            }
        }
    }
}

static void find_files(struct state *s)
{
    static const char *const names[FACE_COUNT] = {"OpenSans-Regular.ttf", "OpenSans-Bold.ttf",
                                                  "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"};
    static const char *const folders[] = {"/usr/share/fonts/truetype/open-sans",
                                          "/usr/share/fonts/truetype/dejavu"};
    const char *own = getenv("BENCH_FONTS");
    for (int i = 0; i < FACE_COUNT; i++) {
        int from = s->one_family ? FACE_SIGNS + i % 2 : i;
        snprintf(s->files[i], sizeof(s->files[i]), "%s/%s", own != NULL ? own : folders[from / 2],
                 names[from]);
    }
}

/* ---- one document ------------------------------------------------------------------------ */

struct brush {
    HPDF_Doc pdf;
    HPDF_Page page;
    HPDF_Font fonts[FACE_COUNT];
    const struct state *s;
    bool in_text;
    int face;
    double size, x, y, width;
    struct colour fill, stroke;
};

static HPDF_Font font_for(struct brush *b, int face)
{
    static const char *const built_in[FACE_COUNT] = {"Helvetica", "Helvetica-Bold", "Helvetica",
                                                     "Helvetica-Bold"};
    if (b->fonts[face] == NULL) {
        if (b->s->utf8) {
            const char *name = HPDF_LoadTTFontFromFile(b->pdf, b->s->files[face], HPDF_TRUE);
            b->fonts[face] = HPDF_GetFont(b->pdf, name, "UTF-8");
        } else {
            b->fonts[face] = HPDF_GetFont(b->pdf, built_in[face], "WinAnsiEncoding");
        }
    }
    return b->fonts[face];
}

static bool differs(struct colour a, struct colour b)
{
    return a.r != b.r || a.g != b.g || a.b != b.b;
}

static void set_fill(struct brush *b, struct colour c)
{
    if (differs(b->fill, c)) {
        HPDF_Page_SetRGBFill(b->page, c.r, c.g, c.b);
        b->fill = c;
    }
}

static void end_text(struct brush *b)
{
    if (b->in_text) {
        HPDF_Page_EndText(b->page);
        b->in_text = false;
    }
}

static void draw_text(struct brush *b, const struct page_text *t, const struct piece *p)
{
    if (!b->in_text) {
        HPDF_Page_BeginText(b->page);
        b->in_text = true;
        b->x = b->y = 0;
    }
    set_fill(b, t->colour);
    for (; p != NULL; p = p->next) {
        if (p->face != b->face || t->size != b->size) {
            HPDF_Page_SetFontAndSize(b->page, font_for(b, p->face), (HPDF_REAL)t->size);
            b->face = p->face;
            b->size = t->size;
        }
        HPDF_Page_MoveTextPos(b->page, (HPDF_REAL)(p->x - b->x), (HPDF_REAL)(t->y - b->y));
        b->x = p->x;
        b->y = t->y;
        HPDF_Page_ShowText(b->page, p->text);
    }
}

static void draw_ops(HPDF_Page page, const struct page_path *path)
{
    const double *v = path->points;
    for (size_t i = 0; i < path->n_ops; i++) {
        switch (path->ops[i]) {
        case PATH_MOVE:
            HPDF_Page_MoveTo(page, (HPDF_REAL)v[0], (HPDF_REAL)v[1]);
            v += 2;
            break;
        case PATH_LINE:
            HPDF_Page_LineTo(page, (HPDF_REAL)v[0], (HPDF_REAL)v[1]);
            v += 2;
            break;
        case PATH_CURVE:
            HPDF_Page_CurveTo(page, (HPDF_REAL)v[0], (HPDF_REAL)v[1], (HPDF_REAL)v[2],
                              (HPDF_REAL)v[3], (HPDF_REAL)v[4], (HPDF_REAL)v[5]);
            v += 6;
            break;
        case PATH_CLOSE:
            HPDF_Page_ClosePath(page);
            break;
        }
    }
}

static void draw_path(struct brush *b, const struct page_path *path)
{
    if (path->n_ops == 0 || (!path->fill && !path->stroke)) {
        return;
    }
    end_text(b);
    if (path->fill) {
        set_fill(b, path->fill_colour);
    }
    if (path->stroke && differs(b->stroke, path->stroke_colour)) {
        b->stroke = path->stroke_colour;
        HPDF_Page_SetRGBStroke(b->page, b->stroke.r, b->stroke.g, b->stroke.b);
    }
    if (path->stroke && path->width != b->width) {
        b->width = path->width;
        HPDF_Page_SetLineWidth(b->page, (HPDF_REAL)b->width);
    }
    draw_ops(b->page, path);
    if (path->fill && path->stroke) {
        HPDF_Page_FillStroke(b->page);
    } else if (path->fill) {
        HPDF_Page_Fill(b->page);
    } else {
        HPDF_Page_Stroke(b->page);
    }
}

static void draw_page(struct brush *b, const struct page *page, struct piece *const *pieces)
{
    b->page = HPDF_AddPage(b->pdf);
    b->face = -1;
    b->width = 1;
    b->fill = b->stroke = colour_black;
    HPDF_Page_SetWidth(b->page, (HPDF_REAL)page->width);
    HPDF_Page_SetHeight(b->page, (HPDF_REAL)page->height);
    for (size_t i = 0; i < page->n; i++) {
        const struct page_item *item = &page->items[i];
        if (item->kind == PAGE_TEXT) {
            draw_text(b, &item->u.text, pieces[i]);
        } else if (item->kind == PAGE_PATH) {
            draw_path(b, &item->u.path);
        } else if (item->kind == PAGE_LINK) {
            HPDF_Rect box = {(HPDF_REAL)item->u.link.x0, (HPDF_REAL)item->u.link.y0,
                             (HPDF_REAL)item->u.link.x1, (HPDF_REAL)item->u.link.y1};
            HPDF_Page_CreateURILinkAnnot(b->page, box, item->u.link.target);
        }
    }
    end_text(b);
}

static size_t write_one(void *user, size_t index)
{
    static char bytes[16 << 20];
    const struct state *s = user;
    const struct page_list *l = s->pages.lists[index];
    struct brush b = {.pdf = HPDF_New(on_error, NULL), .s = s};
    HPDF_SetCompressionMode(b.pdf, HPDF_COMP_ALL);
    if (s->utf8) {
        HPDF_UseUTFEncodings(b.pdf);
    }
    for (size_t i = 0; i < l->n; i++) {
        draw_page(&b, &l->pages[i], s->pieces[index][i]);
    }
    HPDF_SaveToStream(b.pdf);
    HPDF_UINT32 len = sizeof(bytes);
    HPDF_ReadFromStream(b.pdf, (HPDF_BYTE *)bytes, &len);
    HPDF_Free(b.pdf);
    return len;
}

int main(int argc, char **argv)
{
    static const char *const modes[] = {"helvetica", "utf8", "dejavu"};
    size_t mode = 0;
    while (argc == 3 && mode < ARRAY_LEN(modes) && strcmp(argv[1], modes[mode]) != 0) {
        mode++;
    }
    if (argc != 3 || mode == ARRAY_LEN(modes)) {
        fputs("usage: bench_plain helvetica|utf8|dejavu PAGES\n", stderr);
        return STATUS_USAGE;
    }
    struct state s = {
        .pages = pages_file_read(argv[2]), .utf8 = mode > 0, .one_family = mode == 2};
    struct diag_list diags;
    pdf_tune_memory();
    diag_list_init(&diags);
    struct font_set *fonts = font_set_load(NULL, &diags.sink);
    if (fonts == NULL) {
        diag_print(stderr, &diags.items[0]);
        return STATUS_SYSTEM;
    }
    prepare(&s, fonts);
    find_files(&s);
    bench_documents(argv[1], s.pages.n, write_one, &s, 1.0, 5);
    font_set_free(fonts);
    arena_free(s.arena);
    pages_file_release(&s.pages);
    diag_list_release(&diags);
    return STATUS_OK;
}
