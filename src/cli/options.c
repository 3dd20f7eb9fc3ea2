/* The command line: one table of options serves parsing, checking and help. */
#include "cli/cli_int.h"

#include <getopt.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/* A two-page chart takes about a hundredth of a second and a few MB. */
enum {
    JOBS_MOST = 512,
    SECONDS_DEFAULT = 60,
    SECONDS_MOST = 86400,
    MB_DEFAULT = 1024,
    MB_MOST = 1 << 20
};

const struct command_row cli_commands[] = {
    {COMMAND_REPORT, "report", "FILE|FOLDER...",
     "set reports for the visits of the newest date in the input"},
    {COMMAND_CHECK, "check", "FILE|FOLDER...",
     "read everything, print tallies and what was held back, write nothing"},
    {COMMAND_FINDINGS, "findings", "FILE|FOLDER...",
     "print the computed findings for other programs"},
    {COMMAND_AGREE, "agree", "--scale angle|grade FILE...",
     "set a sheet of how far the raters of a class or a clinic agree"},
    {COMMAND_PLAN, "plan", "MOTION...",
     "set a sheet to write on, in an order that turns the patient least"},
    {COMMAND_HANDOUT, "handout", "--patient ID FILE|FOLDER...",
     "set a case for teaching without identifiers: student sheet, answer key, staged release"},
    {COMMAND_LOOKUP, "lookup", "[JOINT [MOTION]]",
     "print what the reference library says of a motion"},
    {COMMAND_TEMPLATE, "template", "FILE...",
     "check templates: their names, and what would not fit on demo data"},
    {COMMAND_MERGE, "merge", "DIR", "join the parts that runs with --shard wrote into this folder"},
};
const size_t cli_n_commands = ARRAY_LEN(cli_commands);

enum {
    PAGES = COMMAND_REPORT,
    SELECTS = COMMAND_REPORT | COMMAND_FINDINGS,
    SHEETS = COMMAND_AGREE | COMMAND_PLAN | COMMAND_HANDOUT,
    READS = COMMAND_ALL | COMMAND_HANDOUT,
    WRITES = SELECTS | COMMAND_LOOKUP | SHEETS,
    SETS = COMMAND_REPORT | COMMAND_MERGE,
    LOOKS = SETS | SHEETS,
    NAMED = SELECTS | SHEETS,
    ENDS = COMMAND_ALL | COMMAND_MERGE | SHEETS,
    SAYS = READS | COMMAND_AGREE,
    KNOWS = COMMAND_ALL | COMMAND_LOOKUP | SHEETS,
    EVERY = KNOWS | COMMAND_MERGE | COMMAND_TEMPLATE
};

