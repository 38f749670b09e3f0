/* Any bytes through scanner and parser: the tree must stay lossless and well formed. */
#include "compiler/model/syntax.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

/* Tokens lie in order, do not overlap, leave only blanks between them and reach to the end. One without bytes is the end,
 * or stands for what was left out. */
static void check_tokens(const struct tree *t, struct text bytes)
{
    uint32_t end = 0;
    for (uint32_t i = 1; i < t->token_count; i++) {
        must(t->token_at[i] >= end && t->token_kind[i] < TOKEN_KIND_COUNT);
        must(t->token_len[i] > 0 ? i + 1 < t->token_count : i + 1 == t->token_count || token_meant(t, i).len > 0);
        for (; end < t->token_at[i]; end++)
            must(bytes.at[end] == ' ' || bytes.at[end] == '\t');
        end += t->token_len[i];
        must(end <= bytes.len);
    }
    must(end == bytes.len && t->token_kind[t->token_count - 1] == TOKEN_END);
}

/* A node lies within its parent, behind its elder siblings, is met once, and is not too deep to be walked to. Faults
 * leave a mark in the tree; how many is returned. */
static uint32_t check_node(const struct tree *t, uint32_t n, bool *met)
{
    const struct node *node = node_at(t, n);
    must(!met[n] && node->kind > NODE_NONE && node->kind < NODE_KIND_COUNT);
    must(node->first && node->first <= node->last && node->last < t->token_count && node->depth <= NODE_DEPTH_LIMIT);
    met[n] = true;
    uint32_t broken = node->kind == NODE_ERROR || node->flags & NODE_BROKEN, before = node->first;
    NODE_EACH_CHILD (t, n, c) {
        must(node_at(t, c)->first >= before && node_at(t, c)->last <= node->last);
        must(node_at(t, c)->depth < node->depth);
        before = node_at(t, c)->first;
        broken += check_node(t, c, met);
    }
    return broken;
}

static uint32_t check_nodes(const struct tree *t)
{
    bool *met = calloc(t->node_count, sizeof *met);
    must(met && t->root && t->root < t->node_count && node_kind(t, t->root) == NODE_FILE);
    uint32_t broken = check_node(t, t->root, met);
    free(met);
    return broken;
}

static void check_diagnostics(const struct diagnostics *d, uint32_t file, struct text bytes)
{
    for (uint32_t i = 0; i < d->all.count; i++) {
        struct span s = d->all.at[i]->span;
        struct span edit = d->all.at[i]->edit.span;
        must(d->all.at[i]->message.len > 0 && d->all.at[i]->help.len > 0);
        must(s.file == file && s.lo <= s.hi && s.hi <= bytes.len);
        must(edit.file == 0 || (edit.file == file && edit.lo <= edit.hi && edit.hi <= bytes.len));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena arena;
    struct sources sources;
    struct diagnostics faults;
    arena_init(&arena, NULL);
    sources_init(&sources, &arena, NULL);
    diagnostics_init(&faults, &arena);
    struct text bytes = {(const char *)data, (uint32_t)size};
    uint32_t file = source_add(&sources, TEXT("fuzz.recipe"), bytes);
    const struct tree *t = parse(&arena, &sources, file, &faults);
    check_tokens(t, bytes);
    must(check_nodes(t) == 0 || faults.errors > 0);
    check_diagnostics(&faults, file, bytes);
    arena_free(&arena);
    return 0;
}
