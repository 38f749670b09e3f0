#include "runtime/statistics/spread.h"

#include "runtime/statistics/plain.h"
#include "runtime/statistics/quantile.h"

#include <math.h>

const struct spread_entry spread_table[SPREAD_COUNT] = {
#define SPREAD(id, name, facts, doc, source) [SPREAD_##id] = {name, facts, doc, source},
#include "runtime/spreads.def"
#undef SPREAD
};

double spread_freedom(const struct spread *s)
{
    if (s->freedom > 0)
        return s->freedom;
    return s->doubt > 0 ? 1 / (2 * s->doubt * s->doubt) : INFINITY;
}

/* Half widths of the band that are one standard uncertainty of a normal spread. */
static double normal_share(const struct spread *s)
{
    if (s->k > 0)
        return 1 / s->k;
    return 1 / student_quantile((1 + s->coverage) / 2, spread_freedom(s));
}

double spread_standard(const struct spread *s, const struct input *in)
{
    double a = in->low, b = in->high, c = in->nominal, half = (b - a) / 2;
    switch ((enum spread_shape)s->shape) {
    case SPREAD_TRIANGULAR: /* with its top at the nominal value; even bands: half / sqrt(6) */
        return sqrt(((b - a) * (b - a) - (c - a) * (b - c)) / 18);
    case SPREAD_TRAPEZOID:
        return half * sqrt((1 + s->top * s->top) / 6);
    case SPREAD_NORMAL:
        return half * normal_share(s);
    case SPREAD_U_SHAPED:
        return half / sqrt(2);
    default:
        return (b - a) / sqrt(12);
    }
}

double spread_mean(const struct spread *s, const struct input *in)
{
    double middle = in->low + (in->high - in->low) / 2;
    switch ((enum spread_shape)s->shape) {
    case SPREAD_TRIANGULAR:
        return middle + (in->nominal - middle) / 3;
    case SPREAD_NORMAL:
    case SPREAD_U_SHAPED: /* about the stated value, whose band is even */
        return in->nominal;
    default:
        return middle;
    }
}

/* ---- drawing ----------------------------------------------------------------------------------------------------- */

/* JCGM 101 6.4.3: the ends lie anywhere within `doubt` half widths of where they are stated, about the same middle; one
 * draw settles where they are, the other the value between. */
static double draw_rectangular(const struct spread *s, const struct input *in, double u, double v)
{
    double off = s->doubt * (in->high - in->low) / 2, low = in->low - off + 2 * off * v;
    double high = in->low + (in->high - low);
    return low + (high - low) * u;
}

static double draw_triangular(const struct input *in, double u)
{
    double a = in->low, b = in->high, c = in->nominal, fold = (c - a) / (b - a);
    return u < fold ? a + sqrt(u * (b - a) * (c - a)) : b - sqrt((1 - u) * (b - a) * (b - c));
}

/* The sum of two rectangles, of half widths (1 + top) / 2 and (1 - top) / 2: JCGM 101 6.4.4. */
static double draw_trapezoid(const struct spread *s, const struct input *in, double u, double v)
{
    double half = (in->high - in->low) / 2;
    return in->low + half + half * ((1 + s->top) / 2 * (2 * u - 1) + (1 - s->top) / 2 * (2 * v - 1));
}

/* With few degrees of freedom the t-distribution about the nominal value, whose scale is the standard uncertainty:
 * JCGM 101 6.4.9. By the polar method, R. W. Bailey, Mathematics of Computation 62 (1994) 779. */
static double draw_normal(const struct spread *s, const struct input *in, double scale, double u, double v)
{
    double freedom = spread_freedom(s);
    if (!isfinite(freedom))
        return in->nominal + scale * normal_quantile(u);
    double radius = sqrt(freedom * (plain_exp(-2 / freedom * plain_log(u)) - 1));
    return in->nominal + scale * radius * plain_cosine(v);
}

double spread_draw(const struct spread *s, const struct input *in, double standard, double u, double v)
{
    switch ((enum spread_shape)s->shape) {
    case SPREAD_TRIANGULAR:
        return draw_triangular(in, u);
    case SPREAD_TRAPEZOID:
        return draw_trapezoid(s, in, u, v);
    case SPREAD_NORMAL:
        return draw_normal(s, in, standard, u, v);
    case SPREAD_U_SHAPED:
        return in->nominal + (in->high - in->low) / 2 * plain_cosine(u);
    default:
        return draw_rectangular(s, in, u, v);
    }
}
