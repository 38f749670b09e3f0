/* A thin sheet between two thick tools that touch it: the tools' faces cool while they heat it.
 *
 * The sheet has one temperature through its thickness; each tool is a half space behind a contact conductance h. Half of
 * the sheet belongs to each face: C = c s / 2, in J/(m^2 K), its time constant between rigid tools is C / h. With the
 * tools' effusivity e = sqrt(k rho c) the balance in the Laplace variable p, time in time constants, is
 *
 *     left(p) = (r + b) / (r (r^2 + b r + 1)),   r = sqrt(p),   b = sqrt(h C) / e,
 *
 * the share of the first difference that is left. b, the softness, is 0 for tools that keep their temperature, and
 * left = exp(-time) then. Carslaw and Jaeger, Conduction of Heat in Solids, ch. XII and XIII.
 *
 * In: temperatures in K, times in s. Out: temperature after a time, time to a temperature, slopes of the share. */
#ifndef RUNTIME_PHYSICS_CONTACT_H
#define RUNTIME_PHYSICS_CONTACT_H

#include "runtime/function.h"

struct contact_sheet {
    double start, tools;  /* K; tools: what both come to together, before they are touched */
    double time_constant; /* s, above 0 */
    double softness;      /* at least 0 */
};

/* Each sets *fault and returns NaN where it has no value: EVAL_BAD_ARGUMENT for a negative time or softness, or a time
 * constant that is not above 0. */
double contact_temperature(const struct contact_sheet *, double time, enum eval_fault *fault);
/* EVAL_NEVER_REACHED for a goal the sheet does not pass on its way to the tools' temperature. */
double contact_time(const struct contact_sheet *, double goal, enum eval_fault *fault);

/* The share of the first difference that is left after so many time constants, from 1 down to 0, and its slopes, good to
 * about 1e-13. */
struct contact_share {
    double left, by_time, by_softness;
};

struct contact_share contact_share(double time, double softness);

#endif
