/* Images: files read once a template, and set as blocks. One named in the template itself is read
 * while it loads, so that a missing file is found before any data is. */
#include "layout/layout_int.h"
#include "page/image.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double image_space = 4, pixel = 0.75; /* pt; an image of no size stands at 96 a inch */

struct image_entry {
    char *path;
    struct image *image;           /* NULL: cannot be set, why says it */
    char why[IMAGE_WHY_MAX];
    struct image_entry *next;
};
struct image_store {
    const char *own, *given;       /* folders of names in the template and in the data */
    struct image_entry *entries;
    size_t bytes;                  /* of all images held */
};

struct image_store *image_store_new(struct arena *a, const char *folder)
{
    struct image_store *store = arena_alloc(a, sizeof(*store));
    store->own = store->given = folder;
    return store;
}

static void forget_all(struct image_store *store)
{
    struct image_entry *next;
    for (struct image_entry *e = store->entries; e != NULL; e = next) {
        next = e->next;
        image_free(e->image);
        free(e->path);
        free(e);
    }
    store->entries = NULL;
    store->bytes = 0;
}

void image_store_free(struct image_store *store)
{
    if (store != NULL)
        forget_all(store);
}

void image_store_trim(struct image_store *store)
{
    enum { MOST = 64 << 20 };
    if (store->bytes > MOST)
        forget_all(store);
}

void layout_template_set_image_folder(struct layout_template *t, const char *folder)
{
    t->images->given = arena_strdup(t->arena, folder);
}

static const struct image_entry *find(struct image_store *store, const char *folder,
                                      const char *name)
{
    struct buf path;
    struct image_entry *e = store->entries;
    buf_init(&path, TEXT_MAX_BYTES);
    if (*name != '/')
        buf_addf(&path, "%s/", folder);
    buf_adds(&path, name);
    while (e != NULL && strcmp(e->path, path.data) != 0)
        e = e->next;
    if (e == NULL) {
        e = mem_alloc(sizeof(*e));
        e->path = mem_strdup(path.data);
        e->image = image_read(e->path, e->why);
        e->next = store->entries;
        store->entries = e;
        store->bytes += sizeof(*e) + path.len + (e->image != NULL ? e->image->bytes.len : 0);
    }
    buf_release(&path);
    return e;
}

static const char *literal_of(const struct node *node)
{
    const struct text *text = node_attr(node, AT_SRC)->text;
    return text->n == 1 ? text->pieces[0].literal : NULL;
}

void image_compile(struct loader *l, const xmlNode *x, const struct node *node)
{
    const struct attr *src = node_attr(node, AT_SRC);
    if (node_number(node, AT_WIDTH, 1) <= 0 || node_number(node, AT_HEIGHT, 1) <= 0)
        loader_error(l, x, DIAG_TEMPLATE_VALUE, "an image without width or height");
    if (src == NULL || src->text == NULL || literal_of(node) == NULL)
        return;
    const struct image_entry *e = find(l->t->images, l->t->images->own, literal_of(node));
    if (e->image == NULL)
        loader_error(l, x, DIAG_TEMPLATE_IMAGE, "%.80s: %s", e->path, e->why);
    else
        digest_add(&l->digest, &e->image->digest, sizeof(e->image->digest));
}

struct box *bind_image(struct render *r, const struct node *node)
{
    bool own = literal_of(node) != NULL;
    const char *name = bind_string(r, node, node_attr(node, AT_SRC)->text);
    if (*name == '\0')
        return NULL;
    struct image_store *store = r->t->images;
    const struct image_entry *e = find(store, own ? store->own : store->given, name);
    if (e->image == NULL) { /* a name from the data may say who it shows: it stays unsaid */
        render_error(r, DIAG_LAYOUT_IMAGE, "%s", e->why);
        return NULL;
    }
    struct box *box = box_new(r, BOX_IMAGE, node);
    box->alt = bind_string(r, node, node_attr(node, AT_ALT)->text);
    box->image = e->image;
    box->image_path = e->path;
    return box;
}

/* As large as the width and height asked for allow, in its own proportions, and never wider than
 * its place nor higher than a page. */
void measure_image(struct render *r, const struct box *box, double x, double width,
                   const struct tag *parent, struct strips *out)
{
    double w = box->image->width * pixel, h = box->image->height * pixel;
    const struct attr *wide = node_attr(box->node, AT_WIDTH);
    const struct attr *high = node_attr(box->node, AT_HEIGHT);
    double scale = 1;
    if (wide != NULL)
        scale = wide->number / w;
    if (high != NULL)
        scale = fmin(wide != NULL ? scale : INFINITY, high->number / h);
    scale = fmin(scale, fmin(width / w, r->body_height > 0 ? r->body_height / h : INFINITY));
    struct strip *strip = strips_add(r, out, STRIP_IMAGE, 0, h * scale, image_space);
    int align = node_choice(box->node, AT_ALIGN, ALIGN_LEFT);
    double rest = width - w * scale;
    strip->x = x + (align == ALIGN_RIGHT ? rest : align == ALIGN_CENTER ? rest / 2 : 0);
    strip->width = w * scale;
    strip->figure = box;
    strip->tag = *box->alt != '\0' ? tag_new(r, parent, "Figure", box->alt) : NULL;
}

void draw_image(struct drawing *d, const struct box *box, double x, double bottom, double width,
                double height)
{
    page_add_image(d->r->list, &d->r->list->pages[d->page], x, bottom, width, height,
                   box->image_path, box->image);
}
