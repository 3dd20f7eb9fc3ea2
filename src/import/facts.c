/* Facts of patient, episode and visit, merged over rows and files: later rows add, and two that
 * contradict each other are both held back. Age, body mass and weight bearing change over time and
 * belong to their visit; a birth date or a sex that changes means two people under one id. */
#include "import/meaning_int.h"

#include <stdlib.h>
#include <string.h>

enum fact_kind { FACT_TEXT, FACT_DATE, FACT_PAST_DATE, FACT_AGE, FACT_MASS, FACT_DAY, FACT_SEX,
                 FACT_SIDE, FACT_VISIT_KIND, FACT_ROLE, FACT_PROTOCOL, FACT_PAIN };
enum fact_scope { SCOPE_PATIENT, SCOPE_CHANGING, SCOPE_VISIT, SCOPE_DEFAULT };

/* Sanity of a typed number, not figures of a table: beyond these it is another number's cell. */
enum { AGE_MAX = 130, MASS_MAX_KG = 700, TREATMENT_DAY_MAX = 10000 };

static const struct fact_column {
    enum import_column column;
    enum fact_kind kind;
    enum fact_scope scope;
} fact_columns[] = {
    {COL_NAME, FACT_TEXT, SCOPE_PATIENT},
    {COL_BIRTH_DATE, FACT_PAST_DATE, SCOPE_PATIENT},
    {COL_AGE, FACT_AGE, SCOPE_CHANGING},
    {COL_SEX, FACT_SEX, SCOPE_PATIENT},
    {COL_DOMINANT_SIDE, FACT_SIDE, SCOPE_PATIENT},
    {COL_BODY_MASS_KG, FACT_MASS, SCOPE_CHANGING},
    {COL_DIAGNOSIS, FACT_TEXT, SCOPE_PATIENT},
    {COL_DIAGNOSIS_CODE, FACT_TEXT, SCOPE_PATIENT},
    {COL_ONSET_DATE, FACT_PAST_DATE, SCOPE_PATIENT},
    {COL_SURGERY_DATE, FACT_DATE, SCOPE_PATIENT},
    {COL_PROCEDURE, FACT_TEXT, SCOPE_PATIENT},
    {COL_WEIGHT_BEARING, FACT_TEXT, SCOPE_CHANGING},
    {COL_AFFECTED_SIDE, FACT_SIDE, SCOPE_PATIENT},
    {COL_REFERRER, FACT_TEXT, SCOPE_PATIENT},
    {COL_REFERRER_ADDRESS, FACT_TEXT, SCOPE_PATIENT},
    {COL_REFERRAL_REASON, FACT_TEXT, SCOPE_PATIENT},
    {COL_PLAN_START, FACT_DATE, SCOPE_PATIENT},
    {COL_CERTIFIED_ON, FACT_PAST_DATE, SCOPE_PATIENT},
    {COL_VISIT_KIND, FACT_VISIT_KIND, SCOPE_VISIT},
    {COL_TREATMENT_DAY, FACT_DAY, SCOPE_VISIT},
    {COL_SIGNED_ON, FACT_PAST_DATE, SCOPE_VISIT},
    {COL_COUNTERSIGNED_ON, FACT_PAST_DATE, SCOPE_VISIT},
    {COL_PLAN, FACT_TEXT, SCOPE_VISIT},
    {COL_QUESTION_TO_REFERRER, FACT_TEXT, SCOPE_VISIT},
    {COL_PAIN_REST, FACT_PAIN, SCOPE_VISIT},
    {COL_PAIN_MOVE, FACT_PAIN, SCOPE_VISIT},
    {COL_PROTOCOL, FACT_PROTOCOL, SCOPE_VISIT},
    {COL_OUTCOME_NAME, FACT_TEXT, SCOPE_VISIT},
    {COL_OUTCOME_SCORE, FACT_TEXT, SCOPE_VISIT},
    {COL_MEASURED_BY, FACT_TEXT, SCOPE_DEFAULT},
    {COL_ROLE, FACT_ROLE, SCOPE_DEFAULT},
    {COL_SUPERVISOR, FACT_TEXT, SCOPE_DEFAULT},
    {COL_POSITION, FACT_TEXT, SCOPE_DEFAULT},
    {COL_TOOL, FACT_TEXT, SCOPE_DEFAULT},
};

