/*
 * The structure tree of a tagged document: which piece of content is a heading, a cell, a figure.
 * Built while the pages are written, put out as the document's last objects.
 */
#include "pdf/pdf_int.h"

#include <stdlib.h>
#include <string.h>

bool tag_role_is_known(const char *role)
{
    static const char *const roles[] = {
        "TD",    "TR",    "TH",    "P",     "Artifact", "Table", "Span",    "H1",
        "H2",    "H3",    "H4",    "H5",    "H6",       "H",     "L",       "LI",
        "Lbl",   "LBody", "THead", "TBody", "TFoot",    "Figure", "Caption", "Link",
        "Sect",  "Div",   "Part",  "Note",  "Reference", "Form",  "TOC",     "TOCI",
        "BlockQuote"};
    for (size_t i = 0; role != NULL && i < ARRAY_LEN(roles); i++) {
        if (strcmp(role, roles[i]) == 0) {
            return true;
        }
    }
    return false;
}

/* ---- building ---------------------------------------------------------------------------- */

static void *grow(void *array, size_t n, size_t *cap, size_t element)
{
    if (n < *cap) {
        return array;
    }
    *cap = *cap == 0 ? 64 : *cap * 2;
    return mem_resize(array, *cap * element);
}

void tag_tree_clear(struct tag_tree *t)
{
    t->n_elements = 0;
    t->n_kids = 0;
    t->n_owners = 0;
    t->n_keys = 0;
    t->elements = grow(t->elements, 0, &t->cap_elements, sizeof(*t->elements));
    t->elements[t->n_elements++] = (struct tag_element){.role = "Document"};
}

void tag_tree_release(struct tag_tree *t)
{
    free(t->elements);
    free(t->kids);
    free(t->owners);
    free(t->keys);
    *t = (struct tag_tree){.elements = NULL};
}

static void add_kid(struct tag_tree *t, size_t element, enum tag_kid_kind kind, unsigned value)
{
    t->kids = grow(t->kids, t->n_kids, &t->cap_kids, sizeof(*t->kids));
    t->kids[t->n_kids++] = (struct tag_kid){kind, value, 0};
    struct tag_element *e = &t->elements[element];
    if (e->last_kid == 0) {
        e->first_kid = t->n_kids;
    } else {
        t->kids[e->last_kid - 1].next = t->n_kids;
    }
    e->last_kid = t->n_kids;
}

size_t tag_tree_add(struct tag_tree *t, size_t parent, const char *role, const char *alt,
                    unsigned page_object)
{
    size_t index = t->n_elements;
    t->elements = grow(t->elements, index, &t->cap_elements, sizeof(*t->elements));
    t->elements[t->n_elements++] =
        (struct tag_element){.role = role, .alt = alt, .parent = parent,
                             .page_object = page_object};
    add_kid(t, parent, KID_ELEMENT, (unsigned)index);
    return index;
}

static struct tag_key *add_key(struct tag_tree *t, bool is_page, size_t first)
{
    t->keys = grow(t->keys, t->n_keys, &t->cap_keys, sizeof(*t->keys));
    t->keys[t->n_keys] = (struct tag_key){.first = first, .is_page = is_page};
    return &t->keys[t->n_keys++];
}

unsigned tag_tree_begin_page(struct tag_tree *t)
{
    t->page_key = t->n_keys;
    add_key(t, true, t->n_owners);
    return (unsigned)t->page_key;
}

unsigned tag_tree_content(struct tag_tree *t, size_t element)
{
    t->owners = grow(t->owners, t->n_owners, &t->cap_owners, sizeof(*t->owners));
    t->owners[t->n_owners++] = element;
    unsigned id = (unsigned)t->keys[t->page_key].n++;
    add_kid(t, element, KID_CONTENT, id);
    return id;
}

void tag_tree_link(struct tag_tree *t, size_t element, unsigned link_object)
{
    add_key(t, false, element);
    add_kid(t, element, KID_LINK, link_object);
}

/* ---- writing ----------------------------------------------------------------------------- */

/* What a kid takes at most, the space before it included. */
enum { KID_MOST = 1 + 17 + PDF_REFERENCE_MOST + 2 };

