/*
 * Boxes to write in by hand: a row a line of the sheet, its name at the left, and columns of boxes
 * with their names above. Names are parted by bars. A column whose name ends in a star is twice as
 * wide, for words; a column named "-" is a gap.
 */
#include "figure/figure_int.h"

#include <math.h>
#include <string.h>

enum { ROWS_MAX = 24, COLUMNS_MAX = 16, NAME_MAX = 40 };

struct label {
    char text[NAME_MAX];
};
struct boxes {
    struct label rows[ROWS_MAX], columns[COLUMNS_MAX];
    size_t n_rows, n_columns;
    bool wide[COLUMNS_MAX], gap[COLUMNS_MAX];
    double share; /* of all columns: 1 a box, 2 a wide one, 0.25 a gap */
};

static const double row_height = 15.0, box_height = 13.0, head_row = 8.0, small_size = 7.0;
static const double name_size = 8.0, between = 1.5, gap_share = 0.25;

static bool read_names(const struct params *p, const char *param, struct label *out, size_t max,
                       size_t *n)
{
    const char *at = params_text(p, param);
    *n = 0;
    while (*at != '\0') {
        size_t len = strcspn(at, "|");
        if (*n == max)
            return params_refuse(p, param, "too many");
        if (len >= NAME_MAX)
            return params_refuse(p, param, "a name that is too long");
        memcpy(out[*n].text, at, len);
        out[(*n)++].text[len] = '\0';
        at += len + (at[len] == '|');
    }
    return *n > 0 || params_refuse(p, param, "missing");
}

static bool read(const struct params *p, struct boxes *b)
{
    *b = (struct boxes){.share = 0.0};
    if (!read_names(p, "rows", b->rows, ROWS_MAX, &b->n_rows) ||
        !read_names(p, "columns", b->columns, COLUMNS_MAX, &b->n_columns))
        return false;
    for (size_t i = 0; i < b->n_columns; i++) {
        char *text = b->columns[i].text;
        size_t len = strlen(text);
        b->gap[i] = strcmp(text, "-") == 0;
        b->wide[i] = len > 0 && text[len - 1] == '*';
        if (b->wide[i])
            text[len - 1] = '\0';
        b->share += b->gap[i] ? gap_share : b->wide[i] ? 2.0 : 1.0;
    }
    return true;
}

static double boxes_height(const struct params *p, double width)
{
    char why[80];
    struct params quiet = {p->at, p->n, why, sizeof why};
    struct boxes b;
    (void)width;
    if (!read(&quiet, &b)) /* drawing will say what is wrong */
        return row_height;
    return head_row + (double)b.n_rows * row_height;
}

static double names_width(const struct boxes *b)
{
    double most = 0.0;
    for (size_t i = 0; i < b->n_rows; i++)
        most = fmax(most, label_measure(b->rows[i].text, strlen(b->rows[i].text), name_size).width);
    return most + 3.0;
}

static bool boxes_draw(const struct params *p, struct figure_box box, struct page_list *list,
                       struct page *page)
{
    struct boxes b;
    struct ink ink = {colour_grey(GREY_MARK), 0.5, 0.0};
    if (!read(p, &b))
        return false;
    struct pen pen = pen_in_points(box, list, page);
    double left = fmin(names_width(&b), box.width / 2.0), unit = (box.width - left) / b.share;
    for (size_t r = 0; r < b.n_rows; r++) {
        double top = box.height - head_row - (double)r * row_height, x = left;
        double y = top - box_height;
        pen_write(&pen, 0.0, y + box_height / 2.0 - 0.36 * name_size, name_size,
                  FIGURE_FACE_REGULAR, b.rows[r].text, 0.0, left);
        for (size_t c = 0; c < b.n_columns; c++) {
            double width = unit * (b.gap[c] ? gap_share : b.wide[c] ? 2.0 : 1.0);
            if (!b.gap[c])
                pen_frame(&pen, (struct point){x, y}, (struct point){x + width - between, top},
                          ink);
            if (r == 0 && !b.gap[c])
                pen_write(&pen, x + (width - between) / 2.0, top + 1.8, small_size,
                          FIGURE_FACE_REGULAR, b.columns[c].text, x, x + width - between);
            x += width;
        }
    }
    return true;
}

static const char *const names[] = {"rows", "columns", NULL};
const struct figure_kind figure_boxes = {"boxes", names, 30.0, 15.0, boxes_height, boxes_draw};
