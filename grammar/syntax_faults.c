/* Syntax faults: what stands there, and for the slips people really make, what to write instead. */
#include "grammar/syntax_faults.h"
#include "grammar/words.h"

struct around { /* the token that does not fit, and what stands before it */
    struct parser *p;
    struct diagnostics *g;
    const struct unexpected *u;
    uint32_t first;   /* token of the statement */
    uint32_t before;  /* the token that counts in front of the unexpected one, 0 at the start */
    uint32_t before2; /* and the one in front of that */
    uint8_t first_kind, kind_before, kind_before2;
    struct span span;
    struct span behind; /* the empty place behind `before` */
};

static bool is_end(uint8_t kind)
{
    return kind == TOKEN_END || kind == TOKEN_NEWLINE || kind == TOKEN_CLOSE_BRACE;
}

static uint32_t token_before(const struct parser *p, uint32_t token)
{
    while (token > 1 && is_trivia(p->kind[token - 1]))
        token--;
    return token - (token > 0);
}

static struct around look_around(struct parser *p, const struct unexpected *u)
{
    struct around a = {.p = p, .g = p->diagnostics, .u = u};
    bool made_up = p->kind[u->at.first] != u->kind; /* a token that is missing: it stands behind the last one */
    a.before = made_up ? u->at.first : token_before(p, u->at.first);
    a.before2 = token_before(p, a.before);
    a.kind_before = p->kind[a.before];
    a.kind_before2 = p->kind[a.before2];
    bool moved = u->kind == TOKEN_NEWLINE || u->kind == TOKEN_OPEN_BRACE || u->kind == TOKEN_CLOSE_BRACE;
    a.first = moved ? p->statement_before : p->statement;
    while (is_trivia(p->kind[a.first]))
        a.first++;
    a.first_kind = p->kind[a.first];
    struct span before = token_span(p->tree, a.before);
    a.behind = (struct span){p->tree->file, before.hi, before.hi};
    a.span = made_up || is_end(u->kind) ? a.behind : token_span(p->tree, u->at.first);
    return a;
}

static struct text shown(const struct around *a, uint32_t token)
{
    struct text t = token_text(a->p->tree, token);
    uint32_t most = 30;
    if (t.len <= most)
        return t;
    while (most && ((unsigned char)t.at[most] & 0xc0) == 0x80)
        most--;
    return arena_format(a->p->arena, "%.*s...", (int)most, t.at);
}

#define SHOWN(token) TEXT_ARGS(shown(a, token))

static bool wants(const struct around *a, enum token_kind kind)
{
    return a->u->wanted[kind];
}

static bool wants_value(const struct around *a)
{
    return wants(a, TOKEN_NUMBER) && wants(a, TOKEN_OPEN);
}

/* Whether only definitions stand here: in a file, in steps. */
static bool among_definitions(const struct around *a)
{
    uint32_t depth = a->p->depth - (a->u->kind == TOKEN_OPEN_BRACE);
    return depth == 0 || depth == a->p->steps_depth;
}

static bool is_note(uint8_t kind)
{
    return kind >= TOKEN_BECAUSE && kind <= TOKEN_LABEL;
}

static bool compares(uint8_t kind)
{
    return kind >= TOKEN_LESS && kind <= TOKEN_DIFFERENT;
}

static bool is_operator(uint8_t kind)
{
    return (kind >= TOKEN_PLUS_MINUS && kind <= TOKEN_DIFFERENT && kind != TOKEN_MINUS_TIGHT &&
            kind != TOKEN_PLUS_TIGHT) ||
           kind == TOKEN_AND || kind == TOKEN_OR;
}

/* ---- slips, the most telling first ------------------------------------------------------------------------------- */

