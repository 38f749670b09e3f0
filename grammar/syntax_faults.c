/* Syntax faults: what stands there, what was expected, and for the slips people really make, what to write instead. */
#include "grammar/syntax_faults.h"

struct around { /* the faulty token and its neighbours */
    struct parser *p;
    const struct tree *tree;
    uint32_t before, at, behind; /* tokens that count; 0 or the end where there is none */
    uint8_t kind_before, kind, kind_behind;
    struct span span;
};

static bool is_key_word(uint8_t kind)
{
    return kind >= TOKEN_USE && kind <= TOKEN_FALSE;
}

static bool ends_value(uint8_t kind)
{
    return kind == TOKEN_NAME || kind == TOKEN_NUMBER || kind == TOKEN_UNIT || kind == TOKEN_CLOSE ||
           kind == TOKEN_TEXT || kind == TOKEN_DATE || kind == TOKEN_TEXT_TAIL || kind == TOKEN_TRUE ||
           kind == TOKEN_FALSE;
}

static struct around look_around(struct parser *p, struct token_range at)
{
    const struct tree *t = p->tree;
    struct around a = {.p = p, .tree = t, .before = at.first - 1, .at = at.first, .behind = at.first + 1};
    while (a.before && is_trivia(t->token_kind[a.before]))
        a.before--;
    while (a.behind < t->token_count - 1 && is_trivia(t->token_kind[a.behind]))
        a.behind++;
    if (a.behind >= t->token_count)
        a.behind = t->token_count - 1;
    a.kind_before = a.before ? t->token_kind[a.before] : (uint8_t)TOKEN_NEWLINE;
    a.kind = t->token_kind[a.at];
    a.kind_behind = t->token_kind[a.behind];
    a.span = token_span(t, a.at);
    return a;
}

/* ---- slips ------------------------------------------------------------------------------------------------------------- */

static bool wants(const char *const *expected, int count, const char *name)
{
    for (int i = 0; i < count; i++)
        if (strcmp(expected[i], name) == 0)
            return true;
    return false;
}

static bool slip_of_sign(const struct around *a)
{
    bool minus = a->kind == TOKEN_MINUS_TIGHT;
    if (!(minus || a->kind == TOKEN_PLUS_TIGHT) || !ends_value(a->kind_before))
        return false;
    struct diagnostics *g = a->p->diagnostics;
    struct diagnostic *d = report(g, FAULT_missing_space, a->span,
                                  "a %s sign between two values needs a space on both sides", minus ? "minus" : "plus");
    report_help(g, d, "%s",
                minus ? "write 'a - b'; names may contain hyphens, so 'a-b' is one name"
                      : "write 'a + b'; for a tolerance write both sides, 50 mm +0.10 mm -0.05 mm");
    bool tight_before = token_span(a->tree, a->before).hi == a->span.lo;
    report_edit(g, d, a->span,
                minus          ? tight_before ? TEXT(" - ") : TEXT("- ")
                         : tight_before ? TEXT(" + ")
                               : TEXT("+ "));
    return true;
}

static bool slip_of_equals(const struct around *a, const char *const *expected, int count)
{
    struct diagnostics *g = a->p->diagnostics;
    if ((a->kind == TOKEN_COLON || a->kind == TOKEN_SAME) && wants(expected, count, "=")) {
        struct diagnostic *d = report(g, FAULT_syntax, a->span, "a property is stated with '=', not with '%s'",
                                      a->kind == TOKEN_COLON ? ":" : "==");
        report_help(g, d, "write 'NAME = value'");
        report_edit(g, d, a->span, TEXT("="));
        return true;
    }
    if (a->kind == TOKEN_EQUALS && wants(expected, count, "{")) {
        struct diagnostic *d = report(g, FAULT_syntax, a->span, "a property stands outside a block");
        report_help(g, d,
                    "properties stand in the { } of a definition; for a value of your own write 'let NAME = ...'");
        return true;
    }
    if (a->kind == TOKEN_EQUALS && ends_value(a->kind_before) && !wants(expected, count, "=")) {
        struct diagnostic *d = report(g, FAULT_syntax, a->span, "'=' states a value; it does not compare");
        report_help(g, d, "to compare write '=='; for two statements write two lines");
        return true;
    }
    return false;
}

