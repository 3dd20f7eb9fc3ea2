/* The words under a figure, broken by a safe estimate of their width and centred. */
#include "figure/figure_int.h"

#include <math.h>
#include <string.h>

static const double size_pt = 8.0, leading_pt = 10.0;

/* Bytes of the next line; *skip is the space after it. A single word too long gets its own. */
static size_t next_line(const char *text, double width, size_t *skip)
{
    size_t len = strlen(text), fits = 0;
    for (size_t i = 1; i <= len; i++) {
        if (i < len && text[i] != ' ') {
            continue;
        }
        if (fits > 0 && label_measure(text, i, size_pt).width > width) {
            break;
        }
        fits = i;
    }
    *skip = text[fits] == ' ' ? 1 : 0;
    return fits;
}

double caption_height(const char *text, double width)
{
    double height = 0.0;
    while (text[0] != '\0') {
        size_t skip = 0, len = next_line(text, width, &skip);
        height += leading_pt;
        text += len + skip;
    }
    return height;
}

void caption_draw(const char *text, struct figure_box box, double height, struct page_list *list,
                  struct page *page)
{
    double y = box.y + height - leading_pt + 0.25 * leading_pt;
    for (; text[0] != '\0'; y -= leading_pt) {
        size_t skip = 0, len = next_line(text, box.width, &skip);
        double need = label_measure(text, len, size_pt).width;
        double size = need > box.width ? size_pt * box.width / need : size_pt;
        struct page_text *t = page_add_text(list, page, box.x + box.width / 2.0, y,
                                            FIGURE_FACE_REGULAR, size, text, len);
        t->anchor = ANCHOR_MIDDLE;
        t->colour = colour_black;
        text += len + skip;
    }
}
