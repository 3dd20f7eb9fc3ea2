/* Weak painless motions that share a root or a nerve, and what on file keeps quiet about them. */
#include "rules_build.h"

#define NOW "2026-03-02 "
#define M(joint, motion, grade) NOW joint " " motion " right MMT " grade ";"
#define L(joint, motion, grade) NOW joint " " motion " left MMT " grade ";"

/* Patterns of the two kinds, as "roots" or "nerve" and the number of readings. */
static const char *clusters(struct build *b, const struct visit_findings *v)
{
    const char *all = "";
    for (size_t i = 0; i < v->n_patterns; i++) {
        const struct pattern *p = &v->patterns[i];
        const char *name = p->roots != NULL ? p->roots : p->nerve;
        if (name != NULL)
            all = arena_printf(b->arena, "%s%s%s %s %zu", all, *all == '\0' ? "" : "; ",
                               side_name(p->side), name, p->n_rows);
    }
    return all;
}

static const struct {
    const char *readings, *clusters;
} told[] = {
    /* two motions, by different nerves, 3+ or less and painless */
    {M("elbow", "flexion", "3+") M("shoulder", "abduction", "3+"), "right C5 C6 2"},
    {M("elbow", "flexion", "3+"), ""},
    {M("elbow", "flexion", "4-") M("shoulder", "abduction", "3+"), ""},
    {M("elbow", "flexion", "4") M("shoulder", "abduction", "3+") L("elbow", "flexion", "5"),
     "right C5 C6 2"}, /* a full grade below the other side */
    {M("elbow", "flexion", "3+ pain") M("shoulder", "abduction", "3+"), ""},
    {M("elbow", "flexion", "3+") L("shoulder", "abduction", "3+"), ""},
    {M("elbow", "flexion", "3+ after") M("shoulder", "abduction", "3+"), ""},
    {M("elbow", "flexion", "not-tested") M("shoulder", "abduction", "3+"), ""},
    {L("elbow", "flexion", "3+") L("shoulder", "abduction", "3+"), "left C5 C6 2"},
    /* the root all share before those only some share */
    {M("elbow", "flexion", "3") M("shoulder", "abduction", "3") M("shoulder", "flexion", "3"),
     "right C5 C6 3"},
    {M("elbow", "flexion", "3") M("shoulder", "abduction", "3") M("wrist", "extension", "3"),
     "right C6 3"},
    /* two of three: shoulder abduction has neither root */
    {M("shoulder", "abduction", "3") M("wrist", "ulnar-deviation", "3")
         M("finger-mcp", "abduction", "3 digit=5"),
     "right C8 T1 2"},
    {NOW "cervical flexion midline AROM 40;" M("hip", "abduction", "3") NOW
     "knee flexion right AROM 130;" M("ankle", "dorsiflexion", "3"),
     "right L4 L5 S1 2"},
    {M("hip", "abduction", "3") M("ankle", "dorsiflexion", "3"), "right L4 L5 S1 2"},
    /* each side by its own motions: these two on the left have no root in common */
    {M("elbow", "flexion", "3") M("shoulder", "abduction", "3") L("shoulder", "abduction", "3")
         L("wrist", "ulnar-deviation", "3"),
     "right C5 C6 2"},
    /* two fingers of one motion are one */
    {M("finger-pip", "flexion", "3 digit=2") M("finger-pip", "flexion", "3 digit=3"), ""},
    {M("finger-dip", "flexion", "3 digit=2") M("finger-dip", "flexion", "3 digit=3")
         M("elbow", "flexion", "5"),
     ""},
    {M("toe-mtp", "extension", "3 digit=1") M("toe-mtp", "extension", "3 digit=2")
         M("ankle", "plantar-flexion", "5"),
     ""},
    /* one nerve is no root: the two move by the same one */
    {M("ankle", "dorsiflexion", "3") M("toe-mtp", "extension", "3 digit=1"), ""},
    {M("wrist", "extension", "3") M("thumb-ip", "extension", "3"), ""},
    /* one nerve, while another's motions are strong */
    {M("ankle", "dorsiflexion", "3") M("toe-mtp", "extension", "3 digit=1")
         M("ankle", "plantar-flexion", "5"),
     "right common fibular 2"},
    {M("ankle", "dorsiflexion", "3") M("toe-mtp", "extension", "3 digit=1")
         M("ankle", "plantar-flexion", "4-"),
     ""},
    {M("ankle", "dorsiflexion", "3") M("toe-mtp", "extension", "3 digit=1")
         M("knee", "extension", "5"),
     "right sciatic 2"}, /* nothing tells a branch apart */
    {M("ankle", "dorsiflexion", "3") M("subtalar", "eversion", "3")
         M("ankle", "plantar-flexion", "5"),
     "right L5 S1 2; right common fibular 2"},
    {M("wrist", "extension", "3") M("thumb-ip", "extension", "3") M("wrist", "flexion", "5"),
     "right radial 2"},
    {M("wrist", "extension", "3") M("thumb-ip", "extension", "3") M("wrist", "flexion", "5")
         M("elbow", "extension", "5"),
     "right posterior interosseous 2"},
    {M("wrist", "extension", "3") M("thumb-ip", "extension", "3") M("elbow", "extension", "3")
         M("wrist", "flexion", "5"),
     "right C7 C8 3; right radial 3"},
    {M("wrist", "extension", "3") M("thumb-ip", "extension", "3") M("wrist", "flexion", "3"),
     "right C7 C8 3"},
    {M("wrist", "extension", "3") M("thumb-ip", "extension", "3") M("wrist", "flexion", "3 pain"),
     ""},
    /* of two nerves that both move all of them, the one named first */
    {M("thumb-cmc", "flexion", "3") M("thumb-cmc", "opposition", "3") M("wrist", "extension", "5"),
     "right median 2"},
    /* neither trunk nor neck is a limb, nor a neighbour of one */
    {M("ankle", "dorsiflexion", "3") M("toe-mtp", "extension", "3 digit=1")
         M("cervical", "lateral-flexion", "5"),
     ""},
    {NOW "cervical flexion midline MMT 3;" NOW "cervical extension midline MMT 3", ""},
};

