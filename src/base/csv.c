/* Writing cells of CSV (RFC 4180) that a spreadsheet takes for text. */
#include "base/base.h"

#include <string.h>

/* A cell that starts like a formula is taken for one, also within quotes. An apostrophe before it
 * stops that; one that starts with an apostrophe gets another, so that taking one off always
 * gives the text back. A plain negative number stays as it is. */
static bool needs_apostrophe(const char *text)
{
    double number;
    if (text[0] == '-')
        return !num_parse(text, strlen(text), &number);
    return text[0] != '\0' && strchr("=+@\t\r'", text[0]) != NULL;
}

void csv_put(struct buf *b, const char *text)
{
    size_t len = strlen(text);
    bool quotes = strpbrk(text, ",\"\r\n") != NULL ||
                  (len > 0 && (text[0] == ' ' || text[len - 1] == ' '));
    if (quotes)
        buf_addc(b, '"');
    if (needs_apostrophe(text))
        buf_addc(b, '\'');
    for (const char *s = text; *s != '\0'; s++) {
        if (*s == '"')
            buf_addc(b, '"');
        buf_addc(b, *s);
    }
    if (quotes)
        buf_addc(b, '"');
}
