/*
 * The XPath library, for the expressions that eval.c does not walk itself: it meets our functions
 * and the template's variables, and its values become ours.
 */
#include "layout/layout_int.h"

#include <libxml/xpathInternals.h>
#include <stdlib.h>
#include <string.h>

static const struct value *variable_named(const struct render *r, const char *name)
{
    for (const struct variable *v = r->variables; v != NULL; v = v->outer) {
        if (strcmp(v->name, name) == 0)
            return &v->value;
    }
    return NULL;
}

static struct value from_object(struct render *r, const xmlXPathObject *o)
{
    struct value v = {.type = TYPE_STRING, .text = ""};
    if (o == NULL)
        return v;
    switch (o->type) {
    case XPATH_NODESET:
    case XPATH_XSLT_TREE:
        v.type = TYPE_NODES;
        v.n = o->nodesetval != NULL ? (size_t)o->nodesetval->nodeNr : 0;
        v.nodes = arena_alloc(r->arena, (v.n + 1) * sizeof(*v.nodes));
        if (v.n > 0)
            memcpy(v.nodes, o->nodesetval->nodeTab, v.n * sizeof(*v.nodes));
        break;
    case XPATH_BOOLEAN:
        v.type = TYPE_BOOL;
        v.truth = o->boolval != 0;
        break;
    case XPATH_NUMBER:
        v.type = TYPE_NUMBER;
        v.number = o->floatval;
        break;
    default:
        v.text = arena_strdup(r->arena, o->stringval != NULL ? (const char *)o->stringval : "");
        break;
    }
    return v;
}

static xmlXPathObjectPtr to_object(const struct value *v)
{
    xmlXPathObjectPtr o;
    switch (v->type) {
    case TYPE_NODES:
        o = xmlXPathNewNodeSet(NULL);
        for (size_t i = 0; o != NULL && i < v->n; i++)
            xmlXPathNodeSetAddUnique(o->nodesetval, v->nodes[i]);
        return o;
    case TYPE_NUMBER:
        return xmlXPathNewFloat(v->number);
    case TYPE_BOOL:
        return xmlXPathNewBoolean(v->truth);
    case TYPE_STRING:
        break;
    }
    return xmlXPathNewCString(v->text);
}

static void call_from_library(xmlXPathParserContextPtr ctxt, int n)
{
    enum { ARGS_MAX = 16 };
    struct render *r = ctxt->context->user;
    struct value args[ARGS_MAX];
    size_t n_functions;
    const struct xpath_function *f = xpath_functions(&n_functions);
    if (n > ARGS_MAX) {
        xmlXPathErr(ctxt, XPATH_INVALID_ARITY);
        return;
    }
    for (int i = n - 1; i >= 0; i--) {
        xmlXPathObjectPtr o = valuePop(ctxt);
        args[i] = from_object(r, o);
        xmlXPathFreeObject(o);
    }
    for (size_t i = 0; i < n_functions; i++) {
        if (strcmp(f[i].name, (const char *)ctxt->context->function) == 0) {
            struct value v = function_call(r, (int)i, args, n);
            valuePush(ctxt, to_object(&v));
            return;
        }
    }
    xmlXPathErr(ctxt, XPATH_UNKNOWN_FUNC_ERROR);
}

static xmlXPathObjectPtr look_up(void *user, const xmlChar *name, const xmlChar *ns)
{
    struct render *r = *(struct render **)user;
    const struct value *v = variable_named(r, (const char *)name);
    (void)ns;
    return v != NULL ? to_object(v) : NULL;
}

/* concat is ours too: a part that finds nothing must not vanish inside a longer text. */
xmlXPathContext *eval_context_new(void)
{
    xmlXPathContextPtr ctxt = xmlXPathNewContext(NULL);
    size_t n;
    const struct xpath_function *f = xpath_functions(&n);
    if (ctxt == NULL)
        abort();
    /* Its own has to go first: registering does not replace. */
    xmlXPathRegisterFunc(ctxt, (const xmlChar *)"concat", NULL);
    for (size_t i = 0; i < n; i++) {
        if (f[i].own || strcmp(f[i].name, "concat") == 0)
            xmlXPathRegisterFunc(ctxt, (const xmlChar *)f[i].name, call_from_library);
    }
    xmlXPathRegisterVariableLookup(ctxt, look_up, &ctxt->user);
    return ctxt;
}

struct value eval_by_library(struct render *r, const struct expr *e)
{
    xmlXPathContextPtr ctxt = r->t->xpath;
    ctxt->user = r;
    ctxt->doc = r->doc;
    ctxt->node = r->context;
    ctxt->contextSize = (int)r->size;
    ctxt->proximityPosition = (int)r->position;
    xmlXPathObjectPtr o = xmlXPathCompiledEval(e->compiled, ctxt);
    if (o == NULL)
        render_error(r, DIAG_LAYOUT_EVALUATE, "{%s}", e->source);
    struct value v = from_object(r, o);
    xmlXPathFreeObject(o);
    return v;
}
