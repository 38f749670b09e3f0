#include "runtime/statistics/cholesky.h"

#include <float.h>
#include <math.h>

static bool scale_to_ones(double *m, double *scale, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!(m[i * n + i] > 0) || !isfinite(m[i * n + i]))
            return false;
        scale[i] = 1 / sqrt(m[i * n + i]);
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k <= i; k++)
            m[i * n + k] *= scale[i] * scale[k];
    return true;
}

bool cholesky_factor(double *m, double *scale, size_t n)
{
    if (!scale_to_ones(m, scale, n))
        return false;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k <= i; k++) {
            double sum = m[i * n + k];
            for (size_t j = 0; j < k; j++)
                sum -= m[i * n + j] * m[k * n + j];
            if (i == k && !(sum > n * DBL_EPSILON))
                return false;
            m[i * n + k] = i == k ? sqrt(sum) : sum / m[k * n + k];
        }
    return true;
}

void cholesky_solve(const double *m, const double *scale, size_t n, double *x)
{
    for (size_t i = 0; i < n; i++) {
        x[i] *= scale[i];
        for (size_t k = 0; k < i; k++)
            x[i] -= m[i * n + k] * x[k];
        x[i] /= m[i * n + i];
    }
    for (size_t i = n; i-- > 0;) {
        for (size_t k = i + 1; k < n; k++)
            x[i] -= m[k * n + i] * x[k];
        x[i] /= m[i * n + i];
    }
    for (size_t i = 0; i < n; i++)
        x[i] *= scale[i];
}
