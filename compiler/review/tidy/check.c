/* Whether a recipe is still the same: what was written is read again and compared with what it was written from, token by
 * token and node by node. */
#include "compiler/model/spelling.h"
#include "compiler/review/tidy/parts.h"

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

static bool same_tokens(struct arena *a, const struct tree *x, const struct tree *y)
{
    uint32_t i = 0, k = 0;
    do {
        i = next_of(x, i);
        k = next_of(y, k);
        if (!same_token(a, x, i, y, k))
            return false;
    } while (x->token_kind[i] != TOKEN_END);
    return true;
}

/* ---- nodes ------------------------------------------------------------------------------------------------------- */

static bool same_nodes(const struct tree *x, const struct tree *y)
{
    if (x->node_count != y->node_count)
        return false;
    for (uint32_t n = 1; n < x->node_count; n++) {
        const struct node *u = node_at(x, n), *v = node_at(y, n);
        if (u->kind != v->kind || u->flags != v->flags || u->op != v->op || u->child != v->child || u->next != v->next)
            return false;
    }
    return true;
}

/* ---- reading again ----------------------------------------------------------------------------------------------- */

/* Lines with a fault are kept as they stand, so that every fault has to be known. */
enum { FAULTS_MOST = 1000000 };

const struct tree *tidy_read(struct arena *a, struct text bytes, struct diagnostics *faults)
{
    struct sources sources;
    sources_init(&sources, a, NULL);
    diagnostics_init(faults, a);
    faults->limit = FAULTS_MOST;
    return parse(a, &sources, source_add(&sources, TEXT(""), bytes), faults);
}

bool tidy_same_recipe(struct arena *a, const struct tree *x, const struct tree *y)
{
    return same_nodes(x, y) && same_tokens(a, x, y);
}