static bool slip_key_word(struct around *a)
{
    uint8_t kind = a->u->kind;
    if (!is_key_word(kind) || !wants(a, TOKEN_NAME) || wants(a, TOKEN_AND) || is_end(a->kind_before))
        return false;
    if (wants_value(a) &&
        (is_note(kind) || kind == TOKEN_THEN || kind == TOKEN_ELSE || kind == TOKEN_AND || kind == TOKEN_OR))
        return false;
    struct diagnostic *d;
    if (wants_value(a) && (kind == TOKEN_TABLE || kind == TOKEN_FIND)) {
        d = report(a->g, FAULT_syntax, a->span, "'%.*s' stands only as the whole value of a property",
                   SHOWN(a->u->at.first));
        report_help(a->g, d, "write 'PROPERTY = %s'",
                    kind == TOKEN_TABLE ? "table [degC] to [MPa] {" : "find LOW .. HIGH");
    } else if (wants_value(a) && kind == TOKEN_EACH) {
        d = report(a->g, FAULT_syntax, a->span, "'each' stands only at the start of an argument");
        report_help(a->g, d, "write 'sum(each KIND as x: ...)' or 'count(each KIND)'");
    } else {
        d = report(a->g, FAULT_syntax, a->span, "'%.*s' is a key word and cannot be a name here",
                   SHOWN(a->u->at.first));
        report_help(a->g, d, "choose another name");
    }
    return true;
}

static void report_missing_equals(struct around *a, uint32_t name, uint32_t value)
{
    uint32_t at = token_span(a->p->tree, name).hi, front = token_span(a->p->tree, value).lo;
    struct span behind = {a->p->tree->file, at, at};
    struct diagnostic *d = report(a->g, FAULT_syntax, behind, "'=' is missing behind '%.*s'", SHOWN(name));
    report_help(a->g, d, "a fact is written 'NAME = VALUE'");
    report_edit(a->g, d, (struct span){behind.file, front, front}, TEXT("= "));
}

static bool slip_waived_requirement(struct around *a)
{
    if (a->kind_before != TOKEN_WAIVE || a->u->kind != TOKEN_REQUIRE)
        return false;
    struct diagnostic *d =
        report(a->g, FAULT_syntax, a->span, "a requirement has no name, so it cannot be waived by one");
    report_help(a->g, d, "write it as a limit with a name, 'limit NAME {' with value and bound, and waive that");
    return true;
}

static bool slip_equals(struct around *a)
{
    uint8_t kind = a->u->kind;
    bool begins_value = kind == TOKEN_NUMBER || kind == TOKEN_DATE || kind == TOKEN_TEXT || kind == TOKEN_MINUS_TIGHT ||
                        kind == TOKEN_NAME || kind == TOKEN_UNIT_TYPE || (kind >= TOKEN_TABLE && kind <= TOKEN_FIND) ||
                        kind == TOKEN_IF || (kind >= TOKEN_NOT && kind <= TOKEN_FALSE);
    if (wants(a, TOKEN_EQUALS) && begins_value && kind != TOKEN_UNIT_TYPE &&
        !(a->first_kind == TOKEN_LET && a->before == a->first)) {
        report_missing_equals(a, a->before, a->u->at.first);
        return true;
    }
    if (among_definitions(a) || !wants(a, TOKEN_OPEN_BRACE) || !wants(a, TOKEN_LIKE))
        return false;
    if (a->before2 == a->first) { /* alloy az31b-o, read as the head of a definition */
        report_missing_equals(a, a->first, a->before);
        return true;
    }
    struct diagnostic *d = report(a->g, FAULT_syntax, a->span, "'%.*s' has no value", SHOWN(a->before));
    report_help(a->g, d, "a fact is written 'NAME = VALUE'");
    return a->before == a->first;
}

static bool slip_brace(struct around *a)
{
    if (!is_end(a->u->kind) || !wants(a, TOKEN_OPEN_BRACE))
        return false;
    struct text head = {a->p->tree->bytes.at + token_span(a->p->tree, a->first).lo, 0};
    head.len = a->behind.lo - token_span(a->p->tree, a->first).lo;
    bool whole = head.len <= 80 && !memchr(head.at, '\n', head.len);
    struct diagnostic *d = report(a->g, FAULT_syntax, a->behind, "'{' is missing behind '%.*s'", SHOWN(a->before));
    if (whole)
        report_help(a->g, d, "write '%.*s {' and the closing } below", TEXT_ARGS(head));
    else
        report_help(a->g, d, "a block opens with { at the end of its first line");
    return true;
}