const struct option_row cli_options[] = {
    {"out", 'o', "DIR", WRITES, "where reports land (default out); a file for what is printed"},
    {"kind", 'k', "LIST", PAGES, "kinds of report, with commas between (default: by visit)"},
    {"on", 0, "DATE", SELECTS | COMMAND_PLAN, "the visits of this date (YYYY-MM-DD)"},
    {"latest", 0, NULL, SELECTS, "the latest visit of each patient"},
    {"every-visit", 0, NULL, SELECTS, "every visit in the input"},
    {"patient", 0, "ID", READS | COMMAND_PLAN, "only this patient"},
    {"case", 0, "N", COMMAND_HANDOUT, "number of the case (default: one more than in DIR/handout)"},
    {"with-notes", 0, NULL, COMMAND_HANDOUT, "free text too, with a sheet to review each sentence"},
    {"history", 0, "FILE", READS, "read for comparison only; may be given again"},
    {"map", 0, "FILE", SAYS, "column map: how the files of another program are read"},
    {"suggest-map", 0, NULL, COMMAND_CHECK, "print a column map from the headers of the files"},
    {"format", 0, "csv|xml", COMMAND_FINDINGS | COMMAND_AGREE,
     "form of what is printed (findings: default csv)"},
    {"tests", 0, "LIST", COMMAND_PLAN, "of AROM, PROM, MMT, with commas between (default: all)"},
    {"side", 0, "SIDE", COMMAND_PLAN, "right, left or both (default)"},
    {"involved", 0, "SIDE", COMMAND_PLAN, "right or left: the other side comes first"},
    {"positions", 0, "LIST", COMMAND_PLAN,
     "those the patient can take, of sitting, supine, side-lying, prone, standing"},
    {"caution", 0, "ID", COMMAND_PLAN,
     "a caution on file: ID, ID:JOINT, ID:SIDE or ID:JOINT:SIDE; may be given again"},
    {"provokes", 0, "MOTION", COMMAND_PLAN,
     "a motion that flares symptoms: comes last; may be given again"},
    {"tries", 0, "N", COMMAND_PLAN, "tries of each range, 1 to 3 (default)"},
    {"measured-by", 0, "NAME", COMMAND_PLAN, "who measures, for the sheet and the CSV"},
    {"checklist", 0, NULL, COMMAND_PLAN,
     "the checklist of a practical examination in place of the sheet"},
    {"scale", 0, "angle|grade", COMMAND_AGREE, "what the raters read"},
    {"de-identified", 0, NULL, COMMAND_FINDINGS, "CSV without what identifies a person"},
    {"clinic", 0, "FILE", NAMED, "heading and settings of the clinic"},
    {"templates", 0, "DIR", LOOKS, "templates to use instead of the program's own"},
    {"explain", 0, "CODE", COMMAND_FINDINGS, "say what a flag, note or message means, and why"},
    {"reference", 0, "DIR", KNOWS, "reference library to use instead of the one built in"},
    {"with-findings", 0, NULL, PAGES, "write findings.csv beside the reports"},
    {"print-all", 0, NULL, PAGES, "one print file of all reports too, with bookmarks"},
    {"protect", 0, "FILE", SETS, "put each PDF under the password in this file"},
    {"archive", 0, NULL, SETS | SHEETS, "PDF files for long-term archives (PDF/A-1b); larger"},
    {"attach", 0, NULL, PAGES, "the findings (findings.xml) inside each report"},
    {"shard", 0, "K/N", PAGES, "part K of N, from 0: only the patients that fall to it"},
    {"jobs", 'j', "N", COMMAND_ALL, "workers (default: processors online)"},
    {"time-limit", 0, "SECONDS", COMMAND_ALL, "of processor time for one report (default 60)"},
    {"memory-limit", 0, "MB", COMMAND_ALL, "of memory for one report (default 1024)"},
    {"today", 0, "DATE", READS, "the day that decides what is a future date"},
    {"dump", 0, "STAGE", READS, "print rows, model, findings or pages, for bug reports"},
    {"progress", 0, "WHEN", COMMAND_ALL, "auto, always or never (default auto: on a terminal)"},
    {"quiet", 'q', NULL, ENDS, "errors only"},
    {"verbose", 'v', NULL, SAYS, "notes too"},
    {"help", 0, NULL, EVERY, "this text"},
    {"version", 0, NULL, EVERY, "version and licence"},
};
const size_t cli_n_options = ARRAY_LEN(cli_options);

static void add(const char ***list, size_t *n, const char *item)
{
    *list = mem_resize(*list, (*n + 1) * sizeof **list);
    (*list)[(*n)++] = item;
}

static bool bad_value(const char *option, const char *value, const char *expected)
{
    cli_explain_error("--%s: '%s' is not %s", option, value, expected);
    return false;
}

static bool choose(const char *option, const char *value, const char *const *names, size_t n,
                   int *chosen)
{
    for (size_t i = 0; i < n; i++) {
        if (strcmp(value, names[i]) == 0) {
            *chosen = (int)i;
            return true;
        }
    }
    const char *nearest = str_nearest(value, names, n);
    if (nearest != NULL)
        cli_explain_error("--%s: '%s' is not known; did you mean '%s'?", option, value, nearest);
    else
        bad_value(option, value, "known");
    return false;
}

