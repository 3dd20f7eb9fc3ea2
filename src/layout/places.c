/* Links inside a document: the places it names, and whether each link leads to one. */
#include "layout/layout_int.h"

#include <string.h>

enum { PLACE_NAME_MAX = 100 };

static bool is_place_name(const char *s)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                                  "-_.";
    size_t len = strspn(s, letters);
    return len > 0 && len <= PLACE_NAME_MAX && s[len] == '\0';
}

const char *place_bind(struct render *r, const struct node *node)
{
    const char *name = bind_string(r, node, node_attr(node, AT_NAME)->text);
    r->at = node;
    if (!is_place_name(name)) {
        render_error(r, DIAG_LAYOUT_PLACE, "name=\"%.40s\": expected letters, digits, hyphens, "
                     "points and low lines, at most %d of them", name, (int)PLACE_NAME_MAX);
        return NULL;
    }
    if (names_find(&r->places_bound, name) != 0) {
        render_error(r, DIAG_LAYOUT_PLACE, "name=\"%.40s\" is given to a second place", name);
        return NULL;
    }
    names_add(&r->places_bound, name);
    return name;
}

const char *link_bind(struct render *r, const struct node *node)
{
    const char *target = bind_string(r, node, node_attr(node, AT_TO)->text);
    if (target[0] != '#')
        return target;
    struct inner_link *link = arena_alloc(r->arena, sizeof(*link));
    *link = (struct inner_link){target + 1, node, r->context, r->links};
    r->links = link;
    return target;
}

/* What is set again on a page keeps the place where it stood first. */
void place_set(struct render *r, const char *name, size_t page, double y)
{
    if (names_find(&r->places_set, name) != 0)
        return;
    names_add(&r->places_set, name);
    page_add_place(r->list, page, y, name);
}

void places_check_links(struct render *r)
{
    xmlNode *context = r->context;
    for (const struct inner_link *link = r->links; link != NULL; link = link->next) {
        if (names_find(&r->places_set, link->name) != 0)
            continue;
        const char *near = str_nearest(link->name, r->places_set.items, r->places_set.n);
        r->at = link->node;
        r->context = link->context;
        render_error(r, DIAG_LAYOUT_PLACE, "to=\"#%.40s\": no place of this name is printed%s%s",
                     link->name, near != NULL ? "; nearest known name: " : "",
                     near != NULL ? near : "");
    }
    r->context = context;
}
