/* The functions of expressions: those of XPath that are evaluated directly, and our own for
 * words, numbers, dates and lists. One that finds nothing says so; missing is never zero. */
#include "layout/layout_int.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>
#include <string.h>

static const char true_minus[] = "\xE2\x88\x92";

static struct value string_value(const char *text)
{
    return (struct value){.type = TYPE_STRING, .text = text};
}

static struct value number_value(double number)
{
    return (struct value){.type = TYPE_NUMBER, .number = number};
}

static struct value truth_value(bool truth)
{
    return (struct value){.type = TYPE_BOOL, .truth = truth};
}

static struct value found_nothing(struct render *r)
{
    r->nothing = true;
    return string_value("");
}

static bool is_nothing(struct render *r, const struct value *v)
{
    return (v->type == TYPE_NODES && v->n == 0) || value_string(r, v)[0] == '\0' ||
           (v->type == TYPE_NUMBER && !isfinite(v->number));
}

static struct value context_value(struct render *r)
{
    struct value v = {.type = TYPE_NODES, .n = 1};
    v.nodes = arena_alloc(r->arena, sizeof(*v.nodes));
    v.nodes[0] = r->context;
    return v;
}

/* A text of a paragraph's size at most; whatever would make it longer refuses the document. */
static void put(struct render *r, struct buf *b, const char *s)
{
    size_t len = strlen(s);
    if (b->len + len <= TEXT_MAX_BYTES / 4)
        buf_add(b, s, len);
    else
        render_error(r, DIAG_LAYOUT_FIT, "a text of more than %d bytes", TEXT_MAX_BYTES / 4);
}

static struct value put_end(struct render *r, struct buf *b)
{
    struct value v = string_value(arena_strdup(r->arena, buf_text(b)));
    buf_release(b);
    return v;
}

/* ---- of XPath ------------------------------------------------------------------------------ */

static struct value do_last(struct render *r, const struct value *args, int n)
{
    (void)args;
    (void)n;
    return number_value((double)r->size);
}

static struct value do_position(struct render *r, const struct value *args, int n)
{
    (void)args;
    (void)n;
    return number_value((double)r->position);
}

static struct value do_count(struct render *r, const struct value *args, int n)
{
    (void)r;
    (void)n;
    return number_value((double)args[0].n);
}

static struct value do_string(struct render *r, const struct value *args, int n)
{
    struct value here = n == 0 ? context_value(r) : args[0];
    return string_value(value_string(r, &here));
}

static struct value do_concat(struct render *r, const struct value *args, int n)
{
    enum { SHORT = 120 };
    struct buf b;
    char text[SHORT];
    size_t len = 0;
    bool is_short = true; /* keys of words nearly always are: the heap is left out of it */
    buf_init(&b, TEXT_MAX_BYTES);
    for (int i = 0; i < n; i++) {
        if ((args[i].type == TYPE_NODES && args[i].n == 0) ||
            (args[i].type == TYPE_NUMBER && !isfinite(args[i].number)))
            r->nothing = true;
        const char *s = value_string(r, &args[i]);
        size_t more = strlen(s);
        if (is_short && len + more > SHORT) {
            is_short = false;
            buf_add(&b, text, len);
        }
        if (is_short)
            memcpy(text + len, s, more);
        else
            put(r, &b, s);
        len += more;
    }
    return is_short ? string_value(arena_strndup(r->arena, text, len)) : put_end(r, &b);
}

static struct value do_starts_with(struct render *r, const struct value *args, int n)
{
    (void)n;
    return truth_value(str_starts(value_string(r, &args[0]), value_string(r, &args[1])));
}

static struct value do_contains(struct render *r, const struct value *args, int n)
{
    (void)n;
    return truth_value(strstr(value_string(r, &args[0]), value_string(r, &args[1])) != NULL);
}

static struct value do_boolean(struct render *r, const struct value *args, int n)
{
    (void)r;
    (void)n;
    return truth_value(value_truth(&args[0]));
}

static struct value do_not(struct render *r, const struct value *args, int n)
{
    (void)r;
    (void)n;
    return truth_value(!value_truth(&args[0]));
}

static struct value do_true(struct render *r, const struct value *args, int n)
{
    (void)r;
    (void)args;
    (void)n;
    return truth_value(true);
}

static struct value do_false(struct render *r, const struct value *args, int n)
{
    (void)r;
    (void)args;
    (void)n;
    return truth_value(false);
}

static struct value do_number(struct render *r, const struct value *args, int n)
{
    struct value here = n == 0 ? context_value(r) : args[0];
    return number_value(value_number(r, &here));
}

/* ---- our own ------------------------------------------------------------------------------- */