static bool slip_quoted_name(struct around *a)
{
    if (a->u->kind != TOKEN_TEXT || a->before != a->first || a->kind_before != TOKEN_NAME || !among_definitions(a))
        return false;
    struct diagnostic *d = report(a->g, FAULT_syntax, a->span, "a name stands without quotes");
    report_help(a->g, d, "names are lower case, with hyphens inside: river-logger-lid");
    return true;
}

static bool slip_each(struct around *a)
{
    if (a->u->kind != TOKEN_COLON || !wants(a, TOKEN_AS))
        return false;
    struct diagnostic *d =
        report(a->g, FAULT_syntax, a->behind, "'as' and a name are missing behind '%.*s'", SHOWN(a->before));
    report_help(a->g, d, "write 'each %.*s as x: ...'", SHOWN(a->before));
    report_edit(a->g, d, a->behind, TEXT(" as x"));
    return true;
}

static bool slip_outside(struct around *a)
{
    bool names = a->kind_before == TOKEN_NAME && a->before == a->first && among_definitions(a);
    if (!names || (a->u->kind != TOKEN_EQUALS && a->u->kind != TOKEN_OPEN && a->u->kind != TOKEN_TEXT))
        return false;
    bool in_steps = a->p->depth > 0;
    struct diagnostic *d =
        report(a->g, FAULT_syntax, token_span(a->p->tree, a->before), "'%.*s' is stated outside any %s",
               SHOWN(a->before), in_steps ? "step" : "definition");
    report_help(a->g, d,
                in_steps ? "facts of a step stand between its own braces"
                         : "facts stand between the braces of their definition; a value of your own begins with let");
    return true;
}

static bool slip_unit_first(struct around *a)
{
    bool names = a->before == a->first || (among_definitions(a) && a->before2 == a->first);
    if (a->u->kind != TOKEN_NUMBER || a->kind_before != TOKEN_NAME || names)
        return false;
    struct text unit = token_text(a->p->tree, a->before), number = token_text(a->p->tree, a->u->at.first);
    struct span both = span_join(token_span(a->p->tree, a->before), a->span);
    struct diagnostic *d = report(a->g, FAULT_syntax, both, "the unit stands behind its number");
    report_help(a->g, d, "write '%.*s %.*s'", TEXT_ARGS(number), TEXT_ARGS(unit));
    if (unit.len < 8)
        report_edit(a->g, d, both, arena_format(a->p->arena, "%.*s %.*s", TEXT_ARGS(number), TEXT_ARGS(unit)));
    return true;
}

static bool slip_bracketed_unit(struct around *a)
{
    if (a->u->kind != TOKEN_UNIT_TYPE || a->kind_before != TOKEN_NUMBER)
        return false;
    struct text unit = token_text(a->p->tree, a->u->at.first);
    struct diagnostic *d = report(a->g, FAULT_syntax, a->span, "the unit of a value stands without brackets");
    report_help(a->g, d, "write '%.*s %.*s'", SHOWN(a->before), (int)unit.len - 2, unit.at + 1);
    report_edit(a->g, d, a->span, (struct text){unit.at + 1, unit.len - 2});
    return true;
}

static bool slip_comparison(struct around *a)
{
    if (!compares(a->u->kind) || !ends_value(a->kind_before) || !wants(a, TOKEN_AND))
        return false;
    struct diagnostic *d = report(a->g, FAULT_syntax, a->span, "comparisons do not chain");
    report_help(a->g, d, "write both: 'a < b and b < c'");
    return true;
}

