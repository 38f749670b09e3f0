/* Which line ends end a statement, and which marks are never closed. */
#include "grammar/scan.h"

enum { PAREN_LIMIT = 150, LOOK_AHEAD = 2000 };

/* The state of one pass over the tokens. */
struct pass {
    struct scan *scan;
    struct tree *tree;
    ARRAY(struct open_mark) braces;
    ARRAY(uint32_t) parens; /* opening parentheses of this statement */
    ARRAY(uint32_t) closings;
    uint32_t statement; /* first token of the statement; 0 between statements */
    bool loose;         /* it has a parenthesis that is never closed, so its lines end as ever */
    uint8_t before;     /* kind of the last token that counts */
};

/* Kinds behind which a statement goes on in the next line. */
static bool goes_on(uint8_t kind)
{
    return (kind >= TOKEN_PLUS && kind <= TOKEN_DIFFERENT) || kind == TOKEN_EQUALS || kind == TOKEN_COMMA ||
           kind == TOKEN_PLUS_MINUS || kind == TOKEN_RANGE || kind == TOKEN_THEN || kind == TOKEN_ELSE ||
           kind == TOKEN_IF || kind == TOKEN_AND || kind == TOKEN_OR || kind == TOKEN_NOT;
}

static uint32_t next_that_counts(const struct tree *t, uint32_t token)
{
    do
        token++;
    while (token < t->token_count && (is_trivia(t->token_kind[token]) || t->token_kind[token] == TOKEN_NEWLINE));
    return token;
}

static uint8_t kind_of(const struct tree *t, uint32_t token)
{
    return token < t->token_count ? t->token_kind[token] : TOKEN_END;
}

static bool is_in_rule(const struct pass *p)
{
    if (!p->braces.count)
        return false;
    uint8_t kind = kind_of(p->tree, p->braces.at[p->braces.count - 1].statement);
    return kind == TOKEN_LIMIT || kind == TOKEN_CAUTION;
}

/* A note may stand in a line of its own below its statement; in a limit or caution notes are lines themselves. */
static bool note_follows(const struct pass *p, uint32_t newline)
{
    uint32_t next = next_that_counts(p->tree, newline);
    uint8_t kind = kind_of(p->tree, next);
    return kind >= TOKEN_BECAUSE && kind <= TOKEN_LABEL && !is_in_rule(p) && p->statement &&
           kind_of(p->tree, next_that_counts(p->tree, next)) == TOKEN_TEXT;
}

static bool operator_follows(const struct pass *p, uint32_t newline)
{
    uint8_t kind = kind_of(p->tree, next_that_counts(p->tree, newline));
    return (kind == TOKEN_PLUS || kind == TOKEN_MINUS || kind == TOKEN_TIMES || kind == TOKEN_DIVIDE ||
            kind == TOKEN_THEN || kind == TOKEN_ELSE || kind == TOKEN_AND || kind == TOKEN_OR) &&
           p->statement;
}

static void report_parens(struct pass *p)
{
    for (uint32_t i = 0; i < p->parens.count; i++) {
        struct diagnostic *d = report(p->scan->diagnostics, FAULT_unclosed_paren, token_span(p->tree, p->parens.at[i]),
                                      "this parenthesis is never closed");
        report_help(p->scan->diagnostics, d, "close it with ) before the statement ends");
    }
    p->parens.count = 0;
}

/* Whether a parenthesis is closed before a brace or the next item: else it must not swallow the lines below it. */
static bool is_closed(const struct tree *t, uint32_t open)
{
    uint32_t depth = 0;
    for (uint32_t i = open; i < t->token_count && i < open + LOOK_AHEAD; i++) {
        uint8_t kind = t->token_kind[i];
        depth += kind == TOKEN_OPEN;
        if (kind == TOKEN_CLOSE && --depth == 0)
            return true;
        if (kind == TOKEN_OPEN_BRACE || kind == TOKEN_CLOSE_BRACE)
            return false;
    }
    return open + LOOK_AHEAD < t->token_count;
}

static bool starts_line(const struct tree *t, uint32_t token)
{
    uint32_t at = t->token_at[token];
    return at == 0 || t->bytes.at[at - 1] == '\n';
}