static bool slip_of_order(const struct around *a, const char *const *expected, int count)
{
    struct diagnostics *g = a->p->diagnostics;
    bool value = a->kind == TOKEN_NUMBER || a->kind == TOKEN_NAME || a->kind == TOKEN_TABLE;
    if (value && a->kind_before == TOKEN_NAME && wants(expected, count, "=") && !wants(expected, count, "{")) {
        struct diagnostic *d = report(g, FAULT_syntax, a->span, "'=' is missing in front of the value");
        report_help(g, d, "write '%.*s = ...'", TEXT_ARGS(token_text(a->tree, a->before)));
        report_edit(g, d, (struct span){a->span.file, a->span.lo, a->span.lo}, TEXT("= "));
        return true;
    }
    if (a->kind == TOKEN_NUMBER && a->kind_before == TOKEN_NAME) {
        struct text unit = token_text(a->tree, a->before), number = token_text(a->tree, a->at);
        struct diagnostic *d = report(g, FAULT_syntax, span_join(token_span(a->tree, a->before), a->span),
                                      "a number cannot follow '%.*s'", TEXT_ARGS(unit));
        report_help(g, d, "the unit stands behind its number, as '%.*s %.*s'; a property is stated with '='",
                    TEXT_ARGS(number), TEXT_ARGS(unit));
        return true;
    }
    if ((a->kind == TOKEN_NAME || is_key_word(a->kind)) && a->kind_behind == TOKEN_EQUALS &&
        ends_value(a->kind_before)) {
        struct diagnostic *d = report(g, FAULT_syntax, a->span, "two statements on one line");
        report_help(g, d, "one fact a line: begin a new line in front of '%.*s'",
                    TEXT_ARGS(token_text(a->tree, a->at)));
        return true;
    }
    return false;
}

static bool slip_of_place(const struct around *a, const char *const *expected, int count)
{
    struct diagnostics *g = a->p->diagnostics;
    if (is_key_word(a->kind) && wants(expected, count, "a name")) {
        struct diagnostic *d = report(g, FAULT_syntax, a->span, "'%.*s' is a key word and cannot be a name here",
                                      TEXT_ARGS(token_text(a->tree, a->at)));
        report_help(g, d, "choose another name");
        return true;
    }
    if (a->kind == TOKEN_OPEN_BRACE && wants(expected, count, "=")) {
        struct diagnostic *d = report(g, FAULT_syntax, a->span, "a block cannot stand inside this block");
        report_help(g, d, "close the block around it first, or state a property with '='");
        return true;
    }
    if (a->kind == TOKEN_UNIT && a->kind_before != TOKEN_NUMBER) {
        struct diagnostic *d = report(g, FAULT_syntax, a->span, "a unit without its number");
        report_help(g, d, "write the number, one space, the unit: 5 mm");
        return true;
    }
    return false;
}

/* ---- the rest ----------------------------------------------------------------------------------------------------------- */

static struct text found_words(const struct around *a)
{
    struct arena *arena = a->p->arena;
    struct text text = token_text(a->tree, a->at);
    if (a->kind == TOKEN_NEWLINE)
        return TEXT("the line ends too early");
    if (a->kind == TOKEN_END || a->at >= a->tree->token_count - 1)
        return TEXT("the file ends too early");
    if (a->kind == TOKEN_CLOSE_BRACE)
        return TEXT("the block ends too early");
    uint32_t shown = text.len > 30 ? 30 : text.len;
    while (shown && shown < text.len && ((unsigned char)text.at[shown] & 0xc0) == 0x80)
        shown--;
    return arena_format(arena, "'%.*s%s' does not fit here", (int)shown, text.at, shown < text.len ? "..." : "");
}

static bool is_mark(const char *name)
{
    return !(name[0] >= 'a' && name[0] <= 'z') || !strchr(name, ' ');
}

static struct text expected_words(struct arena *a, const char *const *expected, int count)
{
    struct text list = TEXT("");
    for (int i = 0; i < count && i < 4; i++) {
        const char *join = i == 0 ? "" : i + 1 == count || i == 3 ? " or " : ", ";
        list = is_mark(expected[i]) ? arena_format(a, "%.*s%s'%s'", TEXT_ARGS(list), join, expected[i])
                                    : arena_format(a, "%.*s%s%s", TEXT_ARGS(list), join, expected[i]);
    }
    return list;
}

