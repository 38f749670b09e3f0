/* Hostile readings files: the first byte says how long the pieces are that the rest comes in, and what is stated of it.
 * All that is told of any row lies inside it, in whatever pieces it came. */
#include "compiler/readings/trial.h"
#include "compiler/text/render.h"

#include <math.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

struct pieces {
    const char *at;
    size_t left, piece;
};

static ptrdiff_t next_piece(void *context, char *at, size_t room)
{
    struct pieces *p = context;
    size_t n = p->left < p->piece ? p->left : p->piece;
    n = n < room ? n : room;
    memcpy(at, p->at, n);
    p->at += n;
    p->left -= n;
    return (ptrdiff_t)n;
}

static const char recipe_text[] = "recipe lid {\n"
                                  "    title = \"Lid\"\n"
                                  "    part = \"1\"\n"
                                  "    revision = \"A\"\n"
                                  "    date = 2026-11-20\n"
                                  "    status = draft\n"
                                  "}\n"
                                  "press bay {\n"
                                  "    capacity = 100 kN\n"
                                  "}\n"
                                  "shop {\n"
                                  "    temperature = 21 degC\n"
                                  "}\n"
                                  "sheet {\n"
                                  "    alloy = az31b-o\n"
                                  "    thickness = 0.5 mm\n"
                                  "}\n"
                                  "tool die {\n"
                                  "    material = h13\n"
                                  "    temperature = 200 degC +/- 4 K\n"
                                  "}\n"
                                  "tool punch {\n"
                                  "    material = h13\n"
                                  "    temperature = 200 degC +/- 4 K\n"
                                  "}\n"
                                  "dimension length {\n"
                                  "    size = 168 mm +/- 0.1 mm\n"
                                  "    set-by = die\n"
                                  "    side = outside\n"
                                  "}\n"
                                  "steps {\n"
                                  "    stroke form {\n"
                                  "        speed = 20 mm/s\n"
                                  "        hold = 1 s\n"
                                  "    }\n"
                                  "}\n";

static void must(bool holds)
{
    if (!holds)
        abort();
}

static void read_all(struct readings *r, struct strokewright_recipe *recipe)
{
    struct trial trial;
    struct buffer b;
    buffer_init(&b, r->arena);
    if (readings_bind(r, recipe)) {
        trial_read(&trial, r, recipe);
        trial_text(&b, &trial, 80);
        must(trial.pieces + r->faulty_rows <= r->rows || r->diagnostics.errors);
    }
    render_text(&b, &r->sources, &r->diagnostics, (struct render_style){.width = 80});
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct strokewright_library *library;
    if (!library)
        library = strokewright_library_new();
    if (!size || size > 16384)
        return 0;
    static const char separators[] = {0, ',', ';', '\t'};
    struct pieces pieces = {(const char *)data + 1, size - 1, 1 + (data[0] & 15) * 7};
    const struct readings_options options = {separators[data[0] >> 6], data[0] & 16   ? SIGN_COMMA
                                                                       : data[0] & 32 ? SIGN_POINT
                                                                                      : SIGN_UNKNOWN};
    struct arena arena;
    struct readings r;
    arena_init(&arena, NULL);
    if (readings_open(&r, &arena, NULL, TEXT("x.csv"), (struct csv_input){&pieces, next_piece}, options)) {
        struct demand demand = {.reach = DEMAND_NOMINAL, .values = true, .papers = true};
        demand.names = readings_names(&r, &demand.name_count);
        struct strokewright_recipe *recipe =
            recipe_compile(library, &demand, TEXT("x.recipe"), TEXT(recipe_text), NULL);
        must(recipe != NULL);
        recipe->arena.exhausted = recipe->scratch.exhausted = NULL;
        if (recipe->evaluated)
            read_all(&r, recipe);
        strokewright_free(recipe);
    } else {
        struct buffer b;
        buffer_init(&b, &arena);
        render_text(&b, &r.sources, &r.diagnostics, (struct render_style){.width = 80});
        must(b.count > 0);
    }
    arena_free(&arena);
    return 0;
}