static bool add_kinds(struct command_line *line, char *list)
{
    char *rest = NULL;
    for (char *k = strtok_r(list, ",", &rest); k != NULL; k = strtok_r(NULL, ",", &rest)) {
        for (size_t i = 0; i < line->options.n_kinds; i++)
            if (strcmp(line->kinds[i], k) == 0)
                return bad_value("kind", k, "given once only");
        add(&line->kinds, &line->options.n_kinds, k);
    }
    return line->options.n_kinds > 0 || bad_value("kind", list, "a list of kinds");
}

static bool set_count(const char *option, const char *value, int most, int *count)
{
    enum { EXPECTED_MAX = 64 };
    char expected[EXPECTED_MAX];
    double n;
    if (num_parse(value, strlen(value), &n) && n >= 1 && n <= most && n == (int)n) {
        *count = (int)n;
        return true;
    }
    snprintf(expected, sizeof expected, "a whole number from 1 to %d", most);
    return bad_value(option, value, expected);
}

static bool set_case(struct batch_options *o, const char *value)
{
    enum { CASES_MAX = 9999 };
    double n;
    if (!num_parse(value, strlen(value), &n) || n < 1 || n > CASES_MAX || n != (int)n)
        return bad_value("case", value, "a whole number from 1 to 9999");
    o->case_number = (int)n;
    return true;
}

static bool set_shard(struct batch_options *o, const char *value)
{
    enum { SHARDS_MAX = 1000 };
    const char *slash = strchr(value, '/');
    double k = 0, n = 0;
    bool ok = slash != NULL && num_parse(value, (size_t)(slash - value), &k) &&
              num_parse(slash + 1, strlen(slash + 1), &n);
    if (!ok || n < 1 || n > SHARDS_MAX || n != (int)n || k < 0 || k >= n || k != (int)k)
        return bad_value("shard", value, "K/N with K from 0 to N-1, such as 0/4");
    o->shard = (int)k;
    o->shards = (int)n;
    return true;
}

static bool set_select(struct batch_options *o, const char *name, enum batch_select select)
{
    if (o->select != SELECT_NEWEST && o->select != select) {
        cli_explain_error("--%s excludes the other of --on, --latest and --every-visit", name);
        return false;
    }
    o->select = select;
    return true;
}

static bool set_date(const char *name, const char *value, struct date *date)
{
    return date_parse_iso(value, date) || bad_value(name, value, "a date as YYYY-MM-DD");
}

static void set_format(struct batch_options *o, int chosen)
{
    o->format = (enum batch_format)chosen;
    o->prints = true;
}