static void report_plain(const struct around *a, const char *const *expected, int count)
{
    struct diagnostics *g = a->p->diagnostics;
    struct span at = a->span;
    if (a->kind == TOKEN_NEWLINE && a->before) { /* point behind what is unfinished, not at the end of a comment */
        struct span before = token_span(a->tree, a->before);
        at = (struct span){before.file, before.hi, before.hi};
    }
    if (a->kind_before == TOKEN_EQUALS) {
        struct span before = token_span(a->tree, a->before);
        struct diagnostic *d = report(g, FAULT_syntax, before, "the value behind '=' is missing");
        report_help(g, d, "write a number with its unit, a name, a text or a formula behind it");
        return;
    }
    struct diagnostic *d = report(g, FAULT_syntax, at, "%.*s", TEXT_ARGS(found_words(a)));
    bool value = wants(expected, count, "a number") ||
                 (count > 4 && a->kind_before != TOKEN_NEWLINE && !ends_value(a->kind_before));
    if (count > 0 && count <= 4)
        report_help(g, d, "expected %.*s", TEXT_ARGS(expected_words(a->p->arena, expected, count)));
    else if (value)
        report_help(g, d, "expected a value: a number with its unit, a name, a text or a formula");
    else if (ends_value(a->kind_before))
        report_help(g, d, "expected the end of the line, an operator such as + or *, or a note such as source \"...\"");
    else
        report_help(
            g, d,
            "expected a definition such as 'tool die {', or let, formula, derive, limit, caution, require, use, steps");
}

/* A fault in this statement that the scanner told already is not told again as a syntax fault. */
static bool told_already(struct parser *p, const struct around *a)
{
    if (a->at < p->quiet)
        return true;
    uint32_t first = a->at;
    while (first > 1 && p->tree->token_kind[first - 1] != TOKEN_NEWLINE &&
           p->tree->token_kind[first - 1] != TOKEN_OPEN_BRACE)
        first--;
    uint32_t lo = p->tree->token_at[first];
    const struct diagnostics *g = p->diagnostics;
    for (uint32_t i = g->all.count; i-- > 0;) {
        const struct diagnostic *d = g->all.at[i];
        if (d->span.file == p->tree->file && d->span.lo >= lo && d->span.lo <= a->span.hi &&
            d->severity == SEVERITY_ERROR)
            return true;
    }
    return false;
}

void report_syntax(struct parser *p, struct token_range at, const char *const *expected, int count)
{
    struct around a = look_around(p, at);
    p->skip = true;
    p->skip_block = a.kind == TOKEN_NEWLINE && wants(expected, count, "{");
    if (told_already(p, &a))
        return;
    if (slip_of_sign(&a) || slip_of_equals(&a, expected, count) || slip_of_order(&a, expected, count) ||
        slip_of_place(&a, expected, count))
        return;
    report_plain(&a, expected, count);
}

void report_exhausted(struct parser *p, struct token_range at, const char *message)
{
    (void)message;
    struct diagnostic *d = report(p->diagnostics, FAULT_nested_too_deep, token_span(p->tree, at.first),
                                  "the text is nested too deep to be read further");
    report_help(p->diagnostics, d, "name parts of the formula with let");
}

void report_stray_brace(struct parser *p, struct token_range at)
{
    struct diagnostic *d =
        report(p->diagnostics, FAULT_syntax, token_span(p->tree, at.first), "this brace closes nothing");
    report_help(p->diagnostics, d, "leave it out, or look for the block above that was closed too early");
}

uint32_t check_of(struct parser *p, struct token_range of, uint32_t list)
{
    struct text word = token_text(p->tree, of.first);
    if (!text_is(word, "of")) {
        struct diagnostic *d = report(p->diagnostics, FAULT_syntax, token_span(p->tree, of.first),
                                      "'%.*s' does not fit between 'each' and a list", TEXT_ARGS(word));
        report_help(p->diagnostics, d, "write 'each of h.between as t: ...', or 'each KIND as x: ...'");
    }
    return list;
}
