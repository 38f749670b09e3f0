/* Any bytes as every text of a step table, through everything that is printed of one: the pages drawn, the report, the text
 * tables, CSV and JSON. */
#include "compiler/emit/emit.h"
#include "compiler/emit/pages/pages.h"
#include "tests/unit/sample_table.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    enum { OTHERS = 1u << PAGE_WINDOW_SVG | 1u << PAGE_GRAPH_SVG, LONGEST = 300 };
    struct arena arena;
    struct buffer out[PAGE_COUNT], b;
    struct text why = TEXT("");
    if (size > LONGEST) /* beyond that it is the drawing libraries that are tried */
        return 0;
    arena_init(&arena, NULL);
    const struct step_table *t =
        sample_hostile_table(&arena, arena_text(&arena, (struct text){(const char *)data, (uint32_t)size}));
    const struct pages_request request = {.wanted = ~1u & ~(unsigned)OTHERS, .paper = PAPER_A4};
    for (int i = 0; i < PAGE_COUNT; i++)
        buffer_init(&out[i], &arena);
    must(strokewright_pages(t, &request, out, &why));
    buffer_init(&b, &arena);
    for (uint32_t i = 0; i < output_count; i++)
        if (output_table[i].fill)
            output_table[i].fill(&b, t);
    must(b.count > 0);
    arena_free(&arena);
    return 0;
}
