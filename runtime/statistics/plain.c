#include "runtime/statistics/plain.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* ln 2 in two parts, of which the first has zeros enough at its end that a whole multiple of it is exact. */
static const double LN2_HIGH = 0x1.62e42fee00000p-1, LN2_LOW = 0x1.a39ef35793c76p-33;

/* x = m 2^e with m in about 0.7 to 1.4; ln m = 2 (s + s^3/3 + s^5/5 ...), s = (m - 1) / (m + 1), at most 0.172. */
double plain_log(double x)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    int e = (int)(bits >> 52) - 1023;
    bits = (bits & UINT64_C(0xfffffffffffff)) | UINT64_C(0x3ff0000000000000);
    double m;
    memcpy(&m, &bits, sizeof m);
    if (m > 1.4142135623730951) {
        m /= 2;
        e++;
    }
    double s = (m - 1) / (m + 1), square = s * s, sum = 0;
    for (int k = 25; k >= 3; k -= 2)
        sum = (sum + 1.0 / k) * square;
    return e * LN2_HIGH + (e * LN2_LOW + 2 * s * sum + 2 * s);
}

static double power_of_two(int e)
{
    uint64_t bits = (uint64_t)(e + 1023) << 52;
    double x;
    memcpy(&x, &bits, sizeof x);
    return x;
}

/* x = k ln 2 + r, r at most 0.35 either way; e^r by its series. */
double plain_exp(double x)
{
    if (x < -700)
        return 0;
    if (x > 700)
        return INFINITY;
    double k = floor(x * 1.4426950408889634 + 0.5), r = (x - k * LN2_HIGH) - k * LN2_LOW, sum = 1;
    for (int n = 15; n >= 1; n--)
        sum = 1 + sum * r / n;
    return sum * power_of_two((int)k);
}

/* Series about 0, for an eighth of a turn at most. */
static double small_cosine(double angle)
{
    double square = angle * angle, sum = 1;
    for (int n = 16; n >= 2; n -= 2)
        sum = 1 - sum * square / (n * (n - 1.0));
    return sum;
}

static double small_sine(double angle)
{
    double square = angle * angle, sum = 1;
    for (int n = 17; n >= 3; n -= 2)
        sum = 1 - sum * square / (n * (n - 1.0));
    return angle * sum;
}

double plain_cosine(double turn)
{
    static const double FULL = 6.283185307179586;
    double t = turn > 0.5 ? 1 - turn : turn; /* 0 to a half: exact */
    if (t > 0.25)
        return t > 0.375 ? -small_cosine((0.5 - t) * FULL) : -small_sine((t - 0.25) * FULL);
    return t < 0.125 ? small_cosine(t * FULL) : small_sine((0.25 - t) * FULL);
}
