/* Any bytes, and where every value of it comes from: the derivation and the budget of uncertainty of each quantity that the
 * recipe has, in every form. */
#include "compiler/review/budget/budget.h"
#include "compiler/review/why/why.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

enum { ASKED = 12, SAMPLES = 32 };

/* A dozen of its quantities, spread over all. */
static uint32_t some_of(const struct strokewright_recipe *r, uint32_t asked[ASKED])
{
    uint32_t all = r->lowering->quantities.count, count = 0;
    for (uint32_t i = 0; i < ASKED && all > 1; i++) {
        uint32_t q = 1 + (uint32_t)((uint64_t)i * (all - 1) / ASKED);
        if (!count || asked[count - 1] != q)
            asked[count++] = q;
    }
    return count;
}

static void derive(struct arena *a, struct strokewright_recipe *r, const uint32_t *asked, uint32_t count)
{
    struct buffer b;
    const struct why *w = why_derive(r, asked, count, 1 + count % 4);
    must(w && w->roots.count == count);
    buffer_init(&b, a);
    why_text(&b, w, 72);
    why_json(&b, w);
    why_dot(&b, w);
    must(b.count > 0);
}

static void weigh(struct arena *a, struct strokewright_recipe *r, const uint32_t *asked, uint32_t count)
{
    const struct budget_order order = {.coverage = 0.95, .samples = SAMPLES, .seed = 1};
    struct buffer b;
    const struct budget *budgets = budgets_of(r, asked, count, &order);
    must(budgets != NULL);
    buffer_init(&b, a);
    for (uint32_t i = 0; i < count; i++)
        budget_text(&b, &budgets[i]);
    budget_json(&b, budgets, count);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct strokewright_library *library;
    struct arena arena;
    uint32_t asked[ASKED];
    if (!library)
        library = strokewright_library_new();
    must(library != NULL);
    arena_init(&arena, NULL);
    struct text bytes = {(const char *)data, (uint32_t)size};
    const struct demand demand = {.reach = DEMAND_NOMINAL, .values = true, .derivation = true};
    struct strokewright_recipe *r = recipe_compile(library, &demand, TEXT("fuzz.recipe"), bytes, NULL);
    must(r != NULL);
    uint32_t count = r->evaluated ? some_of(r, asked) : 0;
    if (count) {
        derive(&arena, r, asked, count);
        weigh(&arena, r, asked, count);
    }
    strokewright_free(r);
    arena_free(&arena);
    return 0;
}
