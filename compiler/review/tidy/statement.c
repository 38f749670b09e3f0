/* Statements and the blocks they stand in. */
#include "compiler/review/tidy/parts.h"

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

static bool takes_part(const struct tidy_writer *w, uint32_t n)
{
    const struct tree *t = w->tree;
    if (w->keep && w->keep[n])
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
static void find_run(const struct tidy_writer *w, struct block *b, uint32_t n)
{
    const struct tree *t = w->tree;
    b->column = 0;
    b->in_run = takes_part(w, n);
    if (!b->in_run)
        n = node_next(t, n);
    while (b->in_run && n && takes_part(w, n)) {
        uint32_t first = node_at(t, n)->first, name = tidy_width(w, first, first);
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

static bool fits_behind(const struct tidy_writer *w, uint32_t first, uint32_t last)
{
    return !w->fresh && tidy_fits_one_line(w, w->last, last) &&
           w->column + 1 + tidy_width(w, first, last) <= TIDY_WIDTH;
}

/* A value whose brackets open on the line of its name and close on one of their own; a call only where it does not fit
 * on the next line either. */
static bool opens_bracket(const struct tidy_writer *w, uint32_t value, uint32_t further)
{
    const struct tree *t = w->tree;
    const struct node *v = node_at(t, value);
    while (v->kind == NODE_TOLERANCE || v->kind == NODE_TOLERANCES) /* its nominal part */
        v = node_at(t, v->child);
    if (w->fresh || !tidy_fits_one_line(w, w->last, v->first))
        return false;
    if (v->kind == NODE_CALL) {
        uint32_t open = tidy_next_token(w, node_at(t, v->child)->last);
        bool next_line =
            tidy_fits_one_line(w, v->first, v->last) && further + tidy_width(w, v->first, v->last) <= TIDY_WIDTH;
        return !next_line && tidy_fits_one_line(w, v->first, open) && fits_behind(w, v->first, open);
    }
    return v->kind == NODE_PAREN || v->kind == NODE_TABLE;
}

static void put_notes(struct tidy_writer *w, uint32_t first, uint32_t last, const struct block *b, uint32_t line)
{
    const struct tree *t = w->tree;
    uint8_t leader = t->token_kind[w->leader];
    bool behind = w->line == line || leader == TOKEN_CLOSE || leader == TOKEN_CLOSE_BRACE;
    behind = b->rule || (behind && fits_behind(w, node_at(t, first)->first, last));
    for (uint32_t note = first; note; note = node_next(t, note)) {
        if (!behind)
            tidy_line(w, b->indent + TIDY_INDENT);
        tidy_put_all(w, node_at(t, note)->first, node_at(t, note)->last);
    }
}

/* What stands behind = or `require`. */
static void put_value(struct tidy_writer *w, uint32_t value, uint32_t last, const struct block *b, bool may_break)
{
    const struct node *v = node_at(w->tree, value);
    uint32_t further = b->indent + TIDY_INDENT;
    if (fits_behind(w, v->first, last) || fits_behind(w, v->first, v->last))
        tidy_put_all(w, v->first, v->last);
    else if (opens_bracket(w, value, further))
        tidy_value(w, value, b->indent, 0);
    else {
        bool leaf = !v->child || v->kind == NODE_TEXT; /* gains nothing by a line of its own */
        if ((may_break && !leaf) || w->fresh)
            tidy_line(w, further);
        tidy_value(w, value, further, 0);
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
static void put_head(struct tidy_writer *w, uint32_t n, uint32_t equals, const struct block *b)
{
    const struct tree *t = w->tree;
    const struct node *s = node_at(t, n);
    uint32_t signature = node_find(t, n, NODE_SIGNATURE), until = signature ? node_at(t, signature)->first : equals;
    tidy_put_all(w, s->first, until - 1);
    if (signature) {
        tidy_signature(w, signature, b->indent, tidy_width(w, equals, equals) + 3);
        tidy_put_all(w, node_at(t, signature)->last + 1, equals - 1);
    } else if (b->in_run)
        tidy_pad_to(w, b->indent + b->column - 2);
    tidy_put(w, equals);
}

static void put_stated(struct tidy_writer *w, uint32_t n, const struct block *b)
{
    const struct tree *t = w->tree;
    uint32_t value = n && node_kind(t, n) == NODE_REQUIRE ? node_child(t, n) : node_value(t, n);
    uint32_t note = first_note(t, n);
    uint32_t mark = tidy_previous_token(w, node_at(t, value)->first);
    if (states_text(t, n)) { /* name "text" */
        tidy_put_all(w, node_at(t, n)->first, mark);
        tidy_pad_to(w, b->indent + b->column);
    } else
        put_head(w, n, mark, b);
    uint32_t line = w->line;
    put_value(w, value, node_at(t, n)->last, b, t->token_kind[mark] == TOKEN_EQUALS);
    uint32_t last = note ? tidy_previous_token(w, node_at(t, note)->first) : node_at(t, n)->last;
    if (last > node_at(t, value)->last) /* how it is spread, on its line */
        tidy_put_all(w, node_at(t, value)->last + 1, last);
    if (note)
        put_notes(w, note, node_at(t, n)->last, b, line);
}

/* A text or a waiver, with the notes that follow it. */
static void escape_put_plain(struct tidy_writer *w, uint32_t n, const struct block *b)
{
    const struct tree *t = w->tree;
    uint32_t note = first_note(t, n), line = w->line;
    uint32_t last = note ? tidy_previous_token(w, node_at(t, note)->first) : node_at(t, n)->last;
    tidy_put_all(w, node_at(t, n)->first, last);
    if (note)
        put_notes(w, note, node_at(t, n)->last, b, line);
}

/* because "text": a note of the rule. */
static void put_rule_note(struct tidy_writer *w, uint32_t n, const struct block *b)
{
    const struct node *s = node_at(w->tree, n);
    tidy_put(w, s->first);
    tidy_pad_to(w, b->indent + b->column);
    tidy_put_all(w, s->first + 1, s->last);
}

static uint32_t open_brace(const struct tidy_writer *w, uint32_t n)
{
    uint32_t token = node_at(w->tree, n)->first;
    while (w->tree->token_kind[token] != TOKEN_OPEN_BRACE)
        token++;
    return token;
}

static bool is_empty(const struct tidy_writer *w, uint32_t open, uint32_t close)
{
    for (uint32_t i = open + 1; i < close; i++)
        if (w->tree->token_kind[i] >= TOKEN_COMMENT)
            return false;
    return true;
}

static void put_block(struct tidy_writer *w, uint32_t n, uint32_t indent)
{
    uint32_t open = open_brace(w, n), close = node_at(w->tree, n)->last;
    tidy_put_all(w, node_at(w->tree, n)->first, open);
    if (!is_empty(w, open, close)) {
        tidy_statements(w, n, close, indent + TIDY_INDENT);
        tidy_line(w, indent);
    }
    tidy_put(w, close);
}

static void put_statement(struct tidy_writer *w, uint32_t n, const struct block *b)
{
    const struct node *s = node_at(w->tree, n);
    tidy_start(w, s->first);
    w->indent = b->indent + TIDY_INDENT; /* where it goes on */
    switch (s->kind) {
    case NODE_DEFINITION:
    case NODE_DERIVE:
    case NODE_LIMIT:
    case NODE_CAUTION:
    case NODE_STEPS:
        put_block(w, n, b->indent);
        break;
    case NODE_PROPERTY:
    case NODE_LET:
    case NODE_DERIVED:
    case NODE_FORMULA:
    case NODE_REQUIRE:
        put_stated(w, n, b);
        break;
    case NODE_NOTE:
        put_rule_note(w, n, b);
        break;
    default:
        escape_put_plain(w, n, b);
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

void tidy_statements(struct tidy_writer *w, uint32_t parent, uint32_t end, uint32_t indent)
{
    const struct tree *t = w->tree;
    enum node_kind kind = node_kind(t, parent);
    struct block b = {.indent = indent, .rule = kind == NODE_LIMIT || kind == NODE_CAUTION};
    bool start = true;
    for (uint32_t n = node_child(t, parent); n; n = node_next(t, n)) {
        const struct node *s = node_at(t, n);
        if (!is_statement(s->kind))
            continue;
        if (!b.run_ends || n == b.run_ends)
            find_run(w, &b, n);
        tidy_between(w, s->first, indent, &start);
        start = false;
        if (w->keep && w->keep[n])
            tidy_copy(w, tidy_part_of(w, n));
        else
            put_statement(w, n, &b);
    }
    tidy_between(w, end, indent, &start);
}

/* ---- tables ------------------------------------------------------------------------------------------------------ */

enum { COLUMN_MOST = 64, CELL_MOST = 24 }; /* columns that are aligned; a wider cell is not */

static uint32_t cell_width(const struct tidy_writer *w, uint32_t cell)
{
    const struct node *c = node_at(w->tree, cell);
    return tidy_width(w, c->first, c->last);
}

static void measure_columns(const struct tidy_writer *w, uint32_t row, uint32_t widths[COLUMN_MOST])
{
    memset(widths, 0, COLUMN_MOST * sizeof *widths);
    for (; row; row = node_next(w->tree, row)) {
        uint32_t i = 0;
        for (uint32_t cell = node_child(w->tree, row); cell && i < COLUMN_MOST; cell = node_next(w->tree, cell), i++) {
            uint32_t width = cell_width(w, cell);
            if (width <= CELL_MOST && width > widths[i])
                widths[i] = width;
        }
    }
}

static void put_row(struct tidy_writer *w, uint32_t row, const uint32_t widths[COLUMN_MOST])
{
    const struct tree *t = w->tree;
    uint32_t i = 0, column = w->indent;
    NODE_EACH_CHILD (t, row, cell) {
        uint32_t mark = tidy_next_token(w, node_at(t, cell)->last);
        if (i)
            tidy_pad_to(w, column);
        tidy_put_all(w, node_at(t, cell)->first, node_at(t, cell)->last);
        if (node_next(t, cell))
            tidy_put(w, mark);
        column += i < COLUMN_MOST ? widths[i++] + 2 : 0;
    }
}

void tidy_table(struct tidy_writer *w, uint32_t node, uint32_t indent)
{
    const struct tree *t = w->tree;
    uint32_t open = open_brace(w, node), close = node_at(t, node)->last, row = node_child(t, node);
    uint32_t widths[COLUMN_MOST];
    bool start = true;
    while (row && node_kind(t, row) != NODE_ROW)
        row = node_next(t, row);
    measure_columns(w, row, widths);
    tidy_put_all(w, node_at(t, node)->first, open);
    for (; row; row = node_next(t, row)) {
        tidy_between(w, node_at(t, row)->first, indent + TIDY_INDENT, &start);
        start = false;
        put_row(w, row, widths);
    }
    tidy_between(w, close, indent + TIDY_INDENT, &start);
    tidy_line(w, indent);
    tidy_put(w, close);
}
