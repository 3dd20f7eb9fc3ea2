/* What the letter, the progress report, the discharge summary, the reviewer's and the patient's
 * copy say of documents made for the purpose: goals, limits, questions, banners, and that parts
 * without data vanish. Run from the top of the project. */
#include "findings/findings.h"
#include "layout/layout.h"
#include "unit.h"

#include <libxml/tree.h>
#include <string.h>

static const char *const kinds[] = {"letter", "progress", "discharge", "reviewer", "patient"};
enum { LETTER, PROGRESS, DISCHARGE, REVIEWER, PATIENT, KINDS };

static struct diag_list diags;
static struct font_set *fonts;
static struct layout_template *templates[KINDS];

static const struct layout_vocabulary *vocabulary(const char *root, size_t *n)
{
    /* Two headers describe the same three columns; batch makes the same cast. */
    return (const struct layout_vocabulary *)(const void *)findings_vocabulary(root, n);
}

static void start(void)
{
    diag_list_init(&diags);
    fonts = font_set_load(NULL, &diags.sink);
    ck_assert_ptr_nonnull(fonts);
    for (size_t i = 0; i < KINDS; i++) {
        templates[i] =
            layout_template_load("templates", kinds[i], NULL, vocabulary, fonts, NULL, &diags.sink);
        ck_assert_msg(templates[i] != NULL, "%s does not load", kinds[i]);
    }
}

static void stop(void)
{
    for (size_t i = 0; i < KINDS; i++)
        layout_template_free(templates[i]);
    font_set_free(fonts);
    diag_list_release(&diags);
}

/* All text of the pages in paint order, runs joined by one space. */
static void collect(const struct page_list *list, struct buf *all)
{
    for (size_t p = 0; p < list->n; p++) {
        for (size_t i = 0; i < list->pages[p].n; i++) {
            const struct page_item *item = &list->pages[p].items[i];
            if (item->kind != PAGE_TEXT)
                continue;
            buf_add(all, item->u.text.text, item->u.text.len);
            if (all->data[all->len - 1] != ' ')
                buf_addc(all, ' ');
        }
    }
}

struct document {
    const char *attributes, *people, *before, *episode, *headline, *regions, *after;
};

static const char *or_else(const char *text, const char *otherwise)
{
    return text != NULL ? text : otherwise;
}

static struct page_list *set(int kind, struct document d)
{
    struct buf xml;
    buf_init(&xml, 1 << 20);
    buf_addf(&xml,
             "<visit date='2025-03-14' held='0'%s><patient id='P-1' %s/><clinic/>%s<episode %s/>"
             "<headline kind='nothing' limited-count='0' worse-count='0' %s/><tally measured='1' "
             "limited='0' below-handbook='0' compared='0' better='0' worse='0' missing='0' "
             "held='0' false-alarms='0'/>%s%s</visit>",
             or_else(d.attributes, ""), or_else(d.before, ""),
             or_else(d.people, "<measured-by name='Jo Vale' role='PT'/>"), or_else(d.episode, ""),
             or_else(d.headline, ""), or_else(d.regions, ""), or_else(d.after, ""));
    struct _xmlDoc *doc = xml_parse(buf_text(&xml), xml.len, "made", &diags.sink);
    ck_assert_ptr_nonnull(doc);
    struct page_list *list = layout_render(templates[kind], doc, fonts, &diags.sink);
    xmlFreeDoc(doc);
    buf_release(&xml);
    return list;
}

/* One active reading of the right knee or another motion, and what stands in it. */
#define MOTION(joint, motion, zero, unit, normal, reading, inside)                                 \
    "<region name='knee'><motion joint='" joint "' motion='" motion "' region='knee' unit='" unit  \
    "' zero-normal='" zero "' better='higher' limited='yes' has-strength='no'><normal value='"     \
    normal "'/><side side='right'><active test='AROM' status='measured' " reading ">" inside       \
    "</active></side></motion></region>"
#define FLEXION(inside)                                                                            \
    MOTION("knee", "flexion", "no", "deg", "140",                                                  \
           "end='101' limited='yes' deficit='39' percent='27.9' error-limit='10'", inside)
#define EXTENSION(end, inside)                                                                     \
    MOTION("knee", "extension", "yes", "deg", "0", "end='" end "' limited='yes'", inside)
