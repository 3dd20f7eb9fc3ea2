/* How much room a label takes, before any face is chosen. */
#include "figure/figure_int.h"

#include <string.h>

/* Of the size, at least what the faces of the program set a character to, bold included. */
static double width_em(unsigned char c)
{
    static const double digit = 0.6, slim = 0.46, broad = 1.0, other = 0.68;
    return c >= '0' && c <= '9' ? digit
           : c != '\0' && strchr(" fijlrt.,", c) != NULL ? slim
           : c != '\0' && strchr("mwMW", c) != NULL ? broad : other;
}

struct label_size label_measure(const char *text, size_t len, double size)
{
    static const double height_em = 0.8;
    double width = 0.0;
    for (size_t i = 0; i < len; i++) {
        unsigned char c = (unsigned char)text[i];
        width += (c & 0xC0U) != 0x80U ? width_em(c) : 0.0; /* not a continuation byte */
    }
    return (struct label_size){width * size, height_em * size};
}
