/* Parts that a run left when it was stopped in the middle. */
#include "batch/outputs_int.h"

#include <dirent.h>
#include <fcntl.h>
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
    struct buf id;
    buf_init(&id, strlen(name) + 1);
    for (size_t i = 0; i < len; i++) {
        unsigned c = (unsigned char)name[i];
        if (c == '%' && sscanf(name + i + 1, "%2x", &c) == 1)
            i += 2;
        buf_addc(&id, (char)c);
    }
    bool ours = shard_has(o, buf_text(&id));
    buf_release(&id);
    return ours;
}

/* Whatever it is: a link in the way of a part would keep it from being written. */
static void remove_parts(const struct batch_options *o, const char *folder, const char *date)
{
    DIR *dir = opendir(folder);
    const struct dirent *entry;
    while (dir != NULL && (entry = readdir(dir)) != NULL) {
        const char *name = entry->d_name;
        size_t len = strlen(name), end = strlen(".part");
        if (len > end && strcmp(name + len - end, ".part") == 0 && is_ours(o, name, date))
            unlinkat(dirfd(dir), name, 0);
    }
    if (dir != NULL)
        closedir(dir);
}

/* Parts of a worker that died or was stopped, in this run or an earlier one. Lists of shards are
 * written over by the next run of the same shard. */
void leftovers_remove(const struct tools *tools)
{
    const struct batch_options *o = tools->options;
    if (tools->past == NULL)
        return; /* the folder is not this run's */
    DIR *dir = opendir(o->out);
    if (dir == NULL)
        return;
    const struct dirent *entry;
    struct date date;
    struct arena *a = arena_new();
    if (o->shards == 0)
        remove_parts(o, o->out, "");
    while ((entry = readdir(dir)) != NULL) {
        const char *name = entry->d_name;
        if (!date_parse_iso(name, &date))
            continue;
        remove_parts(o, arena_printf(a, "%s/%s", o->out, name), name);
        remove_parts(o, arena_printf(a, "%s/%s/.values", o->out, name), name);
    }
    closedir(dir);
    arena_free(a);
}
