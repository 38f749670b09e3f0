#include "grammar/build.h"
#include "grammar/syntax_faults.h"

/* ---- nodes ------------------------------------------------------------------------------------------------------- */

static void grow_nodes(struct parser *p, const void *unused)
{
    (void)unused;
    array_reserve(p->arena, (void **)&p->nodes, p->count, &p->room, 1, sizeof *p->nodes);
}

void node_more_room(struct parser *p)
{
    guarded(p, grow_nodes, NULL);
    if (p->out_of_memory)
        p->count = 1; /* what is built from here on is thrown away */
}

static void report_depth(struct parser *p, const void *argument)
{
    const struct token_range *at = argument;
    struct span span = span_join(token_span(p->tree, at->first), token_span(p->tree, at->last));
    struct diagnostic *d =
        report(p->diagnostics, FAULT_nested_too_deep, span, "this is nested more than %d deep", NODE_DEPTH_LIMIT);
    report_help(p->diagnostics, d,
                "give parts of it a name with let or derive; a long sum is shorter as sum(each ...)");
}

/* Told once a statement: a sum of a million terms is one fault. */
built node_too_deep(struct parser *p, struct token_range at)
{
    if (at.first >= p->deep_until) {
        guarded(p, report_depth, &at);
        uint32_t end = at.last;
        while (p->kind[end] != TOKEN_NEWLINE && p->kind[end] != TOKEN_END)
            end++;
        p->deep_until = end;
    }
    return node_flag(p, node_new(p, NODE_ERROR, 0, at, 0), NODE_BROKEN);
}

static bool ends_statement(uint8_t kind)
{
    return kind <= TOKEN_NEWLINE || kind == TOKEN_OPEN_BRACE || kind == TOKEN_CLOSE_BRACE;
}

/* The tokens from where a fault began to the end of its statement; none when the statement just ended there. */
static struct token_range passed_over(const struct parser *p, struct token_range at)
{
    uint32_t last = p->given; /* what the statement ended with was given already */
    if (ends_statement(p->kind[last]))
        last--;
    while (last && is_trivia(p->kind[last]))
        last--;
    bool nothing = last < at.first || (p->fault_behind && p->fault_at == at.first);
    return nothing ? (struct token_range){0, 0} : (struct token_range){at.first, last};
}

built node_error(struct parser *p, struct token_range at)
{
    struct token_range passed = passed_over(p, at);
    return node_flag(p, node_new(p, NODE_ERROR, 0, passed.first ? passed : at, 0), NODE_BROKEN);
}

built node_add_note(struct parser *p, built statement, built note)
{
    struct node *to = &p->nodes[node_of(statement)];
    uint32_t last = p->noted == node_of(statement) ? p->last_note : to->child;
    while (p->nodes[last].next)
        last = p->nodes[last].next;
    if (last)
        p->nodes[last].next = node_of(note);
    else
        to->child = node_of(note);
    to->last = p->nodes[node_of(note)].last;
    if (to->depth <= depth_of(note))
        to->depth = (uint8_t)(depth_of(note) + 1);
    p->noted = node_of(statement);
    p->last_note = node_of(note);
    return built_of(node_of(statement), to->depth);
}

built node_negative(struct parser *p, built number, uint32_t minus)
{
    p->nodes[node_of(number)].first = minus;
    return node_flag(p, number, NODE_NEGATIVE);
}

built node_broken(struct parser *p, enum node_kind kind, struct token_range at, built children,
                  struct token_range fault)
{
    struct token_range passed = passed_over(p, fault);
    if (passed.first) {
        children = list_add(p, children, node_error(p, fault));
        at.last = passed.last;
    }
    return node_flag(p, node_new(p, kind, 0, at, children), NODE_BROKEN);
}

/* ---- tokens ------------------------------------------------------------------------------------------------------ */

static void begin_statement(struct parser *p, uint32_t at)
{
    p->statement_before = p->statement;
    p->statement = at;
}

static uint32_t first_that_counts(const struct parser *p, uint32_t token)
{
    while (is_trivia(p->kind[token]))
        token++;
    return token;
}

static void track(struct parser *p, uint8_t kind, uint32_t next)
{
    if (kind == TOKEN_OPEN_BRACE) {
        p->depth++;
        if (p->kind[first_that_counts(p, p->statement)] == TOKEN_STEPS)
            p->steps_depth = p->depth;
    } else if (kind == TOKEN_CLOSE_BRACE) {
        if (p->steps_depth == p->depth)
            p->steps_depth = 0;
        p->depth -= p->depth > 0;
    }
    if (kind == TOKEN_NEWLINE || kind == TOKEN_OPEN_BRACE || kind == TOKEN_CLOSE_BRACE)
        begin_statement(p, next);
}