/* A key is a word of the program's own; anything else may be free text and stays unsaid. */
static bool is_key(const char *s)
{
    return strlen(s) <= 60 &&
           s[strspn(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.:/")] ==
               '\0';
}

static struct value do_word(struct render *r, const struct value *args, int n)
{
    if (is_nothing(r, &args[0]) || r->nothing)
        return found_nothing(r);
    const char *key = value_string(r, &args[0]);
    const char *text = template_word(r->t, key);
    if (text != NULL)
        return string_value(text);
    if (n == 2)
        return is_nothing(r, &args[1]) ? found_nothing(r)
                                       : string_value(value_string(r, &args[1]));
    render_error(r, DIAG_LAYOUT_WORD, "%s", is_key(key) ? key : "a key that is free text");
    /* Not empty, so that the gap is reported once and as what it is. */
    return string_value("?");
}

const char *number_text(struct arena *a, double value, int decimals, bool with_sign,
                        const char *decimal)
{
    enum { ALL_DECIMALS = 6 };
    char digits[NUM_TEXT_MAX];
    num_format(digits, value, decimals < 0 ? ALL_DECIMALS : decimals);
    if (decimals < 0 && strchr(digits, '.') != NULL) {
        size_t len = strlen(digits);
        while (digits[len - 1] == '0')
            digits[--len] = '\0';
        if (digits[len - 1] == '.')
            digits[--len] = '\0';
    }
    bool negative = digits[0] == '-';
    const char *bare = digits + negative;
    if (strspn(bare, "0.") == strlen(bare)) /* rounded to nothing: no sign before a zero */
        negative = with_sign = false;
    const char *sign = negative ? true_minus : with_sign ? "+" : "";
    size_t before = strlen(sign), whole = strcspn(bare, ".");
    size_t mark = bare[whole] != '\0' ? strlen(decimal) : 0;
    const char *rest = bare + whole + (bare[whole] != '\0');
    char *text = arena_room(a, before + whole + mark + strlen(rest) + 1);
    memcpy(text, sign, before);
    memcpy(text + before, bare, whole);
    memcpy(text + before + whole, decimal, mark);
    memcpy(text + before + whole + mark, rest, strlen(rest) + 1);
    return text;
}

static struct value numbered(struct render *r, const struct value *args, int n, bool with_sign)
{
    double value = value_number(r, &args[0]), decimals = -1;
    if (n == 2)
        decimals = value_number(r, &args[1]);
    if (!isfinite(value) || fabs(value) >= 1e15 || !(decimals <= 6))
        return found_nothing(r);
    return string_value(number_text(r->arena, value, (int)decimals, with_sign, r->t->decimal));
}

static struct value do_number_text(struct render *r, const struct value *args, int n)
{
    return numbered(r, args, n, false);
}

/* A list parted by spaces; one entry that is no number makes it nothing. */
static struct value do_numbers_text(struct render *r, const struct value *args, int n)
{
    const char *s = value_string(r, &args[0]);
    struct buf b;
    (void)n;
    buf_init(&b, TEXT_MAX_BYTES);
    for (s += strspn(s, " "); *s != '\0'; s += strspn(s, " ")) {
        size_t len = strcspn(s, " ");
        double value;
        if (!num_parse(s, len, &value) || fabs(value) >= 1e15) {
            buf_clear(&b);
            break;
        }
        if (b.len > 0)
            put(r, &b, " ");
        put(r, &b, number_text(r->arena, value, -1, false, r->t->decimal));
        s += len;
    }
    if (b.len > 0)
        return put_end(r, &b);
    buf_release(&b);
    return found_nothing(r);
}

static struct value do_signed_text(struct render *r, const struct value *args, int n)
{
    return numbered(r, args, n, true);
}

const char *date_style_of(const struct date_style *d)
{
    const char *style = d->styles[d->form];
    return style != NULL ? style : d->styles[DATE_SHORT];
}

bool date_style_is_valid(const char *style)
{
    bool any = false;
    if (strlen(style) > 60)
        return false;
    while (*style != '\0') {
        size_t len = strspn(style, (char[]){*style, '\0'});
        if (*style == 'd' || *style == 'M' || *style == 'y') {
            any = true;
            if ((*style == 'd' && len > 2) || (*style == 'M' && len > 4) ||
                (*style == 'y' && len != 2 && len != 4))
                return false;
        } else if (isalpha((unsigned char)*style)) {
            return false;
        }
        style += len;
    }
    return any;
}

/* With zeros before it up to `len` digits. */
static void add_digits(struct buf *b, int value, size_t len)
{
    for (int least = 10; len > 1; len--, least *= 10)
        if (value < least)
            buf_addc(b, '0');
    buf_addu(b, (uint64_t)value);
}

static void date_part(const struct date_style *ds, struct date d, char sign, size_t len,
                      struct buf *b)
{
    if (sign == 'd')
        add_digits(b, d.day, len);
    else if (sign == 'y')
        add_digits(b, len == 2 ? d.year % 100 : d.year, len);
    else if (len <= 2)
        add_digits(b, d.month, len);
    else
        buf_adds(b, len == 3 ? ds->months[d.month - 1] : ds->long_months[d.month - 1]);
}

static struct value do_date_text(struct render *r, const struct value *args, int n)
{
    struct date d;
    struct buf b;
    (void)n;
    if (is_nothing(r, &args[0]))
        return found_nothing(r);
    if (!date_parse_iso(value_string(r, &args[0]), &d)) {
        render_error(r, DIAG_LAYOUT_DATE, NULL);
        return string_value("?");
    }
    buf_init(&b, TEXT_MAX_BYTES);
    for (const char *s = date_style_of(&r->t->dates); *s != '\0';) {
        size_t len = 1;
        while (s[len] == *s)
            len++;
        if (*s == 'd' || *s == 'M' || *s == 'y')
            date_part(&r->t->dates, d, *s, len, &b);
        else
            buf_add(&b, s, len);
        s += len;
    }
    return put_end(r, &b);
}

/* Upper case of the letters of European scripts; what has none stays. */
static int32_t upper(int32_t c)
{
    if ((c >= 'a' && c <= 'z') || (c >= 0xE0 && c <= 0xFE && c != 0xF7) ||
        (c >= 0x3B1 && c <= 0x3C9 && c != 0x3C2) || (c >= 0x430 && c <= 0x44F))
        return c - 0x20;
    if (c >= 0x450 && c <= 0x45F)
        return c - 0x50;
    bool even_is_upper = (c >= 0x100 && c <= 0x137) || (c >= 0x14A && c <= 0x177);
    bool odd_is_upper = (c >= 0x139 && c <= 0x148) || (c >= 0x179 && c <= 0x17E);
    if ((even_is_upper && c % 2 == 1 && c != 0x131) || (odd_is_upper && c % 2 == 0))
        return c - 1;
    return c;
}

static struct value do_capital(struct render *r, const struct value *args, int n)
{
    const char *s = value_string(r, &args[0]), *rest = s;
    struct buf b;
    (void)n;
    if (*s == '\0')
        return found_nothing(r);
    int32_t c = utf8_next(&rest, s + strlen(s));
    if (c == UTF8_BAD || upper(c) == c)
        return string_value(s);
    buf_init(&b, TEXT_MAX_BYTES);
    utf8_put(&b, upper(c));
    put(r, &b, rest);
    return put_end(r, &b);
}

static struct value do_abs(struct render *r, const struct value *args, int n)
{
    (void)n;
    return number_value(fabs(value_number(r, &args[0])));
}

static struct value extreme(struct render *r, const struct value *args, bool largest)
{
    double a = value_number(r, &args[0]), b = value_number(r, &args[1]);
    if (isnan(a) || isnan(b))
        return number_value(NAN);
    return number_value((a > b) == largest ? a : b);
}

static struct value do_min(struct render *r, const struct value *args, int n)
{
    (void)n;
    return extreme(r, args, false);
}

static struct value do_max(struct render *r, const struct value *args, int n)
{
    (void)n;
    return extreme(r, args, true);
}

static struct value do_list_text(struct render *r, const struct value *args, int n)
{
    const char *between = value_string(r, &args[1]);
    const char *last = n == 3 ? value_string(r, &args[2]) : between;
    struct buf b;
    if (args[0].type != TYPE_NODES)
        return string_value(value_string(r, &args[0]));
    if (args[0].n == 0)
        return found_nothing(r);
    buf_init(&b, TEXT_MAX_BYTES);
    for (size_t i = 0; i < args[0].n; i++) {
        if (i > 0)
            put(r, &b, i + 1 == args[0].n ? last : between);
        put(r, &b, node_string(r, args[0].nodes[i]));
    }
    return put_end(r, &b);
}

static function_handler *const handlers[FN_COUNT] = {
    [FN_LAST] = do_last,
    [FN_POSITION] = do_position,
    [FN_COUNT_NODES] = do_count,
    [FN_STRING] = do_string,
    [FN_CONCAT] = do_concat,
    [FN_STARTS_WITH] = do_starts_with,
    [FN_CONTAINS] = do_contains,
    [FN_SUBSTRING_BEFORE] = function_substring_before,
    [FN_SUBSTRING_AFTER] = function_substring_after,
    [FN_SUBSTRING] = function_substring,
    [FN_STRING_LENGTH] = function_string_length,
    [FN_NORMALIZE_SPACE] = function_normalize_space,
    [FN_TRANSLATE] = function_translate,
    [FN_BOOLEAN] = do_boolean,
    [FN_NOT] = do_not,
    [FN_TRUE] = do_true,
    [FN_FALSE] = do_false,
    [FN_NUMBER] = do_number,
    [FN_SUM] = function_sum,
    [FN_FLOOR] = function_floor,
    [FN_CEILING] = function_ceiling,
    [FN_ROUND] = function_round,
    [FN_WORD] = do_word,
    [FN_NUMBER_TEXT] = do_number_text,
    [FN_NUMBERS_TEXT] = do_numbers_text,
    [FN_SIGNED_TEXT] = do_signed_text,
    [FN_DATE_TEXT] = do_date_text,
    [FN_CAPITAL] = do_capital,
    [FN_ABS] = do_abs,
    [FN_MIN] = do_min,
    [FN_MAX] = do_max,
    [FN_LIST_TEXT] = do_list_text,
};

struct value function_call(struct render *r, int function, const struct value *args, int n)
{
    assert(handlers[function] != NULL); /* only what is marked direct, ours or concat comes here */
    return handlers[function](r, args, n);
}
