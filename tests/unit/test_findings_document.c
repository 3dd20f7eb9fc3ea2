/* The findings document: what is missing first, then every name, then the figures. */
#include "findings_sample.h"

/* A visit with nothing in it still gives a whole document, and nothing in it is made up. */
START_TEST(nothing_usable)
{
    struct sample s;
    sample_init(&s);
    s.v.clinic = NULL;
    struct buf out;
    buf_init(&out, 1 << 20);
    findings_xml(&s.v, NULL, &out);
    ck_assert_str_eq(buf_text(&out),
                     "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                     "<visit date=\"2025-03-04\" held=\"0\">\n"
                     "  <patient id=\"P-1\"/>\n"
                     "  <clinic/>\n"
                     "  <episode/>\n"
                     "  <headline kind=\"nothing\" limited-count=\"0\" worse-count=\"0\"/>\n"
                     "  <tally measured=\"0\" limited=\"0\" below-handbook=\"0\" compared=\"0\" "
                     "better=\"0\" worse=\"0\" missing=\"0\" held=\"0\" false-alarms=\"0\"/>\n"
                     "</visit>\n");
    buf_release(&out);
}
END_TEST

/* Each status has a reading; only those without a number are missing, none has a figure. */
START_TEST(every_status)
{
    struct sample s;
    sample_init(&s);
    for (int status = 0; status < READING_STATUS_COUNT; status++) {
        struct finding *f = sample_row(&s, &pip_flexion, SIDE_RIGHT, TEST_AROM);
        f->status = (enum reading_status)status;
        f->digit = 2;
        if (f->status == READING_MEASURED || f->status == READING_ESTIMATED)
            f->end = num_of(0);
    }
    sample_reading(&s, &s.rows[READING_NO_ANGLE])->text = "WNL";
    s.rows[READING_NOT_TESTED].status_reason = "precautions";
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer answers[] = {
        {"count(//motion)", "1"},
        {"count(//active)", "7"},
        {"count(//missing)", "5"},
        {"count(//active[@end])", "2"},
        {"//active[@status='measured']/@end", "0"},
        {"//active[@status='estimated']/@end", "0"},
        {"count(//active[@status='no-angle'][@text='WNL'])", "1"},
        {"//missing[@status='no-angle']/@text", "WNL"},
        {"//missing[@status='not-tested']/@reason", "precautions"},
        {"count(//missing[@status='not-recorded'])", "1"},
        {"count(//missing[@status='not-applicable'])", "1"},
        {"count(//missing[@status='held-back'])", "1"},
        {"count(//missing[@joint='finger-pip'][@side='right'][@digit='2'])", "5"},
        {"count(//missing[@test='AROM'])", "5"},
        {"count(//@deficit | //@percent | //@icf | //@error-limit | //@tries | //@range)", "0"},
        {"count(//change | //peers | //normal | //difference)", "0"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

/* Whatever else is known of a row: without a number of its own it shows no figure. */
START_TEST(no_number_no_figure)
{
    struct sample s;
    sample_fill(&s);
    for (size_t i = 0; i < s.v.n_rows; i++)
        s.rows[i].status = READING_NOT_TESTED;
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer answers[] = {
        {"count(//active/@end | //active/@error-limit | //active/@tries | //active/@icf)", "0"},
        {"count(//strength/@grade | //strength/@score | //force/@newton)", "0"},
        {"count(//peers | //change)", "0"},
        {"//side[1]/active/@pain-high", "4"},
        {"//side[1]/active/goal/@value", "115"},
        {"//side[1]/active/limit/@value", "90"},
        {"//side[1]/active/flag[1]/@code", "beyond-limit"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

/* The other person's reading, its grade or its newtons; without a number on either side none. */
START_TEST(rater_pair)
{
    struct sample s;
    sample_init(&s);
    struct finding *used[3], *second[3];
    static const enum test tests[] = {TEST_AROM, TEST_MMT, TEST_FORCE};
    for (int i = 0; i < 3; i++) {
        used[i] = sample_measured(&s, &knee_flexion, SIDE_RIGHT, tests[i], 109);
        second[i] = sample_measured(&s, &knee_flexion, SIDE_RIGHT, tests[i], 118);
        used[i]->role = ROLE_PT;
        used[i]->measured_by = "A";
        second[i]->used = used[i];
        second[i]->rater_difference = num_of(-0.33);
    }
    used[1]->grade = &grade_4;
    second[1]->grade = &grade_4_minus;
    used[2]->force_n = num_of(180);
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer answers[] = {
        {"count(//rater-pair)", "3"},
        {"//active/rater-pair/@value", "109"},
        {"//active/rater-pair/@measured-by", "A"},
        {"//active/rater-pair/@role", "PT"},
        {"//active/rater-pair/@difference", "-0.3"},
        {"//strength/rater-pair/@value", "4"},
        {"//strength/rater-pair/@difference", "-0.33"},
        {"//force/rater-pair/@value", "180"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
    used[0]->status = READING_NOT_TESTED;
    doc = findings_document(&s.v, NULL);
    ck_assert_str_eq(ask(doc, "count(//active/rater-pair/@value)"), "0");
    findings_free(doc);
}
END_TEST

static const struct vocabulary_entry *entry_of(const struct vocabulary_entry *entries, size_t n,
                                               const char *element)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(entries[i].element, element) == 0)
            return &entries[i];
    ck_abort_msg("element %s is not in the vocabulary", element);
}

static bool has_word(const char *list, const char *word)
{
    size_t len = strlen(word);
    for (const char *s = list; (s = strstr(s, word)) != NULL; s += len) {
        bool starts = s == list || s[-1] == ' ';
        if (starts && (s[len] == ' ' || s[len] == '\0'))
            return true;
    }
    return false;
}

static void walk(const xmlNode *node, const struct vocabulary_entry *entries, size_t n)
{
    const char *name = (const char *)node->name;
    const struct vocabulary_entry *entry = entry_of(entries, n, name);
    for (const xmlAttr *a = node->properties; a != NULL; a = a->next) {
        ck_assert_msg(has_word(entry->attributes, (const char *)a->name), "%s/@%s", name, a->name);
        ck_assert_msg(a->children != NULL && a->children->content[0] != '\0',
                      "%s/@%s is empty", name, a->name);
    }
    for (const xmlNode *child = node->children; child != NULL; child = child->next) {
        ck_assert_msg(has_word(entry->children, (const char *)child->name), "%s/%s", name,
                      child->name);
        walk(child, entries, n);
    }
}

/* Every attribute and child that the vocabulary promises stands in one of the documents. */
static void all_used(xmlDoc *const docs[2], const struct vocabulary_entry *entries, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        for (int attributes = 0; attributes < 2; attributes++) {
            char list[2048], *rest = NULL;
            snprintf(list, sizeof list, "%s",
                     attributes ? entries[i].attributes : entries[i].children);
            for (char *word = strtok_r(list, " ", &rest); word != NULL;
                 word = strtok_r(NULL, " ", &rest)) {
                char expression[256];
                snprintf(expression, sizeof expression, "count(//%s/%s%s) > 0",
                         entries[i].element, attributes ? "@" : "", word);
                ck_assert_msg(strcmp(ask(docs[0], expression), "true") == 0 ||
                                  strcmp(ask(docs[1], expression), "true") == 0,
                              "never: %s/%s", entries[i].element, word);
            }
        }
    }
}

/* Gives every row all that the first has, and what only some tests have. */
static void fill_every_row(struct sample *s)
{
    static const struct finding used = {
        .measured_by = "B", .role = ROLE_PT, .status = READING_MEASURED, .end = {true, 109}};
    for (size_t i = 0; i < s->v.n_rows; i++) {
        struct finding *f = &s->rows[i];
        const struct finding own = *f;
        *f = s->rows[0];
        f->motion = own.motion;
        f->side = own.side;
        f->digit = own.digit;
        f->test = own.test;
        f->timing = own.timing;
        f->from = own.from;
        f->grade = &grade_4;
        f->used = &used;
        f->rater_difference = num_of(9);
        f->muscle = "hamstrings";
        f->end_feel = END_FEEL_HARD;
        f->force_n = num_of(180);
        f->torque_nm = num_of(57.6);
        f->torque_nm_per_kg = num_of(0.8);
        if (i > 1)
            f->other_date = (struct date){2025, 2, 4};
        s->readings[i] = s->readings[0];
        s->readings[i].technique = TECHNIQUE_MAKE;
    }
    s->v.headline = &s->rows[s->v.n_rows - 1];
    ck_assert_int_gt(s->v.headline->digit, 0);
}

/* An amendment that tells of everything it can, told on. */
static void amend_everything(xmlDoc *doc, const struct visit_findings *v)
{
    static const char before[] =
        "<visit><amended number='1' what='end' joint='knee' motion='flexion' side='right' "
        "digit='3' test='AROM' position='supine' timing='after' unit='deg' zero-normal='no' "
        "date='2025-03-01' old='1' old-status='estimated' new='2' new-status='estimated' "
        "corrected-on='2025-03-02' corrected-by='A' reason='slip'/></visit>";
    struct diag_sink sink = {0};
    bool changed;
    xmlDoc *old = xml_parse(before, strlen(before), "made", &sink);
    findings_amend(doc, old, v, &changed);
    xmlFreeDoc(old);
}

START_TEST(vocabulary_is_what_is_written)
{
    size_t n;
    const struct vocabulary_entry *entries = findings_vocabulary("visit", &n);
    struct findings_extra extra = {1, "0.1.0"};
    struct sample s;
    sample_fill(&s);
    s.visit.countersigned_on = (struct date){2025, 3, 5};
    s.visit.pain_rest_high = num_of(3);
    ((struct finding *)s.v.headline)->flags[0].id = "lone-trace";
    xmlDoc *docs[2] = {findings_document(&s.v, &extra), NULL};

    s.visit.countersigned_on = (struct date){0};
    fill_every_row(&s);
    struct finding *f = sample_row(&s, &pip_flexion, SIDE_LEFT, TEST_AROM);
    f->digit = 3;
    f->position = "supine";
    f->status_reason = "pain";
    sample_reading(&s, f)->text = "NT";
    extra.amendment = 0;
    docs[1] = findings_document(&s.v, &extra);
    amend_everything(docs[1], &s.v);
    walk(xmlDocGetRootElement(docs[0]), entries, n);
    walk(xmlDocGetRootElement(docs[1]), entries, n);
    all_used(docs, entries, n);
    findings_free(docs[0]);
    findings_free(docs[1]);
}
END_TEST

START_TEST(no_other_root)
{
    size_t n = 1;
    ck_assert_ptr_null(findings_vocabulary("page", &n));
    ck_assert_uint_eq(n, 0);
}
END_TEST

/* docs/findings.md is the contract with templates: it names every element and attribute. */
START_TEST(manual_names_everything)
{
    struct diag_list problems;
    diag_list_init(&problems);
    struct buf manual;
    buf_init(&manual, 1 << 20);
    ck_assert(file_read("docs/findings.md", 1 << 20, &manual, &problems.sink));
    for (char *c = manual.data; *c != '\0'; c++)
        if (strchr("`*,;()|\n", *c) != NULL)
            *c = ' ';
    static const char *const roots[] = {"visit", "day"};
    for (size_t r = 0; r < ARRAY_LEN(roots); r++) {
        size_t n;
        const struct vocabulary_entry *entries = findings_vocabulary(roots[r], &n);
        for (size_t i = 0; i < n; i++) {
            char list[2048], *rest = NULL;
            snprintf(list, sizeof list, "%s %s %s", entries[i].element, entries[i].attributes,
                     entries[i].children);
            for (char *word = strtok_r(list, " ", &rest); word != NULL;
                 word = strtok_r(NULL, " ", &rest))
                ck_assert_msg(has_word(manual.data, word), "%s: %s is not in the manual",
                              entries[i].element, word);
        }
    }
    buf_release(&manual);
    diag_list_release(&problems);
}
END_TEST

START_TEST(rich_visit)
{
    struct sample s;
    sample_fill(&s);
    struct findings_extra extra = {2, "0.1.0"};
    xmlDoc *doc = findings_document(&s.v, &extra);
    static const struct answer answers[] = {
        {"/visit/@date", "2025-03-04"},
        {"/visit/@kind", "progress"},
        {"/visit/@held", "1"},
        {"/visit/@amendment", "2"},
        {"/visit/@version", "0.1.0"},
        {"/visit/patient/@body-mass", "70.3"},
        {"/visit/patient/@affected-side", "left"},
        {"/visit/episode/@treatment-day", "10"},
        {"/visit/episode/@pain-rest", "2"},
        {"count(/visit/episode/@pain-rest-high)", "0"},
        {"/visit/episode/@pain-move-high", "4"},
        {"/visit/tally/@held", "1"},
        {"/visit/tally/@false-alarms", "0.2"},
        /* Regions head to foot, whatever the order of the rows. */
        {"/visit/region[1]/@name", "hand"},
        {"/visit/region[2]/@name", "knee"},
        {"count(/visit/region)", "2"},
        {"count(//motion)", "2"},
        {"//motion[@joint='knee']/@zero-normal", "no"},
        {"//motion[@joint='knee']/@better", "higher"},
        {"//motion[@joint='knee']/@limited", "yes"},
        {"//motion[@joint='knee']/@has-strength", "yes"},
        {"//motion[@joint='knee']/@timing", "before"},
        {"//motion[@joint='finger-pip']/@timing", "after"},
        {"//motion[@joint='finger-pip']/@limited", "no"},
        {"//motion[@joint='knee']/normal/@value", "140"},
        {"//motion[@joint='knee']/normal/@kind", "legal"},
        {"//motion[@joint='knee']/normal/@mark", "unverified"},
        {"//side[1][@side='right']/active/@end", "112.3"},
        {"//active[1]/@range", "102.3"},
        {"//active[@tries='2']/@tries-list", "112 112.5"},
        {"//active[@tries='2']/@sd", "0.4"},
        {"//active/@percent", "19.8"},
        {"//active/@difference", "-15.8"},
        {"//active/@index", "87.7"},
        {"//active/@error-mdc", "11.4"},
        {"//active/@error-basis", "published"},
        {"//active/peers/@z", "-4.86"},
        {"//active/peers/@mean", "137.8"},
        {"//active/peers/@age-min", "0.08"},
        {"//active/peers/@side", "any"},
        {"//active/peers/@other-mode", "yes"},
        {"//active/peers/@mark", "seen second-hand"},
        {"//active/change[@since='previous']/@delta", "12.3"},
        {"//active/change[@since='previous']/@verdict", "beyond-error"},
        {"//active/change[@since='previous']/@direction", "better"},
        {"//active/change[@since='previous']/@raters", "one"},
        {"//active/change[@since='first']/@verdict", "within-error"},
        {"//active/goal/@percent", "93.6"},
        {"//active/limit/@status", "beyond"},
        {"//passive/@other-date", "2025-02-04"},
        {"//passive/@error-limit", "5"},
        {"count(//passive/@error-mdc | //passive/@error-sem)", "0"},
        {"//strength/@grade", "4"},
        {"//strength/@technique", "break"},
        {"//strength/@repetitions", "14"},
        {"//strength/@repetitions-table", "25/2-24/1"},
        {"//strength/@repetitions-source", "BETA2001"},
        {"//strength/@repetitions-mark", "seen second-hand"},
        {"//strength/change/@value", "4-"},
        {"//strength/change/@delta", "0.33"},
        {"count(//strength/change/@raters)", "0"},
        {"//force/@per-mass", "0.8"},
        {"//force/peers/@mean", "220.6"},
        {"//force/peers/@sd", "40.3"},
        {"//force/peers/@z", "-0.99"},
        {"//force/peers/@source", "BETA2001"},
        {"//force/peers/@side", "right"},
        {"//force/peers/@n", "26"},
        {"count(//demand)", "1"},
        {"//active/demand/@id", "climb-stairs"},
        {"//active/demand/@activity", "Go up stairs"},
        {"//active/demand/@level", "likely"},
        {"//active/demand/@needed", "130"}, /* whole degrees */
        {"//active/demand/@from", "5"},
        {"//active/demand/@short", "18"},
        {"//active/demand/@icf", "d4551"},
        {"//active/demand/@mark", "unverified"},
        {"count(/visit/pattern)", "4"},
        {"/visit/pattern[1]/@kind", "capsular-pattern"},
        {"/visit/pattern[1]/@evidence", "mixed"},
        {"/visit/pattern[1]/@source", "BETA2001"},
        {"/visit/pattern[1]/@region", "knee"},
        {"count(/visit/pattern[1]/reading)", "6"},
        {"/visit/pattern[1]/reading[1]/@end", "112.3"},
        {"/visit/pattern[1]/reading[1]/@percent", "19.8"},
        {"/visit/pattern[1]/reading[3]/@end-feel", "hard"},
        {"/visit/pattern[1]/reading[4]/@grade", "4"},
        {"count(/visit/pattern[1]/reading[4]/@unit)", "0"},
        {"/visit/pattern[2]/@from", "60"},
        {"/visit/pattern[2]/@evidence", "often clearer going up"},
        {"count(/visit/pattern[2]/@source)", "0"},
        {"/visit/pattern[2]/recheck[2]/@key", "other-side"},
        {"/visit/pattern[3]/@muscle", "calf"},
        {"/visit/pattern[3]/@gap", "12.3"},
        {"/visit/pattern[3]/@mark", "common practice"},
        {"count(/visit/pattern[3]/@motion)", "0"},
        {"/visit/pattern[4]/@roots", "C5 C6"},
        {"count(/visit/pattern[4]/@joint)", "0"},
        {"/visit/score[1]/@total", "20"},
        {"/visit/score[1]/@complete", "yes"},
        {"/visit/score[1]/@max-side", "25"},
        {"/visit/score[1]/cut-off/@compare", "at-most"},
        {"/visit/score[1]/cut-off/@value", "20"},
        {"/visit/score[2]/@complete", "no"},
        {"count(/visit/score[2]/@total | /visit/score[2]/@right)", "0"},
        {"/visit/score[2]/@left", "11"},
        {"/visit/score[2]/@missing", "2"},
        {"/visit/score[2]/missing-item[2]/@digit", "3"},
        {"count(/visit/score[2]/missing-item[1]/@digit)", "0"},
        {"count(/visit/score[2]/cut-off | /visit/score[2]/@whole-grades)", "0"},
        {"//end-feel/@unexpected", "yes"},
        {"//end-feel/@expected", "soft"},
        {"count(//compensation)", "3"},
        {"//compensation[not(@id)]/@see", "leans back"},
        {"//difference/@test", "AROM"},
        {"//difference/@deg", "15.8"},
        {"//difference/@larger", "left"},
        {"//difference/@index", "87.7"},
        {"count(//difference)", "1"},
        {"//problem[1]/@outcome", "held-back"},
        {"//problem[1]/@text", ">120"},
        {"//problem[1]/@line", "4"},
        {"count(//problem[2]/@text)", "0"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

/* The weakest mark of a source stands in the list; each source once, by id. */
START_TEST(sources_once)
{
    struct sample s;
    sample_fill(&s);
    struct finding *f = sample_measured(&s, &knee_extension, SIDE_RIGHT, TEST_AROM, -10);
    f->normal = &straight;
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer answers[] = {
        {"count(/visit/source)", "3"},
        {"/visit/source[1]/@id", "ALPHA1990"},
        {"/visit/source[2]/@id", "BETA2001"},
        {"/visit/source[3]/@id", "COMMON"},
        {"/visit/source[1]/@mark", "unverified"},
        {"/visit/source[2]/@mark", "unverified"},
        {"/visit/source[3]/@mark", "common practice"},
        {"/visit/source[1]/@citation", "Alpha 1990, table 2"},
        {"count(//motion[@motion='extension']/normal/@mark)", "0"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

START_TEST(abbreviations_of_what_is_there)
{
    struct sample s;
    sample_init(&s);
    (void)sample_measured(&s, &knee_flexion, SIDE_RIGHT, TEST_PROM, 100);
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer few[] = {
        {"count(/visit/abbreviation)", "1"},
        {"/visit/abbreviation[@short='PROM']/@long", "passive range of motion"},
    };
    expect(doc, few, ARRAY_LEN(few));
    findings_free(doc);

    sample_fill(&s);
    s.visit.measurements[1].role = ROLE_PTA;
    s.visit.measurements[1].measured_by = "B. Helper";
    doc = findings_document(&s.v, NULL);
    static const char *const all[] = {"AROM", "ICF", "MDC", "MMT", "PROM",
                                      "PT",   "PTA", "SD",  "SEM"};
    for (size_t i = 0; i < ARRAY_LEN(all); i++) {
        char expression[80];
        snprintf(expression, sizeof expression, "/visit/abbreviation[%zu]/@short", i + 1);
        ck_assert_str_eq(ask(doc, expression), all[i]);
    }
    ck_assert_str_eq(ask(doc, "count(/visit/abbreviation)"), "9");
    findings_free(doc);
}
END_TEST

/* Zero means straight only where more is better; a gap of 0 cm is another thing. */
START_TEST(zero_normal)
{
    struct sample s;
    sample_init(&s);
    (void)sample_measured(&s, &knee_extension, SIDE_RIGHT, TEST_AROM, -10);
    (void)sample_measured(&s, &opposition, SIDE_RIGHT, TEST_AROM, 2.5);
    (void)sample_row(&s, &scapula, SIDE_RIGHT, TEST_MMT);
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer answers[] = {
        {"//motion[@motion='extension']/@zero-normal", "yes"},
        {"//motion[@motion='extension']/side/active/@end", "-10"},
        {"//motion[@motion='opposition']/@zero-normal", "no"},
        {"//motion[@motion='opposition']/@better", "lower"},
        {"//motion[@motion='opposition']/@unit", "cm"},
        {"count(//motion[@joint='scapula']/@zero-normal)", "0"},
        {"count(//motion[@joint='scapula']/@unit)", "0"},
        {"//motion[@joint='scapula']/@has-strength", "yes"},
        {"//region[1]/@name", "shoulder"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

/* One motion element a position, timing and digit; unstated timing counts as before. */
START_TEST(motions_apart)
{
    struct sample s;
    sample_init(&s);
    static const struct {
        int digit;
        enum timing timing;
        const char *position;
        enum side side;
    } rows[] = {
        {3, TIMING_NONE, NULL, SIDE_RIGHT},       {2, TIMING_NONE, "supine", SIDE_RIGHT},
        {2, TIMING_BEFORE, "supine", SIDE_LEFT},  {2, TIMING_AFTER, "supine", SIDE_RIGHT},
        {2, TIMING_NONE, "sitting", SIDE_RIGHT},  {2, TIMING_NONE, NULL, SIDE_LEFT},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct finding *f = sample_row(&s, &pip_flexion, rows[i].side, TEST_AROM);
        f->digit = rows[i].digit;
        f->timing = rows[i].timing;
        f->position = rows[i].position;
    }
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer answers[] = {
        {"count(//region)", "1"},
        {"count(//motion)", "5"},
        {"count(//motion[1]/@position)", "0"},
        {"//motion[2]/@position", "sitting"},
        {"count(//motion[2]/@timing)", "0"},
        {"//motion[3]/@position", "supine"},
        {"//motion[3]/@timing", "before"},
        {"count(//motion[3]/side)", "2"},
        {"//motion[3]/side[1]/@side", "right"},
        {"//motion[4]/@timing", "after"},
        {"//motion[5]/@digit", "3"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

START_TEST(headline_kinds)
{
    static const struct {
        double previous, first;       /* change; 0 is none */
        enum verdict previous_verdict, first_verdict;
        enum limited limited;
        const char *kind, *delta;
    } rows[] = {
        {0, 0, VERDICT_NONE, VERDICT_NONE, LIMITED_NO, "within", ""},
        {0, 0, VERDICT_NONE, VERDICT_NONE, LIMITED_YES, "limited", ""},
        {0, 0, VERDICT_NONE, VERDICT_NONE, LIMITED_BELOW_HANDBOOK, "within", ""},
        {-20, 0, VERDICT_BEYOND_ERROR, VERDICT_NONE, LIMITED_YES, "worse", "-20"},
        {-20, 0, VERDICT_PROBABLE, VERDICT_NONE, LIMITED_YES, "limited", "-20"},
        {-2, -20, VERDICT_WITHIN_ERROR, VERDICT_BEYOND_ERROR, LIMITED_NO, "worse", "-20"},
        {20, 0, VERDICT_BEYOND_ERROR, VERDICT_NONE, LIMITED_YES, "limited", "20"},
        {20, 0, VERDICT_BEYOND_ERROR, VERDICT_NONE, LIMITED_NO, "better", "20"},
        {2, 20, VERDICT_WITHIN_ERROR, VERDICT_BEYOND_ERROR, LIMITED_NO, "better", "20"},
        {2, 3, VERDICT_WITHIN_ERROR, VERDICT_WITHIN_ERROR, LIMITED_NO, "within", "2"},
        {0, 3, VERDICT_NONE, VERDICT_WITHIN_ERROR, LIMITED_NO, "within", "3"},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct sample s;
        sample_init(&s);
        struct finding *f = sample_measured(&s, &knee_flexion, SIDE_RIGHT, TEST_AROM, 100);
        f->limited = rows[i].limited;
        if (rows[i].previous != 0)
            f->previous = sample_change(90, rows[i].previous, rows[i].previous_verdict);
        if (rows[i].first != 0)
            f->first = sample_change(90, rows[i].first, rows[i].first_verdict);
        s.v.headline = f;
        xmlDoc *doc = findings_document(&s.v, NULL);
        ck_assert_str_eq(ask(doc, "/visit/headline/@kind"), rows[i].kind);
        ck_assert_str_eq(ask(doc, "/visit/headline/@delta"), rows[i].delta);
        ck_assert_str_eq(ask(doc, "/visit/headline/@zero-normal"), "no");
        findings_free(doc);
    }
}
END_TEST

/* Each person once; a student's unsigned work keeps its mark even without a name. */
START_TEST(people)
{
    static const struct {
        const char *visit_name, *name;
        enum role visit_role, role;
        bool countersigned;
        const char *count, *countersign, *role_of_last;
    } rows[] = {
        {NULL, NULL, ROLE_NONE, ROLE_NONE, false, "0", "0", ""},
        {"A", "A", ROLE_PT, ROLE_NONE, false, "1", "0", "PT"},
        {"A", "B", ROLE_PT, ROLE_STUDENT, false, "2", "1", "student"},
        {"A", "B", ROLE_PT, ROLE_STUDENT, true, "2", "0", "student"},
        {"A", "A", ROLE_PT, ROLE_STUDENT, false, "1", "1", "student"},
        {"A", NULL, ROLE_PT, ROLE_NONE, false, "1", "0", "PT"},
        {"A", NULL, ROLE_PT, ROLE_PT, false, "1", "0", "PT"},
        {"A", NULL, ROLE_PT, ROLE_STUDENT, false, "2", "1", "student"},
        {NULL, NULL, ROLE_STUDENT, ROLE_STUDENT, false, "1", "1", "student"},
        {NULL, "A", ROLE_NONE, ROLE_PTA, false, "1", "0", "PTA"},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct sample s;
        sample_init(&s);
        struct finding *f = sample_row(&s, &knee_flexion, SIDE_RIGHT, TEST_AROM);
        s.visit.measured_by = rows[i].visit_name;
        s.visit.role = rows[i].visit_role;
        sample_reading(&s, f)->measured_by = rows[i].name;
        sample_reading(&s, f)->role = rows[i].role;
        if (rows[i].countersigned)
            s.visit.countersigned_on = (struct date){2025, 3, 5};
        xmlDoc *doc = findings_document(&s.v, NULL);
        const struct answer answers[] = {
            {"count(/visit/measured-by)", rows[i].count},
            {"count(/visit/measured-by[@countersign='yes'])", rows[i].countersign},
            {"/visit/measured-by[last()]/@role", rows[i].role_of_last},
        };
        expect(doc, answers, ARRAY_LEN(answers));
        findings_free(doc);
    }
}
END_TEST

/* The side that moves more: the larger angle, the smaller gap; none when alike. */
START_TEST(larger_side)
{
    static const struct {
        struct motion *motion;
        double difference;
        const char *larger;
    } rows[] = {
        {&knee_flexion, 5, "right"}, {&knee_flexion, -5, "left"}, {&knee_flexion, 0, ""},
        {&opposition, 2, "left"},    {&opposition, -2, "right"},
    };
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct sample s;
        sample_init(&s);
        struct finding *right = sample_measured(&s, rows[i].motion, SIDE_RIGHT, TEST_PROM, 50);
        struct finding *left = sample_measured(&s, rows[i].motion, SIDE_LEFT, TEST_PROM, 50);
        right->side_difference = num_of(rows[i].difference);
        left->side_difference = num_of(-rows[i].difference);
        xmlDoc *doc = findings_document(&s.v, NULL);
        ck_assert_str_eq(ask(doc, "//difference/@larger"), rows[i].larger);
        ck_assert_str_eq(ask(doc, "count(//difference/@beyond-error)"), "0");
        findings_free(doc);

        left->other_date = right->other_date = (struct date){2025, 1, 1};
        doc = findings_document(&s.v, NULL);
        ck_assert_str_eq(ask(doc, "count(//difference)"), "0");
        findings_free(doc);
    }
}
END_TEST

START_TEST(end_feels)
{
    static const struct {
        enum end_feel felt;
        const char *unexpected;
    } rows[] = {{END_FEEL_NONE, ""},
                {END_FEEL_SOFT, "no"},
                {END_FEEL_FIRM, "no"}, /* also accepted */
                {END_FEEL_EMPTY, "yes"}};
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        struct sample s;
        sample_init(&s);
        sample_measured(&s, &knee_flexion, SIDE_RIGHT, TEST_PROM, 100)->end_feel = rows[i].felt;
        xmlDoc *doc = findings_document(&s.v, NULL);
        ck_assert_str_eq(ask(doc, "//end-feel/@unexpected"), rows[i].unexpected);
        findings_free(doc);
    }
}
END_TEST

/* Seen on the right with two tests is told once; typed words are kept as typed. */
START_TEST(compensations_once)
{
    struct sample s;
    sample_init(&s);
    for (int i = 0; i < 2; i++) {
        struct finding *f = sample_measured(&s, &knee_flexion, SIDE_RIGHT,
                                            i == 0 ? TEST_AROM : TEST_PROM, 100);
        f->seen[0] = &hip_hike;
        f->seen_text[1] = "leans back";
        f->n_seen = 2;
        f->likely[0] = &hip_hike;
        f->n_likely = 1;
    }
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer answers[] = {
        {"count(//compensation)", "3"},
        {"count(//compensation[@id='hip-hike'][@kind='seen'])", "1"},
        {"count(//compensation[@id='hip-hike'][@kind='likely'])", "1"},
        {"//compensation[@see='leans back']/@kind", "seen"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

/* Text from a cell never breaks the document: markup is text, control characters are shown. */
START_TEST(text_of_any_kind)
{
    struct sample s;
    sample_init(&s);
    s.patient.name = "A<b> & \"c\" \x01\x0b \xef\xbf\xbe d\xc2\xb0";
    struct buf out;
    buf_init(&out, 1 << 20);
    findings_xml(&s.v, NULL, &out);
    struct diag_list problems;
    diag_list_init(&problems);
    xmlDoc *doc = xml_parse(out.data, out.len, "test", &problems.sink);
    ck_assert_ptr_nonnull(doc);
    ck_assert_str_eq(ask(doc, "/visit/patient/@name"),
                     "A<b> & \"c\" \xef\xbf\xbd\xef\xbf\xbd \xef\xbf\xbd d\xc2\xb0");
    xmlFreeDoc(doc);
    diag_list_release(&problems);
    buf_release(&out);
}
END_TEST

START_TEST(several_cells_of_one_reading)
{
    struct sample s;
    sample_init(&s);
    struct finding *f = sample_measured(&s, &knee_flexion, SIDE_RIGHT, TEST_AROM, 100);
    struct measurement first = {.text = "99", .derived = true}, second = {.text = "101"};
    struct measurement blank = {0};
    const struct measurement *from[] = {&first, &blank, &second};
    f->from = from;
    f->n_from = ARRAY_LEN(from);
    xmlDoc *doc = findings_document(&s.v, NULL);
    ck_assert_str_eq(ask(doc, "//active/@text"), "99; 101");
    ck_assert_str_eq(ask(doc, "count(//active/@derived)"), "0");
    findings_free(doc);
    f->n_from = 0;
    doc = findings_document(&s.v, NULL);
    ck_assert_str_eq(ask(doc, "count(//active/@text | //active/@derived)"), "0");
    findings_free(doc);
}
END_TEST

/* Not comparable: the earlier value is shown, no figure of change is. */
START_TEST(not_comparable)
{
    struct sample s;
    sample_init(&s);
    struct finding *f = sample_measured(&s, &knee_flexion, SIDE_RIGHT, TEST_AROM, 100);
    f->previous = (struct comparison){
        .date = {2025, 2, 4}, .value = {true, 90}, .verdict = VERDICT_NOT_COMPARABLE};
    xmlDoc *doc = findings_document(&s.v, NULL);
    static const struct answer answers[] = {
        {"count(//change)", "1"},
        {"//change/@value", "90"},
        {"//change/@verdict", "not-comparable"},
        {"count(//change/@delta | //change/@direction | //change/@raters)", "0"},
    };
    expect(doc, answers, ARRAY_LEN(answers));
    findings_free(doc);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("findings document");
    TCase *t = tcase_create("document");
    tcase_add_test(t, nothing_usable);
    tcase_add_test(t, every_status);
    tcase_add_test(t, no_number_no_figure);
    tcase_add_test(t, no_other_root);
    tcase_add_test(t, rater_pair);
    tcase_add_test(t, vocabulary_is_what_is_written);
    tcase_add_test(t, manual_names_everything);
    tcase_add_test(t, rich_visit);
    tcase_add_test(t, sources_once);
    tcase_add_test(t, abbreviations_of_what_is_there);
    tcase_add_test(t, zero_normal);
    tcase_add_test(t, motions_apart);
    tcase_add_test(t, headline_kinds);
    tcase_add_test(t, people);
    tcase_add_test(t, larger_side);
    tcase_add_test(t, end_feels);
    tcase_add_test(t, compensations_once);
    tcase_add_test(t, text_of_any_kind);
    tcase_add_test(t, several_cells_of_one_reading);
    tcase_add_test(t, not_comparable);
    suite_add_tcase(s, t);
    return s;
}
TEST_MAIN(suite)
