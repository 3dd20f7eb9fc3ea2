/* All rows of one patient -> model: leads the readers of a row, finds repeated rows, puts visits,
 * readings and problems in order, and gives each row exactly one outcome. */
#include "import/meaning_int.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ID_MAX = 80 };

/* Every report about a row comes by here. */
static void on_diag(void *user, const struct diag *d)
{
    struct meaning *m = user;
    struct problem copy = {.diag = *d, .from = m->now, .date = m->now->date};
    copy.diag.text = arena_strdup(m->arena, d->text);
    copy.diag.detail = arena_strdup(m->arena, d->detail);
    if (diag_outcome(d->code) == OUTCOME_HELD_BACK) {
        m->now->held = true;
        if (m->now->whole != NULL)
            m->now->whole->held = true;
    }
    m->problems = meaning_grow(m->scratch, m->problems, m->n_problems, &m->cap_problems,
                               sizeof copy);
    m->problems[m->n_problems++] = copy;
    m->outer->count[diag_level(d->code)]++;
    if (m->outer->put != NULL)
        m->outer->put(m->outer->user, d);
}

/* ---- repeated rows ------------------------------------------------------------------------- */

static uint64_t mix_piece(uint64_t hash, uint64_t piece)
{
    hash = (hash ^ piece) * 0x100000001B3; /* the prime of FNV-1a, eight bytes at a time */
    return hash ^ hash >> 32;
}

static uint64_t mix(uint64_t hash, const char *bytes, size_t len)
{
    uint64_t piece;
    uint32_t half[2];
    hash += len;
    for (; len > sizeof piece; bytes += sizeof piece, len -= sizeof piece) {
        memcpy(&piece, bytes, sizeof piece);
        hash = mix_piece(hash, piece);
    }
    if (len >= sizeof half[0]) { /* the halves overlap */
        memcpy(&half[0], bytes, sizeof half[0]);
        memcpy(&half[1], bytes + len - sizeof half[1], sizeof half[1]);
        return mix_piece(hash, (uint64_t)half[0] << 32 | half[1]);
    }
    for (piece = 0; len > 0; len--)
        piece = piece << 8 | (unsigned char)*bytes++;
    return mix_piece(hash, piece);
}

/* Notes which columns hold something, and a hash of what the row says, which is the same whatever
 * the order of its file's columns. */
static void look_at(struct row_state *rs)
{
    uint64_t hash = 0xCBF29CE484222325;
    for (int i = 0; i < rs->src->n_present; i++) {
        unsigned c = rs->src->present[i];
        const struct cell *cell = column_cell(rs->src, rs->row, (enum import_column)c);
        if (cell->len == 0)
            continue;
        column_mark(rs->filled, (enum import_column)c);
        hash = mix(hash + c + 1, cell->text, cell->len);
    }
    for (int i = 0; i < rs->src->n_wide; i++) {
        const struct cell *cell = &rs->row->cells[rs->src->wide[i].cell];
        if (cell->len > 0)
            hash = mix(mix(hash, rs->src->wide[i].header, strlen(rs->src->wide[i].header)),
                       cell->text, cell->len);
    }
    rs->hash = hash;
}

static int compare_cells(const struct cell *a, const struct cell *b)
{
    return strcmp(a != NULL ? a->text : "", b != NULL ? b->text : "");
}

/* The next filled wide column from *i on; NULL: none. */
static const struct wide_column *next_wide(const struct row_state *rs, int *i)
{
    for (; *i < rs->src->n_wide; (*i)++)
        if (rs->row->cells[rs->src->wide[*i].cell].len > 0)
            return &rs->src->wide[(*i)++];
    return NULL;
}

static int compare_said(const struct row_state *a, const struct row_state *b)
{
    int d = 0, at_a = 0, at_b = 0;
    for (enum import_column c = 0; d == 0 && c < COL_COUNT; c++)
        d = compare_cells(column_cell(a->src, a->row, c), column_cell(b->src, b->row, c));
    while (d == 0) {
        const struct wide_column *wa = next_wide(a, &at_a), *wb = next_wide(b, &at_b);
        if (wa == NULL || wb == NULL)
            return (wa != NULL) - (wb != NULL);
        d = strcmp(wa->header, wb->header);
        if (d == 0)
            d = compare_cells(&a->row->cells[wa->cell], &b->row->cells[wb->cell]);
    }
    return d;
}

/* A table of rows by their hash, each in the first free place from there on. */
static void mark_repeats(struct meaning *m)
{
    size_t size = 1;
    while (size < 2 * m->n_rows + 1)
        size *= 2;
    struct row_state **table = arena_alloc(m->scratch, size * sizeof(struct row_state *));
    for (size_t i = 0; i < m->n_rows; i++) {
        struct row_state *rs = &m->rows[i];
        size_t at = rs->hash & (size - 1);
        while (table[at] != NULL &&
               (table[at]->hash != rs->hash || compare_said(table[at], rs) != 0))
            at = (at + 1) & (size - 1);
        rs->duplicate = table[at] != NULL;
        rs->same_as = table[at];
        if (table[at] == NULL)
            table[at] = rs;
    }
}

