/* Building a page list and its text dump. */
#include "unit.h"

#include "page/page.h"

#include <math.h>
#include <signal.h>
#include <string.h>

static struct page_list *list;
static struct page *page;

static void setup(void)
{
    list = page_list_new();
    page = page_add(list, 200, 100);
}

static void teardown(void)
{
    page_list_free(list);
}

static const char *dump(struct buf *out)
{
    buf_init(out, 1 << 20);
    page_dump(list, out);
    return buf_text(out);
}

static void check_dump(const char *expected)
{
    struct buf out;
    ck_assert_str_eq(dump(&out), expected);
    buf_release(&out);
}

/* Each of these is a bug of the caller and must end the process, not reach paper. */
START_TEST(refuses_bad_values)
{
    struct page_path *p;
    switch (_i) {
    case 0:
        page_add_text(list, page, NAN, 0, 0, 9, "a", 1);
        break;
    case 1:
        page_add_text(list, page, 0, 14401, 0, 9, "a", 1);
        break;
    case 2:
        page_add_text(list, page, 0, 0, 0, 0, "a", 1);
        break;
    case 3:
        page_add_line(list, page, 0, 0, INFINITY, 0, 1, colour_black);
        break;
    case 4:
        page_add_link(list, page, 0, 0, 1, NAN, "https://example.org");
        break;
    case 5:
        page_add(list, 0, 100);
        break;
    case 6:
        p = page_path_begin(list, page);
        page_path_line(list, p, 1, 1); /* no current point */
        break;
    case 7:
        p = page_path_begin(list, page);
        page_path_arc(list, p, 0, 0, 10, 0, NAN, false);
        break;
    case 8:
        page_add_bookmark(list, 1, 0, 1, "beyond the last page");
        break;
    case 9:
        page_add_image(list, page, 0, 0, NAN, 1, "logo.png", NULL);
        break;
    default:
        page_path_close(list, page_path_begin(list, page));
        break;
    }
}
END_TEST

START_TEST(dump_shows_every_kind)
{
    struct colour grey = colour_grey(0.5);
    list->title = "A \"title\"";
    list->date = "2024-03-01";
    page_tag_begin(list, page, "P", NULL);
    struct page_text *t = page_add_text(list, page, 10, 20.005, 1, 9, "118\xc2\xb0\\\n", 7);
    t->anchor = ANCHOR_END;
    page_tag_end(list, page);
    page_tag_begin(list, page, "Figure", "an arc");
    page_tag_end(list, page);
    page_add_line(list, page, 1, 2, 3, -0.001, 0.4, colour_black);
    page_add_rect(list, page, 0, 0, 10, 5, &grey, NULL, 0);
    page_add_rect(list, page, 0, 0, 10, 5, &grey, &colour_black, 1);
    page_add_link(list, page, 1, 2, 3, 4, "https://example.org");
    page_add_image(list, page, 1, 2, 3, 4, "logo.png", NULL);
    page_add_bookmark(list, 0, 90, 2, "Knee");
    page_add_place(list, 0, 80, "knee-1");
    check_dump("title \"A \\x22title\\x22\"\n"
               "date \"2024-03-01\"\n"
               "page 1 200.00 100.00\n"
               "begin P\n"
               "text 10.00 20.01 9.00 1 end #000000 \"118\xc2\xb0\\x5c\\x0a\"\n"
               "end\n"
               "begin Figure \"an arc\"\n"
               "end\n"
               "path stroke 0.40 #000000 : M 1.00 2.00 L 3.00 0.00\n"
               "path fill #808080 : M 0.00 0.00 L 10.00 0.00 L 10.00 5.00 L 0.00 5.00 Z\n"
               "path fill #808080 stroke 1.00 #000000 : M 0.00 0.00 L 10.00 0.00 L 10.00 5.00"
               " L 0.00 5.00 Z\n"
               "link 1.00 2.00 3.00 4.00 \"https://example.org\"\n"
               "image 1.00 2.00 3.00 4.00 \"logo.png\"\n"
               "bookmark 2 1 90.00 \"Knee\"\n"
               "place 1 80.00 \"knee-1\"\n");
}
END_TEST

START_TEST(dump_shows_dash_and_cap)
{
    page_add_line(list, page, 0, 0, 1, 0, 1, colour_black);
    page->items[0].u.path.dash_on = 1.5;
    page->items[0].u.path.dash_off = 2;
    page->items[0].u.path.cap = CAP_ROUND;
    check_dump("page 1 200.00 100.00\n"
               "path stroke 1.00 #000000 dash 1.50 2.00 round : M 0.00 0.00 L 1.00 0.00\n");
}
END_TEST

/* A reading of 0 degrees draws an arc of equal angles. */
START_TEST(equal_angles_give_nothing)
{
    struct page_path *p = page_path_begin(list, page);
    page_path_arc(list, p, 50, 50, 10, 30, 30, false);
    ck_assert_uint_eq(p->n_ops, 0);
    page_path_move(list, p, 50, 50);
    page_path_arc(list, p, 50, 50, 10, 30, 30, true);
    ck_assert_uint_eq(p->n_ops, 1);
}
END_TEST

static const struct arc_case {
    double from, to;
    size_t pieces;
} arcs[] = {{0, 105, 1},  {0, 106, 2},    {0, 0.05, 1},   {90, -30, 2},
            {0, 360, 4},  {-180, 180, 4}, {350, 370, 1}, {135, 0, 2}};

