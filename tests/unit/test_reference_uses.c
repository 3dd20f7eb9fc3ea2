/*
 * The tables of patterns, activities and strength against the clinical tables they were made from,
 * as in test_reference_tables.c: rows, filled cells, sums of numbers and hashes, counted from those
 * tables by another program. Where a cell named the file of another table, the library names what
 * that table holds, and one source has an id of its own here (JAW_EXAM_TEXTS). Then the figures the
 * program reads beside a text, typed again from the text.
 */
#include "reference_tally.h"

static const struct column capsular_patterns_columns[] = {
    {"joint", 19, 0, UINT64_C(0x159194b086b70e44)},
    {"anatomical-joint", 19, 0, UINT64_C(0x10965f2404246b40)},
    {"pattern", 19, 0, UINT64_C(0xd9622617dca6265b)},
    {"motion-order", 19, 0, UINT64_C(0xdf6580c81a0cebdf)},
    {"program-test", 19, 0, UINT64_C(0x3e612b7c415b15e1)},
    {"evidence", 19, 0, UINT64_C(0xbb635dadeeac7f1f)},
    {"alternative", 13, 0, UINT64_C(0x4b46f78a955b5b8a)},
    {"source", 19, 0, UINT64_C(0xa32d3726abdbb356)},
    {"how-known", 19, 0, UINT64_C(0x003c35242a7fa2bc)},
};

static const struct column selective_tension_columns[] = {
    {"id", 29, 0, UINT64_C(0x707cbeb4162dd81e)},
    {"kind", 29, 0, UINT64_C(0xea551e631cbb11b5)},
    {"finding", 29, 0, UINT64_C(0xc9c0270ccce2cb4f)},
    {"program-condition", 29, 0, UINT64_C(0xf8c9a0e9a2958e1a)},
    {"may-suggest", 29, 0, UINT64_C(0x0a94fcd8f67bbd9d)},
    {"cautious-wording", 29, 0, UINT64_C(0x8dea353e7f050a89)},
    {"caveat", 16, 0, UINT64_C(0x4b294c78b4b8c217)},
    {"how-known", 29, 0, UINT64_C(0xdef6a8957e0a3701)},
};

static const struct column myotomes_columns[] = {
    {"level", 20, 0, UINT64_C(0x28c9d7c27614bd92)},
    {"joint", 20, 0, UINT64_C(0xedca64af42970416)},
    {"motion", 20, 0, UINT64_C(0xf80d8963671d98a5)},
    {"digit", 4, 10, UINT64_C(0x7cb87d7a5a289ada)},
    {"key-muscles", 20, 0, UINT64_C(0x92f6ff135517204a)},
    {"isncsci-key", 20, 0, UINT64_C(0x6b7c3f4bd4873964)},
    {"limb", 20, 0, UINT64_C(0x665fe8a4ed6afbba)},
    {"grade-scale", 20, 0, UINT64_C(0x16982b1d6668c7a8)},
    {"position-for-standard-test", 10, 0, UINT64_C(0x07fb867c25de7e30)},
    {"note", 17, 0, UINT64_C(0x59cea67a5928e265)},
    {"how-known", 20, 0, UINT64_C(0x6613d6d015a84928)},
};

static const struct column functional_demands_columns[] = {
    {"activity-id", 294, 0, UINT64_C(0x092c92719cba6103)},
    {"activity", 294, 0, UINT64_C(0xb3b01997a280eac0)},
    {"joint", 294, 0, UINT64_C(0x200800a6076d23a4)},
    {"motion", 294, 0, UINT64_C(0x3a858cab18ce67e6)},
    {"needed-deg", 294, 16007.2, UINT64_C(0x9d2de38258f4bc68)},
    {"from-deg", 28, 726, UINT64_C(0x077a0e103d659257)},
    {"sd", 47, 430, UINT64_C(0xf6815eb08d438bdd)},
    {"population", 270, 0, UINT64_C(0x318dc8ec04537c58)},
    {"n", 241, 8349, UINT64_C(0x8d9f0af82e87f20b)},
    {"icf-activity-code", 294, 0, UINT64_C(0x6b69ac4f5bc7b558)},
    {"source-id", 294, 0, UINT64_C(0x2d6d710a9ad188f9)},
    {"how-known", 294, 0, UINT64_C(0x9196d62d014ebf51)},
    {"unit", 294, 0, UINT64_C(0x521a0220381c211e)},
    {"basis", 294, 0, UINT64_C(0xbf8d41e948c48abc)},
    {"role", 294, 0, UINT64_C(0x358f54b791acb502)},
    {"qualifier", 27, 0, UINT64_C(0xbd889c17d3e98ecd)},
    {"note", 222, 0, UINT64_C(0x9ea1baba86859632)},
};

