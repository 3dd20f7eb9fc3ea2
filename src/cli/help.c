/* The text of --help, made from the same tables that parse the command line. */
#include "cli/cli_int.h"

static void print_option(FILE *out, const struct option_row *row)
{
    char left[60];
    snprintf(left, sizeof left, "%s%c%s--%s%s%s", row->letter != 0 ? "-" : " ",
             row->letter != 0 ? row->letter : ' ', row->letter != 0 ? ", " : "  ", row->name,
             row->value != NULL ? " " : "", row->value != NULL ? row->value : "");
    fprintf(out, "  %-24s %s\n", left, row->help);
}

static void print_options(FILE *out, int commands)
{
    for (size_t i = 0; i < cli_n_options; i++)
        if ((cli_options[i].commands & commands) != 0)
            print_option(out, &cli_options[i]);
}

void cli_help(FILE *out, const struct command_row *command)
{
    if (command != NULL) {
        fprintf(out, "usage: endfeel %s [options] %s\n%s\n\n", command->name, command->arguments,
                command->summary);
        print_options(out, (int)command->command);
    } else {
        fputs(
            "usage: endfeel COMMAND [options] FILE|FOLDER...\n"
            "Turns exports of joint range and muscle strength measurements (CSV) into findings\n"
            "and PDF summaries of measurements. It supports, and does not replace, the judgement\n"
            "of a licensed clinician.\n\n",
            out);
        for (size_t i = 0; i < cli_n_commands; i++)
            fprintf(out, "  %-10s %s\n", cli_commands[i].name, cli_commands[i].summary);
        fputs("\n'endfeel COMMAND --help' lists the options of a command.\n", out);
    }
    fputs("\nExit status: 0 complete; 1 complete, but something was held back or refused for its\n"
          "data; 2 usage, or a template, map, clinic or reference file that does not load; 3:\n"
          "system: try again. 'man endfeel' says the rest.\n", out);
}

void cli_explain_error(const char *fmt, ...)
{
    va_list ap;
    fputs("endfeel: ", stderr);
    va_start(ap, fmt);
    vfprintf(stderr, fmt, ap);
    va_end(ap);
    fputs("; endfeel --help lists what there is\n", stderr);
}
