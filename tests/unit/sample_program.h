/* Random programs over held inputs, for the evaluators' tests: every operation, curves, and every function that takes
 * plain numbers. */
#ifndef TESTS_UNIT_SAMPLE_PROGRAM_H
#define TESTS_UNIT_SAMPLE_PROGRAM_H

#include "runtime/evaluate/evaluate.h"

double random_share(void); /* 0 to 1 */
double random_between(double low, double high);

/* A program of about 60 nodes over four held inputs, two of them wide and two narrow. smooth: without rounding, logic
 * and comparisons. */
void random_program(struct program *, struct arena *, bool smooth);

/* A point of the program's box, by input index: each coordinate anywhere in its range, often at an end of it. */
double *random_point(struct arena *, const struct program *);

/* A call of one of the five heat functions on a sheet such as a shop has; each argument an input that is held with the
 * chance given, to within the share given of its size. Returns the node. */
uint32_t random_heat_call(struct program *, uint32_t function, double chance, double share);

#endif
