/* A thin sheet in air: convection and radiation, one temperature through the thickness.
 *
 * C dT/dt = -h (T - Ts) - e sigma (T^4 - Ts^4)
 *
 * In: start and surroundings' temperature, heat capacity per area, convection coefficient and emissivity (both added
 * over the faces). Out: the temperature after a time, the time to a temperature. The balance can be separated, so time
 * is an integral over a smooth function, done by Gauss's rule to the last digits; there is no time step. Without
 * radiation the integral is the exponential law. SI throughout, temperatures in kelvin.
 *
 * Where air and walls differ, the equilibrium temperature Te with h (Te - Tair) + e sigma (Te^4 - Twall^4) = 0 put for
 * Ts gives the same balance. */
#ifndef RUNTIME_PHYSICS_AIR_H
#define RUNTIME_PHYSICS_AIR_H

#include "runtime/function.h"

#define STEFAN_BOLTZMANN 5.670374419e-8 /* W/(m^2 K^4), CODATA 2018 */

struct air_sheet {
    double start, surroundings; /* K */
    double capacity;            /* J/(m^2 K) */
    double convection;          /* W/(m^2 K) */
    double emissivity;          /* 0 to 2: sum over the faces */
};

/* Each sets *fault and returns NaN where it has no value: EVAL_BAD_ARGUMENT for a negative time, convection or
 * emissivity, a capacity that is not positive, radiation from or to absolute zero. */
double air_temperature(const struct air_sheet *, double time, enum eval_fault *fault);
/* EVAL_NEVER_REACHED for a goal the sheet does not pass on its way to the surroundings' temperature. */
double air_time(const struct air_sheet *, double goal, enum eval_fault *fault);

/* Slopes of what the two return, where that has a value. */
struct air_slopes {
    double surroundings; /* by K */
    double convection;   /* by W/(m^2 K) */
    double emissivity;   /* by 1 */
};

struct air_slopes air_temperature_slopes(const struct air_sheet *, double time); /* of K */
struct air_slopes air_time_slopes(const struct air_sheet *, double goal);        /* of s; goal not the start's own */

#endif
