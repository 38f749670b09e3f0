/* Any bytes through tidy: what it gives has the same tokens, is tidy, and compiles to the same recipe. */
#include "compiler/model/spelling.h"
#include "compiler/recipe.h"
#include "compiler/review/tidy/tidy.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

static const struct tree *tree_of(struct arena *a, struct text bytes, struct diagnostics *ds)
{
    struct sources sources;
    sources_init(&sources, a, NULL);
    diagnostics_init(ds, a);
    return parse(a, &sources, source_add(&sources, TEXT("fuzz.recipe"), bytes), ds);
}

static uint32_t next_of(const struct tree *t, uint32_t token)
{
    for (token++; t->token_kind[token] == TOKEN_NEWLINE || t->token_kind[token] == TOKEN_BREAK;)
        token++;
    return token;
}

static void check_tokens(struct arena *a, const struct tree *x, const struct tree *y)
{
    for (uint32_t i = next_of(x, 0), k = next_of(y, 0);; i = next_of(x, i), k = next_of(y, k)) {
        must(x->token_kind[i] == y->token_kind[k]);
        if (!x->token_kind[i])
            return;
        if (x->token_kind[i] > TOKEN_STRAY)
            must(text_same(spelling_of(a, x, i), spelling_of(a, y, k)));
    }
}

static void check_fingerprints(struct text before, struct text after)
{
    static struct strokewright_library *library;
    if (!library)
        library = strokewright_library_new();
    must(library != NULL);
    struct strokewright_recipe *a = recipe_compile(library, NULL, TEXT("fuzz.recipe"), before, NULL);
    struct strokewright_recipe *b = recipe_compile(library, NULL, TEXT("fuzz.recipe"), after, NULL);
    must(a && b && a->evaluated == b->evaluated && a->diagnostics.errors == b->diagnostics.errors);
    if (a->evaluated)
        must(text_same(recipe_fingerprint(a), recipe_fingerprint(b)));
    strokewright_free(a);
    strokewright_free(b);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena arena;
    struct diagnostics before, after;
    struct tidied once, twice;
    struct text bytes = {(const char *)data, (uint32_t)size};
    arena_init(&arena, NULL);
    tidy(&once, &arena, bytes);
    const struct tree *x = tree_of(&arena, bytes, &before), *y = tree_of(&arena, once.text, &after);
    check_tokens(&arena, x, y);
    tidy(&twice, &arena, once.text);
    must(!twice.changed);
    if (!before.errors) {
        must(once.kept.count == 0 && !once.gave_up && !after.errors);
        check_fingerprints(bytes, once.text);
    }
    arena_free(&arena);
    return 0;
}
