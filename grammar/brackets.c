#include "grammar/brackets.h"
#include "grammar/lines.h"

static void push(struct scan *s, uint32_t token, uint8_t kind)
{
    *ARRAY_PUSH(s->arena, &s->brackets) = (struct bracket){token, kind, s->seen};
    s->inside = kind;
}

static struct bracket pop(struct scan *s)
{
    struct bracket b = s->brackets.at[--s->brackets.count];
    s->inside = s->brackets.count ? s->brackets.at[s->brackets.count - 1].kind : 0;
    return b;
}

/* ---- nested too deep --------------------------------------------------------------------------------------------- */

void brackets_begin_deep(struct scan *s, uint32_t token)
{
    struct diagnostic *d = report(s->diagnostics, FAULT_nested_too_deep, scan_token_span(s, token),
                                  "this is nested more than %d deep", BRACKET_LIMIT);
    report_help(s->diagnostics, d, "give parts of it a name with let or derive");
    s->deep_from = token;
}

void brackets_end_deep(struct scan *s, uint32_t until)
{
    for (uint32_t i = s->deep_from; i < until; i++)
        if (s->kind[i] == TOKEN_NEWLINE)
            s->kind[i] = TOKEN_BREAK;
        else if (!is_trivia(s->kind[i]))
            s->kind[i] = TOKEN_STRAY;
    scan_faulty(s, s->deep_from);
    if (s->last >= s->deep_from && s->last < until)
        s->last = before_trivia(s, s->deep_from);
    s->deep_from = 0;
    s->too_deep = 0;
}

/* Whether the bracket is beyond the limit; then it is passed over, and counted. */
static bool beyond(struct scan *s, enum token_kind kind, uint32_t at)
{
    if (s->brackets.count < BRACKET_LIMIT && !s->too_deep)
        return false;
    scan_take(s, kind, at, 1);
    if (!s->deep_from)
        brackets_begin_deep(s, s->last);
    s->too_deep++;
    return true;
}

static bool back_from_beyond(struct scan *s, enum token_kind kind, uint32_t at)
{
    if (!s->too_deep)
        return false;
    scan_take(s, kind, at, 1);
    if (--s->too_deep == 0)
        brackets_end_deep(s, s->count);
    return true;
}

/* ---- parentheses ------------------------------------------------------------------------------------------------- */

void scan_open(struct scan *s, uint32_t at)
{
    bool joined = s->joined > before_trivia(s, s->last); /* and ( at the start of a line that goes on */
    if (s->first && s->first == s->last && s->kind[s->last] != TOKEN_REQUIRE && !joined)
        s->kind[s->last] = TOKEN_NAME; /* table(x [mm]) [1] = ... */
    if (beyond(s, TOKEN_OPEN, at))
        return;
    scan_take(s, TOKEN_OPEN, at, 1);
    push(s, s->last, TOKEN_OPEN);
}

static void report_closing(struct scan *s, uint32_t at, const char *what)
{
    struct diagnostic *d = report(s->diagnostics, FAULT_syntax, scan_span(s, at, 1), "this %s closes nothing", what);
    report_help(s->diagnostics, d, "leave it out, or look for what was closed too early above it");
    scan_faulty(s, scan_add(s, TOKEN_STRAY, at, 1));
}

void scan_close(struct scan *s, uint32_t at)
{
    if (back_from_beyond(s, TOKEN_CLOSE, at))
        return;
    if (s->inside != TOKEN_OPEN) {
        report_closing(s, at, "parenthesis");
        return;
    }
    pop(s);
    scan_take(s, TOKEN_CLOSE, at, 1);
}

static void report_parens(struct scan *s, uint32_t innermost, uint32_t count)
{
    const char *message =
        count == 1 ? "this parenthesis is never closed" : "%u parentheses are open here and never closed";
    struct diagnostic *d = report(s->diagnostics, FAULT_unclosed_paren, scan_token_span(s, innermost), message, count);
    report_help(s->diagnostics, d, "close %s with ) before the statement ends", count == 1 ? "it" : "them");
    scan_faulty(s, innermost);
}

void brackets_close_parens(struct scan *s, uint32_t before)
{
    uint32_t line_end = line_end_before(s, before), count = 0, innermost = s->brackets.at[s->brackets.count - 1].token;
    bool deep = s->deep_from != 0; /* and told, which is enough */
    if (line_end)
        before = line_end;
    if (deep)
        brackets_end_deep(s, before);
    if (line_end)
        lines_end_line(s, line_end);
    for (; s->inside == TOKEN_OPEN; count++) {
        pop(s);
        scan_missing(s, before, TOKEN_CLOSE);
    }
    if (!deep)
        report_parens(s, innermost, count);
}

/* ---- texts with expressions -------------------------------------------------------------------------------------- */

void scan_open_text(struct scan *s, uint32_t token)
{
    push(s, token, TOKEN_TEXT_HEAD);
    s->texts++;
}

void scan_close_text(struct scan *s)
{
    pop(s);
    s->texts--;
}