static const struct column icf_codes_columns[] = {
    {"code", 35, 0, UINT64_C(0x912a33ac1e54464a)},
    {"title", 35, 0, UINT64_C(0xe9685c020759019c)},
};

static const struct column force_norms_columns[] = {
    {"measure", 69, 0, UINT64_C(0x1d9154878e3a7fb5)},
    {"joint", 21, 0, UINT64_C(0xdab3c29aef2e819a)},
    {"motion", 21, 0, UINT64_C(0x72795cfec59e903e)},
    {"population", 69, 0, UINT64_C(0xc2d38afc1a6d39d4)},
    {"sex", 69, 0, UINT64_C(0x77e237e723a7dba5)},
    {"age-lo", 48, 2280, UINT64_C(0x39037030b94a83c1)},
    {"age-hi", 44, 2156, UINT64_C(0x490627a3f700f061)},
    {"side", 69, 0, UINT64_C(0x50b4c7a524079cdc)},
    {"mean", 48, 3754.7, UINT64_C(0x00455d847bb4ec91)},
    {"sd", 48, 795.3, UINT64_C(0x4bb86f570d3781f2)},
    {"se", 48, 156.9, UINT64_C(0x74e2cc49e61e297c)},
    {"lo", 69, 2346.07, UINT64_C(0x22dd90314338b6eb)},
    {"hi", 61, 5531.55, UINT64_C(0xe1baa179747c5b35)},
    {"unit", 69, 0, UINT64_C(0x2834cb1c356797af)},
    {"n", 8, 1632, UINT64_C(0x9ac58334b88eaa59)},
    {"source-id", 69, 0, UINT64_C(0x1060844236f4ad84)},
    {"how-known", 69, 0, UINT64_C(0xcb401bafc7406850)},
};

static const struct column sum_scores_columns[] = {
    {"id", 6, 0, UINT64_C(0x581cd0f282457cdf)},
    {"name", 6, 0, UINT64_C(0xacc5dca7395ed186)},
    {"components", 6, 0, UINT64_C(0xf46fbe935e2312fb)},
    {"sides", 6, 0, UINT64_C(0xb1e99b5e3919e34e)},
    {"max-per-item", 6, 35, UINT64_C(0x74eadb8652c1ed94)},
    {"max-per-side", 5, 145, UINT64_C(0xf3dba20b0bd0d4c6)},
    {"max-total", 6, 370, UINT64_C(0x6d4b3d3e9fc601a2)},
    {"cutoffs", 3, 0, UINT64_C(0x2b86142501c5edcb)},
    {"grade-rule", 6, 0, UINT64_C(0x8cb0e5be13b148ff)},
    {"missing-rule", 6, 0, UINT64_C(0x5b9a3f290db7a149)},
    {"interpretation", 6, 0, UINT64_C(0x1176a0a17025f3af)},
    {"source", 6, 0, UINT64_C(0xaed2b81a288df180)},
    {"how-known", 6, 0, UINT64_C(0x7867ea95e24789a0)},
};

static const struct column grades_rules_columns[] = {
    {"id", 27, 0, UINT64_C(0xe446be908c8ca6fb)},
    {"condition", 27, 0, UINT64_C(0xf4478326b0f2fb20)},
    {"message", 27, 0, UINT64_C(0x521151ec397cf928)},
    {"why", 27, 0, UINT64_C(0xd731454d1474a503)},
    {"severity", 27, 0, UINT64_C(0xb1276f1c50697c21)},
    {"setting", 16, 0, UINT64_C(0xc0fddefb270d786e)},
    {"how-known", 27, 0, UINT64_C(0x4f204f512084ecd0)},
};

enum {
    CAPSULAR_PATTERNS,
    SELECTIVE_TENSION,
    MYOTOMES,
    FUNCTIONAL_DEMANDS,
    ICF_CODES,
    FORCE_NORMS,
    SUM_SCORES,
    GRADES_RULES,
    TABLES
};