#define SINCE(since, date, value, delta, verdict)                                                  \
    "<change since='" since "' date='" date "' value='" value "' delta='" delta "' verdict='"      \
    verdict "' error-limit='10'/>"
#define GOAL(status, percent)                                                                      \
    "<goal id='G1' value='115' unit='deg' due='2025-04-01' status='" status "' percent='" percent  \
    "' activity='climb stairs' baseline='72' gained='29' remaining='14'/>"
#define STRENGTH(grade, score, inside)                                                             \
    "<region name='knee'><motion joint='knee' motion='flexion' region='knee' has-strength='yes'>"  \
    "<side side='left'><strength test='MMT' status='measured' grade='" grade "' score='" score     \
    "'>" inside "</strength></side></motion></region>"
#define JUMP                                                                                       \
    SINCE("previous", "2025-03-01", "72", "29", "beyond-error")                                    \
    "<flag code='jump-beyond-other-side' level='warning' doubt='yes'/>"
#define LIMIT(kind, rest) "<limit kind='" kind "' " rest "/>"
/* One in force stands before the regions. */
#define IN_FORCE(kind, rest)                                                                       \
    LIMIT(kind, "joint='knee' motion='flexion' side='right' unit='deg' zero-normal='no' " rest)

static const struct {
    int kind;
    struct document d;
    const char *there, *not_there;
} cases[] = {
    /* the letter */
    {LETTER, {.people = "<measured-by name='Jo'/><referrer name='Dr. Ann Other' address='Quay'/>"},
     "14\u00a0Mar\u00a02025 Dr. Ann Other Quay Re: P-1", "Asked of you"},
    {LETTER, {.episode = "question='May load begin?'"}, "Asked of you: May load begin?",
     "no question is asked"},
    {LETTER, {0}, "no question is asked", "Asked of you"},
    {LETTER, {0}, "Restrictions on file none", NULL},
    {LETTER, {.episode = "weight-bearing='toe touch'"}, "weight bearing: toe touch", "file none"},
    {LETTER, {.regions = IN_FORCE("range", "value='90' until='2025-04-01' by='Dr. O'")},
     "knee flexion, right: range to 90° until 1\u00a0Apr\u00a02025, set by Dr. O", NULL},
    {LETTER, {.regions = IN_FORCE("range", "value='90' status='beyond'")},
     "this visit measured beyond it", NULL},
    {LETTER, {.regions = FLEXION(LIMIT("range", "value='90' status='expired'"))}, "file none",
     "range to 90"},
    {LETTER, {.regions = FLEXION(SINCE("previous", "2025-03-01", "72", "29", "beyond-error"))},
     "better by\u00a029", "no change"},
    {LETTER, {.regions = LIMIT("no-test", "test='PROM'")}, "file no test (passive)", NULL},
    {LETTER, {.regions = FLEXION(SINCE("previous", "2025-03-01", "72", "29", "beyond-error")
                                     LIMIT("range", "value='90' status='beyond'"))},
     "29 more, past limit", "better by"},
    {LETTER, {.regions = FLEXION(SINCE("previous", "2025-03-01", "98", "3", "within-error"))},
     "no change beyond error", "better"},
    {LETTER, {.regions = FLEXION(SINCE("previous", "2025-03-01", "121", "-20", "beyond-error"))},
     "worse by\u00a020", "better"},
    {LETTER, {.regions = EXTENSION("-10", "")}, "lacks\u00a010", "\u221210"},
    {LETTER, {.regions = EXTENSION("8", "")}, "past\u00a08", "lacks"},
    {LETTER, {.regions = FLEXION("")}, "39\u00a0(28%)", "Changed since"},
    {LETTER, {.regions = FLEXION(GOAL("behind", "67.4"))}, "Aim climb stairs: behind", NULL},
    {LETTER, {.regions = STRENGTH("4-", "3.67", "")}, "knee flexion, left 4\u2212", "4-"},
    {LETTER, {.regions = MOTION("finger-pip", "flexion", "no", "deg", "100", "end='60'", "")},
     "proximal interphalangeal flexion", "PIP"},
    {LETTER, {.attributes = " amendment='1'"}, "AMENDED 1", NULL},
    {LETTER, {.people = "<measured-by role='student' countersign='yes'/>"},
     "NOT VALID UNTIL COUNTERSIGNED", NULL},
    {LETTER, {.regions = "<pattern kind='empty'><recheck key='refer'/></pattern>"}, NULL, "refer"},
    {LETTER, {.regions = FLEXION("<flag code='tries-apart' level='warning'/>")}, NULL, "far apart"},
    /* what a check doubts is never praised */
    {LETTER, {.regions = FLEXION(JUMP)}, "To be checked before it is relied on", "better by"},
    {LETTER, {.regions = FLEXION(JUMP)}, "101\u00a0?", NULL},
    {PROGRESS, {.regions = FLEXION(JUMP)}, "Please check", "+29\u00a0beyond"},
    {DISCHARGE, {.regions = FLEXION(JUMP)}, "Please check", NULL},
    {REVIEWER, {.regions = FLEXION(JUMP)}, "Doubted by a check", "+29\u00a0beyond"},
    {PATIENT, {.regions = FLEXION(JUMP)}, "We want to check this number.", "better than"},
    /* progress, by goal */
    {PROGRESS, {0}, "No goal is on file", "Decision:"},
    {PROGRESS, {.regions = "<goal id='G1' joint='knee' motion='flexion' side='right' test='AROM' "
                           "zero-normal='no' value='115' unit='deg' due='2025-04-01' last='101' "
                           "last-date='2025-03-01' status='not-measured'/>"},
     "G1 · knee flexion, right, active: goal 115° by 1\u00a0Apr\u00a02025; last 101° on "
     "1\u00a0Mar\u00a02025", "No goal"},
    {PROGRESS, {.regions = "<reminder id='progress-report' status='due' count='10' due-at='10' "
                           "since='2025-02-01' rule='medicare-part-b'/>"},
     "Progress report: due today. 10 of 10 treatment days since 1\u00a0Feb\u00a02025 (Medicare "
     "Part B). Counts from the record; the payer\u2019s current text decides.", NULL},
    {PROGRESS, {.regions = "<reminder id='progress-report' status='later' count='9' due-at='10' "
                           "since='2025-02-01' rule='medicare-part-b'/>"}, NULL, "treatment days"},
    {PROGRESS, {.regions = FLEXION(GOAL("behind", "67.4"))},
     "G1 · right knee flexion, active — climb stairs", "No goal"},
    {PROGRESS, {.regions = FLEXION(GOAL("behind", "67.4"))},
     "Behind. Gained 29°, 14° remaining, 67% of the way from 72° to 115°.", NULL},
    {PROGRESS, {.regions = FLEXION(GOAL("behind", "67.4"))}, "Decision:", NULL},
    {PROGRESS, {.regions = FLEXION("<goal id='G2' value='115' unit='deg' status='not-measured'/>")},
     "Not measured this time.", "% of the way"},
    {PROGRESS, {.regions = FLEXION(GOAL("on-course", "67.4")
                                   SINCE("previous", "2025-03-01", "72", "29", "beyond-error"))},
     "goal 115", NULL}, /* the trend, with its goal */
    {PROGRESS, {0}, "In the patient’s words", NULL},
    {PROGRESS, {0}, "progress report is measurements and arithmetic", "summary of measurements"},
    /* discharge */
    {DISCHARGE, {0}, "No goal is on file", "not met"},
    {DISCHARGE, {.regions = FLEXION(GOAL("met", "102"))}, "Goals: 1 of 1 met", "not met"},
    {DISCHARGE, {.regions = FLEXION(GOAL("behind", "67.4"))}, "Goals: 0 of 1 met", NULL},
    {DISCHARGE, {.regions = FLEXION(GOAL("behind", "67.4"))},
     "G1 not met: reason, in the clinician’s words", NULL},
    {DISCHARGE, {.regions = FLEXION(SINCE("first", "2025-01-10", "72", "29", "beyond-error"))},
     "First 10\u00a0Jan\u00a02025", NULL},
    /* reviewer */
    {REVIEWER, {.regions = FLEXION(GOAL("behind", "67.4"))},
     "39° (28%)", "activity: ____"},
    {REVIEWER, {.regions = FLEXION(GOAL("behind", "67.4"))},
     "climb stairs goal G1: 115° by", NULL},
    {REVIEWER, {.regions = FLEXION("")}, "activity: ____", "goal G1"},
    {REVIEWER, {.episode = "treatment-day='10' plan-start='2025-01-10'"},
     "Treatment day 10", NULL},
    {REVIEWER, {.episode = "plan-start='2025-01-10'"}, "Plan certified on not recorded", NULL},
    {REVIEWER, {0}, "Certifying physician or other practitioner — signature, date", NULL},
    {REVIEWER, {.regions = FLEXION("<demand activity='squat' level='likely'/>")}, NULL, "squat"},
    /* the patient */
    {PATIENT, {.regions = FLEXION("")}, "Bend your right knee Now 101 degrees", "flexion"},
    {PATIENT, {.regions = EXTENSION("-14", "")}, "14 degrees short of straight", "lacks"},
    {PATIENT, {.regions = EXTENSION("-1", "")}, "1 degree short of straight", "1 degrees"},
    {PATIENT, {.regions = FLEXION(SINCE("previous", "2025-03-01", "72", "29", "beyond-error"))},
     "That is 29 degrees better than on 1\u00a0March\u00a02025.", "may not be real. That"},
    {PATIENT, {.regions = FLEXION(SINCE("previous", "2025-03-01", "98", "3", "within-error"))},
     "A change this small may not be real.", "better"},
    {PATIENT, {.regions = FLEXION(SINCE("previous", "2025-03-01", "121", "-20", "beyond-error"))},
     "less good than on", "better than"},
    {PATIENT, {.regions = FLEXION(GOAL("met", "102"))},
     "Climb stairs. Bend your right knee to 115 degrees by 1\u00a0April\u00a02025. You have "
     "reached it.", NULL},
    {PATIENT, {.regions = IN_FORCE("range", "value='90' until='2025-04-01'")},
     "Until 1\u00a0April\u00a02025: bend your right knee no further than 90 degrees.", NULL},
    {PATIENT, {.regions = FLEXION(LIMIT("range", "value='90' status='expired'"))}, NULL,
     "Rules to keep"},
    {PATIENT, {.regions = LIMIT("resistance", "")}, "For now: do not push or lift hard.", NULL},
    {PATIENT, {.regions = "<goal id='G1' joint='knee' motion='flexion' side='right' test='AROM' "
                          "zero-normal='no' value='115' unit='deg' status='not-measured'/>"},
     "Bend your right knee to 115 degrees. We did not measure it this time.", NULL},
    {PATIENT, {.regions = FLEXION(SINCE("previous", "2025-03-01", "72", "29", "beyond-error")
                                      LIMIT("range", "value='90' status='beyond'"))},
     "further than the limit", "better than"},
    {PATIENT, {.regions = STRENGTH("4-", "3.67", "")},
     "Bend your left knee: your muscles hold against a light push.", "4-"},
    {PATIENT, {.regions = MOTION("cervical", "rotation", "no", "deg", "80",
                                 "end='49' limited='yes'", "")},
     "Turn your head to the right", NULL},
    {PATIENT, {.regions = MOTION("finger-pip", "flexion' digit='3", "no", "deg", "100",
                                 "end='60' limited='yes'", "")},
     "Bend your right middle finger at the middle joint", NULL},
    {PATIENT, {.regions = MOTION("toe-mtp", "extension' digit='1", "no", "deg", "70",
                                 "end='30' limited='yes'", "")},
     "Bend your right big toe up at the ball of the foot", NULL},
    {PATIENT, {.regions = MOTION("jaw", "lateral-excursion", "no", "mm", "8",
                                 "end='5' limited='yes'", "")},
     "Move your lower jaw to the right", NULL},
    {PATIENT, {.episode = "pain-rest='1' pain-move='3' pain-move-high='4'"},
     "At rest: 1 out of 10. When you move: 3 to 4 out of 10.", NULL},
    {PATIENT, {.people = "<measured-by role='student' countersign='yes'/>"},
     "NOT VALID UNTIL COUNTERSIGNED", NULL},
    {PATIENT, {0}, "It names no illness and no cause.", "diagnos"},
};

