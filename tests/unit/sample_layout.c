#include "tests/unit/sample_layout.h"

uint32_t random_below(uint64_t *state, uint32_t limit)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(*state >> 33) % limit;
}

/* ---- layout ------------------------------------------------------------------------------------------------------ */

struct thrower {
    const struct tree *tree;
    struct buffer *out;
    uint64_t *state;
    uint32_t parens, texts;
    bool table, rule, stated; /* what the statement is in, and whether it had its = */
    uint32_t braces;
    bool table_at[64], rule_at[64];
};

static bool chance(struct thrower *t, uint32_t one_in)
{
    return random_below(t->state, one_in) == 0;
}

static void put_blanks(struct thrower *t, uint32_t least)
{
    uint32_t n = least + (chance(t, 2) ? random_below(t->state, 4) : 0);
    for (uint32_t i = 0; i < n; i++)
        buffer_putc(t->out, chance(t, 8) ? '\t' : ' ');
}

static void put_line_end(struct thrower *t)
{
    if (chance(t, 4))
        put_blanks(t, 0);
    buffer_put(t->out, chance(t, 3) ? TEXT("\r\n") : TEXT("\n"));
}

/* Kinds behind which a statement goes on in the next line. */
static bool goes_on(uint8_t kind)
{
    switch (kind) {
    case TOKEN_EQUALS:
    case TOKEN_COMMA:
    case TOKEN_PLUS_MINUS:
    case TOKEN_RANGE:
    case TOKEN_PLUS:
    case TOKEN_MINUS:
    case TOKEN_TIMES:
    case TOKEN_DIVIDE:
    case TOKEN_POWER:
    case TOKEN_LESS:
    case TOKEN_LESS_EQUAL:
    case TOKEN_GREATER:
    case TOKEN_GREATER_EQUAL:
    case TOKEN_SAME:
    case TOKEN_DIFFERENT:
    case TOKEN_IF:
    case TOKEN_THEN:
    case TOKEN_ELSE:
    case TOKEN_AND:
    case TOKEN_OR:
    case TOKEN_NOT:
        return true;
    default:
        return false;
    }
}

static bool joins(uint8_t kind)
{
    return kind == TOKEN_AND || kind == TOKEN_OR || kind == TOKEN_THEN || kind == TOKEN_ELSE || kind == TOKEN_PLUS ||
           kind == TOKEN_MINUS || kind == TOKEN_TIMES || kind == TOKEN_DIVIDE;
}

static bool is_note(uint8_t kind)
{
    return kind == TOKEN_BECAUSE || kind == TOKEN_SOURCE || kind == TOKEN_REMEDY || kind == TOKEN_LABEL;
}

static bool may_break(const struct thrower *t, uint8_t before, uint8_t kind)
{
    if (t->texts)
        return false;
    if (t->parens || before == TOKEN_OPEN)
        return kind != TOKEN_UNIT && before != TOKEN_MINUS_TIGHT;
    if (t->table)
        return before == TOKEN_COMMA;
    return goes_on(before) || joins(kind) || (is_note(kind) && !t->rule && t->stated);
}

/* What marks may touch, or stand away from. */
static bool is_loose(uint8_t before, uint8_t kind)
{
    return kind == TOKEN_COMMA || kind == TOKEN_CLOSE || before == TOKEN_OPEN || before == TOKEN_COMMA ||
           kind == TOKEN_COLON || before == TOKEN_COLON || kind == TOKEN_EQUALS || before == TOKEN_EQUALS;
}

static void put_gap(struct thrower *t, uint32_t previous, uint32_t token)
{
    const struct tree *tree = t->tree;
    uint8_t before = tree->token_kind[previous], kind = tree->token_kind[token];
    bool touches = tree->token_at[previous] + tree->token_len[previous] == tree->token_at[token];
    if (may_break(t, before, kind) && chance(t, 6)) {
        put_line_end(t);
        put_blanks(t, 0);
        if (chance(t, 5))
            put_line_end(t);
        return;
    }
    if (is_loose(before, kind))
        put_blanks(t, before == TOKEN_COMMA || kind == TOKEN_EQUALS ? 1 : 0);
    else if (!touches)
        put_blanks(t, 1);
}

