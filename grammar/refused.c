/* What the grammar reads and does not take: it can say more than that a token does not fit. */
#include "grammar/syntax_faults.h"

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

built syntax_check_called(struct parser *p, built callee)
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

built syntax_check_of(struct parser *p, struct token_range of, built list)
{
    if (!text_is(token_text(p->tree, of.first), "of"))
        guarded(p, tell_of, &of);
    return list;
}