static const struct field_word sexes[] = {
    {"female", SEX_FEMALE}, {"f", SEX_FEMALE}, {"male", SEX_MALE}, {"m", SEX_MALE},
    {"other", SEX_OTHER}, {"unknown", SEX_UNKNOWN}, {NULL, 0}};

static const struct field_word kinds[] = {
    {"evaluation", VISIT_EVALUATION}, {"eval", VISIT_EVALUATION},
    {"initial evaluation", VISIT_EVALUATION}, {"initial eval", VISIT_EVALUATION},
    {"ie", VISIT_EVALUATION},
    {"visit", VISIT_VISIT}, {"daily", VISIT_VISIT}, {"daily note", VISIT_VISIT},
    {"treatment", VISIT_VISIT}, {"treatment note", VISIT_VISIT},
    {"progress", VISIT_PROGRESS}, {"progress report", VISIT_PROGRESS},
    {"re-evaluation", VISIT_REEVALUATION}, {"reevaluation", VISIT_REEVALUATION},
    {"re-eval", VISIT_REEVALUATION}, {"discharge", VISIT_DISCHARGE},
    {"discharge summary", VISIT_DISCHARGE}, {"discharge note", VISIT_DISCHARGE}, {NULL, 0}};

static const struct field_word protocols[] = {{"ISNCSCI", 0}, {"MRC-sum", 1}, {NULL, 0}};

static const char *const pounds[] = {"pounds", "pound", "lbs", "lb", NULL};
static const double kg_per_pound = 0.45359237; /* exact by definition */

/* ---- reading one --------------------------------------------------------------------------- */

/* "154 lbs" in the column of kilograms: the cell says its own unit. */
static bool is_in_pounds(const char *text)
{
    size_t len = strlen(text);
    for (size_t i = 0; pounds[i] != NULL; i++) {
        size_t n = strlen(pounds[i]);
        if (len > n && str_eq_nocase(text + len - n, pounds[i]))
            return true;
    }
    return false;
}

static bool read_mass(struct meaning *m, struct row_state *rs, struct num *kg)
{
    static const char *const kilograms[] = {"kilograms", "kgs", "kg", NULL};
    if (!is_in_pounds(meaning_cell(rs, COL_BODY_MASS_KG)))
        return field_number(m, rs, COL_BODY_MASS_KG, kilograms, 1, MASS_MAX_KG, kg);
    if (!field_number(m, rs, COL_BODY_MASS_KG, pounds, 1, MASS_MAX_KG / kg_per_pound, kg))
        return false;
    kg->value *= kg_per_pound;
    meaning_say(m, rs, COL_BODY_MASS_KG, DIAG_CELL_UNIT_CONVERTED, NULL);
    return true;
}

static void read_number(struct meaning *m, struct row_state *rs, const struct fact_column *fc,
                        struct fact *f)
{
    static const char *const years[] = {"years old", "years", "yrs", "yr", "y/o",
                                       "yo",        "y",     NULL};
    struct num n = num_none();
    bool ok = fc->kind == FACT_AGE
                  ? field_number(m, rs, fc->column, years, 0, AGE_MAX, &n)
              : fc->kind == FACT_MASS
                  ? read_mass(m, rs, &n)
                  : field_number(m, rs, fc->column, NULL, 1, TREATMENT_DAY_MAX, &n);
    f->set = ok && n.has;
    f->low = n.value;
}

static void read_word(struct meaning *m, struct row_state *rs, const struct fact_column *fc,
                      struct fact *f)
{
    const struct field_word *words = fc->kind == FACT_SEX          ? sexes
                                     : fc->kind == FACT_VISIT_KIND ? kinds
                                     : fc->kind == FACT_ROLE       ? field_roles
                                                                   : protocols;
    int value = -1;
    f->set = field_word(m, rs, fc->column, words, &value) && value >= 0;
    if (fc->kind == FACT_SEX && value == SEX_UNKNOWN)
        f->set = false;
    if (fc->kind == FACT_PROTOCOL && f->set)
        f->text = protocols[value].word;
    f->low = value;
}

