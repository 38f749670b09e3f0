/* Speed and memory of the readings reader alone: a logger's rows of a time and four numbers.
 * Promised: 200 MB/s, and memory that does not grow with rows. Beside it strtod() on the same numbers. */
#include "compiler/readings/readings.h"
#include "tests/bench/sample_recipe.h"

#include <math.h>
#include <stdlib.h>

enum { ROWS = 1000 * 1000, REPEATS = 4, ROUNDS = 5 };

static struct text sample;

static void make_sample(struct arena *a)
{
    struct buffer b;
    buffer_init(&b, a);
    buffer_put(&b, TEXT("time [s],die [degC],punch [degC],length [mm],force [kN]\n"));
    for (int i = 0; i < ROWS; i++)
        buffer_printf(&b, "%d.%d,%d.%02d,%d.%d,167.%03d,%d.%d\n", i / 10, i % 10, 198 + i % 5, i * 7 % 100, 199 + i % 3,
                      i % 10, 900 + i * 13 % 100, 40 + i % 7, i % 10);
    sample = buffer_text(&b);
}

struct rest {
    size_t at;
    int repeats;
};

static ptrdiff_t read_some(void *context, char *at, size_t room)
{
    struct rest *r = context;
    if (r->at == sample.len && --r->repeats > 0)
        r->at = 56; /* behind the header */
    size_t n = sample.len - r->at < room ? sample.len - r->at : room;
    memcpy(at, sample.at + r->at, n);
    r->at += n;
    return (ptrdiff_t)n;
}

static double sum; /* so that nothing is left out by the compiler */

static double time_of_readings(int repeats, size_t *memory)
{
    struct arena arena;
    struct readings r;
    struct rest rest = {0, repeats};
    arena_init(&arena, NULL);
    if (!readings_open(&r, &arena, NULL, TEXT("log.csv"), (struct csv_input){&rest, read_some},
                       (struct readings_options){0, SIGN_POINT}))
        return -1;
    r.columns.at[0].use = READINGS_TIME;
    for (uint32_t i = 1; i < r.columns.count; i++)
        r.columns.at[i].use = READINGS_VALUE;
    double start = seconds_now();
    while (readings_next(&r))
        sum += r.value[1] + r.value[3];
    double taken = seconds_now() - start;
    bool good = r.faulty_rows == 0 && r.rows == (uint64_t)ROWS * (uint64_t)repeats;
    *memory = arena.bytes;
    arena_free(&arena);
    return good ? taken : -1;
}

static double time_of_strtod(void)
{
    double start = seconds_now();
    for (const char *at = sample.at + 56, *end = sample.at + sample.len; at < end;) {
        char *next;
        sum += strtod(at, &next);
        at = next + 1;
    }
    return seconds_now() - start;
}

int main(void)
{
    struct arena arena;
    double own[ROUNDS], other[ROUNDS];
    size_t small, large;
    arena_init(&arena, NULL);
    make_sample(&arena);
    for (int i = 0; i < ROUNDS; i++) {
        own[i] = time_of_readings(1, &small);
        other[i] = time_of_strtod();
    }
    double taken = median(own, ROUNDS), next = median(other, ROUNDS);
    bool kept = report_line("readings, 1e6 rows", taken > 0 && sample.len / taken >= 200e6,
                            "%.0f MB/s; strtod alone %.0f MB/s", sample.len / taken / 1e6, sample.len / next / 1e6);
    bool linear = time_of_readings(REPEATS, &large) > 0 && large == small;
    kept &= report_line("readings, memory", linear, "%.0f kB of 1e6 rows, %.0f kB of 4e6", small / 1e3, large / 1e3);
    arena_free(&arena);
    return kept && isfinite(sum) ? 0 : 1;
}
