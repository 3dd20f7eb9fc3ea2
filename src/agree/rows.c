/* The rows of a result, and what stands in one. */
#include "agree/agree_int.h"

struct agree_estimate agree_estimate_none(void)
{
    return (struct agree_estimate){num_none(), num_none(), num_none()};
}

struct agree_estimate agree_estimate_of(double value)
{
    return (struct agree_estimate){num_of(value), num_none(), num_none()};
}

void agree_rows_add(struct agree_rows *rows, const char *quantity, const char *a, const char *b,
                    struct agree_estimate est, const char *note)
{
    if (rows->n == rows->cap) {
        size_t cap = rows->cap == 0 ? 64 : 2 * rows->cap;
        struct agree_row *items = arena_alloc(rows->arena, cap * sizeof *items);
        for (size_t i = 0; i < rows->n; i++)
            items[i] = rows->items[i];
        rows->items = items;
        rows->cap = cap;
    }
    rows->items[rows->n++] = (struct agree_row){quantity, a, b, est, note};
}
