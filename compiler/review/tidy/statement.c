/* Statements and the blocks they stand in. */
#include "compiler/review/tidy/pen.h"

enum { NAME_MOST = 40 }; /* a longer name is not aligned: one would push a whole block to the right */

struct block {         /* what the statements of a block have in common */
    uint32_t indent;   /* of its lines */
    bool rule;         /* a limit or caution: a note belongs to the block unless it stands on a property's line */
    uint32_t run_ends; /* the first statement behind the run of adjacent properties; 0: no run was looked for */
    bool in_run;
    uint32_t column; /* of the values in the run, from the indent */
};

/* ---- runs of properties that are aligned ------------------------------------------------------------------------- */

static bool has_table(const struct tree *t, uint32_t n)
{
    uint32_t value = node_value(t, n);
    return value && t->token_kind[node_at(t, value)->first] == TOKEN_TABLE;
}

static bool takes_part(const struct pen *p, uint32_t n)
{
    const struct tree *t = p->tree;
    if (p->keep && p->keep[n])
        return false;
    if (node_kind(t, n) == NODE_NOTE)
        return true;
    return node_kind(t, n) == NODE_PROPERTY && !node_find(t, n, NODE_SIGNATURE) && !has_table(t, n);
}

static bool states_text(const struct tree *t, uint32_t n) /* without = */
{
    return node_kind(t, n) == NODE_NOTE || node_at(t, n)->flags & NODE_BARE;
}

static bool blank_line_between(const struct tree *t, uint32_t from, uint32_t to)
{
    uint32_t ends = 0;
    for (uint32_t i = from + 1; i < to; i++) {
        ends = t->token_kind[i] == TOKEN_COMMENT ? 0 : ends + 1;
        if (ends > 1)
            return true;
    }
    return false;
}

/* Where the values of the run that begins with this statement stand, and where it ends. */
static void find_run(const struct pen *p, struct block *b, uint32_t n)
{
    const struct tree *t = p->tree;
    b->column = 0;
    b->in_run = takes_part(p, n);
    if (!b->in_run)
        n = node_next(t, n);
    while (b->in_run && n && takes_part(p, n)) {
        uint32_t first = node_at(t, n)->first, name = pen_width(p, first, first);
        uint32_t column = name + (states_text(t, n) ? 1 : 3);
        if (name <= NAME_MOST && column > b->column)
            b->column = column;
        uint32_t next = node_next(t, n);
        if (next && blank_line_between(t, node_at(t, n)->last, node_at(t, next)->first)) {
            b->run_ends = next;
            return;
        }
        n = next;
    }
    b->run_ends = n ? n : UINT32_MAX;
}

/* ---- a statement ------------------------------------------------------------------------------------------------- */

static bool fits_behind(const struct pen *p, uint32_t first, uint32_t last)
{
    return !p->fresh && pen_free(p, p->last, last) && p->column + 1 + pen_width(p, first, last) <= TIDY_WIDTH;
}

/* A value whose brackets open on the line of its name and close on one of their own; a call only where it does not fit
 * on the next line either. */
static bool opens_bracket(const struct pen *p, uint32_t value, uint32_t further)
{
    const struct tree *t = p->tree;
    const struct node *v = node_at(t, value);
    while (v->kind == NODE_TOLERANCE || v->kind == NODE_TOLERANCES) /* its nominal part */
        v = node_at(t, v->child);
    if (p->fresh || !pen_free(p, p->last, v->first))
        return false;
    if (v->kind == NODE_CALL) {
        uint32_t open = next_token(p, node_at(t, v->child)->last);
        bool next_line = pen_free(p, v->first, v->last) && further + pen_width(p, v->first, v->last) <= TIDY_WIDTH;
        return !next_line && pen_free(p, v->first, open) && fits_behind(p, v->first, open);
    }
    return v->kind == NODE_PAREN || v->kind == NODE_TABLE;
}

static void put_notes(struct pen *p, uint32_t first, uint32_t last, const struct block *b, uint32_t line)
{
    const struct tree *t = p->tree;
    uint8_t leader = t->token_kind[p->leader];
    bool behind = p->line == line || leader == TOKEN_CLOSE || leader == TOKEN_CLOSE_BRACE;
    behind = b->rule || (behind && fits_behind(p, node_at(t, first)->first, last));
    for (uint32_t note = first; note; note = node_next(t, note)) {
        if (!behind)
            pen_line(p, b->indent + TIDY_INDENT);
        pen_put_all(p, node_at(t, note)->first, node_at(t, note)->last);
    }
}

