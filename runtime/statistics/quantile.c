#include "runtime/statistics/quantile.h"

#include "runtime/statistics/plain.h"

#include <math.h>

/* ---- normal: AS 241 ---------------------------------------------------------------------------------------------- */

enum { TERMS = 8 };

static double polynomial(const double c[TERMS], double x)
{
    double sum = c[TERMS - 1];
    for (int i = TERMS - 2; i >= 0; i--)
        sum = sum * x + c[i];
    return sum;
}

static const double middle_over[TERMS] = {3.3871328727963666080e0,  1.3314166789178437745e+2, 1.9715909503065514427e+3,
                                          1.3731693765509461125e+4, 4.5921953931549871457e+4, 6.7265770927008700853e+4,
                                          3.3430575583588128105e+4, 2.5090809287301226727e+3},
                    middle_under[TERMS] = {1.0,
                                           4.2313330701600911252e+1,
                                           6.8718700749205790830e+2,
                                           5.3941960214247511077e+3,
                                           2.1213794301586595867e+4,
                                           3.9307895800092710610e+4,
                                           2.8729085735721942674e+4,
                                           5.2264952788528545610e+3},
                    near_over[TERMS] = {1.42343711074968357734e0,  4.63033784615654529590e0, 5.76949722146069140550e0,
                                        3.64784832476320460504e0,  1.27045825245236838258e0, 2.41780725177450611770e-1,
                                        2.27238449892691845833e-2, 7.74545014278341407640e-4},
                    near_under[TERMS] = {1.0,
                                         2.05319162663775882187e0,
                                         1.67638483018380384940e0,
                                         6.89767334985100004550e-1,
                                         1.48103976427480074590e-1,
                                         1.51986665636164571966e-2,
                                         5.47593808499534494600e-4,
                                         1.05075007164441684324e-9},
                    far_over[TERMS] = {6.65790464350110377720e0,  5.46378491116411436990e0,  1.78482653991729133580e0,
                                       2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
                                       2.71155556874348757815e-5, 2.01033439929228813265e-7},
                    far_under[TERMS] = {1.0,
                                        5.99832206555887937690e-1,
                                        1.36929880922735805310e-1,
                                        1.48753612908506148525e-2,
                                        7.86869131145613259100e-4,
                                        1.84631831751005468180e-5,
                                        1.42151175831644588870e-7,
                                        2.04426310338993978564e-15};

double normal_quantile(double p)
{
    double off = p - 0.5;
    if (fabs(off) <= 0.425) {
        double r = 0.180625 - off * off;
        return off * polynomial(middle_over, r) / polynomial(middle_under, r);
    }
    double r = sqrt(-plain_log(off < 0 ? p : 1 - p));
    double size = r <= 5 ? polynomial(near_over, r - 1.6) / polynomial(near_under, r - 1.6)
                         : polynomial(far_over, r - 5) / polynomial(far_under, r - 5);
    return off < 0 ? -size : size;
}

/* ---- Student ----------------------------------------------------------------------------------------------------- */

/* The continued fraction of the incomplete beta function, NIST Digital Library of Mathematical Functions 8.17.22, by
 * the method of Lentz. */
static double beta_fraction(double a, double b, double x)
{
    const double tiny = 1e-300;
    double c = 1, d = 1 - (a + b) * x / (a + 1);
    d = 1 / (fabs(d) < tiny ? tiny : d);
    double h = d;
    for (int m = 1; m <= 20000; m++) {
        double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
        double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
        double step = 1;
        for (int k = 0; k < 2; k++) {
            double term = k ? odd : even;
            d = 1 + term * d;
            c = 1 + term / c;
            d = 1 / (fabs(d) < tiny ? tiny : d);
            c = fabs(c) < tiny ? tiny : c;
            step = d * c;
            h *= step;
        }
        if (fabs(step - 1) < 1e-15)
            break;
    }
    return h;
}

/* The share above t > 0: half the incomplete beta function at f / (f + t^2). */
static double share_above(double t, double freedom)
{
    double a = freedom / 2, b = 0.5, x = freedom / (freedom + t * t), rest = t * t / (freedom + t * t);
    double front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(rest));
    if (x < (a + 1) / (a + b + 2))
        return front * beta_fraction(a, b, x) / a / 2;
    return (1 - front * beta_fraction(b, a, rest) / b) / 2;
}

/* Two terms of the expansion in 1 / freedom, Abramowitz and Stegun 26.7.5. */
static double student_of_many(double z, double freedom)
{
    double cube = z * z * z;
    return z + (cube + z) / (4 * freedom) + (5 * z * z * cube + 16 * cube + 3 * z) / (96 * freedom * freedom);
}

double student_quantile(double p, double freedom)
{
    if (p < 0.5)
        return -student_quantile(1 - p, freedom);
    if (p == 0.5)
        return 0;
    double z = normal_quantile(p);
    if (freedom > 1e5)
        return isfinite(freedom) ? student_of_many(z, freedom) : z;
    double low = 0, high = z;
    while (share_above(high, freedom) > 1 - p && high < 1e150)
        high *= 2;
    while (high - low > 4e-16 * high) {
        double middle = low + (high - low) / 2;
        if (middle == low || middle == high)
            break;
        if (share_above(middle, freedom) > 1 - p)
            low = middle;
        else
            high = middle;
    }
    return low + (high - low) / 2;
}
