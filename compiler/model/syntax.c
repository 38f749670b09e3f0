/* Views of the syntax tree. */
#include "compiler/model/syntax.h"

uint32_t node_nth(const struct tree *t, uint32_t parent, uint32_t index)
{
    uint32_t n = node_child(t, parent);
    while (n && index--)
        n = node_next(t, n);
    return n;
}

uint32_t node_find(const struct tree *t, uint32_t parent, enum node_kind kind)
{
    uint32_t n = node_child(t, parent);
    while (n && node_kind(t, n) != kind)
        n = node_next(t, n);
    return n;
}

uint32_t node_count_children(const struct tree *t, uint32_t parent)
{
    uint32_t count = 0;
    NODE_EACH_CHILD (t, parent, n) {
        count++;
    }
    return count;
}

struct span token_span(const struct tree *t, uint32_t token)
{
    return (struct span){t->file, t->token_at[token], t->token_at[token] + t->token_len[token]};
}

struct span node_span(const struct tree *t, uint32_t n)
{
    const struct node *node = node_at(t, n);
    return span_join(token_span(t, node->first), token_span(t, node->last));
}

/* Where the token's entry is, or would stand. */
static uint32_t mended_place(const struct tree *t, uint32_t token)
{
    uint32_t lo = 0, hi = t->mended.count;
    while (lo < hi) {
        uint32_t mid = lo + (hi - lo) / 2;
        if (t->mended.at[mid].token < token)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

static const struct mended_token *mended_at(const struct tree *t, uint32_t token)
{
    uint32_t place = t->mended.count ? mended_place(t, token) : 0;
    return place < t->mended.count && t->mended.at[place].token == token ? &t->mended.at[place] : NULL;
}

void tree_mend(struct arena *a, struct tree *t, uint32_t token, struct text meant)
{
    uint32_t place = mended_place(t, token), last = t->mended.count;
    if (mended_at(t, token))
        return;
    ARRAY_PUSH(a, &t->mended);
    for (uint32_t i = last; i > place; i--)
        t->mended.at[i] = t->mended.at[i - 1];
    t->mended.at[place] = (struct mended_token){token, meant};
}

struct text token_meant(const struct tree *t, uint32_t token)
{
    const struct mended_token *m = mended_at(t, token);
    return m ? m->text : token_text(t, token);
}

struct text node_text(const struct tree *t, uint32_t n)
{
    const struct mended_token *m = node_kind(t, n) == NODE_NAME ? mended_at(t, t->nodes[n].first) : NULL;
    if (m)
        return m->text;
    struct span s = node_span(t, n);
    return (struct text){t->bytes.at + s.lo, s.hi - s.lo};
}

/* Without the marks at both ends; escapes resolved. An unknown escape was reported and keeps its letter. */
static struct text resolve(struct arena *a, struct text raw, bool has_end)
{
    char *out = arena_alloc(a, (size_t)raw.len + 1);
    uint32_t n = 0, end = raw.len - (has_end && raw.len > 1);
    for (uint32_t i = 1; i < end; i++) {
        char c = raw.at[i];
        if (c == '\\' && i + 1 < end) {
            c = raw.at[++i];
            if (c == 'n')
                c = '\n';
        }
        out[n++] = c;
    }
    return (struct text){out, n};
}

struct text text_piece(struct arena *a, const struct tree *t, uint32_t text, uint32_t index)
{
    const struct node *n = node_at(t, text);
    for (uint32_t token = n->first; token <= n->last; token++) {
        uint8_t kind = t->token_kind[token];
        if (kind < TOKEN_TEXT || kind > TOKEN_TEXT_TAIL || index-- > 0)
            continue;
        struct text raw = token_text(t, token);
        char last = raw.len ? raw.at[raw.len - 1] : 0;
        bool opens = kind == TOKEN_TEXT_HEAD || kind == TOKEN_TEXT_MID;
        return resolve(a, raw, opens ? last == '{' : last == '"'); /* an unfinished text has no end to take off */
    }
    return TEXT("");
}

struct text text_pattern(struct arena *a, const struct tree *t, uint32_t text)
{
    struct text out = text_piece(a, t, text, 0);
    uint32_t piece = 1;
    NODE_EACH_CHILD (t, text, n) {
        struct text after = text_piece(a, t, text, piece++);
        out = arena_format(a, "%.*s{%.*s}%.*s", TEXT_ARGS(out), TEXT_ARGS(node_text(t, n)), TEXT_ARGS(after));
    }
    return out;
}

uint32_t node_note(const struct tree *t, uint32_t parent, enum token_kind kind)
{
    NODE_EACH_CHILD (t, parent, n) {
        if (node_kind(t, n) == NODE_NOTE && node_at(t, n)->op == kind)
            return n;
    }
    return 0;
}

uint32_t node_value(const struct tree *t, uint32_t n)
{
    uint32_t child = node_child(t, n);
    if (child)
        child = node_next(t, child);
    while (child && (node_kind(t, child) == NODE_SIGNATURE || node_kind(t, child) == NODE_UNIT_TYPE))
        child = node_next(t, child);
    return child && node_kind(t, child) != NODE_NOTE ? child : 0;
}
