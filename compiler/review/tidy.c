#include "compiler/review/tidy_pen.h"
#include "compiler/spelling.h"

/* ---- comments behind adjacent lines are aligned ------------------------------------------------------------------ */

enum { ALIGNED_MOST = 80 }; /* behind a longer line a comment follows as it comes */

static uint32_t group_end(const struct pen *p, uint32_t from, uint32_t *column)
{
    uint32_t i = from;
    *column = 0;
    do {
        if (p->behind.at[i].column <= ALIGNED_MOST && p->behind.at[i].column > *column)
            *column = p->behind.at[i].column;
        i++;
    } while (i < p->behind.count && p->behind.at[i].line == p->behind.at[i - 1].line + 1);
    return i;
}

static struct text align_comments(struct pen *p)
{
    struct text written = buffer_text(&p->out);
    struct buffer b;
    uint32_t done = 0;
    if (!p->behind.count)
        return written;
    buffer_init(&b, p->arena);
    for (uint32_t i = 0, end, column; i < p->behind.count; i = end)
        for (end = group_end(p, i, &column); i < end; i++) {
            const struct behind *c = &p->behind.at[i];
            buffer_put(&b, (struct text){written.at + done, c->at - done});
            if (c->column < column)
                buffer_pad(&b, ' ', column - c->column);
            done = c->at;
        }
    buffer_put(&b, (struct text){written.at + done, written.len - done});
    return buffer_text(&b);
}

/* ---- is it still the same recipe? -------------------------------------------------------------------------------- */

static struct text trimmed(struct text t)
{
    while (t.len && strchr(" \t\r", t.at[t.len - 1]))
        t.len--;
    return t;
}

/* The next token that is no line end. */
static uint32_t next_of(const struct tree *t, uint32_t token)
{
    for (token++; t->token_kind[token] == TOKEN_NEWLINE || t->token_kind[token] == TOKEN_BREAK;)
        token++;
    return token;
}

static bool same_token(struct arena *a, const struct tree *x, uint32_t i, const struct tree *y, uint32_t k)
{
    if (x->token_kind[i] != y->token_kind[k])
        return false;
    if (x->token_kind[i] == TOKEN_COMMENT)
        return text_same(trimmed(token_text(x, i)), trimmed(token_text(y, k)));
    return text_same(token_text(x, i), token_text(y, k)) || text_same(spelling_of(a, x, i), spelling_of(a, y, k));
}

static bool same_recipe(struct arena *a, const struct tree *x, const struct tree *y)
{
    if (x->node_count != y->node_count)
        return false;
    for (uint32_t n = 1; n < x->node_count; n++) {
        const struct node *u = node_at(x, n), *v = node_at(y, n);
        if (u->kind != v->kind || u->flags != v->flags || u->op != v->op || u->child != v->child || u->next != v->next)
            return false;
    }
    uint32_t i = 0, k = 0;
    do {
        i = next_of(x, i);
        k = next_of(y, k);
        if (!same_token(a, x, i, y, k))
            return false;
    } while (x->token_kind[i]);
    return true;
}

/* ---- the whole --------------------------------------------------------------------------------------------------- */

static const struct tree *read_tree(struct arena *a, struct text bytes, struct diagnostics *faults)
{
    struct sources sources;
    sources_init(&sources, a, NULL);
    diagnostics_init(faults, a);
    return parse(a, &sources, source_add(&sources, TEXT(""), bytes), faults);
}

/* Kept lines came as bytes, in order. Those next to each other are told as one. */
static void number_lines(struct tidied *r, struct text bytes)
{
    uint32_t line = 1, at = 0, n = 0;
    for (uint32_t i = 0; i < r->kept.count; i++) {
        struct kept_lines k = r->kept.at[i], lines;
        for (; at < k.first; at++)
            line += bytes.at[at] == '\n';
        lines.first = line;
        for (; at < k.last; at++)
            line += bytes.at[at] == '\n';
        lines.last = line;
        if (n && lines.first <= r->kept.at[n - 1].last + 1)
            r->kept.at[n - 1].last = lines.last;
        else
            r->kept.at[n++] = lines;
    }
    r->kept.count = n;
}

static void keep_all(struct tidied *r, struct arena *a, struct text bytes)
{
    r->text = bytes;
    r->gave_up = true;
    r->kept.count = 0;
    *ARRAY_PUSH(a, &r->kept) = (struct kept_lines){0, bytes.len - (bytes.len && bytes.at[bytes.len - 1] == '\n')};
}

/* The last line ended as the others are: so what tidy writes is read again as what it was written from, also where
 * something is wrong in that line. */
static struct text with_last_end(struct arena *a, struct text bytes)
{
    if (!bytes.len || bytes.at[bytes.len - 1] == '\n' || bytes.len == UINT32_MAX)
        return bytes;
    char *at = arena_alloc(a, (size_t)bytes.len + 1);
    memcpy(at, bytes.at, bytes.len);
    at[bytes.len] = '\n';
    return (struct text){at, bytes.len + 1};
}

void tidy(struct tidied *r, struct arena *a, struct text bytes)
{
    struct diagnostics faults, faults_after;
    struct pen p;
    *r = (struct tidied){.text = bytes};
    const struct tree *before = read_tree(a, with_last_end(a, bytes), &faults);
    pen_init(&p, a, before, r);
    find_kept(&p, &faults);
    lay_statements(&p, before->root, before->token_count - 1, 0);
    r->text = align_comments(&p);
    if (!same_recipe(a, before, read_tree(a, r->text, &faults_after)))
        keep_all(r, a, bytes);
    number_lines(r, bytes);
    r->changed = !text_same(r->text, bytes);
}