static const struct table tables[TABLES] = {
    [CAPSULAR_PATTERNS] = {"capsular-patterns", 19, UINT64_C(0xb4da5cf41f48acea),
                           capsular_patterns_columns, ARRAY_LEN(capsular_patterns_columns)},
    [SELECTIVE_TENSION] = {"selective-tension", 29, UINT64_C(0x1faa0e69f38e67c5),
                           selective_tension_columns, ARRAY_LEN(selective_tension_columns)},
    [MYOTOMES] = {"myotomes", 20, UINT64_C(0xd3a466c1fff879a6), myotomes_columns,
                  ARRAY_LEN(myotomes_columns)},
    [FUNCTIONAL_DEMANDS] = {"functional-demands", 294, UINT64_C(0xe0a8937642bf9ebf),
                            functional_demands_columns, ARRAY_LEN(functional_demands_columns)},
    [ICF_CODES] = {"icf-codes", 35, UINT64_C(0xd95cdbb4d8e06fa5), icf_codes_columns,
                   ARRAY_LEN(icf_codes_columns)},
    [FORCE_NORMS] = {"force-norms", 69, UINT64_C(0x3f05f3307c5943cb), force_norms_columns,
                     ARRAY_LEN(force_norms_columns)},
    [SUM_SCORES] = {"sum-scores", 6, UINT64_C(0xfc96c9a9c2285f20), sum_scores_columns,
                    ARRAY_LEN(sum_scores_columns)},
    [GRADES_RULES] = {"grades-rules", 27, UINT64_C(0x1c2ec37d02cd4247), grades_rules_columns,
                      ARRAY_LEN(grades_rules_columns)},
};

static const struct count {
    const char *id;
    int n;
} demand_counts[] = {
    {"ASIAN_SIT2021", 3},
    {"BAIN2015", 6},
    {"BENNETT2002", 5},
    {"BIBLE2010C", 4},
    {"BIBLE2010L", 3},
    {"BIPLANE2020", 1},
    {"BLINDSPOT_VR", 2},
    {"BOJSENMOLLER1979", 3},
    {"BRUMFIELD1984", 5},
    {"CHEN2022", 1},
    {"CHINA_KNEEL2012", 4},
    {"CLINIC_PAGE", 1},
    {"COBIAN2009", 1},
    {"CYCLE2021", 3},
    {"DIJKSTRA2006", 1},
    {"ERICSON1988", 4},
    {"FARQUHAR2009", 2},
    {"GATES2016", 14},
    {"HAYASHI2013", 8},
    {"HAYASHI2014", 2},
    {"HAYASHI_EASE", 2},
    {"HEMMERICH2006", 4},
    {"HSIEH1994", 3},
    {"HUME1990", 5},
    {"HYODO2017", 3},
    {"INAGAKI2025", 7},
    {"INDIA_ADL2021", 6},
    {"JAW_EXAM_TEXTS", 2},
    {"JEVSEVAR1993", 1},
    {"JOG2012", 2},
    {"JOHNSTON_SMIDT1970", 19},
    {"JOTR2019", 2},
    {"KETTELKAMP1970", 1},
    {"KISNER2018", 3},
    {"KOBE_EATING", 12},
    {"LATZ2020", 6},
    {"LAUBENTHAL1972", 4},
    {"LEE2015", 2},
    {"LIVINGSTON1991", 5},
    {"MITCHELL2008", 5},
    {"MORREY1981", 7},
    {"MULHOLLAND2001", 4},
    {"NAKATAKE2021", 2},
    {"NAMDARI2012", 6},
    {"NAWOCZENSKI1999", 2},
    {"OKESON", 2},
    {"OOSTERWIJK2018", 3},
    {"OVERJET_RULE", 1},
    {"PALMER1985", 4},
    {"PATIENT_PAGE", 1},
    {"PICKUP_HIP2011", 4},
    {"PIERRYNOWSKI1996", 1},
    {"PROTOPAPADAKI2007", 8},
    {"ROWE2000", 5},
    {"RYU1991", 7},
    {"SAFAEERAD1990", 10},
    {"SARDELLI2011", 7},
    {"SERINA1999", 4},
    {"SHUGG2011", 2},
    {"SINCLAIR2017", 1},
    {"STANSFIELD2018", 6},
    {"TEACH_FOOT", 4},
    {"TEACH_FOOT2", 1},
    {"TEACH_GAIT", 6},
    {"TEACH_GAIT2", 1},
    {"TEACH_ROM", 13},
    {"TEACH_STS", 3},
    {"VANDERGEER2019", 2},
    {"VASEN1995", 2},
    {"VEEGER1998", 4},
    {"WAKABAYASHI2006", 2},
    {"WALKER_QUOTED", 2},
};

