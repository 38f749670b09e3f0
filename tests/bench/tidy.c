/* Speed and memory of tidy, beside those of parsing the same text.
 * Promised: a 20 MB recipe is read, put into its form and read again, to see that nothing was lost, in at most four times
 * the time of parsing it once; linear from 1 MB to 40 MB. */
#include "compiler/review/tidy/tidy.h"
#include "tests/bench/sample_recipe.h"

enum { MB = 1000 * 1000, ROUNDS = 5 };

static double time_of_tidy(struct text sample)
{
    struct arena arena;
    struct tidied r;
    arena_init(&arena, NULL);
    double start = seconds_now();
    tidy(&r, &arena, sample);
    double taken = seconds_now() - start;
    bool good = r.kept.count == 0 && r.text.len > sample.len / 2;
    arena_free(&arena);
    return good ? taken : -1;
}

static double time_of_parse(struct text sample)
{
    struct arena arena;
    struct sources sources;
    struct diagnostics faults;
    arena_init(&arena, NULL);
    sources_init(&sources, &arena, NULL);
    diagnostics_init(&faults, &arena);
    uint32_t file = source_add(&sources, TEXT("sample.recipe"), sample);
    double start = seconds_now();
    parse(&arena, &sources, file, &faults);
    double taken = seconds_now() - start;
    arena_free(&arena);
    return taken;
}

static double best_of(double (*measured)(struct text), struct text sample)
{
    double best = -1;
    for (int i = 0; i < ROUNDS; i++) {
        double taken = measured(sample);
        if (taken < 0)
            return -1;
        best = best < 0 || taken < best ? taken : best;
    }
    return best;
}

int main(void)
{
    struct arena arena;
    bool kept = true;
    arena_init(&arena, NULL);
    struct text sample = sample_recipe(&arena, 20 * MB);
    double tidied = best_of(time_of_tidy, sample), parsed = best_of(time_of_parse, sample);
    kept &= report_line("tidy, 20 MB", tidied > 0 && tidied <= 4 * parsed, "%.0f MB/s; parsing alone %.0f MB/s",
                        sample.len / tidied / 1e6, sample.len / parsed / 1e6);
    double small = best_of(time_of_tidy, sample_recipe(&arena, MB));
    double large = best_of(time_of_tidy, sample_recipe(&arena, 40 * MB)) / 40;
    kept &= report_line("tidy, 1 MB to 40 MB", small > 0 && large < 2 * small, "%.1f and %.1f ms a MB", small * 1e3,
                        large * 1e3);
    arena_free(&arena);
    return kept ? 0 : 1;
}
