/* Any bytes through the whole compilation, down to the step table and the map of what is left open. */
#include "compiler/recipe.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct strokewright_library *library;
    if (!library)
        library = strokewright_library_new();
    must(library && library->diagnostics.errors == 0);
    library->today = TEXT("2026-11-25"); /* so that waivers are looked into */
    struct text bytes = {(const char *)data, (uint32_t)size};
    struct strokewright_recipe *r = recipe_compile(library, NULL, TEXT("fuzz.recipe"), bytes, NULL);
    must(r && r->state != STROKEWRIGHT_NO_MEMORY);
    must((r->state == STROKEWRIGHT_FAULTY) == (r->diagnostics.errors > 0));
    /* A recipe without errors has values, and what has values has a step table. */
    must(r->evaluated || r->diagnostics.errors > 0);
    must(!r->evaluated == !recipe_table(r, SPELL_PRINT));
    if (r->evaluated && r->lowering->unknowns.count && r->lowering->unknowns.count <= MOST_UNKNOWNS) {
        struct window_map map = {.axes = 0};
        const struct window_request request = {r->lowering->unknowns.count > 1 ? 2 : 1, {0, 1}};
        must(recipe_window(r, &request, &map) && map.cells.count > 0);
    }
    strokewright_free(r);
    return 0;
}