static bool slip_tolerance(struct around *a)
{
    uint8_t kind = a->u->kind;
    bool band =
        kind == TOKEN_PLUS_MINUS || kind == TOKEN_RANGE || kind == TOKEN_PLUS_TIGHT || kind == TOKEN_MINUS_TIGHT;
    if (!band || !ends_value(a->kind_before))
        return false;
    bool range = kind == TOKEN_RANGE;
    struct diagnostic *d =
        report(a->g, FAULT_syntax, a->span, "a %s stands only behind the whole value of a property%s",
               range ? "range" : "tolerance", range ? "" : " or let");
    report_help(a->g, d, "give a property the %s; a formula that uses the property takes it into account",
                range ? "range" : "tolerance");
    return true;
}

static bool slip_branch(struct around *a)
{
    if (wants_value(a) || !(wants(a, TOKEN_THEN) || wants(a, TOKEN_ELSE)) ||
        (!is_end(a->u->kind) && a->u->kind != TOKEN_CLOSE))
        return false;
    bool then = wants(a, TOKEN_THEN);
    struct diagnostic *d = report(a->g, FAULT_syntax, a->behind,
                                  then ? "'then' is missing behind the condition"
                                       : "'else' is missing: every 'if' gives a value both ways");
    report_help(a->g, d, "write 'if CONDITION then VALUE else VALUE'");
    return true;
}

static bool slip_quotes(struct around *a)
{
    bool text_for_name = a->u->kind == TOKEN_TEXT && wants(a, TOKEN_NAME) && !wants(a, TOKEN_TEXT);
    bool name_for_text =
        a->u->kind != TOKEN_TEXT && wants(a, TOKEN_TEXT) && !wants(a, TOKEN_NUMBER) && !wants(a, TOKEN_EQUALS);
    if (!text_for_name && !name_for_text)
        return false;
    if (text_for_name) {
        struct diagnostic *d = report(a->g, FAULT_syntax, a->span, "a name stands without quotes");
        report_help(a->g, d, "names are lower case, with hyphens inside: river-logger-lid");
        return true;
    }
    struct diagnostic *d =
        report(a->g, FAULT_syntax, a->behind, "a text in double quotes is missing behind '%.*s'", SHOWN(a->before));
    report_help(a->g, d, "write '%.*s \"...\"'", SHOWN(a->before));
    return true;
}

static bool slip_no_value(struct around *a)
{
    uint8_t kind = a->u->kind;
    bool stops = is_end(kind) || is_note(kind) || is_operator(kind) || kind == TOKEN_CLOSE || kind == TOKEN_COMMA ||
                 kind == TOKEN_TEXT_MID || kind == TOKEN_TEXT_TAIL || kind == TOKEN_THEN || kind == TOKEN_ELSE ||
                 kind == TOKEN_EQUALS || kind == TOKEN_COLON;
    if (!stops || !wants_value(a) || is_end(a->kind_before))
        return false;
    struct diagnostic *d;
    if (a->kind_before == TOKEN_TEXT_HEAD || a->kind_before == TOKEN_TEXT_MID) {
        d = report(a->g, FAULT_syntax, a->behind, "the braces of this text are empty");
        report_help(a->g, d, "write a value between them, as {die.temperature}; a brace itself is written \\{");
        return true;
    }
    d = report(a->g, FAULT_syntax, a->behind, "a value is missing behind '%.*s'", SHOWN(a->before));
    if (a->kind_before == TOKEN_EQUALS)
        report_help(a->g, d, "write the value behind '=', or leave the line out");
    else if (is_operator(kind) && !is_end(kind))
        report_help(a->g, d, "between '%.*s' and '%.*s' stands a value", SHOWN(a->before), SHOWN(a->u->at.first));
    else
        report_help(a->g, d, "complete it with a number and its unit, a name or a formula");
    return true;
}

static bool slip_line_start(struct around *a)
{
    if (!is_operator(a->u->kind) && a->u->kind != TOKEN_EQUALS && a->u->kind != TOKEN_COMMA)
        return false;
    if (a->kind_before != TOKEN_NEWLINE)
        return false;
    struct diagnostic *d =
        report(a->g, FAULT_syntax, a->span, "a line cannot begin with '%.*s'", SHOWN(a->u->at.first));
    report_help(a->g, d, "write it at the end of the line above, or put the whole value in parentheses");
    return true;
}

