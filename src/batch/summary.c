/* What a run says at its end on standard error, and the note about a whole file that needs its
 * counts. */
#include "batch/batch_int.h"

/* Angles read to the nearest ten are no error of one cell; a whole file of them is worth a look. */
void summary_note_round_angles(const struct outcome *outcome, struct diag_sink *sink)
{
    enum { ANGLES_LEAST = 20 };
    for (size_t i = 0; i < outcome->n_files; i++) {
        const struct tally *t = &outcome->tallies[i];
        struct diag_pos pos = {.file = outcome->files[i].file};
        if (t->angles >= ANGLES_LEAST && t->angles == t->round_angles)
            diag_report(sink, DIAG_ANGLES_ROUND, pos, NULL, "%ld angles", t->angles);
    }
}

static void say_reports(const struct batch_options *options, const struct outputs *o)
{
    long n = outputs_reports(o), again = outputs_count(o, REPORT_SET_AGAIN);
    long refused = outputs_refused(o);
    fprintf(stderr, "%ld report%s in %s/: %ld new, %ld unchanged, %ld amended", n,
            n == 1 ? "" : "s", options->out, outputs_count(o, REPORT_NEW),
            outputs_count(o, REPORT_UNCHANGED), outputs_count(o, REPORT_AMENDED));
    if (again > 0)
        fprintf(stderr, ", %ld set again", again);
    if (refused > 0)
        fprintf(stderr, "; %ld could not be written", refused);
    fputc('\n', stderr);
}

void summary_say(const struct batch_options *options, struct outputs *o,
                 const struct outcome *outcome)
{
    if (options->quiet)
        return;
    for (size_t i = 0; i < outcome->n_files; i++) {
        const struct tally *t = &outcome->tallies[i];
        long left = t->rows_in - t->used - t->duplicates - t->held;
        fprintf(stderr, "%s: %ld rows in = %ld used + %ld duplicates + %ld held back",
                outcome->files[i].file, t->rows_in, t->used, t->duplicates, t->held);
        if (left > 0 && options->dump != DUMP_ROWS)
            fprintf(stderr, " + %ld not reached", left);
        fputc('\n', stderr);
    }
    if (interrupted())
        fputs("endfeel: stopped before the end; run again for the rest\n", stderr);
    if (options->dump != DUMP_NONE)
        return;
    bool reports = options->command == BATCH_REPORT || options->command == BATCH_MERGE;
    long held = outputs_held(o), notes = outputs_notes(o);
    if (reports)
        say_reports(options, o);
    if (held + notes > 0 && reports)
        fprintf(stderr,
                outputs_exceptions_failed(o) ? "%ld held back, %ld notes, and no list of them: %s\n"
                                             : "%ld held back, %ld notes: see %s\n",
                held, notes, outputs_exceptions(o));
    else if (held + notes > 0 && options->command == BATCH_FINDINGS)
        fprintf(stderr, "%ld held back, %ld notes: endfeel check lists them\n", held, notes);
}
