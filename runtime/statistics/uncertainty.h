/* Uncertainty after JCGM 100:2008 (GUM): how far a quantity may lie from its value, given how its held inputs spread.
 *
 * In: a program, a node, and the spreads of its inputs (spread.h), which are independent. Out: the budget, one part for
 * each input that moves the node, and what they come to. Estimate and sensitivities are taken at the expectations of the
 * inputs (4.3.8, spread.h): where a band lies unevenly about its stated value, not at that. Sensitivities are derivatives (gradient.h), so what follows from one temperature by several ways counts once, with its correlation.
 *
 *   combined     u_c^2 = sum (c_i u_i)^2                                                 5.1.2, eq. 10
 *   second order u_c^2 + sum_ij (f_ij^2 / 2 + f_i f_ijj) u_i^2 u_j^2                     5.1.2, note
 *   freedom      u_c^4 / sum ((c_i u_i)^4 / freedom_i), Welch and Satterthwaite          G.4.1, eq. G.2b
 *   factor       Student's t for the freedom cut down to a whole number                  G.4.1, G.6.4
 *
 * Second and third derivatives are differences of gradients one standard uncertainty to either side, so a kink (a curve's
 * corner, a limit that sets in) counts as the bend it makes over that width. All in the arena; SI. */
#ifndef RUNTIME_STATISTICS_UNCERTAINTY_H
#define RUNTIME_STATISTICS_UNCERTAINTY_H

#include "runtime/cone.h"
#include "runtime/evaluate/gradient.h"
#include "runtime/statistics/spread.h"

struct uncertainty_part {
    uint32_t input;
    double standard;     /* u_i */
    double sensitivity;  /* c_i, derivative of the quantity to the input */
    double contribution; /* |c_i| u_i */
    double share;        /* of u_c^2; 0 when u_c is */
    double freedom;      /* infinite: certain */
};

struct uncertainty_bend { /* second-order terms of one input, or of two together */
    uint32_t a, b;        /* inputs; the same: its own bend */
    double variance;      /* what they add to u_c^2; negative when a bend narrows the spread */
};

struct uncertainty {
    double estimate;                      /* at the expectations of the inputs */
    double stated;                        /* at the stated inputs; the same where all bands are even */
    ARRAY(struct uncertainty_part) parts; /* greatest contribution first, then in the program's order */
    double combined;                      /* NaN when a derivative does not exist */
    double freedom;                       /* infinite when all parts are certain */
    double coverage, factor, expanded;    /* share, t, U = factor * combined */
    ARRAY(struct uncertainty_bend) bends; /* greatest first, those that count at all */
    double second_order;                  /* u_c with them; NaN: a neighbouring point has no value */
    bool defined;                         /* there is an estimate */
};

/* ---- in a program ---------------------------------------------------------------------------------------------------- */

/* The program of what one node needs, that node last; its inputs, curves and spreads are the program's own. */
struct program program_cone(struct arena *, const struct program *, uint32_t node);

/* Whether some input with a held band, that is not fixed by OP_NOMINAL, goes into it. */
bool uncertainty_rests_on_bands(const struct program *, uint32_t node);

/* Makes an OP_UNCERTAINTY of a node, with the program's inputs, bands and spreads as they are now. */
uint32_t program_uncertainty(struct program *, uint32_t of, uint32_t origin);

/* Works all of them out again, after inputs have changed; or those that an unknown input goes into. */
void program_renew_uncertainties(struct program *);
void program_renew_uncertainties_of_unknowns(struct program *);

/* A copy with some inputs at these values, exact and not held, and the uncertainties that follow from unknown inputs worked
 * out again; NaN: the input has no value. Nodes and inputs are its own, the rest is shared. */
struct program program_settled(struct arena *, const struct program *, const uint32_t *inputs, const double *values,
                               uint32_t count);

/* ---- budgets --------------------------------------------------------------------------------------------------------- */

/* coverage: share, between 0 and 1. */
struct uncertainty uncertainty_of(struct arena *, const struct program *, uint32_t node, double coverage);

/* Parts and what they come to, without second order, from a gradient at the expected inputs. */
struct uncertainty uncertainty_from(struct arena *, const struct program *, const struct gradient *, uint32_t node,
                                    double coverage);

/* The same for one node of many that are asked for: of what goes into it alone, for each held input is a column and
 * columns are dear. Inputs of the parts in the program's own numbers. */
struct uncertainty uncertainty_of_cone(struct arena *, const struct program *, struct cone_marks *, uint32_t node,
                                       double coverage);

#endif