static bool slip_two_values(struct around *a)
{
    uint8_t kind = a->u->kind;
    bool begins = kind == TOKEN_NAME || kind == TOKEN_NUMBER || kind == TOKEN_TEXT || kind == TOKEN_TEXT_HEAD ||
                  kind == TOKEN_DATE || kind == TOKEN_OPEN || (is_key_word(kind) && !is_note(kind));
    if (!begins || !ends_value(a->kind_before) || !wants(a, TOKEN_AND))
        return false;
    struct diagnostic *d = report(a->g, FAULT_syntax, a->span, "'%.*s' does not belong to the value in front of it",
                                  SHOWN(a->u->at.first));
    if (kind == TOKEN_TO)
        report_help(a->g, d, "a range is written with two points: '5 mm .. 80 mm'");
    else if (a->kind_before == TOKEN_NAME && kind == TOKEN_NAME)
        report_help(a->g, d, "a list has commas: '%.*s, %.*s'; a value has an operator between its parts",
                    SHOWN(a->before), SHOWN(a->u->at.first));
    else
        report_help(a->g, d, "one fact a line; between two values stands an operator such as + or *");
    return true;
}

/* ---- the rest ---------------------------------------------------------------------------------------------------- */

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

static struct text expected(const struct around *a)
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

/* How a statement of this kind is written as a whole. */
static const char *form_of(uint8_t first)
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

static void report_plain(struct around *a)
{
    struct diagnostic *d;
    if (a->u->kind == TOKEN_NEWLINE)
        d = report(a->g, FAULT_syntax, a->span, "the line ends too early");
    else if (a->u->kind == TOKEN_END)
        d = report(a->g, FAULT_syntax, a->span, "the file ends too early");
    else if (a->u->kind == TOKEN_CLOSE_BRACE)
        d = report(a->g, FAULT_syntax, a->span, "the block ends too early");
    else
        d = report(a->g, FAULT_syntax, a->span, "'%.*s' does not fit here", SHOWN(a->u->at.first));
    struct text list = expected(a);
    const char *form = a->first == a->u->at.first ? NULL : form_of(a->first_kind);
    report_help(a->g, d, "expected %.*s%s%s%s", TEXT_ARGS(list), form ? "; the form is '" : "", form ? form : "",
                form ? "'" : "");
}

/* A fault in this statement that the scanner told already may be the cause. */
static bool told_already(struct parser *p, const struct around *a)
{
    while (p->faulty_left && *p->faulty < a->first) {
        p->faulty++;
        p->faulty_left--;
    }
    uint32_t last = p->kind[a->u->at.last] == a->u->kind ? a->u->at.last : p->next; /* a missing token has no place */
    return p->faulty_left && *p->faulty <= last;
}

static void report_unexpected(struct parser *p, const void *argument)
{
    static bool (*const slips[])(struct around *) = {
        slip_unit_first, slip_bracketed_unit, slip_waived_requirement,
        slip_key_word,   slip_line_start,     slip_quoted_name,
        slip_outside,    slip_each,           slip_equals,
        slip_brace,      slip_quotes,         slip_no_value,
        slip_branch,     slip_comparison,     slip_tolerance,
        slip_two_values,
    };
    struct around a = look_around(p, argument);
    if (told_already(p, &a))
        return;
    for (uint32_t i = 0; i < sizeof slips / sizeof *slips; i++)
        if (slips[i](&a))
            return;
    report_plain(&a);
}

void report_syntax(struct parser *p, const struct unexpected *u)
{
    guarded(p, report_unexpected, u);
}

/* ---- what the grammar reads and does not take -------------------------------------------------------------------- */

