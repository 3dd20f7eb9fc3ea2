/* endfeel: parse the command line, do what it asks, exit with its status. */
#include "cli/cli_int.h"

#include <sys/stat.h>

int main(int argc, char **argv)
{
    struct command_line line;
    enum status status;
    umask(077); /* whatever is written is a patient's */
    mem_before_end(file_discard_all);
    if (!cli_parse(argc, argv, &line, &status))
        ;
    else if (line.command == COMMAND_LOOKUP)
        status = cli_lookup(&line);
    else if (line.explain != NULL)
        status = cli_explain(&line);
    else
        status = batch_run(&line.options);
    cli_release(&line);
    return (int)status;
}