/* "right-handed", "L hand" */
static const char *without_hand(const char *text, struct arena *a)
{
    static const char *const words[] = {"handed", "hand", "hand dominant"};
    size_t len = strlen(text);
    for (size_t i = 0; i < ARRAY_LEN(words); i++) {
        size_t n = strlen(words[i]);
        if (len > n + 1 && (text[len - n - 1] == ' ' || text[len - n - 1] == '-') &&
            str_eq_nocase(text + len - n, words[i]))
            return arena_strndup(a, text, len - n - 1);
    }
    return text;
}

static void read_side(struct meaning *m, struct row_state *rs, enum import_column c, struct fact *f)
{
    enum side side = SIDE_NONE;
    enum diag_code why;
    const char *text = meaning_cell(rs, c);
    if (c == COL_DOMINANT_SIDE)
        text = without_hand(text, m->scratch);
    if (!cell_side(text, meaning_rules(rs), &side, &why))
        meaning_say(m, rs, c, why == DIAG_CELL_SIDE_BOTH ? DIAG_SIDE_OF_BOTH : why, NULL);
    else
        f->set = side != SIDE_NONE;
    f->low = side;
}

/* One cell may tell both scores; each column takes its own. */
static void read_pain(struct meaning *m, struct row_state *rs, enum import_column c, struct fact *f)
{
    double rest, move;
    if (cell_pain_pair(meaning_cell(rs, c), meaning_rules(rs), &rest, &move)) {
        meaning_say(m, rs, c, DIAG_CELL_PAIN_TWO, NULL);
        f->set = true;
        f->low = f->high = c == COL_PAIN_REST ? rest : move;
        return;
    }
    struct num low = num_none(), high = num_none();
    enum diag_code why;
    if (!cell_pain(meaning_cell(rs, c), &low, &high, &why))
        meaning_say(m, rs, c, why, NULL);
    else
        f->set = low.has;
    if (low.has && low.value != high.value)
        meaning_say(m, rs, c, DIAG_CELL_PAIN_RANGE, NULL);
    f->low = low.value;
    f->high = high.value;
}

static struct fact read_fact(struct meaning *m, struct row_state *rs, const struct fact_column *fc)
{
    struct fact f = {.from = rs};
    bool ok = true; /* or said and held back */
    switch (fc->kind) {
    case FACT_TEXT:
        f.text = fc->column == COL_POSITION ? field_position(m, rs, NULL, &ok)
                                            : field_text(m, rs, fc->column);
        f.set = ok && f.text != NULL;
        break;
    case FACT_DATE:
    case FACT_PAST_DATE:
        f.set = field_date(m, rs, fc->column, fc->kind == FACT_DATE, &f.date) &&
                date_is_set(f.date);
        break;
    case FACT_AGE:
    case FACT_MASS:
    case FACT_DAY:
        read_number(m, rs, fc, &f);
        break;
    case FACT_SIDE:
        read_side(m, rs, fc->column, &f);
        break;
    case FACT_PAIN:
        read_pain(m, rs, fc->column, &f);
        break;
    default:
        read_word(m, rs, fc, &f);
        break;
    }
    return f;
}

/* ---- merging ------------------------------------------------------------------------------- */

static bool same_fact(const struct fact *a, const struct fact *b)
{
    return str_eq_nocase(a->text, b->text) && a->low == b->low && a->high == b->high &&
           date_compare(a->date, b->date) == 0;
}

static enum diag_code contradiction(enum import_column c)
{
    if (c == COL_BIRTH_DATE || c == COL_SEX)
        return DIAG_TWO_PEOPLE;
    return c == COL_VISIT_KIND ? DIAG_VISIT_TWO_KINDS : DIAG_FACT_CONTRADICTS;
}

/* Of two facts the one corrected later stands. True when that settles the matter. */
static bool settle_correction(struct meaning *m, struct fact *slot, const struct fact *f,
                              enum import_column c)
{
    int later = date_compare(f->corrected, slot->corrected);
    if (later == 0)
        return false;
    const struct fact *old = later > 0 ? slot : f, *now = later > 0 ? f : slot;
    if (!slot->older_told)
        meaning_say(m, old->from, c, DIAG_FACT_REPLACED, "by %s",
                    meaning_line(m, old->from, now->from));
    if (later > 0)
        *slot = *f;
    slot->older_told = true;
    return true;
}

