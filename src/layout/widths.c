/* Column widths: fixed ones as asked, automatic ones between their longest word and their longest
 * line, shares of what is left. When it is too narrow for all, everything shrinks. */
#include "layout/layout_int.h"

#include <math.h>

struct sums {
    double fixed, auto_least, auto_full, share_least, share_weight;
    int n_auto;
};

static struct sums add_up(const struct column_need *need, int n)
{
    struct sums s = {0};
    for (int i = 0; i < n; i++) {
        switch (need[i].width.kind) {
        case WIDTH_FIXED:
            s.fixed += need[i].width.value;
            break;
        case WIDTH_AUTO:
            s.auto_least += need[i].least;
            s.auto_full += need[i].full;
            s.n_auto++;
            break;
        case WIDTH_SHARE:
            s.share_least += need[i].least;
            s.share_weight += need[i].width.value;
            break;
        }
    }
    return s;
}

static double least_of(const struct column_need *need)
{
    return need->width.kind == WIDTH_FIXED ? need->width.value : need->least;
}

/* Even the longest words do not fit: they will be broken, so each column keeps room for a
 * character, and what is left goes by how much more its words want. */
static void shrink(const struct column_need *need, int n, double available, double *out)
{
    double floors = 0, wishes = 0;
    for (int i = 0; i < n; i++) {
        double floor_width = fmin(need[i].floor, least_of(&need[i]));
        floors += floor_width;
        wishes += least_of(&need[i]) - floor_width;
    }
    for (int i = 0; i < n; i++) {
        double floor_width = fmin(need[i].floor, least_of(&need[i]));
        double wish = least_of(&need[i]) - floor_width;
        if (floors > available)
            out[i] = floor_width * fmax(available, 0) / floors;
        else
            out[i] = floor_width + (wishes > 0 ? wish * (available - floors) / wishes : 0);
    }
}

/* Shares by weight, but none below its longest word. */
static void share_out(const struct column_need *need, int n, double rest, double weight,
                      double *out)
{
    bool settled[TABLE_COLUMNS_MAX] = {false}, changed = true;
    while (changed) {
        changed = false;
        double part = weight > 0 ? rest / weight : 0;
        for (int i = 0; i < n; i++) {
            if (need[i].width.kind != WIDTH_SHARE || settled[i])
                continue;
            out[i] = part * need[i].width.value;
            if (out[i] < need[i].least) {
                out[i] = need[i].least;
                rest -= need[i].least;
                weight -= need[i].width.value;
                settled[i] = changed = true;
                break;
            }
        }
    }
}

/* Automatic columns: from their least towards their full width as far as `room` goes. */
static void grow(const struct column_need *need, int n, const struct sums *s, double room,
                 bool spread, double *out)
{
    double wish = s->auto_full - s->auto_least;
    double part = wish > 0 ? fmin(1, (room - s->auto_least) / wish) : 1;
    double over = spread && room > s->auto_full ? room - s->auto_full : 0;
    for (int i = 0; i < n; i++) {
        if (need[i].width.kind != WIDTH_AUTO)
            continue;
        out[i] = need[i].least + part * (need[i].full - need[i].least);
        if (over > 0)
            out[i] += s->auto_full > 0 ? over * need[i].full / s->auto_full : over / s->n_auto;
    }
}

void table_widths(const struct column_need *need, int n, double available, bool spread,
                  double *out)
{
    struct sums s = add_up(need, n);
    double rest = available - s.fixed;
    if (s.auto_least + s.share_least > rest || rest < 0) {
        shrink(need, n, available, out);
        return;
    }
    for (int i = 0; i < n; i++) {
        if (need[i].width.kind == WIDTH_FIXED)
            out[i] = need[i].width.value;
    }
    double room = rest - s.share_least;
    grow(need, n, &s, room, spread && s.share_weight == 0, out);
    for (int i = 0; i < n; i++)
        rest -= need[i].width.kind == WIDTH_AUTO ? out[i] : 0;
    share_out(need, n, rest, s.share_weight, out);
}