START_TEST(told_where_it_holds)
{
    struct build *b = build_new();
    struct visit_findings *v = build_findings(b, told[_i].readings);
    ck_assert_str_eq(clusters(b, v), told[_i].clusters);
    build_free(b);
}
END_TEST

#define WEAK M("elbow", "flexion", "3") M("shoulder", "abduction", "3")

static const struct {
    const char *readings, *diagnosis, *procedure, *protocol;
    bool told;
} on_file[] = {
    {WEAK, NULL, NULL, NULL, true},
    {WEAK, "neck pain", NULL, NULL, true},
    {WEAK, "stroke", NULL, NULL, false},
    {WEAK, "left hemiparesis", NULL, NULL, false},
    {WEAK, "spinal cord injury", NULL, NULL, false},
    {WEAK, "fracture of the humerus", NULL, NULL, false},
    {WEAK, "ankle fracture", NULL, NULL, true},
    {WEAK, "left humerus fracture", NULL, NULL, true},
    {WEAK, NULL, "rotator cuff repair", NULL, false},
    {WEAK, NULL, "total knee arthroplasty", NULL, true},
    {WEAK, "cast of the forearm until last week", NULL, NULL, false},
    {WEAK, NULL, NULL, "ISNCSCI", false},
    {WEAK, NULL, NULL, "MRC-sum", true},
    {M("elbow", "flexion", "3 says=spastic") M("shoulder", "abduction", "3"), NULL, NULL, NULL,
     false},
    {M("elbow", "flexion", "3 says=no_spasticity") M("shoulder", "abduction", "3"), NULL, NULL,
     NULL, true},
};

START_TEST(quiet_by_what_is_on_file)
{
    struct build *b = build_new();
    b->patient.diagnosis = on_file[_i].diagnosis;
    b->patient.procedure = on_file[_i].procedure;
    build_add(b, on_file[_i].readings);
    b->visits[0].protocol = on_file[_i].protocol;
    struct visit_findings *v = build_evaluate(b);
    ck_assert_str_eq(clusters(b, v), on_file[_i].told ? "right C5 C6 2" : "");
    build_free(b);
}
END_TEST

/* One reading of the limb that is explained keeps quiet about all; another limb goes on. */
START_TEST(quiet_limb_by_limb)
{
    struct build *b = build_new();
    struct visit_findings *v =
        build_findings(b, WEAK M("wrist", "flexion", "4 says=marked_spasticity"));
    ck_assert_str_eq(clusters(b, v), "");
    build_free(b);
    b = build_new();
    b->patient.diagnosis = "right humerus fracture";
    v = build_findings(b, WEAK L("elbow", "flexion", "3") L("shoulder", "abduction", "3"));
    ck_assert_str_eq(clusters(b, v), "left C5 C6 2");
    build_free(b);
}
END_TEST

/* A clinic that wants no patterns gets none of these either. */
START_TEST(clinic_may_switch_clusters_off)
{
    struct build *b = build_new();
    b->clinic.show_patterns = false;
    struct visit_findings *v = build_findings(b, WEAK);
    ck_assert_str_eq(clusters(b, v), "");
    b->clinic.show_patterns = true;
    rules_cluster(v, b->arena);
    ck_assert_str_ne(clusters(b, v), "");
    build_free(b);
}
END_TEST

static void add_tests(TCase *tc)
{
    tcase_add_test(tc, clinic_may_switch_clusters_off);
    tcase_add_test(tc, quiet_limb_by_limb);
    tcase_add_loop_test(tc, told_where_it_holds, 0, ARRAY_LEN(told));
    tcase_add_loop_test(tc, quiet_by_what_is_on_file, 0, ARRAY_LEN(on_file));
}

BUILD_SUITE("rules_cluster")