START_TEST(says)
{
    struct buf all;
    buf_init(&all, 1 << 20);
    struct page_list *list = set(cases[_i].kind, cases[_i].d);
    ck_assert_msg(list != NULL, "refused: %s", diags.n ? diags.items[diags.n - 1].detail : "?");
    collect(list, &all);
    const char *text = buf_text(&all), *there = cases[_i].there, *not_there = cases[_i].not_there;
    ck_assert_msg(there == NULL || strstr(text, there) != NULL, "%s: \"%s\" is not in: %s",
                  kinds[cases[_i].kind], there, text);
    ck_assert_msg(not_there == NULL || strstr(text, not_there) == NULL, "%s: \"%s\" is in: %s",
                  kinds[cases[_i].kind], not_there, text);
    page_list_free(list);
    buf_release(&all);
}
END_TEST

/* The least a document can hold renders in every kind, with its caution and one signature. */
START_TEST(renders_the_least)
{
    struct buf all;
    buf_init(&all, 1 << 20);
    struct page_list *list = set(_i, (struct document){0});
    ck_assert_ptr_nonnull(list);
    collect(list, &all);
    ck_assert_ptr_nonnull(strstr(buf_text(&all), "licensed"));
    ck_assert_ptr_nonnull(strstr(buf_text(&all), "Jo Vale — sign"));
    ck_assert_ptr_nonnull(strstr(buf_text(&all), "page 1 of 1"));
    page_list_free(list);
    buf_release(&all);
}
END_TEST