static struct reference *ref;

/* ---- cells ------------------------------------------------------------------------------ */

static const char *const sexes[] = {"both", "female", "male"};

static void whole(int n)
{
    if (n > 0)
        number(n);
    else
        cell("");
}

static void of_motion(const struct motion *m)
{
    cell(m == NULL ? "" : m->joint);
    cell(m == NULL ? "" : m->motion);
}

static void add_capsulars(void)
{
    size_t n;
    const struct capsular *c = reference_capsulars(ref, &n);
    for (const struct capsular *end = c + n; c < end; c++) {
        cell(c->joint);
        cell(c->anatomical_joint);
        cell(c->pattern);
        cell(c->motion_order);
        cell(c->program_test);
        cell(c->evidence);
        cell(c->alternative);
        cell(c->source->citation);
        cell(c->known.text);
        end_row();
    }
}

static void add_tensions(void)
{
    size_t n;
    const struct tension *t = reference_tensions(ref, &n);
    for (const struct tension *end = t + n; t < end; t++) {
        cell(t->id);
        cell(t->kind);
        cell(t->finding);
        cell(t->condition);
        cell(t->may_suggest);
        cell(t->wording);
        words(t->caveat);
        cell(t->known.text);
        end_row();
    }
}

static void add_myotomes(void)
{
    size_t n;
    const struct myotome *m = reference_myotomes(ref, &n);
    for (const struct myotome *end = m + n; m < end; m++) {
        cell(m->level);
        of_motion(m->motion);
        whole(m->digit);
        cell(m->key_muscles);
        cell(m->isncsci_key ? "yes" : "no");
        cell(m->limb);
        cell(m->grade_scale);
        cell(m->position);
        words(m->note);
        cell(m->known.text);
        end_row();
    }
}

static void add_demands(void)
{
    static const char *const roles[] = {"default", "alt", "special"};
    size_t n;
    const struct demand *d = reference_demands(ref, &n);
    for (const struct demand *end = d + n; d < end; d++) {
        cell(d->activity_id);
        cell(d->activity);
        of_motion(d->motion);
        number(d->needed);
        optional(d->from);
        optional(d->sd);
        cell(d->population);
        optional(d->n);
        cell(d->icf_code);
        cell(str_eq(d->source->id, "JAW_EXAM_TEXTS") ? "JAW_TEXT" : d->source->id);
        cell(d->known.text);
        cell(d->unit == UNIT_PERCENT ? "pct" : unit_name(d->unit));
        cell(d->basis);
        cell(roles[d->role]);
        cell(d->qualifier);
        words(d->note);
        end_row();
    }
}

static void add_icf_codes(void)
{
    size_t n;
    const struct icf_code *c = reference_icf_codes(ref, &n);
    for (const struct icf_code *end = c + n; c < end; c++) {
        cell(c->code);
        cell(c->title);
        end_row();
    }
}

static void add_force_norms(void)
{
    size_t n;
    const struct force_norm *f = reference_force_norms(ref, &n);
    for (const struct force_norm *end = f + n; f < end; f++) {
        cell(f->measure);
        of_motion(f->motion);
        cell(f->population);
        cell(sexes[f->sex]);
        optional(f->age_min);
        optional(f->age_max);
        cell(f->side == SIDE_NONE ? "either" : side_name(f->side));
        optional(f->mean);
        optional(f->sd);
        optional(f->se);
        optional(f->low);
        optional(f->high);
        cell(unit_name(f->unit));
        optional(f->n);
        cell(f->source->id);
        cell(f->known.text);
        end_row();
    }
}

static void add_list(char *list, const char *item)
{
    ck_assert(strlen(list) + strlen(item) + 3 < CELL_MAX);
    strcat(list, *list == '\0' ? "" : "; ");
    strcat(list, item);
}

static void items_of(const struct sum_score *s, char *out)
{
    *out = '\0';
    for (size_t i = 0; i < s->n_items; i++) {
        const struct sum_item *item = &s->items[i];
        char text[CELL_MAX], digit[20] = "";
        if (item->digit > 0)
            snprintf(digit, sizeof digit, " (digit %d)", item->digit);
        snprintf(text, sizeof text, "%s%s%s/%s%s", item->level, *item->level != '\0' ? " " : "",
                 item->motion->joint, item->motion->motion, digit);
        add_list(out, text);
    }
}