/* ---- the id -------------------------------------------------------------------------------- */

/* 1.23E+05: a spreadsheet has cut off digits, and what they were cannot be known. */
static bool is_shortened(const char *id)
{
    size_t n = strspn(id, "0123456789.,");
    if (n == 0 || (id[n] != 'E' && id[n] != 'e') || (id[n + 1] != '+' && id[n + 1] != '-'))
        return false;
    size_t digits = strspn(id + n + 2, "0123456789");
    return digits > 0 && id[n + 2 + digits] == '\0';
}

static enum diag_code id_problem(const char *id)
{
    if (is_shortened(id))
        return DIAG_ID_SHORTENED;
    if (id[0] == '=')
        return DIAG_CELL_FORMULA;
    if (id[0] == '#' && (id[1] == '#' || strpbrk(id, "!?/") != NULL))
        return DIAG_CELL_SHEET_ERROR;
    for (const char *s = id; *s != '\0'; s++)
        if (iscntrl((unsigned char)*s))
            return DIAG_ID_UNFIT;
    return strlen(id) > ID_MAX ? DIAG_ID_UNFIT : DIAG_CODE_COUNT;
}

/* ---- rows ---------------------------------------------------------------------------------- */

static void read_visit_date(struct meaning *m, struct row_state *rs)
{
    struct date date = {0};
    if (!field_date(m, rs, COL_VISIT_DATE, false, &date))
        rs->date_is_bad = true;
    rs->date = date;
}

/* Cells that only mean something beside a reading, in a row that has none. */
static void say_unused(struct meaning *m, struct row_state *rs, bool aims)
{
    static const enum import_column columns[] = {
        COL_LEVER_CM, COL_REPETITIONS, COL_TRY, COL_TIMING, COL_MUSCLE, COL_TECHNIQUE, COL_END_FEEL,
        COL_PAIN, COL_PAIN_FROM, COL_PAIN_TO, COL_COMPENSATION, COL_REASON, COL_NOTE};
    static const enum import_column places[] = {COL_SIDE, COL_DIGIT, COL_TEST, COL_UNIT};
    for (size_t i = 0; i < ARRAY_LEN(columns); i++)
        if (meaning_has(rs, columns[i]))
            meaning_say(m, rs, columns[i], DIAG_CELL_UNUSED, NULL);
    for (size_t i = 0; !aims && i < ARRAY_LEN(places); i++)
        if (meaning_has(rs, places[i]))
            meaning_say(m, rs, places[i], DIAG_CELL_UNUSED, NULL);
}

static void take_row(struct meaning *m, struct row_state *rs)
{
    bool reading = measure_is_reading(rs), aims = aims_are_in(rs);
    m->now = rs;
    if (rs->duplicate) {
        rs->date = rs->same_as->date;
        facts_repeat(m, rs);
        meaning_say(m, rs, COL_PATIENT_ID, DIAG_ROW_DUPLICATE, "first at %s",
                    meaning_line(m, rs, rs->same_as));
        return;
    }
    read_visit_date(m, rs);
    parts_mark_held(rs);
    bool wide = parts_are_in(rs), own = reading;
    reading = own || wide;
    facts_take(m, rs, reading, aims && !reading);
    if (reading && !rs->date_is_bad && !date_is_set(rs->date))
        meaning_say(m, rs, COL_VISIT_DATE, DIAG_VISIT_DATE_MISSING, NULL);
    if (own)
        measure_take(m, rs);
    if (rs->src->n_wide > 0)
        parts_take(m, rs);
    if (!reading)
        say_unused(m, rs, aims);
    if (aims)
        aims_take(m, rs);
}

static void hold_all(struct meaning *m, enum diag_code why)
{
    m->p->held = true;
    for (size_t i = 0; i < m->n_rows; i++)
        meaning_say(m, &m->rows[i], COL_PATIENT_ID, why, NULL);
}

bool import_is_conflict(enum diag_code code)
{
    return code == DIAG_TWO_PEOPLE || code == DIAG_VISIT_TWO_KINDS ||
           code == DIAG_FACT_CONTRADICTS || code == DIAG_READINGS_DIFFER ||
           code == DIAG_OPPOSITE_DIFFERS || code == DIAG_GOAL_CONTRADICTS;
}

bool import_is_once_a_file(enum diag_code code)
{
    return code == DIAG_CELL_FINE || code == DIAG_START_NOT_RECORDED;
}

/* ---- putting together ---------------------------------------------------------------------- */

static int compare_drafts(const void *a, const void *b)
{
    const struct draft *da = *(struct draft *const *)a, *db = *(struct draft *const *)b;
    int d = date_compare(da->date, db->date);
    if (d == 0)
        d = model_measurement_compare(&da->m, &db->m);
    return d != 0 ? d : da->order < db->order ? -1 : 1;
}

