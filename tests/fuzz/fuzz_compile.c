/* Any bytes through the whole compilation, down to the step table. */
#include "compiler/strokewright.h"

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
    struct strokewright_recipe *r = strokewright_compile(library, TEXT("fuzz.recipe"), bytes, NULL);
    must(r && r->state != STROKEWRIGHT_NO_MEMORY);
    must((r->state == STROKEWRIGHT_FAULTY) == (r->diagnostics.errors > 0));
    /* A recipe without errors has values, and what has values has a step table. */
    must(r->evaluated || r->diagnostics.errors > 0);
    must(!r->evaluated == !strokewright_table(r, SPELL_PRINT));
    strokewright_free(r);
    return 0;
}
