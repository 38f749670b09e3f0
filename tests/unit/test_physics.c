/* The version of the physics: results that change without it being raised are noticed.
 *
 * physics.golden holds the version and what the runtime's functions, the units and physics.recipe gave under it. Where a
 * line of it comes out otherwise now, PHYSICS_VERSION (compiler/model/fingerprint.h) has to be raised, or recipes that mean
 * something else would keep their fingerprint. Then, and when something new has no line yet, write it anew:
 *   build/tests/unit/test_physics --bless */
#include "compiler/recipe.h"
#include "runtime/base/buffer.h"
#include "tests/unit/sample_files.h"

#include <stdio.h>
#include <stdlib.h>

#define GOLDEN "tests/unit/physics.golden"
#define RECIPE "tests/unit/physics.recipe"

static struct arena arena;
static int passed, failed;

static void ck(bool good, const char *what, struct text line)
{
    if (!good)
        printf("%s%.*s\n", what, TEXT_ARGS(line));
    *(good ? &passed : &failed) += 1;
}

/* ---- what there is ----------------------------------------------------------------------------------------------- */

/* Arguments in SI units. Every function has a row. */
static const struct sample {
    enum function_id function;
    uint32_t count;
    double x[10];
} samples[] = {
    {FUNCTION_abs, 1, {-2.5}},
    {FUNCTION_min, 3, {3, 1.5, 2}},
    {FUNCTION_max, 3, {3, 1.5, 4}},
    {FUNCTION_mean, 3, {1, 2, 6}},
    {FUNCTION_sqrt, 1, {2}},
    {FUNCTION_exp, 1, {1.5}},
    {FUNCTION_ln, 1, {10}},
    {FUNCTION_sin, 1, {0.5}},
    {FUNCTION_cos, 1, {0.5}},
    {FUNCTION_tan, 1, {0.5}},
    {FUNCTION_atan, 1, {2}},
    {FUNCTION_radians, 1, {1.25}},
    {FUNCTION_kelvin, 1, {473.15}},
    {FUNCTION_point, 1, {473.15}},
    {FUNCTION_round, 2, {7.26, 0.25}},
    {FUNCTION_ceil, 2, {7.26, 0.5}},
    {FUNCTION_nominal, 1, {3.5}},
    {FUNCTION_inside, 3, {2, 1, 3}},
    {FUNCTION_slab_at, 10, {1800, 900, 473.15, 450, 295, 0.002, 95, 1.9e6, 0.8, 0.25}},
    {FUNCTION_slab_mean, 9, {1800, 900, 473.15, 450, 295, 0.002, 95, 1.9e6, 0.8}},
    {FUNCTION_slab_mean, 9, {3000, 3000, 473.15, 473.15, 295, 0.0005, 95, 1.9e6, 0.05}},
    {FUNCTION_slab_time, 9, {1800, 900, 473.15, 450, 295, 0.002, 95, 1.9e6, 420}},
    {FUNCTION_contact_after, 5, {295, 473.15, 0.2704, 0.0971, 2.5}},
    {FUNCTION_contact_time, 5, {295, 473.15, 0.2704, 0.0971, 460}},
    {FUNCTION_air_after, 6, {473.15, 295, 950, 20, 0.6, 30}},
    {FUNCTION_air_time, 6, {473.15, 295, 950, 20, 0.6, 320}},
};

static void put_functions(struct buffer *b)
{
    uint32_t has[FUNCTION_COUNT] = {0};
    for (uint32_t i = 0; i < sizeof samples / sizeof samples[0]; i++) {
        const struct sample *s = &samples[i];
        enum eval_fault fault = EVAL_OK;
        double value = function_table[s->function].evaluate(s->x, s->count, &fault);
        buffer_printf(b, "function %s %u = %.10g\n", function_table[s->function].name, ++has[s->function], value);
        ck(fault == EVAL_OK, "no value: ", text_of(function_table[s->function].name));
    }
    for (int f = 0; f < FUNCTION_COUNT; f++)
        ck(has[f] || f == FUNCTION_uncertainty /* of a whole program; the recipe asks it */,
           "no sample of the function ", text_of(function_table[f].name));
}