/* What stands behind = or `require`. */
static void put_value(struct pen *p, uint32_t value, uint32_t last, const struct block *b, bool may_break)
{
    const struct node *v = node_at(p->tree, value);
    uint32_t further = b->indent + TIDY_INDENT;
    if (fits_behind(p, v->first, last) || fits_behind(p, v->first, v->last))
        pen_put_all(p, v->first, v->last);
    else if (opens_bracket(p, value, further))
        lay_value(p, value, b->indent, 0);
    else {
        bool leaf = !v->child || v->kind == NODE_TEXT; /* gains nothing by a line of its own */
        if ((may_break && !leaf) || p->fresh)
            pen_line(p, further);
        lay_value(p, value, further, 0);
    }
}

static uint32_t first_note(const struct tree *t, uint32_t n)
{
    NODE_EACH_CHILD (t, n, c)
        if (node_kind(t, c) == NODE_NOTE)
            return c;
    return 0;
}

/* The head of a property, let, derived value, formula up to its = and to the column of the values. */
static void put_head(struct pen *p, uint32_t n, uint32_t equals, const struct block *b)
{
    const struct tree *t = p->tree;
    const struct node *s = node_at(t, n);
    uint32_t signature = node_find(t, n, NODE_SIGNATURE), until = signature ? node_at(t, signature)->first : equals;
    pen_put_all(p, s->first, until - 1);
    if (signature) {
        lay_signature(p, signature, b->indent, pen_width(p, equals, equals) + 3);
        pen_put_all(p, node_at(t, signature)->last + 1, equals - 1);
    } else if (b->in_run)
        pen_to(p, b->indent + b->column - 2);
    pen_put(p, equals);
}

static void put_stated(struct pen *p, uint32_t n, const struct block *b)
{
    const struct tree *t = p->tree;
    uint32_t value = n && node_kind(t, n) == NODE_REQUIRE ? node_child(t, n) : node_value(t, n);
    uint32_t note = first_note(t, n);
    uint32_t mark = previous_token(p, node_at(t, value)->first);
    if (states_text(t, n)) { /* name "text" */
        pen_put_all(p, node_at(t, n)->first, mark);
        pen_to(p, b->indent + b->column);
    } else
        put_head(p, n, mark, b);
    uint32_t line = p->line;
    put_value(p, value, node_at(t, n)->last, b, t->token_kind[mark] == TOKEN_EQUALS);
    uint32_t last = note ? previous_token(p, node_at(t, note)->first) : node_at(t, n)->last;
    if (last > node_at(t, value)->last) /* how it is spread, on its line */
        pen_put_all(p, node_at(t, value)->last + 1, last);
    if (note)
        put_notes(p, note, node_at(t, n)->last, b, line);
}

/* A text or a waiver, with the notes that follow it. */
static void put_plain(struct pen *p, uint32_t n, const struct block *b)
{
    const struct tree *t = p->tree;
    uint32_t note = first_note(t, n), line = p->line;
    uint32_t last = note ? previous_token(p, node_at(t, note)->first) : node_at(t, n)->last;
    pen_put_all(p, node_at(t, n)->first, last);
    if (note)
        put_notes(p, note, node_at(t, n)->last, b, line);
}

/* because "text": a note of the rule. */
static void put_rule_note(struct pen *p, uint32_t n, const struct block *b)
{
    const struct node *s = node_at(p->tree, n);
    pen_put(p, s->first);
    pen_to(p, b->indent + b->column);
    pen_put_all(p, s->first + 1, s->last);
}

static uint32_t open_brace(const struct pen *p, uint32_t n)
{
    uint32_t token = node_at(p->tree, n)->first;
    while (p->tree->token_kind[token] != TOKEN_OPEN_BRACE)
        token++;
    return token;
}

static bool is_empty(const struct pen *p, uint32_t open, uint32_t close)
{
    for (uint32_t i = open + 1; i < close; i++)
        if (p->tree->token_kind[i] >= TOKEN_COMMENT)
            return false;
    return true;
}

static void put_block(struct pen *p, uint32_t n, uint32_t indent)
{
    uint32_t open = open_brace(p, n), close = node_at(p->tree, n)->last;
    pen_put_all(p, node_at(p->tree, n)->first, open);
    if (!is_empty(p, open, close)) {
        lay_statements(p, n, close, indent + TIDY_INDENT);
        pen_line(p, indent);
    }
    pen_put(p, close);
}