static void merge(struct meaning *m, struct fact *slot, const struct fact *f, enum import_column c,
                  bool *held)
{
    if (!slot->set) {
        *slot = *f;
        return;
    }
    if (same_fact(slot, f) || settle_correction(m, slot, f, c))
        return;
    enum diag_code why = contradiction(c);
    if (!slot->contradicted)
        meaning_say(m, slot->from, c, why, "also %s", meaning_line(m, slot->from, f->from));
    meaning_say(m, f->from, c, why, "also %s", meaning_line(m, f->from, slot->from));
    slot->contradicted = true;
    if (held != NULL && why != DIAG_FACT_CONTRADICTS)
        *held = true;
}

struct draft_visit *facts_visit(struct meaning *m, struct date date)
{
    /* Rows mostly come visit by visit: the one found last first, then the one after it. */
    for (size_t i = 0, at = m->found_visit; i < m->n_visits; i++, at++) {
        if (at >= m->n_visits)
            at = 0;
        if (date_compare(m->visits[at].date, date) == 0) {
            m->found_visit = at;
            return &m->visits[at];
        }
    }
    return NULL;
}

static struct draft_visit *need_visit(struct meaning *m, struct row_state *rs)
{
    struct draft_visit *v = facts_visit(m, rs->date);
    if (v == NULL) {
        m->visits = meaning_grow(m->scratch, m->visits, m->n_visits, &m->cap_visits, sizeof *v);
        m->found_visit = m->n_visits;
        v = &m->visits[m->n_visits++];
        *v = (struct draft_visit){.date = rs->date, .from_history = true, .from = rs};
        v->facts = arena_alloc(m->scratch, COL_COUNT * sizeof *v->facts);
    }
    if (!import_is_history(rs->src))
        v->from_history = false;
    return v;
}

void facts_repeat(struct meaning *m, const struct row_state *rs)
{
    struct draft_visit *v = facts_visit(m, rs->date);
    if (v != NULL && !import_is_history(rs->src))
        v->from_history = false;
}

static bool of_visit(const struct fact_column *fc, bool has_reading)
{
    return fc->scope == SCOPE_VISIT || (fc->scope == SCOPE_DEFAULT && !has_reading);
}

/* Visit facts need a visit: says so once a row. */
static void say_undated(struct meaning *m, struct row_state *rs, bool has_reading)
{
    if (rs->date_is_bad || has_reading)
        return;
    for (size_t i = 0; i < ARRAY_LEN(fact_columns); i++) {
        const struct fact_column *fc = &fact_columns[i];
        if (of_visit(fc, has_reading) && meaning_has(rs, fc->column)) {
            meaning_say(m, rs, fc->column, DIAG_VISIT_DATE_MISSING, NULL);
            return;
        }
    }
}

static bool has_visit_fact(const struct row_state *rs)
{
    for (size_t i = 0; i < ARRAY_LEN(fact_columns); i++)
        if (of_visit(&fact_columns[i], false) && meaning_has(rs, fact_columns[i].column))
            return true;
    return false;
}

/* The score that stands in the cell of another column: "2 rest 6 mvt" in pain_move, or in the pain
 * of a reading, also tells the pain at rest, where the row has no cell of its own for it. */
static void take_other_score(struct meaning *m, struct row_state *rs, struct draft_visit *v)
{
    static const enum import_column pairs[][2] = {{COL_PAIN_REST, COL_PAIN_MOVE},
                                                  {COL_PAIN_MOVE, COL_PAIN_REST},
                                                  {COL_PAIN, COL_PAIN_REST}};
    for (size_t i = 0; v != NULL && i < ARRAY_LEN(pairs); i++) {
        enum import_column other = pairs[i][1];
        double rest, move;
        if (!meaning_has(rs, pairs[i][0]) || meaning_has(rs, other) ||
            !cell_pain_pair(meaning_cell(rs, pairs[i][0]), meaning_rules(rs), &rest, &move))
            continue;
        double score = other == COL_PAIN_REST ? rest : move;
        struct fact f = {.set = true, .low = score, .high = score, .from = rs};
        merge(m, &v->facts[other], &f, other, &v->held);
    }
}

/* A correction in a row with a reading is one of the reading: it must not make another person's
 * birth date the patient's. */
