/* One root of a function between two places where its signs differ.
 *
 * Newton's step where it stays inside the bracket and halves it fast enough, halving elsewhere: it always ends, within
 * the last bits of a double. */
#ifndef RUNTIME_PHYSICS_ROOT_H
#define RUNTIME_PHYSICS_ROOT_H

/* The value at x; its slope into *slope, or NaN there when unknown (then the bracket is halved). */
typedef double root_function(void *context, double x, double *slope);

/* Where f is zero between low and high, low <= high. f(low) and f(high) must not have the same sign; if they have, the
 * result is one of the ends. */
double root_between(root_function *f, void *context, double low, double high);

#endif