static int symbol_of(uint8_t kind)
{
    return kind == TOKEN_NEWLINE ? SYMBOL_NEWLINE : kind;
}

static uint8_t take_missing(struct parser *p)
{
    uint8_t kind = p->missing->kind;
    p->missing++;
    p->missing_at = --p->missing_left ? p->missing->before : UINT32_MAX;
    return kind;
}

/* Line ends, braces, the end, and tokens that are missing in the text: these change where the parser is. */
int build_give_special(struct parser *p, struct token_range *at, uint32_t i)
{
    uint8_t kind = p->kind[i];
    p->drop = false;
    if (i >= p->missing_at) {
        kind = take_missing(p);
        p->next = i;
        *at = (struct token_range){p->given, p->given}; /* it stands behind the last one */
    } else {
        p->given = i;
        p->next = i + (kind != TOKEN_END);
        *at = (struct token_range){i, i};
    }
    track(p, kind, p->next);
    return symbol_of(kind);
}

/* ---- behind a fault ---------------------------------------------------------------------------------------------- */

static bool is_table(const struct parser *p, uint32_t from, uint32_t to)
{
    for (; from < to; from++)
        if (p->kind[from] == TOKEN_TABLE)
            return true;
    return false;
}

/* On to the end of the statement, or to the block that it heads: so its rest causes no further faults, and what
 * stands in the block is read all the same. */
void syntax_pass_over_statement(struct parser *p, const struct unexpected *u)
{
    bool at_brace = u->kind == TOKEN_OPEN_BRACE, again = p->fault_at == u->at.first;
    p->at_end = u->kind == TOKEN_END;
    p->drop = again; /* never twice at one token, whatever else */
    p->fault_at = u->at.first;
    p->fault_behind = p->kind[u->at.first] != u->kind;
    if (u->kind == TOKEN_NEWLINE || u->kind == TOKEN_END || u->kind == TOKEN_CLOSE_BRACE)
        return;
    uint32_t outer = p->depth - at_brace, depth = at_brace, i = p->next;
    bool table = is_table(p, at_brace ? p->statement_before : p->statement, p->next);
    uint8_t first = p->kind[first_that_counts(p, at_brace ? p->statement_before : p->statement)];
    bool item = first >= TOKEN_USE && first <= TOKEN_WAIVE && first != TOKEN_DERIVE && first != TOKEN_LIMIT;
    bool heads = (outer == 0 || outer == p->steps_depth) && !item; /* no other item has a block */
    if (at_brace && heads && !table && !again)
        return;
    for (;; i++) {
        while (i >= p->missing_at && (depth || p->missing->kind == TOKEN_CLOSE || p->missing->kind == TOKEN_TEXT_TAIL))
            depth -= take_missing(p) == TOKEN_CLOSE_BRACE;
        uint8_t kind = p->kind[i];
        table = table || kind == TOKEN_TABLE;
        bool ends = kind == TOKEN_NEWLINE || kind == TOKEN_CLOSE_BRACE || (kind == TOKEN_OPEN_BRACE && heads && !table);
        if (kind == TOKEN_END || i >= p->missing_at || (!depth && ends))
            break;
        depth += kind == TOKEN_OPEN_BRACE;
        depth -= kind == TOKEN_CLOSE_BRACE;
    }
    p->next = i;
    if (i > 1 && i - 1 > p->given)
        p->given = i - 1;
    p->depth = outer;
    p->drop = true;
}

/* ---- memory ------------------------------------------------------------------------------------------------------ */

/* The parser's stack is not the arena's. So a jump to where exhaustion is handled must wait until the parser has
 * returned: it is caught here, the parser is given the end of the file, and parse() jumps on. */
void guarded(struct parser *p, void (*action)(struct parser *, const void *), const void *argument)
{
    jmp_buf here;
    jmp_buf *outer = p->arena->exhausted;
    if (p->out_of_memory)
        return;
    p->arena->exhausted = &here;
    if (setjmp(here) == 0)
        action(p, argument);
    else {
        p->out_of_memory = true;
        p->next = p->tree->token_count - 1;
        p->missing_at = UINT32_MAX;
    }
    p->arena->exhausted = outer;
}