static void cut_offs_of(const struct sum_score *s, char *out)
{
    static const char *const compare[] = {"<", "<=", ">="};
    *out = '\0';
    for (size_t i = 0; i < s->n_cut_offs; i++) {
        const struct cut_off *c = &s->cut_offs[i];
        char text[CELL_MAX];
        snprintf(text, sizeof text, "%s%.10g %s", compare[c->compare], c->value, c->meaning);
        add_list(out, text);
    }
}

static void add_sum_scores(void)
{
    size_t n;
    const struct sum_score *s = reference_sum_scores(ref, &n);
    for (const struct sum_score *end = s + n; s < end; s++) {
        char text[CELL_MAX];
        cell(s->id);
        cell(s->name);
        items_of(s, text);
        cell(text);
        cell(s->sides);
        number(s->max_per_item);
        optional(s->max_per_side);
        number(s->max_total);
        cut_offs_of(s, text);
        cell(text);
        cell(s->grade_rule);
        cell(s->missing_rule);
        cell(s->interpretation);
        cell(s->source->citation);
        cell(s->known.text);
        end_row();
    }
}

static void add_grade_checks(void)
{
    size_t n;
    const struct grade_check *c = reference_grade_checks(ref, &n);
    for (const struct grade_check *end = c + n; c < end; c++) {
        cell(c->id);
        cell(c->condition);
        cell(c->message);
        cell(c->why);
        cell(c->severity);
        cell(c->setting);
        cell(c->known.text);
        end_row();
    }
}

START_TEST(table_arrives_whole)
{
    static void (*const add[TABLES])(void) = {
        [CAPSULAR_PATTERNS] = add_capsulars, [SELECTIVE_TENSION] = add_tensions,
        [MYOTOMES] = add_myotomes,           [FUNCTIONAL_DEMANDS] = add_demands,
        [ICF_CODES] = add_icf_codes,         [FORCE_NORMS] = add_force_norms,
        [SUM_SCORES] = add_sum_scores,       [GRADES_RULES] = add_grade_checks,
    };
    add[_i]();
    check_tally(&tables[_i]);
}
END_TEST

/* ---- figures beside a text -------------------------------------------------------------- */

/* The conditions of each capsular pattern, in the order of the file. */
static const struct {
    const char *joint, *losses, *measured;
    int digit;
} capsulars[] = {
    {"shoulder",
     "external-rotation >= 20, abduction >= 10, external-rotation >= abduction - 5, "
     "abduction >= internal-rotation - 5, flexion > 0 if measured",
     "external-rotation abduction internal-rotation", 0},
    {"elbow", "flexion >= 10, extension > 0, 0 <= extension / flexion <= 1", "flexion extension",
     0},
    {"forearm", "supination >= 15, pronation >= 15, |supination - pronation| <= 10",
     "supination pronation", 0},
    {"wrist",
     "flexion >= 15, extension >= 15, |flexion - extension| <= 10, flexion > radial-deviation, "
     "flexion > ulnar-deviation, extension > radial-deviation, extension > ulnar-deviation",
     "flexion extension radial-deviation ulnar-deviation", 0},
    {"thumb-cmc", "abduction >= 20, abduction >= extension - 0, flexion < 10",
     "abduction extension flexion", 0},
    {"thumb-mcp", "flexion >= 15, extension > 0, flexion > extension", "flexion extension", 0},
    {"thumb-ip", "flexion >= 15, extension > 0, flexion > extension", "flexion extension", 0},
    {"finger-mcp", "flexion >= 15, extension > 0, flexion > extension", "flexion extension", 0},
    {"finger-pip", "flexion >= 15, extension > 0, flexion > extension", "flexion extension", 0},
    {"finger-dip", "flexion >= 15, extension > 0, flexion > extension", "flexion extension", 0},
    {"hip",
     "internal-rotation >= 15, flexion >= 15, abduction >= 15, internal-rotation > "
     "external-rotation, flexion > external-rotation, abduction > external-rotation",
     "internal-rotation flexion abduction extension external-rotation", 0},
    {"knee", "flexion deg >= 10, extension > 0, 0.03 <= extension / flexion <= 0.5",
     "flexion extension", 0},
    {"ankle", "plantar-flexion >= 15, plantar-flexion >= dorsiflexion - 0, dorsiflexion > 0",
     "plantar-flexion dorsiflexion", 0},
    {"subtalar", "inversion >= 25, inversion >= eversion - -10", "inversion eversion", 0},
    {"toe-mtp", "extension >= 25, extension >= flexion - -10", "extension flexion", 1},
    {"toe-ip", "", "flexion extension", 0},
    {"cervical",
     "lateral-flexion >= 20, rotation >= 20, |lateral-flexion - rotation| <= 15, extension > 0, "
     "flexion < 10",
     "lateral-flexion rotation extension flexion", 0},
    {"trunk",
     "lateral-flexion >= 20, rotation >= 20, |lateral-flexion - rotation| <= 15, extension > 0, "
     "flexion < 10",
     "lateral-flexion rotation extension flexion", 0},
    {"jaw", "opening limited", "opening", 0},
};