/* The same thing, spelled the other way. */
static void put_spelling(struct thrower *t, uint32_t token)
{
    static const struct {
        const char *plain, *other;
    } signs[] = {{"degC", "\xc2\xb0"
                          "C"},
                 {"um", "\xc2\xb5m"},
                 {"^2", "\xc2\xb2"},
                 {"^3", "\xc2\xb3"}};
    struct text text = token_text(t->tree, token);
    uint8_t kind = t->tree->token_kind[token];
    if (kind == TOKEN_PLUS_MINUS && chance(t, 2))
        text = TEXT("\xc2\xb1");
    if (kind == TOKEN_TIMES && chance(t, 2))
        text = TEXT("\xc2\xb7");
    for (uint32_t i = 0; kind == TOKEN_UNIT && i < sizeof signs / sizeof signs[0]; i++)
        if (text_is(text, signs[i].plain) && chance(t, 2))
            text = text_of(signs[i].other);
    buffer_put(t->out, text);
}

static void note_token(struct thrower *t, uint8_t kind)
{
    t->parens += kind == TOKEN_OPEN;
    t->parens -= kind == TOKEN_CLOSE && t->parens;
    t->texts += kind == TOKEN_TEXT_HEAD;
    t->texts -= kind == TOKEN_TEXT_TAIL && t->texts;
    t->stated |= kind == TOKEN_EQUALS || kind == TOKEN_REQUIRE;
    if (kind == TOKEN_TABLE)
        t->table_at[t->braces] = true;
    if (kind == TOKEN_LIMIT || kind == TOKEN_CAUTION)
        t->rule_at[t->braces] = true;
    if (kind == TOKEN_OPEN_BRACE) {
        t->table = t->table_at[t->braces];
        t->rule = t->rule_at[t->braces];
        t->braces++;
        t->table_at[t->braces] = t->rule_at[t->braces] = false;
        t->stated = false;
    } else if (kind == TOKEN_CLOSE_BRACE) {
        t->braces--;
        t->stated = t->table; /* notes may follow a table */
        t->table = t->rule = false;
        if (t->braces) {
            t->table = t->table_at[t->braces - 1];
            t->rule = t->rule_at[t->braces - 1];
        }
        if (!t->stated)
            t->table_at[t->braces] = t->rule_at[t->braces] = false;
    } else if (kind == TOKEN_NEWLINE) {
        t->stated = false;
        t->table_at[t->braces] = t->rule_at[t->braces] = false;
    }
}

/* Line ends of the text up to the token, and comments between them. Breaks within a statement need not be kept. */
static void put_between(struct thrower *t, uint32_t previous, uint32_t token)
{
    const struct tree *tree = t->tree;
    uint32_t ends = 0, comments = 0, i;
    bool ended = false;
    for (i = previous + 1; i < token; i++) {
        comments += tree->token_kind[i] == TOKEN_COMMENT;
        ended |= tree->token_kind[i] == TOKEN_NEWLINE;
    }
    uint8_t before = previous ? tree->token_kind[previous] : TOKEN_NEWLINE, kind = tree->token_kind[token];
    bool at_brace = before == TOKEN_OPEN_BRACE || (kind == TOKEN_CLOSE_BRACE && before != TOKEN_END);
    if (!comments && at_brace && chance(t, 3)) { /* a block may begin and end on the lines of its statements */
        put_blanks(t, 1);
        return;
    }
    if (!comments && !ended && !at_brace && before != TOKEN_CLOSE_BRACE && kind != TOKEN_END && previous) {
        put_gap(t, previous, token);
        return;
    }
    for (i = previous + 1; i < token; i++) {
        uint8_t k = tree->token_kind[i];
        if (k == TOKEN_COMMENT) {
            put_blanks(t, ends ? 0 : 1);
            buffer_put(t->out, token_text(tree, i));
            ends = 0;
            continue;
        }
        put_line_end(t);
        if (++ends == 2)
            for (uint32_t more = random_below(t->state, 3); more; more--)
                put_line_end(t);
    }
    if (!ends && at_brace && !ended)
        put_line_end(t);
    put_blanks(t, before == TOKEN_CLOSE_BRACE && !ends ? 1 : 0);
}

struct text random_layout(struct arena *a, const struct tree *tree, uint64_t *state)
{
    struct buffer b;
    struct thrower t = {.tree = tree, .out = &b, .state = state};
    uint32_t previous = 0;
    buffer_init(&b, a);
    for (uint32_t i = 1; i < tree->token_count; i++) {
        uint8_t kind = tree->token_kind[i];
        if (kind == TOKEN_NEWLINE)
            note_token(&t, kind);
        if (kind <= TOKEN_STRAY && kind != TOKEN_END)
            continue;
        put_between(&t, previous, i);
        if (kind != TOKEN_END)
            put_spelling(&t, i);
        note_token(&t, kind);
        previous = i;
    }
    return buffer_text(&b);
}

/* ---- recipes ----------------------------------------------------------------------------------------------------- */

