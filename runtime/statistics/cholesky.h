/* Symmetric positive definite systems of a few dozen unknowns: Cholesky's factors of the matrix scaled to ones on its
 * diagonal. A library for it would bring a Fortran run time into the program for forty lines; the tests hold it against
 * one. Matrices stand row by row. */
#ifndef RUNTIME_STATISTICS_CHOLESKY_H
#define RUNTIME_STATISTICS_CHOLESKY_H

#include <stdbool.h>
#include <stddef.h>

/* In place: the lower factor of matrix, whose upper half is not read. scale: n numbers, set. False where it is not
 * positive definite to the last digits. */
bool cholesky_factor(double *matrix, double *scale, size_t n);
/* x: in, the right-hand side; out, the solution. */
void cholesky_solve(const double *factor, const double *scale, size_t n, double *x);

#endif
