/* Quantiles: below which value a share of a distribution lies. */
#ifndef RUNTIME_STATISTICS_QUANTILE_H
#define RUNTIME_STATISTICS_QUANTILE_H

/* Of the normal distribution, to 1e-15 of its size, from plain arithmetic: the same bits on every machine.
 * M. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988) 477. p between 0 and 1, both excluded. */
double normal_quantile(double p);

/* Of Student's t-distribution with any positive number of degrees of freedom, infinite too; to 1e-10 of its size. */
double student_quantile(double p, double freedom);

#endif