static void place_readings(struct meaning *m)
{
    const struct draft **drafts = arena_room(m->scratch, (m->n_drafts + 1) * sizeof *drafts);
    size_t v = 0, n_kept = 0;
    for (size_t i = 0; i < m->n_drafts; i++)
        if (!m->drafts[i]->dropped)
            drafts[n_kept++] = m->drafts[i];
    meaning_sort(drafts, n_kept, sizeof *drafts, compare_drafts);
    struct measurement *all = arena_room(m->arena, (n_kept + 1) * sizeof *all);
    for (size_t i = 0; i < n_kept; i++) {
        while (date_compare(m->p->visits[v].date, drafts[i]->date) != 0)
            v++;
        struct visit *visit = &m->p->visits[v];
        if (visit->n_measurements++ == 0)
            visit->measurements = &all[i];
        all[i] = drafts[i]->m;
    }
}

static void place_problems(struct meaning *m)
{
    struct visit *visits = m->p->visits;
    struct visit **of = arena_room(m->scratch, (m->n_problems + 1) * sizeof(struct visit *));
    for (size_t i = 0; i < m->n_problems; i++) {
        of[i] = facts_stored_visit(m, m->problems[i].date);
        if (of[i] != NULL)
            of[i]->n_problems++;
    }
    for (size_t v = 0; v < m->p->n_visits; v++) {
        visits[v].problems =
            arena_room(m->arena, (visits[v].n_problems + 1) * sizeof *visits[v].problems);
        visits[v].n_problems = 0;
    }
    for (size_t i = 0; i < m->n_problems; i++)
        if (of[i] != NULL)
            of[i]->problems[of[i]->n_problems++] = m->problems[i].diag;
}

/* Degrees as read, each try of them: what a whole file of round numbers is told by. */
static void count_angles(const struct meaning *m, struct tally *tallies)
{
    enum { ROUND_DEG = 10 };
    for (size_t i = 0; i < m->n_drafts; i++) {
        const struct measurement *me = &m->drafts[i]->m;
        struct tally *t = &tallies[m->drafts[i]->from->row->source];
        if (me->derived || m->drafts[i]->dropped || me->unit != UNIT_DEG)
            continue;
        for (int k = 0; k < me->n_tries; k++) {
            t->angles++;
            t->round_angles += fmod(me->tries[k], ROUND_DEG) == 0;
        }
    }
}

static void count_rows(struct meaning *m, struct tally *tallies)
{
    for (size_t i = 0; i < m->n_rows; i++) {
        struct row_state *rs = &m->rows[i];
        struct draft_visit *v = date_is_set(rs->date) ? facts_visit(m, rs->date) : NULL;
        struct tally *t = &tallies[rs->row->source];
        bool held = rs->held || (!rs->duplicate && (m->p->held || (v != NULL && v->held)));
        if (held)
            t->held++;
        else if (rs->duplicate || rs->repeats || parts_repeat(rs))
            t->duplicates++;
        else
            t->used++;
    }
}

struct patient *import_patient(const struct row *rows, size_t n_rows,
                               struct import_source *const *sources, const struct reference *ref,
                               struct date today, struct arena *arena, struct tally *tallies,
                               struct diag_sink *sink)
{
    struct arena *scratch = arena_new();
    struct meaning *m = arena_alloc(scratch, sizeof *m);
    struct patient *p = arena_alloc(arena, sizeof *p);
    *m = (struct meaning){.p = p, .ref = ref, .today = today, .arena = arena, .scratch = scratch,
                          .tee = {.put = on_diag, .user = m}, .outer = sink, .n_rows = n_rows};
    m->rows = arena_room(scratch, (n_rows + 1) * sizeof *m->rows);
    for (size_t i = 0; i < n_rows; i++) {
        struct import_source *src = sources[rows[i].source];
        bool same = i > 0 && m->rows[i - 1].src == src;
        m->rows[i] = (struct row_state){.row = &rows[i], .src = src};
        m->rows[i].path = same ? m->rows[i - 1].path : arena_strdup(arena, import_path(src));
        look_at(&m->rows[i]);
    }
    m->cap_drafts = n_rows + 1; /* of long rows each has one at most, as a rule */
    m->drafts = arena_room(scratch, m->cap_drafts * sizeof *m->drafts);
    p->arena = arena;
    p->id = n_rows > 0 ? arena_strdup(arena, meaning_cell(&m->rows[0], COL_PATIENT_ID)) : "";
    enum diag_code spoilt = id_problem(p->id);
    if (spoilt != DIAG_CODE_COUNT) {
        hold_all(m, spoilt);
        count_rows(m, tallies);
        arena_free(scratch);
        return p;
    }
    mark_repeats(m);
    for (size_t i = 0; i < n_rows; i++)
        take_row(m, &m->rows[i]);
    facts_store(m);
    aims_store(m);
    order_check(m);
    parts_drop_blanks(m);
    join_readings(m);
    count_angles(m, tallies);
    place_readings(m);
    place_problems(m);
    days_store(m);
    count_rows(m, tallies);
    arena_free(scratch);
    return p;
}