static bool apply(struct command_line *line, const char *name, char *value)
{
    static const char *const formats[] = {"csv", "xml"};
    static const char *const scales[] = {"angle", "grade"};
    static const char *const dumps[] = {"none", "rows", "model", "findings", "pages"};
    static const char *const whens[] = {"auto", "always", "never"};
    struct batch_options *o = &line->options;
    int chosen = 0;
    bool ok = true;
    if (cli_plan_option(line, name, value, &ok))
        return ok;
    if (strcmp(name, "out") == 0)
        o->out = value;
    else if (strcmp(name, "kind") == 0)
        ok = add_kinds(line, value);
    else if (strcmp(name, "on") == 0)
        ok = set_select(o, name, SELECT_ON) && set_date(name, value, &o->on);
    else if (strcmp(name, "latest") == 0)
        ok = set_select(o, name, SELECT_LATEST);
    else if (strcmp(name, "every-visit") == 0)
        ok = set_select(o, name, SELECT_EVERY);
    else if (strcmp(name, "patient") == 0)
        o->only_patient = value;
    else if (strcmp(name, "case") == 0)
        ok = set_case(o, value);
    else if (strcmp(name, "de-identified") == 0)
        o->de_identified = true;
    else if (strcmp(name, "with-notes") == 0)
        o->with_notes = true;
    else if (strcmp(name, "history") == 0)
        add(&line->history, &o->n_history, value);
    else if (strcmp(name, "format") == 0 && (ok = choose(name, value, formats, 2, &chosen)))
        set_format(o, chosen);
    else if (strcmp(name, "scale") == 0 && (ok = choose(name, value, scales, 2, &chosen)))
        o->scale = chosen == 0 ? SCALE_ANGLE : SCALE_GRADE;
    else if (strcmp(name, "clinic") == 0)
        o->clinic = value;
    else if (strcmp(name, "map") == 0)
        o->map = value;
    else if (strcmp(name, "suggest-map") == 0)
        o->suggest_map = true;
    else if (strcmp(name, "templates") == 0)
        o->templates = value;
    else if (strcmp(name, "explain") == 0)
        line->explain = value;
    else if (strcmp(name, "reference") == 0)
        o->reference = value;
    else if (strcmp(name, "with-findings") == 0)
        o->with_findings = true;
    else if (strcmp(name, "print-all") == 0)
        o->print_all = true;
    else if (strcmp(name, "protect") == 0)
        o->protect = value;
    else if (strcmp(name, "archive") == 0)
        o->archive = true;
    else if (strcmp(name, "attach") == 0)
        o->attach = true;
    else if (strcmp(name, "shard") == 0)
        ok = set_shard(o, value);
    else if (strcmp(name, "jobs") == 0)
        ok = set_count(name, value, JOBS_MOST, &o->jobs);
    else if (strcmp(name, "time-limit") == 0)
        ok = set_count(name, value, SECONDS_MOST, &o->time_limit);
    else if (strcmp(name, "memory-limit") == 0)
        ok = set_count(name, value, MB_MOST, &o->memory_limit);
    else if (strcmp(name, "today") == 0)
        ok = set_date(name, value, &o->today);
    else if (strcmp(name, "dump") == 0 && (ok = choose(name, value, dumps, 5, &chosen)))
        o->dump = (enum batch_dump)chosen;
    else if (strcmp(name, "progress") == 0 && (ok = choose(name, value, whens, 3, &chosen)))
        o->progress = chosen;
    else if (strcmp(name, "quiet") == 0)
        o->quiet = true;
    else if (strcmp(name, "verbose") == 0)
        o->verbose = true;
    return ok;
}

/* The day that decides what is a future date: option, else SOURCE_DATE_EPOCH, else the clock. */
static bool settle_today(struct batch_options *o)
{
    if (date_is_set(o->today))
        return true;
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    double seconds;
    if (str_is_empty(epoch)) {
        time_t now = time(NULL);
        struct tm local;
        localtime_r(&now, &local);
        o->today = (struct date){(short)(local.tm_year + 1900), (signed char)(local.tm_mon + 1),
                                 (signed char)local.tm_mday};
        return true;
    }
    if (!num_parse(epoch, strlen(epoch), &seconds) || seconds < 0 || seconds > 7e9) {
        cli_explain_error("SOURCE_DATE_EPOCH is not a number of seconds");
        return false;
    }
    o->today = date_from_days((long)(seconds / 86400));
    return true;
}

static void getopt_tables(struct option *longs, char *shorts)
{
    size_t s = 0;
    shorts[s++] = ':'; /* a missing value is told from an unknown option */
    for (size_t i = 0; i < cli_n_options; i++) {
        const struct option_row *row = &cli_options[i];
        longs[i] = (struct option){row->name, row->value != NULL ? required_argument : no_argument,
                                   NULL, 256 + (int)i};
        if (row->letter != 0) {
            shorts[s++] = row->letter;
            if (row->value != NULL)
                shorts[s++] = ':';
        }
    }
    longs[cli_n_options] = (struct option){0};
    shorts[s] = '\0';
}

static const struct option_row *row_of(int code)
{
    if (code >= 256)
        return &cli_options[code - 256];
    for (size_t i = 0; i < cli_n_options; i++)
        if (code != 0 && cli_options[i].letter == code)
            return &cli_options[i];
    return NULL;
}

