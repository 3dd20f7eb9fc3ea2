/* Shared inside cli: the option table and what the command line came to. */
#ifndef ENDFEEL_CLI_INT_H
#define ENDFEEL_CLI_INT_H

#include "batch/batch.h"

enum command {
    COMMAND_REPORT = 1, COMMAND_CHECK = 2, COMMAND_FINDINGS = 4, COMMAND_LOOKUP = 8,
    COMMAND_MERGE = 16, COMMAND_TEMPLATE = 1024, COMMAND_AGREE = 64, COMMAND_PLAN = 128,
    COMMAND_HANDOUT = 256
};
enum { COMMAND_ALL = COMMAND_REPORT | COMMAND_CHECK | COMMAND_FINDINGS };

struct command_row {
    enum command command;
    const char *name, *arguments, *summary;
};
extern const struct command_row cli_commands[];
extern const size_t cli_n_commands;

struct option_row {
    const char *name;     /* without the dashes */
    char letter;          /* 0: none */
    const char *value;    /* name of the value in the help; NULL: takes none */
    int commands;         /* which commands take it */
    const char *help;
};
extern const struct option_row cli_options[];
extern const size_t cli_n_options;

struct command_line {
    enum command command;
    struct batch_options options;
    const char **inputs, **history, **kinds; /* the lists options point into */
    const char **cautions, **provokes;       /* likewise, of plan */
    const char *explain;                     /* --explain, or NULL */
};

/* Fills the command line; on false *status is what to exit with and everything has been said. */
bool cli_parse(int argc, char **argv, struct command_line *line, enum status *status) MUST_CHECK;
void cli_release(struct command_line *line);
/* plan_options.c: false when the option is none of plan's; *ok: it was understood. */
bool cli_plan_option(struct command_line *line, const char *name, char *value,
                     bool *ok) MUST_CHECK;
bool cli_plan_settle(struct command_line *line) MUST_CHECK;
void cli_help(FILE *out, const struct command_row *command); /* NULL: the program */
void cli_explain_error(const char *fmt, ...) PRINTF_LIKE(1, 2);

/* lookup.c: value, unit, meaning, source and mark of a threshold, in the arena. */
const char *cli_threshold_text(const struct threshold *t, struct arena *a);

/* ---- commands of the reference library ------------------------------------------------------- */

enum status cli_lookup(const struct command_line *line); /* the entry of a motion */
enum status cli_explain(const struct command_line *line); /* what a code means */

/* Text for a terminal: lines of at most TEXT_COLUMNS, each field under its name. */
enum { TEXT_COLUMNS = 80, TEXT_MAX = 1 << 20 };
void cli_text_heading(struct buf *out, const char *text);
/* "  name: text", further lines indented; nothing without a text. */
void cli_text_field(struct buf *out, const char *name, const char *text);
void cli_text_line(struct buf *out, int indent, const char *text);
/* Writes all to the file of -o or to standard output. */
enum status cli_text_out(const struct batch_options *options, struct buf *out);
struct reference *cli_reference(const struct batch_options *options); /* NULL after reporting */

#endif