/* Says too whether any of them is content of the element's page. */
static bool write_kids(const struct tag_tree *t, const struct tag_element *e, unsigned first,
                       struct buf *out)
{
    if (e->first_kid == 0) {
        return false;
    }
    bool several = e->first_kid != e->last_kid, content = false;
    buf_adds(out, several ? "/K[" : "/K ");
    for (size_t at = e->first_kid; at != 0; at = t->kids[at - 1].next) {
        const struct tag_kid *kid = &t->kids[at - 1];
        char *to = buf_room(out, KID_MOST);
        if (at != e->first_kid) {
            *to++ = ' ';
        }
        if (kid->kind == KID_ELEMENT) {
            to = pdf_reference(to, first + kid->value);
        } else if (kid->kind == KID_CONTENT) {
            to = pdf_digits(to, kid->value);
        } else {
            to = pdf_word(pdf_reference(pdf_word(to, "<</Type/OBJR/Obj "), kid->value), ">>");
        }
        content = content || kid->kind != KID_ELEMENT;
        buf_take(out, to);
    }
    if (several) {
        buf_addc(out, ']');
    }
    return content;
}

/* The page of an element matters to what stands in it directly: a row names none. */
static void write_element(const struct tag_tree *t, size_t index, unsigned first, unsigned root,
                          struct buf *out)
{
    enum { AROUND = 48 };
    const struct tag_element *e = &t->elements[index];
    unsigned parent = index == 0 ? root : first + (unsigned)e->parent;
    size_t role = strlen(e->role);
    char *to = buf_room(out, role + AROUND + PDF_REFERENCE_MOST);
    to = pdf_word(to, "<</S/");
    memcpy(to, e->role, role);
    to = pdf_reference(pdf_word(to + role, "/P "), parent);
    if (role == 2 && memcmp(e->role, "TH", 2) == 0) {
        to = pdf_word(to, "/A<</O/Table/Scope/Column>>");
    }
    buf_take(out, to);
    if (e->alt != NULL) {
        buf_adds(out, "/Alt");
        pdf_text_string(out, e->alt);
    }
    bool content = write_kids(t, e, first, out);
    to = buf_room(out, AROUND + PDF_REFERENCE_MOST);
    if (content && e->page_object != 0) {
        to = pdf_reference(pdf_word(to, "/Pg "), e->page_object);
    }
    buf_take(out, pdf_word(to, ">>"));
}

size_t tag_tree_longest_list(const struct tag_tree *t)
{
    size_t longest = 2 * t->n_keys;
    for (size_t k = 0; k < t->n_keys; k++) {
        longest = t->keys[k].n > longest ? t->keys[k].n : longest;
    }
    for (size_t i = 0; i < t->n_elements; i++) {
        size_t n = 0;
        for (size_t at = t->elements[i].first_kid; at != 0; at = t->kids[at - 1].next) {
            n++;
        }
        longest = n > longest ? n : longest;
    }
    return longest;
}

static void write_parent_tree(const struct tag_tree *t, unsigned first, struct buf *out)
{
    buf_adds(out, "<</Nums[");
    for (size_t k = 0; k < t->n_keys; k++) {
        const struct tag_key *key = &t->keys[k];
        char *to = buf_room(out, (key->n + 2) * (PDF_REFERENCE_MOST + 1));
        to = pdf_digits(to, (unsigned)k);
        *to++ = key->is_page ? '[' : ' ';
        for (size_t i = 0; i < key->n; i++) {
            to = pdf_reference(to, first + (unsigned)t->owners[key->first + i]);
            *to++ = ' ';
        }
        if (!key->is_page) {
            to = pdf_reference(to, first + (unsigned)key->first);
        }
        buf_take(out, pdf_word(to, key->is_page ? "]\n" : "\n"));
    }
    buf_adds(out, "]>>");
}

unsigned tag_tree_write(const struct tag_tree *t, struct hdoc *h)
{
    unsigned first = hdoc_next_tail(h);
    unsigned root = first + (unsigned)t->n_elements;
    struct buf text;
    buf_init(&text, PDF_PART_MAX);
    for (size_t i = 0; i < t->n_elements; i++) {
        buf_clear(&text);
        write_element(t, i, first, root, &text);
        hdoc_tail(h, text.data, text.len);
    }
    buf_clear(&text);
    buf_addf(&text, "<</Type/StructTreeRoot/K %u 0 R/ParentTree %u 0 R/ParentTreeNextKey %zu>>",
             first, root + 1, t->n_keys);
    hdoc_tail(h, text.data, text.len);
    buf_clear(&text);
    write_parent_tree(t, first, &text);
    hdoc_tail(h, text.data, text.len);
    buf_release(&text);
    return root;
}