static void tell_exhausted(struct parser *p, const void *argument)
{
    const struct token_range *at = argument;
    struct diagnostic *d = report(p->diagnostics, FAULT_nested_too_deep, token_span(p->tree, at->first),
                                  "the text is nested too deep to be read further");
    report_help(p->diagnostics, d, "give parts of the formula a name with let or derive");
}

void report_exhausted(struct parser *p, struct token_range at)
{
    guarded(p, tell_exhausted, &at);
}

static void tell_nested(struct parser *p, const void *argument)
{
    uint32_t definition = *(const uint32_t *)argument, kind = p->nodes[definition].child;
    struct diagnostic *d = report(p->diagnostics, FAULT_syntax, token_span(p->tree, p->nodes[kind].first),
                                  "a definition cannot stand inside another");
    report_help(p->diagnostics, d, "close the definition around it with } first; a fact is written 'NAME = VALUE'");
}

built report_nested(struct parser *p, built definition)
{
    uint32_t node = node_of(definition);
    if (p->nodes[node].kind == NODE_DEFINITION && !(p->nodes[node].flags & NODE_BROKEN))
        guarded(p, tell_nested, &node);
    p->nodes[node].kind = NODE_ERROR;
    return node_flag(p, definition, NODE_BROKEN);
}

static void tell_note(struct parser *p, const void *argument)
{
    uint32_t note = *(const uint32_t *)argument, word = p->nodes[note].first;
    struct diagnostic *d = report(p->diagnostics, FAULT_syntax, token_span(p->tree, word),
                                  "this '%.*s' belongs to nothing", TEXT_ARGS(token_text(p->tree, word)));
    report_help(p->diagnostics, d, "a note stands behind the value it is about, or in the line below it");
}

built report_lone_note(struct parser *p, built note)
{
    uint32_t node = node_of(note);
    guarded(p, tell_note, &node);
    p->nodes[node].kind = NODE_ERROR;
    return node_flag(p, note, NODE_BROKEN);
}

static void tell_called(struct parser *p, const void *argument)
{
    const struct node *callee = argument;
    struct span span = span_join(token_span(p->tree, callee->first), token_span(p->tree, callee->last));
    if (callee->kind == NODE_NUMBER && callee->last > callee->first) {
        struct text number = token_text(p->tree, callee->last - 1), unit = token_text(p->tree, callee->last);
        struct diagnostic *d = report(p->diagnostics, FAULT_syntax, token_span(p->tree, callee->last),
                                      "'%.*s' is read as the unit of '%.*s'", TEXT_ARGS(unit), TEXT_ARGS(number));
        report_help(p->diagnostics, d, "between a number and a function stands an operator: '%.*s * %.*s(...)'",
                    TEXT_ARGS(number), TEXT_ARGS(unit));
        return;
    }
    struct diagnostic *d = report(p->diagnostics, FAULT_syntax, span, "only functions are followed by '('");
    report_help(p->diagnostics, d, "between two values stands an operator such as *");
}

built check_called(struct parser *p, built callee)
{
    struct node *node = &p->nodes[node_of(callee)];
    bool called =
        node->kind == NODE_NAME || node->kind == NODE_MEMBER || node->kind == NODE_CALL || node->kind == NODE_PAREN;
    if (called || node->kind == NODE_ERROR)
        return callee;
    struct node copy = *node;
    guarded(p, tell_called, &copy);
    node->kind = NODE_ERROR;
    return callee;
}

static void tell_of(struct parser *p, const void *argument)
{
    const struct token_range *of = argument;
    struct diagnostic *d =
        report(p->diagnostics, FAULT_syntax, token_span(p->tree, of->first),
               "'%.*s' does not fit between 'each' and a list", TEXT_ARGS(token_text(p->tree, of->first)));
    report_help(p->diagnostics, d, "write 'each of h.between as t: ...', or 'each KIND as x: ...'");
}

built check_of(struct parser *p, struct token_range of, built list)
{
    if (!text_is(token_text(p->tree, of.first), "of"))
        guarded(p, tell_of, &of);
    return list;
}