static void loss_text(const struct loss *x, char *out, size_t size)
{
    const char *m = x->motion->motion, *o = x->other == NULL ? "" : x->other->motion;
    switch (x->test) {
    case LOSS_LEAST:
        snprintf(out, size, "%s >= %.10g", m, x->value);
        break;
    case LOSS_LEAST_DEG:
        snprintf(out, size, "%s deg >= %.10g", m, x->value);
        break;
    case LOSS_ABOVE:
        snprintf(out, size, "%s > %.10g%s", m, x->value, x->if_measured ? " if measured" : "");
        break;
    case LOSS_BELOW:
        snprintf(out, size, "%s < %.10g", m, x->value);
        break;
    case LOSS_NOT_BELOW:
        snprintf(out, size, "%s >= %s - %.10g", m, o, x->value);
        break;
    case LOSS_OVER:
        snprintf(out, size, "%s > %s", m, o);
        break;
    case LOSS_NEAR:
        snprintf(out, size, "|%s - %s| <= %.10g", m, o, x->value);
        break;
    case LOSS_RATIO:
        snprintf(out, size, "%.10g <= %s / %s <= %.10g", x->value, m, o, x->high.value);
        break;
    case LOSS_LIMITED:
        snprintf(out, size, "%s limited", m);
        break;
    }
}

START_TEST(losses_are_those_of_the_text)
{
    size_t n;
    const struct capsular *c = reference_capsulars(ref, &n);
    ck_assert_uint_eq(n, ARRAY_LEN(capsulars));
    c += _i;
    char all[CELL_MAX] = "", one[200], measured[CELL_MAX] = "";
    for (size_t i = 0; i < c->n_losses; i++) {
        loss_text(&c->losses[i], one, sizeof one);
        ck_assert(strlen(all) + sizeof one < sizeof all);
        strcat(all, i == 0 ? "" : ", ");
        strcat(all, one);
    }
    for (int i = 0; i < c->n_motions; i++) {
        strcat(measured, i == 0 ? "" : " ");
        strcat(measured, c->motions[i]->motion);
        ck_assert_str_eq(c->motions[i]->joint, c->joint);
    }
    ck_assert_str_eq(c->joint, capsulars[_i].joint);
    ck_assert_str_eq(all, capsulars[_i].losses);
    ck_assert_str_eq(measured, capsulars[_i].measured);
    ck_assert_int_eq(c->digit, capsulars[_i].digit);
    ck_assert_str_eq(c->skip_with, str_eq(c->joint, "ankle") ? "short-calf" : "");
}
END_TEST

/* deg, factor, least, grade of the conditions that have one. */
static const struct {
    const char *id;
    double deg, factor, least;
    const char *grade;
} figures[] = {
    {"strong-painful", 0, 0, 0, "4"},         {"weak-painless", 0, 0, 0, "3+"},
    {"weak-painful", 0, 0, 0, "3+"},          {"active-lag", 10, 0, 0, NULL},
    {"both-equally-limited", 5, 0, 0, NULL},  {"arom-above-prom", 5, 0, 0, NULL},
    {"excess-passive-range", 10, 2, 0, NULL}, {"high-arc", 160, 0, 0, NULL},
    {"myotome-cluster", 0, 0, 2, "3+"},       {"nerve-cluster", 0, 0, 2, "3+"},
};

START_TEST(figures_are_those_of_the_text)
{
    size_t n, with = 0;
    const struct tension *t = reference_tensions(ref, &n);
    for (size_t i = 0; i < n; i++)
        with += t[i].deg.has || t[i].factor.has || t[i].least.has || t[i].grade != NULL;
    ck_assert_uint_eq(with, ARRAY_LEN(figures));
    for (size_t i = 0; i < ARRAY_LEN(figures); i++) {
        t = reference_tension(ref, figures[i].id);
        ck_assert_ptr_nonnull(t);
        ck_assert_double_eq(t->deg.value, figures[i].deg);
        ck_assert_double_eq(t->factor.value, figures[i].factor);
        ck_assert_double_eq(t->least.value, figures[i].least);
        ck_assert_int_eq(t->deg.has, figures[i].deg > 0);
        ck_assert(str_eq(t->grade == NULL ? NULL : t->grade->text, figures[i].grade));
    }
    ck_assert_ptr_null(reference_tension(ref, "no-such-pattern"));
    ck_assert_ptr_null(reference_tension(ref, NULL));
}
END_TEST

