/* Transient conduction in a flat sheet that is heated or cooled on both faces.
 *
 * In: conductance and surroundings' temperature of each face (they may differ; a conductance of 0 is an insulated
 * face), start temperature, thickness, conductivity, heat capacity. Out: the exact temperature at a depth, its mean,
 * the time until the mean comes to a goal. Constant properties, no radiation term, conduction across the thickness
 * only.
 *
 * Steady state plus a decaying eigenfunction series; for the first moments, when heat from one face has not felt the
 * other, two half-spaces laid over each other. Both after Carslaw and Jaeger, Conduction of Heat in Solids, ch. II,
 * III. Nothing is allocated; SI throughout, temperatures in kelvin. */
#ifndef RUNTIME_PHYSICS_SLAB_H
#define RUNTIME_PHYSICS_SLAB_H

#include "runtime/function.h"

struct slab {
    double conductance[2];  /* W/(m^2 K), first and second face */
    double surroundings[2]; /* K */
    double start;           /* K */
    double thickness;       /* m */
    double conductivity;    /* W/(m K) */
    double capacity;        /* J/(m^3 K) */
};

/* Each sets *fault and returns NaN where it has no value: EVAL_BAD_ARGUMENT for a negative conductance or time, a
 * thickness, conductivity or capacity that is not positive, a depth outside the sheet. */

/* depth: from the first face, as a share of the thickness. */
double slab_temperature(const struct slab *, double time, double depth, enum eval_fault *fault);
double slab_mean(const struct slab *, double time, enum eval_fault *fault);
/* The first time the mean is `goal`; EVAL_NEVER_REACHED when it never is. With surroundings on both sides of the start
 * temperature the mean can turn round: it may pass a goal that lies outside start and steady state. */
double slab_time(const struct slab *, double goal, enum eval_fault *fault);

/* One term of the series for Biot numbers hd/k of the two faces over the whole thickness d: root is the (n+1)th root of
 * (root^2 - B1 B2) tan root = (B1 + B2) root; its function is cos(root X - first_phase), X the depth. */
struct slab_mode {
    double root;
    double first_phase;
    double first, second; /* sin of the phase at each face, the second with its sign: how the face drives this term */
    double norm;          /* mean square of the function */
};

struct slab_mode slab_mode(double first_biot, double second_biot, uint32_t n);

/* From the Fourier number on from which the series is used, term n is below exp(-(n pi)^2 Fo); the 28th is below 1e-18. */
enum { SLAB_TERMS = 28 };

/* A sheet in numbers without dimension, for who asks it for several times or depths: depth in thicknesses, time as Fourier
 * number, from 0 on. Temperatures stay in kelvin. */
struct slab_sheet {
    double biot[2];
    double pull[2];        /* start minus surroundings */
    double start;          /* K */
    double steady, slope;  /* steady temperature at the first face, and its change to the second */
    double diffusion_time; /* s: time at Fourier number 1 */
    uint32_t count;        /* modes worked out so far */
    struct slab_mode mode[SLAB_TERMS];
};

/* False and *fault for what is no sheet. */
bool slab_sheet_of(const struct slab *, struct slab_sheet *, enum eval_fault *fault);
double slab_sheet_temperature(struct slab_sheet *, double fourier, double depth);
double slab_sheet_mean(struct slab_sheet *, double fourier);

#endif
