/* Is it still the same recipe? What was written is read again and held against what it was written from: the whole, or,
 * of a long recipe, piece by piece, by a hand of the crew while the next piece is written.
 *
 * A piece ends between two statements of the file, so that it can be read by itself: the same tokens stand on both sides of
 * its end as in the whole. A piece that does not compare may still be right, so then the whole is asked. */
#include "compiler/model/spelling.h"
#include "compiler/review/tidy/pen.h"

/* ---- tokens ------------------------------------------------------------------------------------------------------ */

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

/* Those of one from a token up to another, and all of the other. */
static bool same_tokens(struct arena *a, const struct tree *x, uint32_t from, uint32_t end, const struct tree *y)
{
    uint32_t i = from - 1, k = 0;
    for (;;) {
        i = next_of(x, i);
        k = next_of(y, k);
        if (i >= end)
            return !y->token_kind[k];
        if (!same_token(a, x, i, y, k))
            return false;
    }
}

/* ---- shape ------------------------------------------------------------------------------------------------------- */

static bool same_link(uint32_t x, uint32_t y, uint32_t shift)
{
    return x ? y == x + shift : !y;
}

/* Nodes from one up to another, and as many of the other that many places on; of the last, what follows it is left out. */
static bool same_nodes(const struct tree *x, uint32_t from, uint32_t to, const struct tree *y, uint32_t shift)
{
    for (uint32_t n = from; n <= to; n++) {
        const struct node *u = node_at(x, n), *v = node_at(y, n + shift);
        if (u->kind != v->kind || u->flags != v->flags || u->op != v->op || !same_link(u->child, v->child, shift) ||
            (n < to && !same_link(u->next, v->next, shift)))
            return false;
    }
    return true;
}

/* The statements of the file behind one up to another, and all of the piece: a statement is the last of its nodes, and the
 * file the last of all. */
static bool same_statements(const struct tree *before, uint32_t behind, uint32_t last, const struct tree *piece)
{
    uint32_t v = behind ? node_next(before, behind) : node_child(before, before->root), end = behind, done = 0;
    if (behind == last)
        v = 0;
    NODE_EACH_CHILD (piece, piece->root, u) {
        if (!v || v <= end || u <= done || u - done != v - end || !same_nodes(piece, done + 1, u, before, v - u))
            return false;
        done = u;
        end = v;
        v = v == last ? 0 : node_next(before, v);
    }
    return !v && end == last && piece->root == done + 1 && piece->node_count == piece->root + 1;
}

/* ---- reading again ----------------------------------------------------------------------------------------------- */

/* Where a fault is not known all must be kept as it stands, so more are kept than anybody reads. */
enum { FAULTS_MOST = 1000000 };

const struct tree *read_tree(struct arena *a, struct text bytes, struct diagnostics *faults)
{
    struct sources sources;
    sources_init(&sources, a, NULL);
    diagnostics_init(faults, a);
    faults->limit = FAULTS_MOST;
    return parse(a, &sources, source_add(&sources, TEXT(""), bytes), faults);
}

bool same_recipe(struct arena *a, const struct tree *x, const struct tree *y)
{
    return x->node_count == y->node_count && same_nodes(x, 1, x->node_count - 1, y, 0) &&
           same_tokens(a, x, 1, x->token_count - 1, y);
}

static void check_piece(void *piece)
{
    struct tidy_piece *q = piece;
    struct arena arena;
    struct diagnostics faults;
    jmp_buf exhausted;
    arena_init(&arena, &exhausted);
    q->same = false;
    if (!setjmp(exhausted)) {
        const struct tree *t = read_tree(&arena, q->text, &faults);
        q->same = !faults.all.count && same_statements(q->before, q->behind, q->last, t) &&
                  same_tokens(&arena, q->before, q->first_token, q->end_token, t);
    }
    arena_free(&arena);
}

void begin_check(struct tidy_checks *c, struct tidy_piece *piece)
{
    piece->next = c->pieces;
    c->pieces = piece;
    c->begun++;
    crew_offer(c->crew, &piece->task, check_piece, piece);
}

bool finish_checks(struct tidy_checks *c)
{
    for (; c->pieces; c->pieces = c->pieces->next) {
        crew_finish(c->crew, &c->pieces->task);
        c->differ = c->differ || !c->pieces->same;
    }
    return !c->differ;
}