static void put_units(struct buffer *b)
{
    uint32_t count;
    const struct unit_row *rows = unit_rows(&count);
    for (uint32_t i = 0; i < count; i++)
        buffer_printf(b, "unit %s = %.10g %.10g\n", rows[i].name, rows[i].unit.factor, rows[i].unit.offset);
}

/* Of a file that may not be there: then nothing. */
static struct text stored(const char *path)
{
    struct text bytes = TEXT("");
    read_sample(&arena, path, &bytes);
    return bytes;
}

/* The lets of the recipe; the library's values may change as they like. */
static void put_recipe(struct buffer *b)
{
    struct strokewright_library *l = strokewright_library_new();
    struct strokewright_recipe *r = recipe_compile(l, NULL, TEXT(RECIPE), stored(RECIPE), NULL);
    uint32_t count = 0;
    ck(r->evaluated, RECIPE " has no values", TEXT(""));
    for (uint32_t i = 1; r->evaluated && i < r->lowering->quantities.count; i++) {
        const struct quantity *q = &r->lowering->quantities.at[i];
        if (q->path.len < 5 || memcmp(q->path.at, "calc.", 5) != 0)
            continue;
        double value = q->value.tag == LOW_NODE    ? r->values.value[q->value.id]
                       : q->value.tag == LOW_TRUTH ? q->value.truth
                                                   : -1;
        ck(q->value.tag == LOW_NODE || q->value.tag == LOW_TRUTH, "no number: ", q->path);
        buffer_printf(b, "recipe %.*s = %.10g\n", TEXT_ARGS(q->path), value);
        count++;
    }
    ck(count > 20, RECIPE " gives too little", TEXT(""));
    strokewright_free(r);
    strokewright_library_free(l);
}

/* ---- what there was ---------------------------------------------------------------------------------------------- */

static struct text next_line(struct text *rest)
{
    const char *end = memchr(rest->at, '\n', rest->len);
    struct text line = {rest->at, end ? (uint32_t)(end - rest->at) : rest->len};
    uint32_t taken = line.len + (end != NULL);
    *rest = (struct text){rest->at + taken, rest->len - taken};
    return line;
}

/* Up to its =. */
static struct text name_of(struct text line)
{
    const char *equals = memchr(line.at, '=', line.len);
    return (struct text){line.at, equals ? (uint32_t)(equals - line.at) : line.len};
}

static struct text line_named(struct text lines, struct text name)
{
    while (lines.len) {
        struct text line = next_line(&lines);
        if (text_same(name_of(line), name))
            return line;
    }
    return TEXT("");
}

static void compare(struct text golden, struct text now)
{
    struct text version = next_line(&golden), rest = golden;
    next_line(&now);
    if (!text_same(version, arena_format(&arena, "physics %d", PHYSICS_VERSION))) {
        ck(false, GOLDEN " is of another version: write it anew with --bless; it says ", version);
        return;
    }
    while (rest.len) {
        struct text line = next_line(&rest), found = line_named(now, name_of(line));
        ck(text_same(line, found), "changed, so PHYSICS_VERSION has to be raised; it was: ", line);
        if (!text_same(line, found))
            printf("  and is: %.*s\n", TEXT_ARGS(found));
    }
    while (now.len) {
        struct text line = next_line(&now);
        ck(line_named(golden, name_of(line)).len > 0, "new, so write " GOLDEN " anew with --bless: ", line);
    }
}

int main(int argc, char **argv)
{
    struct buffer b;
    arena_init(&arena, NULL);
    buffer_init(&b, &arena);
    buffer_printf(&b, "physics %d\n", PHYSICS_VERSION);
    put_functions(&b);
    put_units(&b);
    put_recipe(&b);
    if (argc > 1 && strcmp(argv[1], "--bless") == 0)
        ck(buffer_write_file(GOLDEN, buffer_text(&b)) == 0, "cannot write ", TEXT(GOLDEN));
    else
        compare(stored(GOLDEN), buffer_text(&b));
    arena_free(&arena);
    printf("%d passed, %d failed\n", passed, failed);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
