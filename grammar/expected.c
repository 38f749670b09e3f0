/* What would have fitted, in an engineer's words. */
#include "grammar/around.h"
#include "grammar/words.h"

enum { EXPECTED_LIMIT = 4 };

struct words {
    struct arena *arena;
    struct text list;
    int count, total;
};

static void add_word(struct words *w, const char *word, int total)
{
    const char *join = w->count == 0 ? "" : w->count + 1 == total || w->count + 1 == EXPECTED_LIMIT ? " or " : ", ";
    if (w->count++ < EXPECTED_LIMIT)
        w->list = arena_format(w->arena, "%.*s%s%s", TEXT_ARGS(w->list), join, word);
}

/* Token kinds that are shown as one thing. */
static const struct group {
    uint8_t from, to;
    const char *words;
} groups[] = {
    {TOKEN_NEWLINE, TOKEN_NEWLINE, "the end of the line"},
    {TOKEN_NAME, TOKEN_NAME, "a name"},
    {TOKEN_NUMBER, TOKEN_NUMBER, "a number"},
    {TOKEN_UNIT, TOKEN_UNIT, "a unit"},
    {TOKEN_UNIT_TYPE, TOKEN_UNIT_TYPE, "a unit in brackets, as [mm]"},
    {TOKEN_DATE, TOKEN_DATE, "a date, as 2026-11-02"},
    {TOKEN_TEXT, TOKEN_TEXT_HEAD, "a text in double quotes"},
    {TOKEN_BECAUSE, TOKEN_LABEL, "a note, as source \"...\""},
    {TOKEN_PLUS, TOKEN_DIFFERENT, "an operator"},
};

static bool wants_any(const struct around *a, const struct group *g)
{
    for (int kind = g->from; kind <= g->to; kind++)
        if (wants(a, kind) && kind != TOKEN_PLUS_TIGHT && kind != TOKEN_MINUS_TIGHT)
            return true;
    return false;
}

/* Kinds shown by their own spelling, where a value could not stand. */
static bool shows_itself(const struct around *a, uint8_t kind)
{
    if (!wants(a, kind) || kind < TOKEN_USE || kind >= TOKEN_PLUS || is_note(kind))
        return false;
    bool joins =
        kind == TOKEN_AND || kind == TOKEN_OR || kind == TOKEN_DOT || kind == TOKEN_PLUS_MINUS || kind == TOKEN_RANGE;
    if (joins && wants(a, TOKEN_PLUS) && (kind != TOKEN_RANGE || wants(a, TOKEN_NEWLINE)))
        return false;
    return !(kind == TOKEN_OPEN && wants(a, TOKEN_PLUS));
}

static int list_expected(const struct around *a, struct words *w, int total)
{
    bool value = wants_value(a);
    if (value)
        add_word(w, "a value", total);
    for (int kind = TOKEN_USE; kind < TOKEN_PLUS; kind++)
        if (shows_itself(a, kind) && !(value && (is_key_word(kind) || kind == TOKEN_OPEN)))
            add_word(w, arena_format(w->arena, "'%.*s'", TEXT_ARGS(word_of_kind(kind))).at, total);
    for (uint32_t i = 0; i < sizeof groups / sizeof *groups; i++) {
        bool in_value = groups[i].from == TOKEN_NAME || groups[i].from == TOKEN_NUMBER ||
                        groups[i].from == TOKEN_DATE || groups[i].from == TOKEN_TEXT || groups[i].from == TOKEN_PLUS;
        if (wants_any(a, &groups[i]) && !(value && in_value))
            add_word(w, groups[i].words, total);
    }
    return w->count;
}

struct text expected_text(const struct around *a)
{
    if (wants(a, TOKEN_LET) && wants(a, TOKEN_USE))
        return TEXT(
            "a definition such as 'tool die {', or let, formula, derive, limit, caution, require, waive, use, steps");
    if (a->p->depth && a->p->depth == a->p->steps_depth && wants(a, TOKEN_NAME) && is_end(a->kind_before))
        return TEXT("a step, as 'stroke form {'");
    if (wants(a, TOKEN_NAME) && wants(a, TOKEN_BECAUSE) && wants(a, TOKEN_CLOSE_BRACE))
        return TEXT("a fact, as 'thickness = 0.50 mm', or '}'");
    if (wants(a, TOKEN_CLOSE_BRACE) && wants(a, TOKEN_NUMBER) && wants(a, TOKEN_NAME))
        return TEXT("a row of the table, as '100: 26.1', or '}'");
    struct words w = {.arena = a->p->arena, .list = TEXT("")};
    int total = list_expected(a, &w, 0);
    w = (struct words){.arena = a->p->arena, .list = TEXT("")};
    list_expected(a, &w, total);
    return w.list;
}

const char *expected_form(uint8_t first)
{
    switch (first) {
    case TOKEN_USE:
        return "use \"shop/press-bay.recipe\"";
    case TOKEN_LET:
        return "let NAME [unit] = VALUE";
    case TOKEN_DERIVE:
        return "derive for each KIND as x {";
    case TOKEN_FORMULA:
        return "formula NAME(a [mm], b [K]) [mm] = VALUE";
    case TOKEN_LIMIT:
        return "limit NAME for each KIND as x {";
    case TOKEN_CAUTION:
        return "caution NAME for each KIND as x {";
    case TOKEN_REQUIRE:
        return "require CONDITION because \"...\"";
    case TOKEN_WAIVE:
        return "waive LIMIT for NAME until 2026-12-31 by \"ROLE\" because \"...\"";
    case TOKEN_STEPS:
        return "steps {";
    default:
        return NULL;
    }
}
