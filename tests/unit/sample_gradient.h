/* Gradients at a point and over the box, of a program made node by node. */
#ifndef TESTS_UNIT_SAMPLE_GRADIENT_H
#define TESTS_UNIT_SAMPLE_GRADIENT_H

#include "runtime/evaluate/gradient.h"

#include "tests/unit/sample_nodes.h"
#include "tests/unit/sample_program.h"

#include <check.h>

static const uint32_t heat[] = {FUNCTION_slab_at,  FUNCTION_slab_mean,     FUNCTION_slab_time,   FUNCTION_air_after,
                                FUNCTION_air_time, FUNCTION_contact_after, FUNCTION_contact_time};
enum { HEAT = sizeof heat / sizeof heat[0] };

static struct gradient g;
static struct interval_gradient over;

static inline uint32_t held(double nominal, double low, double high)
{
    return program_input(&p, (struct input){nominal, low, high, true, 0, false, 0}, 0);
}

static inline double slope(uint32_t n, uint32_t column)
{
    return g.slope[n] ? g.slope[n][column] : 0;
}

static inline struct interval slope_over(uint32_t n, uint32_t column)
{
    return over.slope[n] ? over.slope[n][column] : interval_point(0);
}

/* Both, at the nominal point and over the whole box. */
static inline void run(void)
{
    g = evaluate_gradient(&arena, &p, NULL);
    over = interval_gradient_new(&arena, &p);
    evaluate_interval_gradient(&over, &p, interval_inputs(&arena, &p));
}

static inline void is_near(double got, double want, double slack)
{
    ck_assert_msg(fabs(got - want) <= slack, "%.15g instead of %.15g, slack %g", got, want, slack);
}

#endif