static void unknown_option(const char *given)
{
    const char **names = mem_alloc(cli_n_options * sizeof *names);
    for (size_t i = 0; i < cli_n_options; i++)
        names[i] = cli_options[i].name;
    const char *nearest = str_starts(given, "--") ? str_nearest(given + 2, names, cli_n_options)
                                                  : NULL;
    if (nearest != NULL)
        cli_explain_error("no option %s; did you mean --%s?", given, nearest);
    else
        cli_explain_error("no option %s", given);
    free(names);
}

/* getopt_long would take any unambiguous beginning of a name; no script should depend on that. */
static bool is_shortened(const char *given, const struct option_row *row)
{
    if (!str_starts(given, "--"))
        return false;
    size_t len = strcspn(given + 2, "=");
    return len != strlen(row->name);
}

static bool parse_options(int argc, char **argv, const struct command_row *command,
                          struct command_line *line)
{
    struct option longs[ARRAY_LEN(cli_options) + 1];
    char shorts[2 * ARRAY_LEN(cli_options) + 2];
    getopt_tables(longs, shorts);
    opterr = 0;
    optind = 1;
    for (;;) {
        int at = optind;
        int code = getopt_long(argc, argv, shorts, longs, NULL);
        if (code == -1)
            break;
        const struct option_row *row = code == '?' || code == ':' ? NULL : row_of(code);
        if (code == ':') {
            cli_explain_error("%s needs a value", argv[optind - 1]);
            return false;
        }
        if (row == NULL || is_shortened(argv[optind - 1 - (optarg == argv[optind - 1])], row)) {
            unknown_option(argv[optind - 1 > at ? at : optind - 1]);
            return false;
        }
        if ((row->commands & (int)command->command) == 0) {
            cli_explain_error("--%s is not an option of '%s'", row->name, command->name);
            return false;
        }
        if (!apply(line, row->name, optarg))
            return false;
    }
    for (int i = optind; i < argc; i++)
        add(&line->inputs, &line->options.n_inputs, argv[i]);
    return true;
}

static bool settle_merge(struct batch_options *o)
{
    if (o->n_inputs != 1) {
        cli_explain_error("merge: name one folder that runs with --shard wrote to");
        return false;
    }
    o->out = o->inputs[0];
    return true;
}

static bool settle_agree(struct batch_options *o)
{
    if (o->scale == SCALE_NONE) {
        cli_explain_error("agree: say what the raters read, --scale angle or --scale grade");
        return false;
    }
    if (o->out == NULL && !o->prints)
        o->out = "out";
    return true;
}

/* What PDF/A-1 forbids. */
static bool settle_archive(const struct batch_options *o)
{
    const char *other = o->protect != NULL ? "protect" : o->attach ? "attach" : NULL;
    if (!o->archive || other == NULL)
        return true;
    cli_explain_error("--archive excludes --%s: an archive file (PDF/A-1b) has no %s", other,
                      o->protect != NULL ? "password" : "file inside");
    return false;
}

static bool settle_plain(const struct batch_options *o)
{
    if (!o->de_identified || (o->format == FORMAT_CSV && o->dump == DUMP_NONE))
        return true;
    cli_explain_error("--de-identified is a form of the CSV; it excludes --dump and --format xml");
    return false;
}

static bool settle_handout(struct batch_options *o)
{
    if (str_is_empty(o->only_patient)) {
        cli_explain_error("handout: name the one patient the case is of with --patient ID");
        return false;
    }
    if (o->dump == DUMP_ROWS || o->dump == DUMP_MODEL) {
        cli_explain_error("handout: --dump takes findings or pages, which hold no identifiers");
        return false;
    }
    return true;
}

