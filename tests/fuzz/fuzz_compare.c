/* Two recipes compared: any bytes, and the same with one byte changed, which is where a comparison finds its rows. What is
 * compared with itself means the same, and who compares the other way round finds as many differences. */
#include "compiler/review/compare/compare.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

static struct strokewright_library *library;

static struct strokewright_recipe *compiled(const char *path, struct text bytes)
{
    struct strokewright_recipe *r = recipe_compile(library, NULL, text_of(path), bytes, NULL);
    must(r && r->state != STROKEWRIGHT_NO_MEMORY);
    return r;
}

/* Which byte, and by what, the bytes themselves decide. */
static struct text changed(struct arena *a, struct text bytes)
{
    static const char instead[] = "0123456789 az";
    uint32_t hash = 2166136261u;
    struct text other = arena_text(a, bytes);
    for (uint32_t i = 0; i < bytes.len; i++)
        hash = (hash ^ (uint8_t)bytes.at[i]) * 16777619u;
    if (other.len)
        ((char *)other.at)[hash % other.len] = instead[hash / 7 % (sizeof instead - 1)];
    return other;
}

static const struct comparison *both_printed(struct arena *a, struct strokewright_recipe *x,
                                             struct strokewright_recipe *y)
{
    const struct comparison *c = compare_recipes(a, x, y);
    must(c != NULL);
    struct buffer b;
    buffer_init(&b, a);
    compare_text(&b, c, (struct compare_style){.width = 80});
    compare_markdown(&b, c, true);
    compare_json(&b, c);
    compare_html(&b, c);
    return c;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena arena;
    if (!library)
        library = strokewright_library_new();
    must(library != NULL);
    library->today = TEXT("2026-11-25");
    arena_init(&arena, NULL);
    struct text bytes = {(const char *)data, (uint32_t)size};
    struct strokewright_recipe *x = compiled("a.recipe", bytes), *same = compiled("a.recipe", bytes);
    struct strokewright_recipe *y = compiled("b.recipe", changed(&arena, bytes));
    must(both_printed(&arena, x, same)->same);
    must(both_printed(&arena, x, y)->same == both_printed(&arena, y, x)->same);
    strokewright_free(x);
    strokewright_free(same);
    strokewright_free(y);
    arena_free(&arena);
    return 0;
}