void brackets_close_texts(struct scan *s, uint32_t before)
{
    uint32_t outermost = 0;
    while (s->texts) {
        struct bracket b = pop(s);
        scan_missing(s, before, b.kind == TOKEN_OPEN ? TOKEN_CLOSE : TOKEN_TEXT_TAIL);
        if (b.kind == TOKEN_TEXT_HEAD) {
            s->texts--;
            outermost = b.token;
        }
    }
    struct diagnostic *d = report(s->diagnostics, FAULT_unfinished_text, scan_token_span(s, outermost),
                                  "this text is not finished on its line");
    report_help(s->diagnostics, d, "close the expression with } and the text with \"; a brace itself is written \\{");
    scan_faulty(s, outermost);
    s->last = outermost;
}

/* ---- braces ------------------------------------------------------------------------------------------------------ */

static void report_brace_in_text(struct scan *s, uint32_t at)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_syntax, scan_span(s, at, 1), "a brace cannot stand inside an expression");
    report_help(s->diagnostics, d, "a brace in a text is written \\{");
    scan_faulty(s, scan_add(s, TOKEN_STRAY, at, 1));
}

static bool only_blanks(struct text t)
{
    for (uint32_t i = 0; i < t.len; i++)
        if (t.at[i] != ' ' && t.at[i] != '\t' && t.at[i] != '\n' && t.at[i] != '\r')
            return false;
    return true;
}

static void report_brace_line(struct scan *s, uint32_t at)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_syntax, scan_span(s, at, 1), "the opening brace stands on a line of its own");
    report_help(s->diagnostics, d, "write it at the end of the line above, behind a space");
    lines_join(s);
    uint32_t head = s->at[s->last] + s->len[s->last];
    if (only_blanks(scan_text(s, head, at - head)))
        report_edit(s->diagnostics, d, scan_span(s, head, at - head), TEXT(" "));
}

/* The first token of the line, if the brackets open now were opened above it; else where the next token goes. */
static uint32_t line_start(const struct scan *s)
{
    uint32_t opened = s->brackets.count ? s->brackets.at[s->brackets.count - 1].token : 0, first = s->line;
    while (first < s->count && is_trivia(s->kind[first]))
        first++;
    return first > opened && line_end_before(s, first) ? first : s->count;
}

/* step { for steps {, the only block that is headed by one word of many like it. */
static void mend_steps(struct scan *s)
{
    uint32_t before = s->last ? before_trivia(s, s->last) : 0;
    bool alone = s->last && (!before || s->kind[before] == TOKEN_NEWLINE);
    if (s->inside || !alone || s->kind[s->last] != TOKEN_NAME ||
        !text_is(scan_text(s, s->at[s->last], s->len[s->last]), "step"))
        return;
    struct span span = scan_span(s, s->at[s->last], s->len[s->last]);
    struct diagnostic *d = report(s->diagnostics, FAULT_syntax, span, "the block of all steps is called 'steps'");
    report_help(s->diagnostics, d, "write 'steps {'");
    report_edit(s->diagnostics, d, span, TEXT("steps"));
    s->kind[s->last] = TOKEN_STEPS;
    s->seen |= SEEN_STEPS;
}

void scan_open_brace(struct scan *s, uint32_t at)
{
    mend_steps(s);
    if (s->texts) {
        report_brace_in_text(s, at);
        return;
    }
    if (s->inside == TOKEN_OPEN || (s->seen & SEEN_EQUALS && !(s->seen & SEEN_TABLE)))
        lines_end_above(s, line_start(s));
    if (beyond(s, TOKEN_OPEN_BRACE, at))
        return;
    if (s->kind[s->last] == TOKEN_NEWLINE && (!(s->seen_above & SEEN_EQUALS) || s->seen_above & SEEN_TABLE) &&
        s->last > s->block + 1)
        report_brace_line(s, at);
    uint8_t seen = s->seen;
    lines_end_statement(s);
    s->seen = seen;
    scan_take(s, TOKEN_OPEN_BRACE, at, 1);
    push(s, s->last, TOKEN_OPEN_BRACE);
    s->seen = 0;
}

void brackets_open_block(struct scan *s, uint32_t token, uint8_t seen)
{
    uint8_t inner = s->seen;
    s->seen = seen;
    push(s, token, TOKEN_OPEN_BRACE);
    s->seen = inner;
}

void scan_close_brace(struct scan *s, uint32_t at)
{
    if (s->inside == TOKEN_OPEN)
        brackets_close_parens(s, s->count);
    if (back_from_beyond(s, TOKEN_CLOSE_BRACE, at))
        return;
    if (!s->brackets.count) {
        report_closing(s, at, "brace");
        return;
    }
    lines_end_statement(s);
    if (s->kind[s->last] != TOKEN_NEWLINE && s->kind[s->last] != TOKEN_OPEN_BRACE)
        scan_missing(s, s->count, TOKEN_NEWLINE);
    struct bracket b = pop(s);
    scan_take(s, TOKEN_CLOSE_BRACE, at, 1);
    s->seen = b.seen;
    if (!(b.seen & SEEN_TABLE))
        s->block = s->last;
}