static bool settle(struct command_line *line, const struct command_row *command)
{
    struct batch_options *o = &line->options;
    static const enum batch_command commands[] = {
        [COMMAND_REPORT] = BATCH_REPORT, [COMMAND_CHECK] = BATCH_CHECK,
        [COMMAND_FINDINGS] = BATCH_FINDINGS, [COMMAND_LOOKUP] = BATCH_FINDINGS,
        [COMMAND_MERGE] = BATCH_MERGE,       [COMMAND_AGREE] = BATCH_AGREE,
        [COMMAND_PLAN] = BATCH_PLAN,         [COMMAND_TEMPLATE] = BATCH_TEMPLATE,
        [COMMAND_HANDOUT] = BATCH_HANDOUT};
    o->command = commands[command->command];
    if (o->time_limit == 0)
        o->time_limit = SECONDS_DEFAULT;
    if (o->memory_limit == 0)
        o->memory_limit = MB_DEFAULT;
    o->inputs = line->inputs;
    o->history = line->history;
    o->kinds = line->kinds;
    if (line->command == COMMAND_PLAN)
        return cli_plan_settle(line);
    if (line->command == COMMAND_LOOKUP || line->explain != NULL)
        return true;
    if (!settle_archive(o) || !settle_plain(o))
        return false;
    if (o->command == BATCH_MERGE)
        return settle_merge(o);
    if (o->command == BATCH_TEMPLATE && o->n_inputs == 0) {
        cli_explain_error("template: name at least one template, such as templates/chart.xml");
        return false;
    }
    if (o->n_inputs == 0) {
        cli_explain_error("%s: name at least one file or folder, or - for standard input",
                          command->name);
        return false;
    }
    if (o->command == BATCH_AGREE)
        return settle_agree(o);
    if (o->command == BATCH_HANDOUT && !settle_handout(o))
        return false;
    if (o->dump == DUMP_PAGES && o->command != BATCH_REPORT && o->command != BATCH_HANDOUT) {
        cli_explain_error("--dump pages goes with report and handout");
        return false;
    }
    if (o->shards > 0 && (o->print_all || o->dump != DUMP_NONE)) {
        cli_explain_error("--shard excludes --print-all and --dump");
        return false;
    }
    if (o->out == NULL && (o->command == BATCH_REPORT || o->command == BATCH_HANDOUT))
        o->out = "out";
    if (o->jobs == 0) {
        long online = sysconf(_SC_NPROCESSORS_ONLN);
        o->jobs = online > 0 && online < 512 ? (int)online : 1;
    }
    return settle_today(o);
}

static bool wants(int argc, char **argv, const char *option)
{
    for (int i = 1; i < argc && strcmp(argv[i], "--") != 0; i++)
        if (strcmp(argv[i], option) == 0)
            return true;
    return false;
}

static const struct command_row *find_command(const char *name)
{
    const char *names[ARRAY_LEN(cli_commands)];
    for (size_t i = 0; i < cli_n_commands; i++) {
        names[i] = cli_commands[i].name;
        if (strcmp(names[i], name) == 0)
            return &cli_commands[i];
    }
    const char *nearest = str_nearest(name, names, cli_n_commands);
    if (nearest != NULL)
        cli_explain_error("no command '%s'; did you mean '%s'?", name, nearest);
    else
        cli_explain_error("no command '%s'", name);
    return NULL;
}

bool cli_parse(int argc, char **argv, struct command_line *line, enum status *status)
{
    *line = (struct command_line){0};
    *status = STATUS_OK;
    if (wants(argc, argv, "--version")) {
        puts("endfeel " ENDFEEL_VERSION "\n"
             "Free software under the GNU General Public License, version 3 or later.");
        return false;
    }
    bool help = wants(argc, argv, "--help");
    if (argc < 2 || (help && argv[1][0] == '-')) {
        cli_help(help ? stdout : stderr, NULL);
        *status = help ? STATUS_OK : STATUS_USAGE;
        return false;
    }
    *status = STATUS_USAGE;
    const struct command_row *command = find_command(argv[1]);
    if (command == NULL)
        return false;
    if (help) {
        cli_help(stdout, command);
        *status = STATUS_OK;
        return false;
    }
    line->command = command->command;
    return parse_options(argc - 1, argv + 1, command, line) && settle(line, command);
}

void cli_release(struct command_line *line)
{
    free(line->inputs);
    free(line->history);
    free(line->kinds);
    free(line->cautions);
    free(line->provokes);
}
