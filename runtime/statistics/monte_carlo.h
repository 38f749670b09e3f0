/* Propagation of distributions after JCGM 101:2008 (GUM Supplement 1), by samples.
 *
 * In: a program, a node, how many samples, a seed. Each held input is drawn from its spread (spread.h), independently.
 * Out: mean, standard uncertainty and coverage intervals of the node's values. The same seed gives the same result on
 * every machine: an input's k-th value is a function of the seed, the input and k alone (philox.h, plain.h), summed in
 * order. Samples for which the node has no value are counted and left out. All in the arena; SI.
 *
 *   mean, standard uncertainty   7.6, eq. 16 and 17
 *   coverage intervals           7.7: symmetric leaves out as much below as above; shortest is the narrowest of all
 *   comparison                   clause 8: the ends of y +/- U and of the symmetric interval agree within half a unit of
 *                                the second significant digit of the standard uncertainty */
#ifndef RUNTIME_STATISTICS_MONTE_CARLO_H
#define RUNTIME_STATISTICS_MONTE_CARLO_H

#include "runtime/statistics/uncertainty.h"

enum { SAMPLES_LEAST = 1000, SAMPLES_MOST = 100 * 1000 * 1000 };

struct monte_carlo {
    uint32_t samples, undefined;
    double *values; /* those that are defined, sorted: samples - undefined of them */
    double mean, standard;
    double coverage;
    double symmetric[2], shortest[2]; /* low, high; NaN with fewer than two values */
};

struct monte_carlo monte_carlo(struct arena *, const struct program *, uint32_t node, uint32_t samples, uint64_t seed,
                               double coverage);

struct gum_comparison {
    double tolerance; /* delta */
    double low, high; /* how far the ends lie apart */
    bool valid;       /* the first-order result agrees with the samples */
};

/* Of the first-order result, or of that with its second-order terms. */
struct gum_comparison monte_carlo_compare_gum(const struct monte_carlo *, const struct uncertainty *,
                                              bool second_order);

#endif
