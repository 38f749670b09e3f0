/* Speed of the proof, of find and of the window, in the process.
 * Promised: all limits of the demo lid proved in 20 ms on top of the check at the stated values; a window over two
 * unknowns of at least 200 by 200 cells in 2 s; a recipe with four times as many features proved in at most four times
 * the time. */
#include "compiler/recipe.h"
#include "tests/bench/sample_recipe.h"

#include <stdio.h>
#include <stdlib.h>

enum { ROUNDS = 15, FEW = 30, MANY = 120 };

static const char *const lid = "recipes/demo/river-logger-lid.recipe";

/* The text with the line that has `mark` in it replaced. */
static struct text with_line(struct arena *a, struct text whole, const char *mark, const char *line)
{
    char *all = (char *)arena_text(a, whole).at, *at = strstr(all, mark);
    if (!at)
        return whole;
    char *end = strchr(at, '\n');
    while (at > all && at[-1] != '\n')
        at--;
    return arena_format(a, "%.*s    %s%s", (int)(at - all), all, line, end);
}

static double compile_time(struct strokewright_library *library, enum demand_reach reach, struct text bytes, bool *good)
{
    double taken[ROUNDS];
    const struct demand demand = {.reach = reach, .ranges = true};
    for (int i = 0; i < ROUNDS; i++) {
        double start = seconds_now();
        struct strokewright_recipe *r = recipe_compile(library, &demand, text_of(lid), bytes, &loader_beside);
        taken[i] = seconds_now() - start;
        *good = *good && r && r->state == STROKEWRIGHT_GOOD;
        strokewright_free(r);
    }
    return median(taken, ROUNDS);
}

static bool proof_of_the_lid(struct strokewright_library *library, struct arena *a, struct text bytes)
{
    struct text stated = with_line(a, bytes, "= find ", "temperature = 198 degC +/- 4 K");
    bool good = true;
    double proved = compile_time(library, DEMAND_MARGINS, stated, &good) * 1e3,
           values = compile_time(library, DEMAND_NOMINAL, stated, &good) * 1e3,
           found = compile_time(library, DEMAND_MARGINS, bytes, &good) * 1e3;
    bool kept = report_line("proof of the lid's limits", good && proved - values <= 20,
                            "%7.2f ms     (at most 20, on top of %.2f ms)", proved - values, values);
    return report_line("find of the lid's temperature", good && found - proved <= 100,
                       "%7.2f ms     (at most 100, on top of %.2f ms)", found - proved, proved) &&
           kept;
}

static bool window_of_two(struct strokewright_library *library, struct arena *a, struct text bytes)
{
    struct text two = with_line(a, bytes, "speed  ", "speed = find 5 mm/s .. 60 mm/s prefer highest");
    double taken[5];
    uint32_t cells = 0;
    for (int i = 0; i < 5; i++) {
        struct strokewright_recipe *r = recipe_compile(library, NULL, text_of(lid), two, &loader_beside);
        struct window_map map = {.axes = 0};
        const struct window_request request = {2, {0, 1}};
        if (!r || !r->evaluated || r->lowering->unknowns.count != 2)
            return report_line("window over two unknowns", false, "the lid has no two unknowns");
        double start = seconds_now();
        recipe_window(r, &request, &map);
        taken[i] = seconds_now() - start;
        cells = map.cells.count;
        strokewright_free(r);
    }
    double s = median(taken, 5);
    return report_line("window over two unknowns", s <= 2, "%7.2f s      (at most 2, for %u by %u places in %u cells)",
                       s, 1u << LEVELS_TOGETHER, 1u << LEVELS_TOGETHER, cells);
}

/* The lid with so many more sizes, each with a tool's size, a wanted band and limits of its own. */
static struct text with_sizes(struct arena *a, struct text bytes, int count)
{
    struct buffer b;
    buffer_init(&b, a);
    buffer_put(&b, with_line(a, bytes, "= find ", "temperature = 198 degC +/- 4 K"));
    for (int i = 0; i < count; i++)
        buffer_printf(&b, "\ndimension size-%d {\n    size = %d.00 mm +/- 0.10 mm\n    set-by = die\n}\n", i, 20 + i);
    return buffer_text(&b);
}

static bool grows_with_features(struct strokewright_library *library, struct arena *a, struct text bytes)
{
    bool good = true;
    struct text few = with_sizes(a, bytes, FEW), many = with_sizes(a, bytes, MANY);
    double less = compile_time(library, DEMAND_MARGINS, few, &good) * 1e3,
           more = compile_time(library, DEMAND_MARGINS, many, &good) * 1e3;
    return report_line("proof of 30 and 120 more sizes", good && more <= 4.2 * less,
                       "%7.2f ms     (%.2f x that of 30, at most 4.2)", more, more / less);
}

int main(void)
{
    struct arena arena;
    struct text bytes;
    bool kept = false;
    arena_init(&arena, NULL);
    struct strokewright_library *library = strokewright_library_new();
    if (library && read_recipe(&arena, lid, &bytes)) {
        kept = proof_of_the_lid(library, &arena, bytes);
        kept = window_of_two(library, &arena, bytes) && kept;
        kept = grows_with_features(library, &arena, bytes) && kept;
    }
    strokewright_library_free(library);
    arena_free(&arena);
    return kept ? EXIT_SUCCESS : EXIT_FAILURE;
}
