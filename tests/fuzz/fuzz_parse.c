/* Any bytes through scanner and parser: the tree must stay lossless and well formed. */
#include "compiler/syntax.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

/* A blank, or a byte of the mark that a file may begin with. */
static bool is_gap(struct text bytes, uint32_t at)
{
    bool marked = bytes.len >= 3 && memcmp(bytes.at, "\xef\xbb\xbf", 3) == 0;
    return (marked && at < 3) || (bytes.at[at] && strchr(" \t\r\f\v", bytes.at[at]));
}

/* Tokens lie in order, do not overlap, and leave only blanks between them. */
static void check_tokens(const struct tree *t, struct text bytes)
{
    uint32_t end = 0;
    for (uint32_t i = 1; i < t->token_count; i++) {
        must(t->token_at[i] >= end && t->token_kind[i] < TOKEN_KIND_COUNT);
        for (; end < t->token_at[i]; end++)
            must(is_gap(bytes, end));
        end += t->token_len[i];
        must(end <= bytes.len);
    }
}

/* Every node is the child of one, within its tokens. */
static void check_nodes(const struct tree *t)
{
    must(t->root && t->root < t->node_count);
    for (uint32_t n = 1; n < t->node_count; n++) {
        const struct node *node = node_at(t, n);
        must(node->kind < NODE_KIND_COUNT && node->last < t->token_count && node->first <= node->last);
        must(node->child < t->node_count && node->next < t->node_count);
    }
}

static void check_diagnostics(const struct diagnostics *d, uint32_t file, struct text bytes)
{
    for (uint32_t i = 0; i < d->all.count; i++) {
        struct span s = d->all.at[i]->span;
        must(d->all.at[i]->message.len > 0);
        must(s.file == 0 || (s.file == file && s.lo <= s.hi && s.hi <= bytes.len));
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
    check_nodes(t);
    check_diagnostics(&faults, file, bytes);
    arena_free(&arena);
    return 0;
}
