/* Budgets: how uncertain a quantity is, and which of its inputs make it so.
 *
 * In: a compiled recipe and a quantity. Out: the numbers of runtime/statistics/uncertainty.h and, if asked, runtime/statistics/monte_carlo.h,
 * with the names and units people know them by. Everything lives in the recipe's arena and nothing is printed here. */
#ifndef COMPILER_REVIEW_BUDGET_BUDGET_H
#define COMPILER_REVIEW_BUDGET_BUDGET_H

#include "compiler/recipe.h"
#include "compiler/table/amounts.h"
#include "runtime/base/buffer.h"
#include "runtime/statistics/monte_carlo.h"

struct budget_row {
    struct text name; /* "die.temperature", "az31b-o.conductivity" */
    const struct uncertainty_part *part;
    struct unit unit; /* of the input, as a difference */
    double half;      /* SI, of its band */
    const char *spread;
};

struct budget {
    struct text name;
    struct unit unit;    /* of the quantity */
    struct unit step;    /* of its differences: K beside degC */
    struct unit fine;    /* of what is small beside it: um of a length in mm */
    struct text why_not; /* no value, no derivative: then nothing below is there */
    struct uncertainty u;
    struct budget_row *rows; /* as u.parts */
    struct text (*bends)[2]; /* names, as u.bends */
    bool sampled;
    uint64_t seed;
    struct monte_carlo samples;
    struct gum_comparison first_order, second_order;
};

struct budget_order {
    double coverage;  /* 0.95 */
    uint32_t samples; /* 0: none */
    uint64_t seed;
};

/* One for each quantity; NULL when memory runs out. */
struct budget *budgets_of(struct strokewright_recipe *, const uint32_t *quantities, uint32_t count,
                          const struct budget_order *);

void budget_text(struct buffer *, const struct budget *);
void budget_json(struct buffer *, const struct budget *, uint32_t count);

#endif
