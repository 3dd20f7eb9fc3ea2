/* Parts that a run left when it was stopped in the middle. Nothing here allocates: it is also the
 * last that a run does when memory is out. */
#include "batch/outputs_int.h"

#include <dirent.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* Is a part in the folder of a date this shard's? Its name begins with the patient's id, as a safe
 * name: PATIENT_DATE_KIND.pdf.part or PATIENT.xml.part. */
static bool is_ours(const struct batch_options *o, const char *name, const char *date)
{
    if (o->shards == 0)
        return true;
    if (strchr(name, REPORT_NAME_CUT) != NULL)
        return false; /* whose it is cannot be told: left for the merge */
    const char *end = NULL;
    for (const char *s = name; (s = strstr(s, date)) != NULL; s++)
        if (s > name && s[-1] == '_')
            end = s - 1;
    size_t len = end != NULL ? (size_t)(end - name) : strlen(name) - strlen(".xml.part");
    char id[NAME_MAX + 1];
    size_t n = 0;
    for (size_t i = 0; i < len && n < NAME_MAX; i++) {
        unsigned c = (unsigned char)name[i];
        if (c == '%' && sscanf(name + i + 1, "%2x", &c) == 1)
            i += 2;
        id[n++] = (char)c;
    }
    id[n] = '\0';
    return shard_has(o, id);
}

typedef void (*entry_taker)(const struct batch_options *o, int folder, const char *name,
                            const char *date);

/* As readdir() does, which would allocate. */
static void each_entry(const struct batch_options *o, int folder, const char *date,
                       entry_taker take)
{
    _Alignas(struct dirent64) char entries[8192];
    ssize_t len;
    while ((len = getdents64(folder, entries, sizeof entries)) > 0)
        for (ssize_t at = 0; at < len;) {
            const struct dirent64 *entry = (const struct dirent64 *)(void *)(entries + at);
            take(o, folder, entry->d_name, date);
            at += entry->d_reclen;
        }
}

/* Whatever it is: a link in the way of a part would keep it from being written. */
static void remove_part(const struct batch_options *o, int folder, const char *name,
                        const char *date)
{
    size_t len = strlen(name), end = strlen(".part");
    if (len > end && strcmp(name + len - end, ".part") == 0 && is_ours(o, name, date))
        unlinkat(folder, name, 0);
}

static void remove_parts(const struct batch_options *o, int above, const char *name,
                         const char *date)
{
    int folder = openat(above, name, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0)
        return;
    each_entry(o, folder, date, remove_part);
    close(folder);
}

static void remove_of_day(const struct batch_options *o, int out, const char *name,
                          const char *unused)
{
    struct date date;
    char values[DATE_TEXT_MAX + sizeof "/.values"];
    (void)unused;
    if (!date_parse_iso(name, &date))
        return;
    snprintf(values, sizeof values, "%s/.values", name);
    remove_parts(o, out, name, name);
    remove_parts(o, out, values, name);
}

/* Parts of a worker that died or was stopped, in this run or an earlier one. Lists of shards are
 * written over by the next run of the same shard. */
void leftovers_remove(const struct tools *tools)
{
    const struct batch_options *o = tools->options;
    if (tools->past == NULL)
        return; /* the folder is not this run's */
    int out = open(o->out, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (out < 0)
        return;
    if (o->shards == 0)
        remove_parts(o, out, ".", "");
    each_entry(o, out, "", remove_of_day);
    close(out);
}

static const struct tools *watched;

/* The workers first: they would go on writing. */
static void on_end(void)
{
    pool_end_at_once();
    file_discard_all();
    leftovers_remove(watched);
}

void leftovers_watch(const struct tools *tools)
{
    watched = tools;
    mem_before_end(tools != NULL ? on_end : file_discard_all);
}