static struct date correction_of_facts(struct meaning *m, struct row_state *rs, bool has_reading)
{
    struct date on = {0};
    if (!has_reading && !field_date(m, rs, COL_CORRECTED_ON, false, &on))
        on = (struct date){0};
    return on;
}

/* The same cell of the same file as the one the fact was read from, which was read without a word:
 * it adds nothing. Most rows repeat what is known of their patient. */
static bool tells_the_same(const struct fact *slot, const struct row_state *rs,
                           const struct fact_column *fc)
{
    return slot->set && fc->kind != FACT_PAIN && slot->from->src == rs->src &&
           strcmp(meaning_cell(slot->from, fc->column), meaning_cell(rs, fc->column)) == 0;
}

static bool same_text(const char *a, const char *b)
{
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

/* Which columns hold facts, a bit each: those that count in a row with a reading, and all. */
static void note_columns(struct meaning *m)
{
    for (size_t i = 0; i < ARRAY_LEN(fact_columns); i++) {
        column_mark(m->fact_columns[false], fact_columns[i].column);
        if (fact_columns[i].scope != SCOPE_DEFAULT)
            column_mark(m->fact_columns[true], fact_columns[i].column);
    }
}

static bool has_fact(struct meaning *m, const struct row_state *rs, bool has_reading)
{
    const uint64_t *columns = m->fact_columns[has_reading];
    uint64_t found = 0;
    if (columns[0] == 0)
        note_columns(m);
    for (size_t i = 0; i < ARRAY_LEN(rs->filled); i++)
        found |= rs->filled[i] & columns[i];
    return found != 0;
}

void facts_take(struct meaning *m, struct row_state *rs, bool has_reading, bool aims_only)
{
    bool dated = date_is_set(rs->date);
    bool makes_visit = dated && (!aims_only || has_visit_fact(rs));
    struct draft_visit *v = NULL;
    if (makes_visit)
        v = need_visit(m, rs);
    else if (dated)
        v = facts_visit(m, rs->date);
    else
        say_undated(m, rs, has_reading);
    struct date corrected = correction_of_facts(m, rs, has_reading);
    size_t n = has_fact(m, rs, has_reading) ? ARRAY_LEN(fact_columns) : 0;
    for (size_t i = 0; i < n; i++) {
        const struct fact_column *fc = &fact_columns[i];
        if (!meaning_has(rs, fc->column)) /* most of them */
            continue;
        bool visits = of_visit(fc, has_reading);
        if ((fc->scope == SCOPE_DEFAULT && has_reading) || (visits && v == NULL))
            continue;
        bool changing = fc->scope == SCOPE_CHANGING && v != NULL;
        struct fact *slot = visits || changing ? &v->facts[fc->column] : &m->facts[fc->column];
        bool lasting = !visits && !changing;
        if (tells_the_same(slot, rs, fc)) {
            if (lasting && date_compare(rs->date, m->fact_day[fc->column]) < 0)
                m->fact_day[fc->column] = rs->date;
            continue;
        }
        struct fact f = read_fact(m, rs, fc);
        if (!f.set)
            continue;
        f.corrected = corrected;
        if (lasting && (!slot->set || date_compare(rs->date, m->fact_day[fc->column]) < 0))
            m->fact_day[fc->column] = rs->date;
        size_t said = m->n_problems;
        merge(m, slot, &f, fc->column, visits || changing ? &v->held : &m->p->held);
        bool agrees = m->n_problems == said && same_text(slot->text, f.text);
        if (!visits && (!agrees || (fc->scope == SCOPE_CHANGING && lasting && dated)))
            m->unsettled = true;
    }
    take_other_score(m, rs, v);
}

/* ---- storing ------------------------------------------------------------------------------- */

static const char *text_of(const struct fact *facts, enum import_column c)
{
    return facts[c].contradicted ? NULL : facts[c].text;
}

static struct date date_of(const struct fact *facts, enum import_column c)
{
    const struct date none = {0};
    return facts[c].contradicted ? none : facts[c].date;
}

static struct num num_fact(const struct fact *f, double value)
{
    return f->set && !f->contradicted ? num_of(value) : num_none();
}

static int word_of(const struct fact *facts, enum import_column c)
{
    return facts[c].set && !facts[c].contradicted ? (int)facts[c].low : 0;
}

/* A fact that changes over time is the patient's only where all visits that tell it agree. */
static void settle_changing(struct meaning *m, enum import_column c)
{
    struct fact *all = &m->facts[c];
    m->changing_is_typed[c] = all->set;
    if (all->set)
        return;
    for (size_t i = 0; i < m->n_visits; i++) {
        const struct fact *f = &m->visits[i].facts[c];
        if (!f->set)
            continue;
        if (!all->set)
            *all = *f;
        else if (!same_fact(all, f))
            all->contradicted = true;
        else if (!same_text(all->text, f->text))
            m->unsettled = true;
        if (f->contradicted)
            all->contradicted = true;
    }
}

static void hold_early(struct meaning *m, enum import_column c)
{
    struct fact *f = &m->facts[c], *birth = &m->facts[COL_BIRTH_DATE];
    if (!f->set || f->contradicted || !birth->set || birth->contradicted)
        return;
    if (date_compare(f->date, birth->date) >= 0)
        return;
    meaning_say(m, f->from, c, DIAG_BEFORE_BIRTH, NULL);
    f->contradicted = true;
}

/* A typed age that does not fit the birth date on its visit. */
static void hold_age(struct meaning *m, struct draft_visit *v)
{
    struct fact *age = &v->facts[COL_AGE], *birth = &m->facts[COL_BIRTH_DATE];
    if (!age->set || age->contradicted || !birth->set || birth->contradicted)
        return;
    if (date_compare(v->date, birth->date) < 0)
        return;
    double off = age->low - date_age_years(birth->date, v->date);
    if (off > 1 || off < -1) {
        meaning_say(m, age->from, COL_AGE, DIAG_AGE_UNFIT, NULL);
        age->contradicted = true;
    }
}

static void check_dates(struct meaning *m)
{
    const struct fact *birth = &m->facts[COL_BIRTH_DATE], *onset = &m->facts[COL_ONSET_DATE];
    hold_early(m, COL_ONSET_DATE);
    hold_early(m, COL_SURGERY_DATE);
    for (size_t i = 0; i < m->n_visits; i++) {
        struct draft_visit *v = &m->visits[i];
        hold_age(m, v);
        if (birth->set && !birth->contradicted && date_compare(v->date, birth->date) < 0) {
            meaning_say(m, v->from, COL_VISIT_DATE, DIAG_BEFORE_BIRTH, NULL);
            v->held = true;
        } else if (onset->set && !onset->contradicted && date_compare(v->date, onset->date) < 0) {
            meaning_say(m, v->from, COL_VISIT_DATE, DIAG_BEFORE_ONSET, NULL);
        }
    }
}

void facts_store_patient(struct patient *p, const struct fact *f)
{
    p->name = text_of(f, COL_NAME);
    p->birth_date = date_of(f, COL_BIRTH_DATE);
    p->age = num_fact(&f[COL_AGE], f[COL_AGE].low);
    p->sex = (enum sex)word_of(f, COL_SEX);
    p->dominant_side = (enum side)word_of(f, COL_DOMINANT_SIDE);
    p->body_mass_kg = num_fact(&f[COL_BODY_MASS_KG], f[COL_BODY_MASS_KG].low);
    p->weight_bearing = text_of(f, COL_WEIGHT_BEARING);
    p->diagnosis = text_of(f, COL_DIAGNOSIS);
    p->diagnosis_code = text_of(f, COL_DIAGNOSIS_CODE);
    p->procedure = text_of(f, COL_PROCEDURE);
    p->referrer = text_of(f, COL_REFERRER);
    p->referrer_address = text_of(f, COL_REFERRER_ADDRESS);
    p->referral_reason = text_of(f, COL_REFERRAL_REASON);
    p->onset_date = date_of(f, COL_ONSET_DATE);
    p->surgery_date = date_of(f, COL_SURGERY_DATE);
    p->plan_start = date_of(f, COL_PLAN_START);
    p->certified_on = date_of(f, COL_CERTIFIED_ON);
    p->affected_side = (enum side)word_of(f, COL_AFFECTED_SIDE);
}

static void store_visit(const struct draft_visit *d, struct patient *p, struct visit *v)
{
    const struct fact *f = d->facts;
    *v = (struct visit){.patient = p, .date = d->date, .from_history = d->from_history,
                        .held = d->held};
    v->kind = (enum visit_kind)word_of(f, COL_VISIT_KIND);
    v->treatment_day = num_fact(&f[COL_TREATMENT_DAY], f[COL_TREATMENT_DAY].low);
    v->age = num_fact(&f[COL_AGE], f[COL_AGE].low);
    v->body_mass_kg = num_fact(&f[COL_BODY_MASS_KG], f[COL_BODY_MASS_KG].low);
    v->weight_bearing = text_of(f, COL_WEIGHT_BEARING);
    v->measured_by = text_of(f, COL_MEASURED_BY);
    v->supervisor = text_of(f, COL_SUPERVISOR);
    v->position = text_of(f, COL_POSITION);
    v->tool = text_of(f, COL_TOOL);
    v->role = (enum role)word_of(f, COL_ROLE);
    v->signed_on = date_of(f, COL_SIGNED_ON);
    v->countersigned_on = date_of(f, COL_COUNTERSIGNED_ON);
    v->plan = text_of(f, COL_PLAN);
    v->question_to_referrer = text_of(f, COL_QUESTION_TO_REFERRER);
    v->protocol = text_of(f, COL_PROTOCOL);
    v->outcome_name = text_of(f, COL_OUTCOME_NAME);
    v->outcome_score = text_of(f, COL_OUTCOME_SCORE);
    v->pain_rest_low = num_fact(&f[COL_PAIN_REST], f[COL_PAIN_REST].low);
    v->pain_rest_high = num_fact(&f[COL_PAIN_REST], f[COL_PAIN_REST].high);
    v->pain_move_low = num_fact(&f[COL_PAIN_MOVE], f[COL_PAIN_MOVE].low);
    v->pain_move_high = num_fact(&f[COL_PAIN_MOVE], f[COL_PAIN_MOVE].high);
}

static int compare_visits(const void *a, const void *b)
{
    return date_compare(((const struct visit *)a)->date, ((const struct visit *)b)->date);
}

static void store_corrections(struct meaning *m, const struct fact *facts, struct date visit,
                              size_t *cap)
{
    struct patient *p = m->p;
    for (size_t i = 0; i < ARRAY_LEN(fact_columns); i++) {
        const struct fact *f = &facts[fact_columns[i].column];
        if (!f->set || !date_is_set(f->corrected))
            continue;
        p->corrections = meaning_grow(m->arena, p->corrections, p->n_corrections, cap,
                                      sizeof *p->corrections);
        p->corrections[p->n_corrections++] = (struct correction){
            .column = column_name(fact_columns[i].column), .visit = visit, .on = f->corrected,
            .by = field_text(m, f->from, COL_CORRECTED_BY),
            .reason = field_text(m, f->from, COL_CORRECTION_REASON)};
    }
}

void facts_store(struct meaning *m)
{
    size_t said = m->n_problems;
    check_dates(m);
    m->unsettled = m->unsettled || m->n_problems > said;
    settle_changing(m, COL_AGE);
    settle_changing(m, COL_BODY_MASS_KG);
    settle_changing(m, COL_WEIGHT_BEARING);
    struct patient *p = m->p;
    facts_store_patient(p, m->facts);
    size_t cap = 0;
    store_corrections(m, m->facts, (struct date){0}, &cap);
    for (size_t i = 0; i < m->n_visits; i++)
        store_corrections(m, m->visits[i].facts, m->visits[i].date, &cap);
    p->visits = arena_alloc(m->arena, (m->n_visits + 1) * sizeof *p->visits);
    for (size_t i = 0; i < m->n_visits; i++)
        store_visit(&m->visits[i], p, &p->visits[i]);
    p->n_visits = m->n_visits;
    qsort(p->visits, p->n_visits, sizeof *p->visits, compare_visits);
}

struct visit *facts_stored_visit(const struct meaning *m, struct date date)
{
    struct visit *visits = m->p->visits;
    size_t low = 0, high = m->p->n_visits;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (date_compare(visits[mid].date, date) < 0)
            low = mid + 1;
        else
            high = mid;
    }
    bool found = low < m->p->n_visits && date_compare(visits[low].date, date) == 0;
    return found ? &visits[low] : NULL;
}
