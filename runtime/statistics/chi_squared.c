/* The chi-squared distribution: the incomplete gamma function by its series and its continued fraction (Lentz),
 * DLMF 8.7.1 and 8.9.2. */
#include "runtime/statistics/fit.h"

#include <float.h>
#include <math.h>

enum { TERMS = 10000 };

static double lower_share(double a, double x)
{
    double term = 1 / a, sum = term;
    for (int n = 1; n < TERMS && term > sum * DBL_EPSILON / 4; n++)
        sum += term *= x / (a + n);
    return sum * exp(a * log(x) - x - lgamma(a));
}

static double upper_share(double a, double x)
{
    double b = x + 1 - a, c = 1 / DBL_MIN, d = 1 / b, fraction = d;
    for (int n = 1; n < TERMS; n++) {
        double factor = -n * (n - a);
        b += 2;
        d = 1 / (factor * d + b);
        c = b + factor / c;
        fraction *= c * d;
        if (fabs(c * d - 1) < DBL_EPSILON)
            break;
    }
    return fraction * exp(a * log(x) - x - lgamma(a));
}

double chi_squared_beyond(double chi_squared, double freedom)
{
    double a = freedom / 2, x = chi_squared / 2;
    if (!(x > 0) || !(a > 0))
        return isnan(chi_squared) ? NAN : 1;
    return x < a + 1 ? 1 - lower_share(a, x) : upper_share(a, x);
}