/* Five rows at most, the loss beyond error first, however many readings there are. */
START_TEST(the_letter_keeps_to_five_rows)
{
    struct buf regions, all;
    buf_init(&regions, 1 << 20);
    buf_init(&all, 1 << 20);
    for (int i = 0; i < 9; i++)
        buf_adds(&regions, FLEXION(SINCE("previous", "2025-03-01", "72", "29", "beyond-error")));
    buf_adds(&regions, MOTION("hip", "flexion", "no", "deg", "120", "end='60'",
                              SINCE("previous", "2025-03-01", "80", "-20", "beyond-error")));
    struct page_list *list = set(LETTER, (struct document){.regions = buf_text(&regions)});
    ck_assert_ptr_nonnull(list);
    ck_assert_uint_eq(list->n, 1);
    collect(list, &all);
    int rows = 0;
    for (const char *s = buf_text(&all); (s = strstr(s, "knee flexion right")) != NULL; s++)
        rows++;
    ck_assert_msg(rows == 4, "%d rows: %s", rows, buf_text(&all));
    ck_assert_ptr_nonnull(strstr(buf_text(&all), "hip flexion right"));
    ck_assert(strstr(buf_text(&all), "hip flexion right") <
              strstr(buf_text(&all), "knee flexion right"));
    ck_assert_ptr_nonnull(strstr(buf_text(&all), "10 readings were taken"));
    page_list_free(list);
    buf_release(&regions);
    buf_release(&all);
}
END_TEST

START_TEST(a_letter_is_never_two_pages)
{
    struct buf episode;
    buf_init(&episode, 1 << 20);
    buf_adds(&episode, "plan='");
    for (int i = 0; i < 900; i++)
        buf_addf(&episode, "word%d ", i);
    buf_adds(&episode, "'");
    ck_assert_ptr_null(set(LETTER, (struct document){.episode = buf_text(&episode)}));
    ck_assert_int_eq(diags.items[diags.n - 1].code, DIAG_LAYOUT_PAGES);
    struct page_list *list = set(PROGRESS, (struct document){.episode = buf_text(&episode)});
    ck_assert_ptr_nonnull(list);
    page_list_free(list);
    buf_release(&episode);
}
END_TEST

static Suite *batch_kinds_suite(void)
{
    Suite *s = suite_create("batch: kinds");
    TCase *t = tcase_create("kinds");
    tcase_add_unchecked_fixture(t, start, stop);
    tcase_add_loop_test(t, says, 0, (int)ARRAY_LEN(cases));
    tcase_add_loop_test(t, renders_the_least, 0, KINDS);
    tcase_add_test(t, the_letter_keeps_to_five_rows);
    tcase_add_test(t, a_letter_is_never_two_pages);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(batch_kinds_suite)
