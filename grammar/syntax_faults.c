/* Syntax faults: what stands there, and for the slips people really make, what to write instead. */
#include "compiler/text/unit.h"
#include "grammar/around.h"

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

/* Whether only definitions stand here: in a file, in steps. */
static bool among_definitions(const struct around *a)
{
    uint32_t depth = a->p->depth - (a->u->kind == TOKEN_OPEN_BRACE);
    return depth == 0 || depth == a->p->steps_depth;
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

static bool slip_hole(struct around *a)
{
    if (a->u->kind != TOKEN_HOLE && a->kind_before != TOKEN_HOLE)
        return false;
    struct diagnostic *d =
        report(a->g, FAULT_syntax, a->span, "'?' stands only as the whole value of a property of a definition");
    report_help(a->g, d,
                a->kind_before == TOKEN_HOLE ? "write it alone; unit and band follow when the value is known"
                                             : "name the property that is not known yet: 'PROPERTY = ?'");
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

/* inside radius = 0.4 mm: the property counts under the joined name. */
static void report_property_with_blank(struct around *a)
{
    struct tree *t = a->p->tree;
    struct text name = arena_format(a->p->arena, "%.*s-%.*s", TEXT_ARGS(token_meant(t, a->first)),
                                    TEXT_ARGS(token_meant(t, a->before)));
    struct span span = span_join(token_span(t, a->first), token_span(t, a->before));
    struct diagnostic *d = report(a->g, FAULT_syntax, span, "a name has no blanks");
    report_help(a->g, d, "join its words by hyphens: '%.*s'", TEXT_ARGS(name));
    report_edit(a->g, d, span, name);
    tree_mend(a->p->arena, t, a->first, name);
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
    if (a->before2 == a->first && kind == TOKEN_EQUALS) {
        report_property_with_blank(a);
        return true;
    }
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

/* A text as the name it most likely means: "overall width" as overall-width; empty where it has other characters. */
static struct text as_name(struct arena *a, struct text t)
{
    char *out = arena_alloc(a, (size_t)t.len + 1);
    bool sound = t.len > 0;
    for (uint32_t i = 0; i < t.len; i++) {
        char c = t.at[i];
        out[i] = c == ' ' || c == '_' ? '-' : c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
        sound =
            sound && ((out[i] >= 'a' && out[i] <= 'z') || (i && ((out[i] >= '0' && out[i] <= '9') || out[i] == '-')));
    }
    return (struct text){out, sound ? t.len : 0};
}

static bool slip_quoted_name(struct around *a)
{
    if (a->u->kind != TOKEN_TEXT || a->before != a->first || a->kind_before != TOKEN_NAME || !among_definitions(a))
        return false;
    struct text raw = token_text(a->p->tree, a->u->at.first);
    struct text name = raw.len > 2 ? as_name(a->p->arena, (struct text){raw.at + 1, raw.len - 2}) : TEXT("");
    struct diagnostic *d = report(a->g, FAULT_syntax, a->span, "a name stands without quotes");
    if (!name.len) {
        report_help(a->g, d, "names are lower case, with hyphens inside: river-logger-lid");
        return true;
    }
    report_help(a->g, d, "names are lower case, with hyphens inside: '%.*s'", TEXT_ARGS(name));
    report_edit(a->g, d, a->span, name);
    return true;
}

/* import "shop.recipe" */
static bool slip_import(struct around *a)
{
    static const char *const words[] = {"import", "include", "using", "load", "read", "require"};
    bool found = false;
    struct text word = token_text(a->p->tree, a->before);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        found = found || text_is(word, words[i]);
    if (!found || a->u->kind != TOKEN_TEXT || a->before != a->first || a->p->depth)
        return false;
    struct span span = token_span(a->p->tree, a->before);
    struct diagnostic *d = report(a->g, FAULT_syntax, span, "another file is named with 'use'");
    report_help(a->g, d, "write 'use %.*s'", SHOWN(a->u->at.first));
    report_edit(a->g, d, span, TEXT("use"));
    return true;
}

/* dimension overall width {: the third word of a head. The definition counts under the joined name. */
static bool slip_name_with_blanks(struct around *a)
{
    if (a->u->kind != TOKEN_NAME || a->kind_before != TOKEN_NAME || a->before2 != a->first || !among_definitions(a) ||
        !wants(a, TOKEN_OPEN_BRACE) || !wants(a, TOKEN_LIKE))
        return false;
    uint32_t last = a->u->at.first;
    struct text name = token_meant(a->p->tree, a->before);
    for (; a->p->kind[last] == TOKEN_NAME; last++)
        name = arena_format(a->p->arena, "%.*s-%.*s", TEXT_ARGS(name), TEXT_ARGS(token_meant(a->p->tree, last)));
    struct span span = span_join(token_span(a->p->tree, a->before), token_span(a->p->tree, last - 1));
    struct diagnostic *d = report(a->g, FAULT_syntax, span, "a name has no blanks");
    report_help(a->g, d, "join its words by hyphens: '%.*s'", TEXT_ARGS(name));
    report_edit(a->g, d, span, name);
    tree_mend(a->p->arena, a->p->tree, a->before, name);
    return true;
}

/* heats = (die, punch), [die, punch], {die, punch} */
static bool slip_bracketed_list(struct around *a)
{
    uint8_t kind = a->u->kind;
    uint32_t open = kind == TOKEN_COMMA ? a->before2 : a->u->at.first;
    struct text first = token_text(a->p->tree, open);
    bool brackets = kind == TOKEN_UNIT_TYPE && memchr(first.at, ',', first.len) && a->kind_before == TOKEN_EQUALS;
    bool parens = kind == TOKEN_COMMA && a->kind_before == TOKEN_NAME && a->kind_before2 == TOKEN_OPEN &&
                  a->p->kind[token_before(a->p, open)] == TOKEN_EQUALS;
    bool braces = kind == TOKEN_OPEN_BRACE && a->kind_before == TOKEN_EQUALS && wants_value(a);
    if (!brackets && !parens && !braces)
        return false;
    uint32_t close = open;
    while (!brackets && close < a->p->tree->token_count && !is_end(a->p->kind[close]) &&
           a->p->kind[close] != TOKEN_CLOSE)
        close++;
    struct span span = span_join(token_span(a->p->tree, open), token_span(a->p->tree, close));
    struct text list = {a->p->tree->bytes.at + span.lo + 1, span.hi - span.lo - 2};
    struct diagnostic *d = report(a->g, FAULT_syntax, a->span, "a list stands without brackets");
    if (memchr(list.at, '\n', list.len) || list.len > 80) {
        report_help(a->g, d, "write the names with commas between");
        return true;
    }
    report_help(a->g, d, "write '%.*s'", TEXT_ARGS(list));
    report_edit(a->g, d, span, list);
    return true;
}

/* material = by: a key word where a value is wanted, alone in its line. */
static bool slip_key_word_value(struct around *a)
{
    bool after = is_end(a->u->kind) && a->kind_before2 == TOKEN_EQUALS && is_key_word(a->kind_before);
    bool itself = a->kind_before == TOKEN_EQUALS && is_key_word(a->u->kind) && is_end(a->p->kind[a->u->at.first + 1]);
    if (!wants_value(a) && !(after && wants(a, TOKEN_UNIT_TYPE)))
        return false;
    if (!after && !itself)
        return false;
    uint32_t word = after ? a->before : a->u->at.first;
    struct diagnostic *d = report(a->g, FAULT_syntax, token_span(a->p->tree, word),
                                  "'%.*s' is a key word of the language and names nothing", SHOWN(word));
    report_help(a->g, d, "write another word; what is called so must be given another name");
    return true;
}

static bool slip_each(struct around *a)
{
    if (a->u->kind != TOKEN_COLON || !wants(a, TOKEN_AS) || a->kind_before != TOKEN_NAME)
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
    struct unit known;
    struct unit_error error;
    if (a->u->kind != TOKEN_NUMBER || a->kind_before != TOKEN_NAME || names ||
        a->p->kind[a->u->at.first + 1] == TOKEN_UNIT ||
        unit_read(token_text(a->p->tree, a->before), &known, &error) != UNIT_OK)
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

/* 1 min 12 s, 25 mm per s, about 62 kg */
static bool help_with_measures(struct around *a, struct diagnostic *d)
{
    const struct tree *t = a->p->tree;
    uint32_t here = a->u->at.first;
    bool measured = a->kind_before == TOKEN_UNIT;
    if (measured && a->u->kind == TOKEN_NUMBER && a->p->kind[here + 1] == TOKEN_UNIT) {
        report_help(a->g, d, "parts of one value are added: '%.*s %.*s + %.*s %.*s'", SHOWN(a->before2),
                    SHOWN(a->before), SHOWN(here), SHOWN(here + 1));
        report_edit(a->g, d, (struct span){a->span.file, a->span.lo, a->span.lo}, TEXT("+ "));
    } else if (measured && text_is(token_text(t, here), "per") && a->p->kind[here + 1] == TOKEN_NAME) {
        report_help(a->g, d, "a quotient of units is written '%.*s/%.*s'", SHOWN(a->before), SHOWN(here + 1));
        report_edit(a->g, d, (struct span){a->span.file, token_span(t, a->before).hi, token_span(t, here + 1).lo},
                    TEXT("/"));
    } else if (a->kind_before == TOKEN_NAME && a->kind_before2 == TOKEN_EQUALS && a->u->kind == TOKEN_NUMBER) {
        report_help(a->g, d, "a value is a number with its unit; leave '%.*s' out, or write a band: '62 kg +/- 1 kg'",
                    SHOWN(a->before));
    } else {
        return false;
    }
    return true;
}

/* title = Lid for a logger: the capital was told as if a name were meant. */
static bool report_withdrawn_capital(struct around *a)
{
    struct text word = token_text(a->p->tree, a->before);
    if (a->kind_before != TOKEN_NAME || !word.len || word.at[0] < 'A' || word.at[0] > 'Z')
        return false;
    report_withdraw(a->g, FAULT_upper_case_name, token_span(a->p->tree, a->before));
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
    if (a->kind_before2 == TOKEN_EQUALS && report_withdrawn_capital(a))
        report_help(a->g, d, "a text stands in quotes: '%.*s = \"%.*s ...\"'", SHOWN(a->first), SHOWN(a->before));
    else if (kind == TOKEN_TO)
        report_help(a->g, d, "a range is written with two points: '5 mm .. 80 mm'");
    else if (help_with_measures(a, d))
        return true;
    else if (a->kind_before == TOKEN_NAME && kind == TOKEN_NAME)
        report_help(a->g, d, "a list has commas: '%.*s, %.*s'; a value has an operator between its parts",
                    SHOWN(a->before), SHOWN(a->u->at.first));
    else
        report_help(a->g, d, "one fact a line; between two values stands an operator such as + or *");
    return true;
}

/* ---- the rest ---------------------------------------------------------------------------------------------------- */

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
    struct text list = expected_text(a);
    const char *form = a->first == a->u->at.first ? NULL : expected_form(a->first_kind);
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
        slip_import,     slip_name_with_blanks, slip_bracketed_list, slip_key_word_value,
        slip_unit_first, slip_bracketed_unit,   slip_hole,           slip_waived_requirement,
        slip_key_word,   slip_line_start,       slip_quoted_name,    slip_outside,
        slip_each,       slip_equals,           slip_brace,          slip_quotes,
        slip_no_value,   slip_branch,           slip_comparison,     slip_tolerance,
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