static void check_on_circle(double x, double y, double deg)
{
    double rad = deg * 3.14159265358979323846 / 180.0;
    ck_assert_double_eq_tol(x, 50 + 40 * cos(rad), 1e-9);
    ck_assert_double_eq_tol(y, 60 + 40 * sin(rad), 1e-9);
}

START_TEST(arc_ends_where_asked)
{
    const struct arc_case *c = &arcs[_i];
    struct page_path *p = page_path_begin(list, page);
    page_path_arc(list, p, 50, 60, 40, c->from, c->to, false);
    ck_assert_uint_eq(p->n_ops, 1 + c->pieces);
    ck_assert_int_eq(p->ops[0], PATH_MOVE);
    check_on_circle(p->points[0], p->points[1], c->from);
    check_on_circle(p->points[p->n_points - 2], p->points[p->n_points - 1], c->to);
}
END_TEST

/* Each cubic stays within 0.07 % of the radius: a quarter turn is known for 0.03 %, and the error
 * grows with the sixth power of the angle. */
START_TEST(arc_stays_on_circle)
{
    const struct arc_case *c = &arcs[_i];
    struct page_path *p = page_path_begin(list, page);
    page_path_arc(list, p, 50, 60, 40, c->from, c->to, false);
    for (size_t i = 0; i < c->pieces; i++) {
        const double *q = &p->points[6 * i];
        for (double t = 0.1; t < 1.0; t += 0.1) {
            double u = 1.0 - t;
            double k[4] = {u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t};
            double x = k[0] * q[0] + k[1] * q[2] + k[2] * q[4] + k[3] * q[6];
            double y = k[0] * q[1] + k[1] * q[3] + k[2] * q[5] + k[3] * q[7];
            ck_assert_double_eq_tol(hypot(x - 50, y - 60), 40.0, 40.0 * 0.0007);
        }
    }
}
END_TEST

START_TEST(arc_joins_by_a_line)
{
    struct page_path *p = page_path_begin(list, page);
    page_path_move(list, p, 50, 60);
    page_path_arc(list, p, 50, 60, 40, 0, 45, true);
    page_path_close(list, p);
    ck_assert_uint_eq(p->n_ops, 4);
    ck_assert_int_eq(p->ops[1], PATH_LINE);
    ck_assert_double_eq_tol(p->points[2], 90, 1e-9);
    ck_assert_double_eq_tol(p->points[3], 60, 1e-9);
}
END_TEST

/* Growth keeps what was there: pages, items, ops and points. */
START_TEST(grows)
{
    enum { MANY = 1000 };
    struct page_path *p = page_path_begin(list, page);
    page_path_move(list, p, 0, 0);
    for (int i = 1; i < MANY; i++) {
        page_path_line(list, p, i, -i);
    }
    for (int i = 1; i < MANY; i++) {
        page_add_text(list, page, i, 0, 0, 9, "x", 1);
    }
    for (int i = 1; i < MANY; i++) {
        page = page_add(list, 100 + i, 100);
        page_add_bookmark(list, (size_t)i, 0, 1, "b");
    }
    ck_assert_uint_eq(list->n, MANY);
    ck_assert_uint_eq(list->n_bookmarks, MANY - 1);
    ck_assert_uint_eq(list->pages[0].n, MANY);
    p = &list->pages[0].items[0].u.path;
    for (int i = 0; i < MANY; i++) {
        ck_assert_double_eq(p->points[2 * i], i);
        ck_assert_double_eq(p->points[2 * i + 1], -i);
        ck_assert_int_eq(p->ops[i], i == 0 ? PATH_MOVE : PATH_LINE);
        ck_assert_double_eq(list->pages[i].width, i == 0 ? 200 : 100 + i);
    }
    ck_assert_double_eq(list->pages[0].items[MANY - 1].u.text.x, MANY - 1);
}
END_TEST

START_TEST(copies_strings)
{
    char text[] = "knee";
    char target[] = "https://example.org";
    page_add_text(list, page, 0, 0, 0, 9, text, 4);
    page_add_link(list, page, 0, 0, 1, 1, target);
    text[0] = 'K';
    target[0] = 'H';
    ck_assert_str_eq(page->items[0].u.text.text, "knee");
    ck_assert_str_eq(page->items[1].u.link.target, "https://example.org");
}
END_TEST

START_TEST(free_takes_null)
{
    page_list_free(NULL);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("page_list");
    TCase *c = tcase_create("page_list");
    tcase_add_checked_fixture(c, setup, teardown);
    const char *fork_mode = getenv("CK_FORK");
    if (fork_mode == NULL || strcmp(fork_mode, "no") != 0) {
        tcase_add_loop_test_raise_signal(c, refuses_bad_values, SIGABRT, 0, 11);
    }
    tcase_add_test(c, dump_shows_every_kind);
    tcase_add_test(c, dump_shows_dash_and_cap);
    tcase_add_test(c, equal_angles_give_nothing);
    tcase_add_loop_test(c, arc_ends_where_asked, 0, (int)ARRAY_LEN(arcs));
    tcase_add_loop_test(c, arc_stays_on_circle, 0, (int)ARRAY_LEN(arcs));
    tcase_add_test(c, arc_joins_by_a_line);
    tcase_add_test(c, grows);
    tcase_add_test(c, copies_strings);
    tcase_add_test(c, free_takes_null);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