START_TEST(muscle_lengths_hang_on_their_motion)
{
    static const struct {
        const char *id, *joint, *motion;
        bool slack;
    } rows[] = {{"short-calf", "ankle", "dorsiflexion", false},
                {"short-hamstrings", "hip", "flexion", true},
                {"short-rectus-femoris", "knee", "flexion", false}};
    size_t n;
    const struct muscle_length *m = reference_muscle_lengths(ref, &n);
    ck_assert_uint_eq(n, ARRAY_LEN(rows));
    for (size_t i = 0; i < n; i++) {
        ck_assert_str_eq(m[i].id, rows[i].id);
        ck_assert_ptr_eq(m[i].motion, reference_motion(ref, rows[i].joint, rows[i].motion));
        ck_assert_ptr_eq(m[i].motion->muscle_length, &m[i]);
        ck_assert_int_eq(m[i].normal_is_slack, rows[i].slack);
        ck_assert_str_eq(m[i].known.mark, "common practice, unverified");
    }
    ck_assert_ptr_null(reference_motion(ref, "elbow", "flexion")->muscle_length);
}
END_TEST

/* Ages of the qualifiers that are an age, and the knee angles of dorsiflexion. */
START_TEST(qualifiers_are_read_alike)
{
    size_t n, aged = 0, straight = 0, bent = 0;
    const struct demand *d = reference_demands(ref, &n);
    for (size_t i = 0; i < n; i++) {
        const char *q = d[i].qualifier;
        double low = str_eq(q, "young") ? 18 : str_eq(q, "older") ? 40 : 0;
        double high = str_eq(q, "child") ? 17 : str_eq(q, "young") ? 39 : 120;
        bool is_age = str_eq(q, "child") || str_eq(q, "young") || str_eq(q, "older");
        aged += is_age;
        ck_assert_int_eq(d[i].age_min.has, is_age);
        if (is_age) {
            ck_assert_double_eq(d[i].age_min.value, low);
            ck_assert_double_eq(d[i].age_max.value, high);
        }
        straight += d[i].knee == KNEE_STRAIGHT;
        bent += d[i].knee == KNEE_BENT;
        if (d[i].knee != KNEE_ANY)
            ck_assert_ptr_eq(d[i].motion, reference_motion(ref, "ankle", "dorsiflexion"));
    }
    ck_assert_uint_eq(aged, 5);
    ck_assert_uint_eq(straight, 1);
    ck_assert_uint_eq(bent, 9);
}
END_TEST

/* Only the grip rows have an SD, and they ask for a reading that says grip and is a mean of 3. */
START_TEST(force_ranges_are_told_apart)
{
    size_t n, observed = 0, ci = 0, quartile = 0;
    const struct force_norm *f = reference_force_norms(ref, &n);
    for (size_t i = 0; i < n; i++) {
        bool grip = str_eq(f[i].measure, "grip-mean-of-3");
        ck_assert_int_eq(f[i].sd.has, grip);
        ck_assert_str_eq(f[i].muscle, grip ? "grip" : "");
        ck_assert_double_eq(f[i].tries.value, grip ? 3 : 0);
        ck_assert_int_eq(f[i].motion == NULL, grip);
        observed += str_eq(f[i].range_kind, "observed");
        ci += str_eq(f[i].range_kind, "ci95-of-mean");
        quartile += str_eq(f[i].range_kind, "lower-quartile");
    }
    ck_assert_uint_eq(observed, 48);
    ck_assert_uint_eq(ci, 13);
    ck_assert_uint_eq(quartile, 8);
}
END_TEST