/* A line at the margin that can only begin an item, met inside a block that also began at the margin. */
static bool begins_item(const struct tree *t, uint32_t token)
{
    uint8_t kind = t->token_kind[token], next = kind_of(t, token + 1);
    if (!starts_line(t, token))
        return false;
    if (kind == TOKEN_NAME)
        return next == TOKEN_NAME || next == TOKEN_OPEN_BRACE;
    return kind >= TOKEN_USE && kind <= TOKEN_STEPS && next != TOKEN_EQUALS && next != TOKEN_TEXT;
}

static bool leaves_block_open(const struct pass *p, uint32_t token)
{
    uint32_t outer = p->braces.at[0].statement;
    if (!outer || !begins_item(p->tree, token) || !starts_line(p->tree, outer))
        return false;
    return p->tree->token_kind[outer] != TOKEN_STEPS || p->tree->token_kind[token] != TOKEN_NAME;
}

static void close_unclosed(struct pass *p, uint32_t token)
{
    while (p->braces.count) {
        struct open_mark mark = p->braces.at[--p->braces.count];
        struct diagnostic *d = report(p->scan->diagnostics, FAULT_unclosed_brace, token_span(p->tree, mark.token),
                                      "this brace is never closed");
        if (kind_of(p->tree, token) != TOKEN_END)
            report_label(p->scan->diagnostics, d, token_span(p->tree, token), "the next definition begins here");
        report_help(p->scan->diagnostics, d, "close the block with } in a line of its own");
        *ARRAY_PUSH(p->scan->arena, &p->closings) = token;
    }
}

static void open_paren(struct pass *p, uint32_t token)
{
    if (p->loose)
        return;
    bool closed = p->parens.count || is_closed(p->tree, token);
    *ARRAY_PUSH(p->scan->arena, &p->parens) = token;
    if (!closed) {
        report_parens(p);
        p->loose = true;
    } else if (p->parens.count == PAREN_LIMIT) {
        struct diagnostic *d = report(p->scan->diagnostics, FAULT_nested_too_deep, token_span(p->tree, token),
                                      "parentheses are nested more than %d deep", PAREN_LIMIT);
        report_help(p->scan->diagnostics, d, "name parts of the formula with let");
    }
}

static void take(struct pass *p, uint32_t token, uint8_t kind)
{
    switch (kind) {
    case TOKEN_OPEN:
        open_paren(p, token);
        break;
    case TOKEN_CLOSE:
        p->parens.count -= p->parens.count > 0;
        break;
    case TOKEN_OPEN_BRACE:
        p->parens.count = 0;
        *ARRAY_PUSH(p->scan->arena, &p->braces) = (struct open_mark){token, p->statement};
        p->statement = 0;
        break;
    case TOKEN_CLOSE_BRACE:
        p->parens.count = 0;
        p->statement = p->braces.count ? p->braces.at[p->braces.count - 1].statement : 0;
        p->braces.count -= p->braces.count > 0;
        break;
    default:
        break;
    }
}

static void settle_newline(struct pass *p, uint32_t token)
{
    bool blank = !p->statement || p->before == TOKEN_OPEN_BRACE;
    if (blank || p->parens.count || goes_on(p->before) || note_follows(p, token) || operator_follows(p, token)) {
        p->tree->token_kind[token] = TOKEN_BREAK;
        return;
    }
    p->statement = 0;
    p->before = TOKEN_NEWLINE;
}

static void step(struct pass *p, uint32_t token)
{
    uint8_t kind = p->tree->token_kind[token];
    if (is_trivia(kind))
        return;
    if (kind == TOKEN_NEWLINE) {
        settle_newline(p, token);
        return;
    }
    if (!p->statement && p->braces.count && leaves_block_open(p, token))
        close_unclosed(p, token);
    if (!p->statement) {
        p->statement = token;
        p->loose = false;
    }
    take(p, token, kind);
    p->before = kind;
}

void settle(struct scan *s, struct settled *out)
{
    struct pass p = {.scan = s, .tree = s->tree, .before = TOKEN_NEWLINE};
    for (uint32_t token = 1; token < s->tree->token_count; token++)
        step(&p, token);
    close_unclosed(&p, s->tree->token_count - 1);
    *out = (struct settled){p.closings.at, p.closings.count};
}
