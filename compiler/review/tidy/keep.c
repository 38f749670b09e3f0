/* Which statements are kept as they stand: those with a fault, and those that share a line with one. */
#include "compiler/review/tidy/parts.h"

#include <stdlib.h>

struct faulty {
    struct tidy_writer *writer;
    ARRAY(struct part) parts; /* where faults are, whole lines, in order */
    ARRAY(uint32_t) lines;    /* where each begins, and the end of the text */
};

static void find_lines(struct faulty *f)
{
    struct text b = f->writer->tree->bytes;
    for (uint32_t at = 0; at < b.len;) {
        *ARRAY_PUSH(f->writer->arena, &f->lines) = at;
        const char *newline = memchr(b.at + at, '\n', b.len - at);
        at = newline ? (uint32_t)(newline - b.at) + 1 : b.len;
    }
    *ARRAY_PUSH(f->writer->arena, &f->lines) = b.len;
}

static uint32_t line_of(const struct faulty *f, uint32_t at)
{
    uint32_t low = 0, high = f->lines.count - 1;
    while (low + 1 < high) {
        uint32_t middle = (low + high) / 2;
        if (f->lines.at[middle] <= at)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static uint32_t line_start(const struct faulty *f, uint32_t at)
{
    return f->lines.at[line_of(f, at)];
}

/* The end of the line at a place, before its line end. */
static uint32_t line_end(const struct faulty *f, uint32_t at)
{
    struct text b = f->writer->tree->bytes;
    uint32_t end = f->lines.count > 1 ? f->lines.at[line_of(f, at) + 1] : 0;
    return end && b.at[end - 1] == '\n' ? end - 1 : end;
}

static void add_part(struct faulty *f, uint32_t lo, uint32_t hi)
{
    *ARRAY_PUSH(f->writer->arena, &f->parts) = (struct part){line_start(f, lo), line_end(f, hi)};
}

static int by_place(const void *a, const void *b)
{
    const struct part *x = a, *y = b;
    return (x->lo > y->lo) - (x->lo < y->lo);
}

static void merge_parts(struct faulty *f)
{
    uint32_t n = 0;
    if (f->parts.count)
        qsort(f->parts.at, f->parts.count, sizeof *f->parts.at, by_place);
    for (uint32_t i = 0; i < f->parts.count; i++) {
        struct part next = f->parts.at[i];
        if (n && next.lo <= f->parts.at[n - 1].hi)
            f->parts.at[n - 1].hi = next.hi > f->parts.at[n - 1].hi ? next.hi : f->parts.at[n - 1].hi;
        else
            f->parts.at[n++] = next;
    }
    f->parts.count = n;
}

static bool touches(const struct faulty *f, uint32_t lo, uint32_t hi)
{
    uint32_t low = 0, high = f->parts.count;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (f->parts.at[middle].hi < lo)
            low = middle + 1;
        else
            high = middle;
    }
    return low < f->parts.count && f->parts.at[low].lo < hi;
}

/* ---- what is a fault --------------------------------------------------------------------------------------------- */

static bool same_but_blanks(struct text a, struct text b)
{
    uint32_t i = 0, k = 0;
    for (;;) {
        while (i < a.len && strchr(" \t\r\n", a.at[i]))
            i++;
        while (k < b.len && strchr(" \t\r\n", b.at[k]))
            k++;
        if (i == a.len || k == b.len)
            return i == a.len && k == b.len;
        if (a.at[i++] != b.at[k++])
            return false;
    }
}

/* Whether the edit that mends a fault changes blanks only. */
static bool is_of_layout(const struct tree *t, const struct diagnostic *d)
{
    struct span s = d->edit.span;
    return s.file && same_but_blanks((struct text){t->bytes.at + s.lo, s.hi - s.lo}, d->edit.text);
}

static void find_faults(struct faulty *f, const struct diagnostics *ds)
{
    const struct tree *t = f->writer->tree;
    for (uint32_t i = 0; i < ds->all.count; i++)
        if (ds->all.at[i]->span.file == t->file && !is_of_layout(t, ds->all.at[i]))
            add_part(f, ds->all.at[i]->span.lo, ds->all.at[i]->span.hi);
    if (ds->dropped)
        add_part(f, 0, t->bytes.len);
    for (uint32_t i = 1; i < t->token_count; i++)
        if (t->token_kind[i] == TOKEN_STRAY)
            add_part(f, t->token_at[i], t->token_at[i] + t->token_len[i]);
    merge_parts(f);
}

/* ---- statements -------------------------------------------------------------------------------------------------- */

static bool has_block(enum node_kind kind)
{
    return kind == NODE_DEFINITION || kind == NODE_DERIVE || kind == NODE_LIMIT || kind == NODE_CAUTION ||
           kind == NODE_STEPS || kind == NODE_FILE;
}

static bool find_kept_in(struct faulty *, uint32_t parent, struct part *lines);

static uint32_t brace_of(const struct tree *t, const struct node *s)
{
    uint32_t token = s->first;
    while (token <= s->last && t->token_kind[token] != TOKEN_OPEN_BRACE)
        token++;
    return token <= s->last ? token : 0;
}

/* A block is kept whole when its first or last line is not as it should be. */
static bool keeps_block(struct faulty *f, uint32_t n)
{
    const struct tree *t = f->writer->tree;
    const struct node *s = node_at(t, n);
    uint32_t open = brace_of(t, s);
    struct part inner;
    if (!open || t->token_kind[s->last] != TOKEN_CLOSE_BRACE)
        return true;
    uint32_t close = t->token_at[s->last];
    if (touches(f, t->token_at[s->first], t->token_at[open] + 1) || touches(f, close, close + 1))
        return true;
    /* What was skipped behind a fault is copied by whole lines, so it must not stand on the line of the closing brace. */
    uint32_t before = t->token_at[tidy_previous_token(f->writer, s->last)];
    if (line_of(f, before) == line_of(f, close) && touches(f, t->token_at[s->first], close))
        return true;
    return find_kept_in(f, n, &inner) && (inner.lo <= t->token_at[open] || inner.hi > close);
}

static bool keeps(struct faulty *f, uint32_t n)
{
    const struct node *s = node_at(f->writer->tree, n);
    struct part part = tidy_part_of(f->writer, n);
    if (s->kind == NODE_ERROR || s->flags & NODE_BROKEN)
        return true;
    return has_block(s->kind) ? keeps_block(f, n) : touches(f, part.lo, part.hi);
}

/* One that ends on the line where a kept one begins is kept too. */
static void keep_those_before(struct faulty *f, uint32_t parent, struct part *lines)
{
    struct tidy_writer *w = f->writer;
    const struct tree *t = w->tree;
    uint32_t count = node_count_children(t, parent), n = node_child(t, parent);
    uint32_t *all = ARENA_ARRAY(w->arena, count, uint32_t);
    for (uint32_t i = 0; i < count; i++, n = node_next(t, n))
        all[i] = n;
    for (uint32_t i = count - 1; i > 0; i--) {
        if (!w->keep[all[i]] || tidy_part_of(w, all[i - 1]).hi <= line_start(f, tidy_part_of(w, all[i]).lo))
            continue;
        w->keep[all[i - 1]] = true;
        uint32_t lo = line_start(f, tidy_part_of(w, all[i - 1]).lo);
        lines->lo = lo < lines->lo ? lo : lines->lo;
    }
}

/* Marks what is kept; *lines: from the first to the last line of it. False when there is none. */
static bool find_kept_in(struct faulty *f, uint32_t parent, struct part *lines)
{
    struct tidy_writer *w = f->writer;
    const struct tree *t = w->tree;
    uint32_t until = 0;
    bool any = false;
    NODE_EACH_CHILD (t, parent, n) {
        struct part part = tidy_part_of(w, n);
        w->keep[n] = (any && part.lo < until) || keeps(f, n);
        if (!w->keep[n])
            continue;
        until = line_end(f, part.hi);
        *lines = (struct part){any ? lines->lo : line_start(f, part.lo), until};
        any = true;
    }
    if (any)
        keep_those_before(f, parent, lines);
    return any;
}

void tidy_find_kept(struct tidy_writer *w, const struct diagnostics *ds)
{
    struct faulty f = {.writer = w};
    struct part lines;
    if (!ds->all.count)
        return;
    find_lines(&f);
    find_faults(&f, ds);
    w->keep = ARENA_ARRAY(w->arena, w->tree->node_count, bool);
    find_kept_in(&f, w->tree->root, &lines);
}