static const struct {
    const char *id, *protocol, *not_in, *instead_of;
    enum sum_grades grades;
    bool by_side;
} sums[] = {
    {"isncsci-uems", "ISNCSCI", "", "", SUM_ISNCSCI, true},
    {"isncsci-lems", "ISNCSCI", "standing;heel rise;heel rises", "", SUM_ISNCSCI, true},
    {"isncsci-total", "", "standing;heel rise;heel rises", "", SUM_ISNCSCI, true},
    {"mrc-sum-score", "MRC-sum", "", "", SUM_MRC, false},
    {"mrc-upper-subtotal", "MRC-sum", "", "mrc-sum-score", SUM_MRC, false},
    {"mmt8-unilateral", "", "", "", SUM_KENDALL, false},
};

START_TEST(sums_say_when_they_are_computed)
{
    size_t n;
    const struct sum_score *s = reference_sum_scores(ref, &n);
    ck_assert_uint_eq(n, ARRAY_LEN(sums));
    for (size_t i = 0; i < n; i++) {
        ck_assert_str_eq(s[i].id, sums[i].id);
        ck_assert_str_eq(s[i].protocol, sums[i].protocol);
        ck_assert_str_eq(s[i].not_in, sums[i].not_in);
        ck_assert_str_eq(s[i].instead_of, sums[i].instead_of);
        ck_assert_int_eq(s[i].grades, sums[i].grades);
        ck_assert_int_eq(s[i].by_side, sums[i].by_side);
        for (size_t k = 0; k < s[i].n_cut_offs; k++)
            ck_assert_str_ne(s[i].cut_offs[k].population, "");
    }
}
END_TEST

/* ---- sources ---------------------------------------------------------------------------- */

static int count_demands(const char *id)
{
    size_t n;
    int found = 0;
    const struct demand *d = reference_demands(ref, &n);
    for (size_t i = 0; i < n; i++)
        found += str_eq(d[i].source->id, id);
    return found;
}

static bool is_used_by_motions(const struct source *s)
{
    size_t n;
    const struct error_row *errors = reference_errors(ref, &n);
    for (size_t i = 0; i < n; i++)
        if (errors[i].source == s)
            return true;
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        if (m->notation != NULL && m->notation->source == s)
            return true;
        for (size_t k = 0; k < m->n_norms; k++)
            if (m->norms[k].source == s)
                return true;
    }
    return false;
}

static bool is_used_by_tables(const struct source *s)
{
    size_t n;
    bool used = count_demands(s->id) > 0;
    const struct capsular *c = reference_capsulars(ref, &n);
    for (size_t i = 0; i < n; i++)
        used |= c[i].source == s;
    const struct force_norm *f = reference_force_norms(ref, &n);
    for (size_t i = 0; i < n; i++)
        used |= f[i].source == s;
    const struct sum_score *sum = reference_sum_scores(ref, &n);
    for (size_t i = 0; i < n; i++)
        used |= sum[i].source == s;
    const struct heel_rises *rises = reference_heel_rises(ref, &n);
    for (size_t i = 0; i < n; i++)
        used |= rises[i].source == s;
    return used;
}

START_TEST(each_source_is_used)
{
    for (size_t i = 0; i < ARRAY_LEN(demand_counts); i++)
        ck_assert_msg(count_demands(demand_counts[i].id) == demand_counts[i].n, "%s",
                      demand_counts[i].id);
    for (size_t i = 0; i < reference_source_count(ref); i++) {
        const struct source *s = reference_source_at(ref, i);
        ck_assert_msg(is_used_by_motions(s) || is_used_by_tables(s), "%s is never used", s->id);
    }
}
END_TEST

static void load(void)
{
    struct diag_list reported;
    diag_list_init(&reported);
    ref = reference_load_embedded(&reported.sink);
    ck_assert_ptr_nonnull(ref);
    ck_assert_uint_eq(reported.n, 0);
    diag_list_release(&reported);
}

static void release(void)
{
    reference_free(ref);
}

static Suite *suite(void)
{
    Suite *s = suite_create("reference uses");
    TCase *t = tcase_create("embedded");
    tcase_add_unchecked_fixture(t, load, release);
    tcase_add_checked_fixture(t, start_tally, NULL);
    tcase_add_loop_test(t, table_arrives_whole, 0, TABLES);
    tcase_add_loop_test(t, losses_are_those_of_the_text, 0, (int)ARRAY_LEN(capsulars));
    tcase_add_test(t, figures_are_those_of_the_text);
    tcase_add_test(t, muscle_lengths_hang_on_their_motion);
    tcase_add_test(t, qualifiers_are_read_alike);
    tcase_add_test(t, force_ranges_are_told_apart);
    tcase_add_test(t, sums_say_when_they_are_computed);
    tcase_add_test(t, each_source_is_used);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
