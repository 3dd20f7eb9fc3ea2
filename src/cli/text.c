/* Text for a terminal: headings, lines and named fields, broken at words. Lines of a field that run
 * on stand under its text, so that names are what the eye finds first. */
#include "cli/cli_int.h"

#include <stdlib.h>
#include <string.h>

enum { FIELD_INDENT = 2, RUN_ON = 4 };

static void spaces(struct buf *out, int n)
{
    for (int i = 0; i < n; i++)
        buf_addc(out, ' ');
}

/* Columns that a word takes: characters, not bytes. */
static int columns_of(const char *word, size_t len)
{
    int n = 0;
    for (size_t i = 0; i < len; i++)
        n += ((unsigned char)word[i] & 0xC0) != 0x80;
    return n;
}

/* Appends words from column `at` on; returns nothing, for each text ends its line. */
static void words(struct buf *out, int at, int indent, const char *text)
{
    bool first = true;
    while (*(text += strspn(text, " ")) != '\0') {
        size_t len = strcspn(text, " ");
        int wide = columns_of(text, len);
        if (!first && at + 1 + wide > TEXT_COLUMNS) {
            buf_addc(out, '\n');
            spaces(out, indent);
            at = indent;
        } else if (!first) {
            buf_addc(out, ' ');
            at++;
        }
        buf_add(out, text, len);
        at += wide;
        text += len;
        first = false;
    }
    buf_addc(out, '\n');
}

void cli_text_heading(struct buf *out, const char *text)
{
    if (out->len > 0)
        buf_addc(out, '\n');
    buf_adds(out, text);
    buf_addc(out, '\n');
}

void cli_text_line(struct buf *out, int indent, const char *text)
{
    spaces(out, indent);
    words(out, indent, indent + RUN_ON, text);
}

void cli_text_field(struct buf *out, const char *name, const char *text)
{
    if (str_is_empty(text))
        return;
    spaces(out, FIELD_INDENT);
    buf_adds(out, name);
    buf_adds(out, ": ");
    words(out, FIELD_INDENT + columns_of(name, strlen(name)) + 2, FIELD_INDENT + RUN_ON, text);
}

static void to_terminal(void *user, const struct diag *d)
{
    (void)user;
    diag_print(stderr, d);
}

enum status cli_text_out(const struct batch_options *options, struct buf *out)
{
    struct diag_sink sink = {.put = to_terminal};
    if (options->out != NULL)
        return file_write(options->out, buf_text(out), out->len, &sink) ? STATUS_OK : STATUS_SYSTEM;
    bool good = fwrite(buf_text(out), 1, out->len, stdout) == out->len;
    if (fflush(stdout) == 0 && good)
        return STATUS_OK;
    fputs("endfeel: cannot write to standard output\n", stderr);
    return STATUS_SYSTEM;
}

struct reference *cli_reference(const struct batch_options *options)
{
    struct diag_sink sink = {.put = to_terminal};
    if (options->reference != NULL)
        return reference_load_folder(options->reference, &sink);
    return reference_load_embedded(&sink);
}
