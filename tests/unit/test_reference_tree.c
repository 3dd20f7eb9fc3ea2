/* The flat tables of the library's XML: what is kept and what is left out of a file, and that the
 * tables compiled in are those that the files make. */
#include "unit.h"

#include "reference/reference_int.h"

#include <libxml/tree.h>
#include <string.h>

static struct diag_sink quiet;
static struct tree_maker maker;

static void begin(void)
{
    tree_begin(&maker);
}

static void end(void)
{
    tree_end(&maker);
}

static void add(const char *xml)
{
    xmlDoc *doc = xml_parse(xml, strlen(xml), "test.xml", &quiet);
    ck_assert_ptr_nonnull(doc);
    tree_add(&maker, doc);
    xmlFreeDoc(doc);
}

START_TEST(library_compiled_in_is_what_its_files_make)
{
    struct arena *arena = arena_new();
    const char **paths;
    size_t n;
    ck_assert(file_list("src/reference", ".xml", arena, &paths, &n, &quiet));
    for (size_t i = 0; i < n; i++) {
        struct buf b;
        buf_init(&b, XML_FILE_MAX);
        ck_assert(file_read(paths[i], XML_FILE_MAX, &b, &quiet));
        add(buf_text(&b));
        ck_assert_str_eq(embedded_files[i].name, strrchr(paths[i], '/') + 1);
        ck_assert_uint_eq(embedded_files[i].size, b.len);
        ck_assert_mem_eq(embedded_files[i].data, b.data, b.len);
        buf_release(&b);
    }
    ck_assert_ptr_null(embedded_files[n].name);
    struct tree made = tree_made(&maker);
    ck_assert_uint_eq(embedded_tree.n_nodes, made.n_nodes);
    ck_assert_uint_eq(embedded_tree.n_attributes, made.n_attributes);
    ck_assert_uint_eq(embedded_tree.texts_size, made.texts_size);
    ck_assert_mem_eq(embedded_tree.nodes, made.nodes, made.n_nodes * sizeof *made.nodes);
    ck_assert_mem_eq(embedded_tree.attributes, made.attributes,
                     made.n_attributes * sizeof *made.attributes);
    ck_assert_mem_eq(embedded_tree.texts, made.texts, made.texts_size);
    arena_free(arena);
}
END_TEST

START_TEST(library_compiled_in_has_the_digest_of_its_folder)
{
    struct reference *own = reference_load_embedded(&quiet);
    struct reference *folder = reference_load_folder("src/reference", &quiet);
    ck_assert_ptr_nonnull(own);
    ck_assert_ptr_nonnull(folder);
    ck_assert_str_eq(reference_digest(own), reference_digest(folder));
    reference_free(own);
    reference_free(folder);
}
END_TEST

START_TEST(files_stand_side_by_side_in_their_order)
{
    add("<a/>");
    add("<b><c/><d/><c/></b>");
    add("<a/>");
    struct tree t = tree_made(&maker);
    const struct tree_node *node = tree_first(&t, t.nodes, NULL);
    ck_assert_uint_eq(tree_count(&t, t.nodes, NULL), 3);
    ck_assert_uint_eq(tree_count(&t, t.nodes, "a"), 2);
    ck_assert_str_eq(tree_name(&t, node), "a");
    node = tree_next(&t, node, NULL);
    ck_assert(tree_is(&t, node, "b"));
    ck_assert_uint_eq(tree_count(&t, node, NULL), 3);
    ck_assert_uint_eq(tree_count(&t, node, "c"), 2);
    ck_assert_ptr_null(tree_first(&t, node, "a"));
    ck_assert_ptr_null(tree_first(&t, tree_first(&t, node, NULL), NULL));
    ck_assert_ptr_null(tree_next(&t, tree_next(&t, node, "a"), NULL));
}
END_TEST

START_TEST(stray_text_is_kept_and_comments_are_not)
{
    add("<a> <!-- why --> <b/>\n<?do it?>text<b/><![CDATA[ ]]></a>");
    struct tree t = tree_made(&maker);
    const struct tree_node *a = tree_first(&t, t.nodes, "a");
    ck_assert_uint_eq(tree_count(&t, a, "b"), 2);
    ck_assert_uint_eq(tree_count(&t, a, ""), 2); /* the instruction and the text */
    ck_assert_uint_eq(tree_count(&t, a, NULL), 4);
}
END_TEST

START_TEST(values_are_folded_and_decoded)
{
    add("<a one='  two \n\t words&#10;' two='a&amp;b &lt; \xC3\xA9' three='' four='two words'\n"
        "/>");
    struct tree t = tree_made(&maker);
    const struct tree_node *a = tree_first(&t, t.nodes, "a");
    ck_assert_uint_eq(a->n_attributes, 4);
    ck_assert_int_eq(a->line, 3);
    ck_assert_str_eq(tree_value(&t, a, "one"), "two words");
    ck_assert_str_eq(tree_value(&t, a, "two"), "a&b < \xC3\xA9");
    ck_assert_str_eq(tree_value(&t, a, "three"), "");
    ck_assert_ptr_eq(tree_value(&t, a, "four"), tree_value(&t, a, "one"));
    ck_assert_ptr_null(tree_value(&t, a, "five"));
}
END_TEST

/* More texts than the first table of places takes, so that it grows while it is in use. */
START_TEST(each_of_many_texts_stands_once)
{
    enum { MANY = 5000 };
    struct buf b;
    buf_init(&b, XML_FILE_MAX);
    buf_adds(&b, "<a>");
    for (int twice = 0; twice < 2; twice++)
        for (int i = 0; i < MANY; i++)
            buf_addf(&b, "<b n='value %d'/>", i);
    buf_adds(&b, "</a>");
    add(buf_text(&b));
    buf_release(&b);
    struct tree t = tree_made(&maker);
    const struct tree_node *node = tree_first(&t, tree_first(&t, t.nodes, "a"), "b");
    for (int i = 0; i < 2 * MANY; i++, node = tree_next(&t, node, "b")) {
        char want[20];
        snprintf(want, sizeof want, "value %d", i % MANY);
        ck_assert_str_eq(tree_value(&t, node, "n"), want);
        if (i >= MANY)
            ck_assert_uint_eq(t.attributes[node->attributes].value,
                              t.attributes[node[-MANY].attributes].value);
    }
    ck_assert_ptr_null(node);
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("reference tree");
    TCase *t = tcase_create("tables");
    tcase_add_checked_fixture(t, begin, end);
    tcase_add_test(t, library_compiled_in_is_what_its_files_make);
    tcase_add_test(t, library_compiled_in_has_the_digest_of_its_folder);
    tcase_add_test(t, files_stand_side_by_side_in_their_order);
    tcase_add_test(t, stray_text_is_kept_and_comments_are_not);
    tcase_add_test(t, values_are_folded_and_decoded);
    tcase_add_test(t, each_of_many_texts_stands_once);
    suite_add_tcase(s, t);
    return s;
}

TEST_MAIN(suite)
