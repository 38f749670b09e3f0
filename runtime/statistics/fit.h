/* Fit: what readings of pieces say of the inputs of a program, damped generalised least squares with priors.
 *
 * In: a program, the inputs that are to be learned with what is known of each beforehand, and readings of some of its nodes
 * on pieces. An input is common to all pieces, or each piece has its own, or it is given exactly for each. A reading is
 *
 *     reading = node(inputs) + offsets + noise
 *
 * where an offset is common to all readings of its columns, such as the calibration of a gauge, and the noise is independent.
 * Out: the values that make the sum of squares least,
 *
 *     sum over readings ((reading - node - offsets) / noise)^2 + sum over inputs and offsets ((value - mean) / standard)^2
 *
 * and their covariance: the posterior of normal priors where the node is linear over it. Steps are Gauss-Newton's, damped
 * after Levenberg and Marquardt, for plain ones fail from far starts; a piece's own inputs are eliminated piece by piece
 * (Schur complement), so work is linear in pieces. Slopes are gradient.h's. All in the arena; SI.
 *
 * Tarantola, Inverse Problem Theory (2005) 3.2; Marquardt, J. SIAM 11 (1963) 431. */
#ifndef RUNTIME_STATISTICS_FIT_H
#define RUNTIME_STATISTICS_FIT_H

#include "runtime/program.h"

struct fit_input {
    uint32_t input;
    double mean, standard; /* known beforehand; an infinite standard: nothing is */
    double start;          /* where to begin */
};

enum { FIT_OFFSETS = 2 };

struct fit_column { /* what is read */
    uint32_t node;
    double noise;                 /* standard deviation of one reading, above 0 */
    uint32_t offset[FIT_OFFSETS]; /* from 1, of the fit's offsets; 0: none */
};

struct fit {
    const struct program *program;
    ARRAY(struct fit_input) common; /* alike for all pieces */
    ARRAY(struct fit_input) each;   /* every piece has its own */
    ARRAY(uint32_t) given;          /* known exactly for each piece */
    ARRAY(double) offsets;          /* standard of each; its mean is 0 */
    ARRAY(struct fit_column) columns;
    uint32_t pieces;
    const double *reading; /* by piece and column; NaN: not read */
    const double *at;      /* by piece and given input */
};

enum fit_state {
    FIT_GOOD,
    FIT_NO_VALUE,     /* the nodes have no value at the start */
    FIT_UNDETERMINED, /* the readings do not tell the inputs apart, and nothing is known beforehand */
    FIT_NOT_CONVERGED /* not after FIT_STEPS steps */
};

enum { FIT_STEPS = 2000 };

/* Two tests, apart. `pieces`: do they agree with each other; `lot`: does their mean agree with what was known beforehand.
 * Both linear about what was found. */
struct fit_agreement {
    double chi_squared, share; /* share: how often chance alone gives as much or more */
    uint32_t freedom;
};

struct fitted {
    enum fit_state state;
    uint32_t count;     /* common inputs, and behind them the offsets */
    double *value;      /* of them */
    double *covariance; /* count by count */
    double *each;       /* by piece and own input */
    double *predicted;  /* by piece and column, at these values */
    double sum;         /* the least sum of squares */
    uint32_t readings, steps;
    struct fit_agreement lot, pieces, all;
};

struct fitted fit_solve(struct arena *, const struct fit *);
/* The covariance with the noise, offsets and priors of this fit where another one of the same readings has arrived: what a
 * better gauge or more pieces would make of it. NaN where there is none. covariance: count by count. */
void fit_certainty(struct arena *, const struct fit *, const struct fitted *found, double *covariance);

/* How often a sum of `freedom` squared normal deviates is as large or larger. To 1e-12 of its size. */
double chi_squared_beyond(double chi_squared, double freedom);

#endif
