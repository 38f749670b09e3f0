/* Reading and printing numbers without the locale. */
#ifndef RUNTIME_BASE_NUMBER_H
#define RUNTIME_BASE_NUMBER_H

#include "runtime/base/arena.h"

enum number_fault { NUMBER_OK, NUMBER_MALFORMED, NUMBER_TOO_LARGE };

/* Digits with optional _ between them, point, exponent; a minus may lead. Correctly rounded (nearest, ties to
 * even); a value that underflows gives 0 or a subnormal, one too large gives infinity with its fault. */
enum number_fault number_read(struct text, double *out);
/* Shortest decimal that reads back to the same double: 0.1, 1e+300 as "1e300". NaN "nan", infinities "inf", "-inf". */
struct text number_print(struct arena *, double);
/* Fixed number of decimals, rounded half to even on the exact binary value; "-0.00" prints as "0.00". */
struct text number_fixed(struct arena *, double, int decimals);
/* Ten to a whole power, correctly rounded from -22 to 22, where it is exact above 0; beyond as pow() has it. */
double power_of_ten(int);

#endif