static void put_expression(struct buffer *b, uint64_t *s, uint32_t depth)
{
    static const char *const leaves[] = {"die.temperature",
                                         "0.50 mm",
                                         "7",
                                         "sheet.thickness",
                                         "-3.5e-2 um/(m*K)",
                                         "200 degC",
                                         "a-rather-long-name-of-something.measured",
                                         "true",
                                         "x"};
    static const char *const between[] = {" + ", " - ", " * ", " / ", " ^ ", " < ", " >= ", " and ", " or ", " == "};
    if (depth == 0) {
        buffer_put(b, text_of(leaves[random_below(s, sizeof leaves / sizeof leaves[0])]));
        return;
    }
    switch (random_below(s, 7)) {
    case 0:
        buffer_put(b, TEXT("("));
        put_expression(b, s, depth - 1);
        buffer_put(b, TEXT(")"));
        break;
    case 1:
        buffer_put(b, TEXT("slab-mean("));
        for (uint32_t n = random_below(s, 5); n; n--) {
            put_expression(b, s, depth - 1);
            buffer_put(b, TEXT(", "));
        }
        put_expression(b, s, depth - 1);
        buffer_put(b, TEXT(")"));
        break;
    case 2:
        buffer_put(b, TEXT("(if "));
        put_expression(b, s, depth - 1);
        buffer_put(b, TEXT(" then "));
        put_expression(b, s, depth - 1);
        buffer_put(b, TEXT(" else if x then y else "));
        put_expression(b, s, depth - 1);
        buffer_put(b, TEXT(")"));
        break;
    case 3:
        buffer_put(b, TEXT("sum(each step as s: "));
        put_expression(b, s, depth - 1);
        buffer_put(b, TEXT(")"));
        break;
    default: /* compared twice without brackets it would not parse */
        buffer_put(b, TEXT("("));
        put_expression(b, s, depth - 1);
        buffer_put(b, TEXT(")"));
        buffer_put(b, text_of(between[random_below(s, sizeof between / sizeof between[0])]));
        put_expression(b, s, 0);
        break;
    }
}

static void put_comment(struct buffer *b, uint64_t *s, bool behind)
{
    if (random_below(s, 3) == 0)
        buffer_put(b, behind ? TEXT("   # behind it") : TEXT("\n\n  # above it\n\n"));
}

static void put_definition(struct buffer *b, uint64_t *s)
{
    static const char *const values[] = {"0.5 mm +/- 0.02 mm",
                                         "5 mm .. 8 mm",
                                         "die, punch, holder",
                                         "\"a {die.x} b\"",
                                         "50 mm +0.1 mm -0.05 mm",
                                         "2026-11-02",
                                         "box",
                                         "-5 mm"};
    buffer_printf(b, "tool t%u like die {", random_below(s, 1000));
    put_comment(b, s, true);
    buffer_putc(b, '\n');
    for (uint32_t n = random_below(s, 6); n; n--) {
        buffer_printf(b, "p%.*s = %s", 2 * (int)random_below(s, 5), "-a-b-c-d", values[random_below(s, 8)]);
        put_comment(b, s, true);
        buffer_putc(b, '\n');
        put_comment(b, s, false);
        buffer_putc(b, '\n');
    }
    if (random_below(s, 2) == 0)
        buffer_put(b,
                   TEXT("yield = table [degC], [1/s] to [MPa] {\n across: 0.01, 0.1\n 100: 9, 217\n\n -5: 8.25, 4\n}\n"
                        "source \"a mill\"\n"));
    buffer_put(b, TEXT("}\n"));
}

struct text random_recipe(struct arena *a, uint64_t *s)
{
    struct buffer b;
    buffer_init(&b, a);
    for (uint32_t n = 1 + random_below(s, 12); n; n--) {
        put_comment(&b, s, false);
        buffer_putc(&b, '\n');
        switch (random_below(s, 3)) {
        case 0:
            put_definition(&b, s);
            break;
        case 1:
            buffer_put(&b, TEXT("limit l for each tool as t {\n value = "));
            put_expression(&b, s, random_below(s, 5));
            buffer_put(&b, TEXT("\n at-most = 5 source \"here\"\n because \"it breaks\"\n}\n"));
            break;
        default:
            buffer_put(&b, TEXT("let a.b [mm] = "));
            put_expression(&b, s, random_below(s, 6));
            if (random_below(s, 2))
                buffer_put(&b, TEXT(" label \"what it is\" source \"where it is from\""));
            buffer_putc(&b, '\n');
            break;
        }
    }
    return buffer_text(&b);
}