static void put_statement(struct pen *p, uint32_t n, const struct block *b)
{
    const struct node *s = node_at(p->tree, n);
    pen_start(p, s->first);
    p->indent = b->indent + TIDY_INDENT; /* where it goes on */
    switch (s->kind) {
    case NODE_DEFINITION:
    case NODE_DERIVE:
    case NODE_LIMIT:
    case NODE_CAUTION:
    case NODE_STEPS:
        put_block(p, n, b->indent);
        break;
    case NODE_PROPERTY:
    case NODE_LET:
    case NODE_DERIVED:
    case NODE_FORMULA:
    case NODE_REQUIRE:
        put_stated(p, n, b);
        break;
    case NODE_NOTE:
        put_rule_note(p, n, b);
        break;
    default:
        put_plain(p, n, b);
        break;
    }
}

/* Whether a child of a block's node is one of the statements in it, and none of what heads it. */
static bool is_statement(enum node_kind kind)
{
    switch (kind) {
    case NODE_NAME:
    case NODE_LIKE:
    case NODE_EACH:
        return false;
    default:
        return true;
    }
}

void lay_statements(struct pen *p, uint32_t parent, uint32_t end, uint32_t indent)
{
    const struct tree *t = p->tree;
    enum node_kind kind = node_kind(t, parent);
    struct block b = {.indent = indent, .rule = kind == NODE_LIMIT || kind == NODE_CAUTION};
    bool start = true;
    for (uint32_t n = node_child(t, parent); n; n = node_next(t, n)) {
        const struct node *s = node_at(t, n);
        if (!is_statement(s->kind))
            continue;
        if (!b.run_ends || n == b.run_ends)
            find_run(p, &b, n);
        pen_between(p, s->first, indent, &start);
        start = false;
        if (p->keep && p->keep[n])
            pen_copy(p, part_of(p, n));
        else
            put_statement(p, n, &b);
    }
    pen_between(p, end, indent, &start);
}

/* ---- tables ------------------------------------------------------------------------------------------------------ */

enum { COLUMN_MOST = 64, CELL_MOST = 24 }; /* columns that are aligned; a wider cell is not */

static uint32_t cell_width(const struct pen *p, uint32_t cell)
{
    const struct node *c = node_at(p->tree, cell);
    return pen_width(p, c->first, c->last);
}

static void measure_columns(const struct pen *p, uint32_t row, uint32_t widths[COLUMN_MOST])
{
    memset(widths, 0, COLUMN_MOST * sizeof *widths);
    for (; row; row = node_next(p->tree, row)) {
        uint32_t i = 0;
        for (uint32_t cell = node_child(p->tree, row); cell && i < COLUMN_MOST; cell = node_next(p->tree, cell), i++) {
            uint32_t width = cell_width(p, cell);
            if (width <= CELL_MOST && width > widths[i])
                widths[i] = width;
        }
    }
}

static void put_row(struct pen *p, uint32_t row, const uint32_t widths[COLUMN_MOST])
{
    const struct tree *t = p->tree;
    uint32_t i = 0, column = p->indent;
    NODE_EACH_CHILD (t, row, cell) {
        uint32_t mark = next_token(p, node_at(t, cell)->last);
        if (i)
            pen_to(p, column);
        pen_put_all(p, node_at(t, cell)->first, node_at(t, cell)->last);
        if (node_next(t, cell))
            pen_put(p, mark);
        column += i < COLUMN_MOST ? widths[i++] + 2 : 0;
    }
}

void lay_table(struct pen *p, uint32_t node, uint32_t indent)
{
    const struct tree *t = p->tree;
    uint32_t open = open_brace(p, node), close = node_at(t, node)->last, row = node_child(t, node);
    uint32_t widths[COLUMN_MOST];
    bool start = true;
    while (row && node_kind(t, row) != NODE_ROW)
        row = node_next(t, row);
    measure_columns(p, row, widths);
    pen_put_all(p, node_at(t, node)->first, open);
    for (; row; row = node_next(t, row)) {
        pen_between(p, node_at(t, row)->first, indent + TIDY_INDENT, &start);
        start = false;
        put_row(p, row, widths);
    }
    pen_between(p, close, indent + TIDY_INDENT, &start);
    pen_line(p, indent);
    pen_put(p, close);
}
