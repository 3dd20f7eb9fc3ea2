/* A program of the build: prints C source that holds the library of the files named, as its loader
 * takes it (reference_int.h). So no start of endfeel has to parse it. */
#include "base/base.h"
#include "reference/tree.h"

#include <libxml/tree.h>
#include <string.h>

static void print_problem(void *user, const struct diag *d)
{
    (void)user;
    diag_print(stderr, d);
}

/* Question marks too, for fear of trigraphs. */
static void put_text(const char *name, const char *text, size_t size)
{
    enum { LINE = 90 };
    printf("static const char %s[] = \"", name);
    for (size_t i = 0; i < size; i++) {
        unsigned char c = (unsigned char)text[i];
        if (i > 0 && i % LINE == 0)
            printf("\"\n\"");
        if (c < ' ' || c > '~' || strchr("\"\\?", c) != NULL)
            printf("\\%03o", c);
        else
            putchar(c);
    }
    printf("\";\n");
}

static void put_tree(const struct tree *t)
{
    printf("static const struct tree_node nodes[] = {\n");
    for (size_t i = 0; i < t->n_nodes; i++) {
        const struct tree_node *n = &t->nodes[i];
        printf("{%u,%u,%u,%u,%u,%u},\n", n->name, n->line, n->attributes, n->n_attributes,
               n->child, n->next);
    }
    printf("};\nstatic const struct tree_attribute attributes[] = {\n");
    for (size_t i = 0; i < t->n_attributes; i++)
        printf("{%u,%u},\n", t->attributes[i].name, t->attributes[i].value);
    printf("};\n");
    put_text("texts", t->texts, t->texts_size);
    printf("const struct tree embedded_tree = {nodes, attributes, texts, %zu, %zu, %zu};\n",
           t->n_nodes, t->n_attributes, t->texts_size);
}

static bool put_file(const char *path, int number, struct tree_maker *maker, struct digest *hash,
                     struct diag_sink *sink)
{
    char name[32];
    struct buf bytes;
    xmlDoc *doc = NULL;
    buf_init(&bytes, XML_FILE_MAX);
    if (file_read(path, XML_FILE_MAX, &bytes, sink) &&
        (doc = xml_parse(buf_text(&bytes), bytes.len, path, sink)) != NULL) {
        snprintf(name, sizeof name, "file%d", number);
        put_text(name, bytes.data, bytes.len);
        digest_add(hash, bytes.data, bytes.len);
        tree_add(maker, doc);
        xmlFreeDoc(doc);
    }
    buf_release(&bytes);
    return doc != NULL;
}

int main(int argc, char **argv)
{
    struct diag_sink sink = {.put = print_problem};
    struct tree_maker maker;
    struct digest hash;
    char hex[DIGEST_HEX];
    bool good = argc > 1;
    tree_begin(&maker);
    digest_init(&hash);
    printf("#include \"reference/reference_int.h\"\n");
    for (int i = 1; i < argc; i++)
        good = put_file(argv[i], i, &maker, &hash, &sink) && good;
    printf("const struct reference_file embedded_files[] = {\n");
    for (int i = 1; i < argc; i++) {
        const char *slash = strrchr(argv[i], '/');
        printf("{\"%s\", file%d, sizeof file%d - 1},\n", slash != NULL ? slash + 1 : argv[i], i, i);
    }
    printf("{NULL, NULL, 0}};\n");
    struct tree tree = tree_made(&maker);
    put_tree(&tree);
    digest_hex(&hash, hex);
    printf("const char embedded_digest[DIGEST_HEX] = \"%s\";\n", hex);
    tree_end(&maker);
    return good && fflush(stdout) == 0 && !ferror(stdout) ? STATUS_OK : STATUS_SYSTEM;
}
