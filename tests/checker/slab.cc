/* A flat sheet heated or cooled on both faces. Without dimension, X from 0 to 1, Biot numbers B0, B1, Fourier number F:
 *
 *     T = T0 + (S0 - T0) w(B0, B1, F, X) + (S1 - T0) w(B1, B0, F, 1 - X),
 *
 * w the sheet that starts at 0 with 1 beyond its first face and 0 beyond its second. Separation of variables gives
 *
 *     w = v - sum of B0 / (b^2 N) phi(X) exp(-b^2 F),   v = B0 (1 + B1 - B1 X) / (B0 + B1 + B0 B1),
 *     phi = cos bX + B0/b sin bX,   (b^2 - B0 B1) sin b = (B0 + B1) b cos b,
 *     N = ((1 + B0^2/b^2) (1 + B1/(b^2 + B1^2)) + B0/b^2) / 2,
 *
 * the coefficient from b^2 <v, phi> = -<v, phi''> = B0 by parts. The eigenvalue rises with both Biot numbers (Rayleigh's
 * quotient): d(b^2)/dB0 = 1/N, d(b^2)/dB1 = phi(1)^2/N with phi(1)^2 = (b^2 + B0^2)/(b^2 + B1^2). By the comparison
 * principle w lies in 0..1, rises with B0 and F, falls with B1 and X, and T rises with T0, S0 and S1. */
#include "heat.hh"

#include <cmath>

namespace
{

enum { MOST_TERMS = 3000, ENOUGH = 60 }; /* terms below exp(-60) are left out, with a bound */

/* ---- eigenvalues ------------------------------------------------------------------------------------------------- */

double root_guess(double b0, double b1, int n)
{
    double low = n * M_PI, high = (n + 1) * M_PI;
    double sign = n % 2 ? -1 : 1;
    for (int i = 0; i < 80; i++) {
        double b = (low + high) / 2;
        double g = (b - b0 * b1 / b) * std::sin(b) - (b0 + b1) * std::cos(b);
        (g * sign < 0 ? low : high) = b;
    }
    return (low + high) / 2;
}

Interval characteristic(const Interval &b0, const Interval &b1, const Interval &b)
{
    return (b.squared() - b0 * b1) * sin(b) - (b0 + b1) * b * cos(b);
}

/* The n-th eigenvalue of Biot numbers that are points: one sign change between n pi and (n + 1) pi, shown by its signs. */
Interval root(const Interval &b0, const Interval &b1, int n)
{
    Interval b = root_guess(b0.middle(), b1.middle(), n);
    for (int i = 0; i < 2; i++) { /* Newton */
        Interval slope =
            (Interval(2) * b) * sin(b) + (b.squared() - b0 * b1) * cos(b) - (b0 + b1) * (cos(b) - b * sin(b));
        b = (b - characteristic(b0, b1, b) / slope).center();
    }
    Interval sign(n % 2 ? -1.0 : 1.0);
    for (double width = 1e-38; width < 1; width *= 1e4) {
        Interval low = (b - Interval(width) * b).lowest(), high = (b + Interval(width) * b).highest();
        if ((sign * characteristic(b0, b1, low)).negative() && (sign * characteristic(b0, b1, high)).positive())
            return span(low, high);
    }
    return span(Interval(n) * Interval::pi(), Interval(n + 1.0) * Interval::pi());
}

/* ---- numbers that know how they move with B0 and B1 -------------------------------------------------------------- */

struct Dual {
    Interval v, d0, d1;
};

Dual operator+(const Dual &a, const Dual &b)
{
    return {a.v + b.v, a.d0 + b.d0, a.d1 + b.d1};
}
Dual operator-(const Dual &a, const Dual &b)
{
    return {a.v - b.v, a.d0 - b.d0, a.d1 - b.d1};
}
Dual operator*(const Dual &a, const Dual &b)
{
    return {a.v * b.v, a.d0 * b.v + a.v * b.d0, a.d1 * b.v + a.v * b.d1};
}
Dual operator/(const Dual &a, const Dual &b)
{
    Interval q = a.v / b.v;
    return {q, (a.d0 - q * b.d0) / b.v, (a.d1 - q * b.d1) / b.v};
}
Dual constant(const Interval &v)
{
    return {v, 0, 0};
}
Dual chain(const Dual &a, const Interval &value, const Interval &slope)
{
    return {value, slope * a.d0, slope * a.d1};
}

/* ---- one term of the series -------------------------------------------------------------------------------------- */

struct Place { /* a depth, or the mean over all of them */
    bool mean;
    Interval x;
};

struct Term {
    Dual q;           /* B0 phi / (b^2 N), of phi at the place */
    Interval q_depth; /* how it moves with the depth */
    Dual square;      /* b^2 */
};

Term term_of(const Interval &b0, const Interval &b1, const Interval &b, const Place &place)
{
    Dual B0{b0, 1, 0}, B1{b1, 0, 1}, one = constant(1);
    Interval square = b.squared();
    Interval norm =
        ((Interval(1) + b0.squared() / square) * (Interval(1) + b1 / (square + b1.squared())) + b0 / square) /
        Interval(2);
    Interval far = (square + b0.squared()) / (square + b1.squared());
    Dual root{b, Interval(1) / (Interval(2) * b * norm), far / (Interval(2) * b * norm)};
    Dual two_b = root * root;
    Dual N = ((one + B0 * B0 / two_b) * (one + B1 / (two_b + B1 * B1)) + B0 / two_b) / constant(2);
    Dual phi;
    Interval along = 0;
    if (place.mean) {
        Dual sine = chain(root, sin(b), cos(b)), cosine = chain(root, cos(b), -sin(b));
        phi = sine / root + B0 * (one - cosine) / two_b;
    } else {
        Dual angle = root * constant(place.x);
        Dual sine = chain(angle, sin(angle.v), cos(angle.v)), cosine = chain(angle, cos(angle.v), -sin(angle.v));
        phi = cosine + B0 / root * sine;
        along = b0 * cosine.v - b * sine.v;
    }
    Dual factor = B0 / (two_b * N);
    return {factor * phi, factor.v * along, two_b};
}

/* ---- the weight -------------------------------------------------------------------------------------------------- */

struct Weight {
    Interval value, near, far, fourier, depth; /* and how it moves with each */
};

/* What the terms from n on can still add: |phi| <= 1 + B0/b, N >= 1/2, b >= n pi. */
Interval tail(const Interval &b0, const Interval &fourier, int n, const Interval &factor)
{
    Interval b = Interval(n) * Interval::pi();
    Interval first = exp(-(b.squared() * fourier.lowest()));
    Interval ratio = exp(-(Interval(2.0 * n + 1) * Interval::pi().squared() * fourier.lowest()));
    Interval all = first / (Interval(1) - ratio);
    Interval bound = factor * Interval(2) * b0.highest() * (Interval(1) + b0.highest() / b) * all;
    return hull(-bound, bound);
}

Interval weight_at(const Interval &b0, const Interval &b1, const Interval &fourier, const Place &place)
{
    if (b0.is_zero() || fourier.is_zero())
        return 0;
    Interval steady = b0 * (Interval(1) + b1 - b1 * (place.mean ? Interval(0.5) : place.x)) / (b0 + b1 + b0 * b1);
    Interval sum = steady;
    for (int n = 0; n < MOST_TERMS; n++) {
        Term t = term_of(b0, b1, root(b0, b1, n), place);
        Interval part = t.q.v * exp(-(t.square.v * fourier));
        sum = sum - part;
        double reach = (n + 1) * M_PI;
        if (reach * reach * fourier.low() > ENOUGH)
            return meet(sum + tail(b0, fourier, n + 1, 1), Interval(0, 1));
    }
    return Interval(0, 1);
}

/* How it moves, over the box; a box whose series would be long has no slopes that are known. */
bool weight_slopes(const Interval &b0, const Interval &b1, const Interval &fourier, const Place &place, Weight &w)
{
    Dual B0{b0, 1, 0}, B1{b1, 0, 1}, one = constant(1);
    Dual steady = B0 * (one + B1 - B1 * constant(place.mean ? Interval(0.5) : place.x)) / (B0 + B1 + B0 * B1);
    Dual sum = steady;
    Interval by_fourier = 0, by_depth = place.mean ? Interval(0) : -(b0 * b1) / (b0 + b1 + b0 * b1);
    for (int n = 0; n < MOST_TERMS; n++) {
        Interval b = span(root(b0.lowest(), b1.lowest(), n), root(b0.highest(), b1.highest(), n));
        Term t = term_of(b0, b1, b, place);
        Interval decay = exp(-(t.square.v * fourier));
        Dual fade = chain(t.square, decay, -(fourier * decay));
        sum = sum - t.q * fade;
        by_fourier = by_fourier + t.square.v * t.q.v * decay;
        by_depth = by_depth - t.q_depth * decay;
        double reach = (n + 1) * M_PI;
        if (reach * reach * fourier.low() < ENOUGH)
            continue;
        /* What is left out: exp(-60) with its factors of b and Biot numbers below 1e6. */
        Interval rest = Interval(-1e-10, 1e-10);
        w.near = sum.d0 + rest;
        w.far = sum.d1 + rest;
        w.fourier = by_fourier + rest;
        w.depth = by_depth + rest;
        return true;
    }
    return false;
}

Weight weight_of(const Interval &near, const Interval &far, const Interval &fourier, const Place &place, bool slopes)
{
    Place top = {place.mean, place.x.lowest()}, bottom = {place.mean, place.x.highest()};
    Weight w;
    w.value = span(weight_at(near.lowest(), far.highest(), fourier.lowest(), bottom),
                   weight_at(near.highest(), far.lowest(), fourier.highest(), top));
    bool known = slopes && near.positive() && near.high() < 1e6 && far.high() < 1e6 &&
                 (far.positive() || far.is_zero()) && fourier.positive() && weight_slopes(near, far, fourier, place, w);
    if (!known)
        w.near = w.far = w.fourier = w.depth = Interval::everything();
    Interval rises = span(Interval(0), Interval::everything()), falls = -rises;
    w.near = meet(w.near, rises);
    w.far = meet(w.far, falls);
    w.fourier = meet(w.fourier, rises);
    w.depth = meet(w.depth, falls);
    return w;
}

/* ---- the sheet --------------------------------------------------------------------------------------------------- */

Interval least(const Interval &a, const Interval &b)
{
    return a.at_most(b) ? a : b.at_most(a) ? b : hull(a, b);
}

Enclosure sheet(const Arguments &a, bool mean, bool slopes = true)
{
    const Interval &h0 = a[0], &h1 = a[1], &S0 = a[2], &S1 = a[3], &T0 = a[4], &d = a[5], &k = a[6], &c = a[7],
                   &t = a[8];
    bool sound = h0.not_negative() && h1.not_negative() && d.positive() && k.positive() && c.positive() &&
                 t.not_negative() && (mean || (a[9].not_negative() && a[9].at_most(1)));
    if (!sound)
        return {false, 0, {}};
    Interval resistance = d / k, B0 = h0 * resistance, B1 = h1 * resistance, F = t * k / (c * d.squared());
    Place here = {mean, mean ? Interval(0) : a[9]}, there = {mean, mean ? Interval(0) : Interval(1) - a[9]};
    Weight w0 = weight_of(B0, B1, F, here, slopes), w1 = weight_of(B1, B0, F, there, slopes);

    Enclosure e{true, 0, std::vector<Interval>(a.size())};
    auto end = [&](bool upper) { /* T rises with all three temperatures */
                                 auto at = [&](const Interval &x) { return upper ? x.highest() : x.lowest(); };
                                 Interval start = at(T0), sum = start;
                                 const Interval *s[] = {&S0, &S1};
                                 const Weight *w[] = {&w0, &w1};
                                 for (int i = 0; i < 2; i++) {
                                     Interval pull = at(*s[i]) - start;
                                     sum = sum + pull * (pull.not_negative() == upper ? w[i]->value.highest()
                                                                                      : w[i]->value.lowest());
                                 }
                                 return sum;
    };
    Interval all = hull(hull(S0, S1), T0);
    e.value = meet(span(end(false), end(true)), all);

    Interval pull0 = S0 - T0, pull1 = S1 - T0;
    Interval by_b0 = pull0 * w0.near + pull1 * w1.far, by_b1 = pull0 * w0.far + pull1 * w1.near;
    Interval by_f = pull0 * w0.fourier + pull1 * w1.fourier;
    e.slopes[0] = by_b0 * resistance;
    e.slopes[1] = by_b1 * resistance;
    e.slopes[2] = w0.value;
    e.slopes[3] = w1.value;
    e.slopes[4] = meet(Interval(1) - w0.value - w1.value, Interval(0, 1));
    e.slopes[5] = (B0 * by_b0 + B1 * by_b1 - Interval(2) * F * by_f) / d;
    e.slopes[6] = (F * by_f - B0 * by_b0 - B1 * by_b1) / k;
    e.slopes[7] = -(F * by_f) / c;
    e.slopes[8] = by_f * k / (c * d.squared());
    if (!mean)
        e.slopes[9] = pull0 * w0.depth - pull1 * w1.depth;
    return e;
}

} // namespace

Enclosure slab_mean(const Arguments &a)
{
    return sheet(a, true);
}
Enclosure slab_temperature(const Arguments &a)
{
    return sheet(a, false);
}

Enclosure slab_time(const Arguments &a)
{
    const Interval &goal = a[8];
    Interval coolest = least(a[2], a[3]).lowest(), hottest = -least(-a[2], -a[3]).lowest();
    bool heats = a[4].at_most(coolest) && a[4].below(goal), cools = hottest.at_most(a[4]) && goal.below(a[4]);
    if (!heats && !cools)
        return {false, 0, {}};
    auto at = [&](double time) {
        Arguments b = a;
        b[8] = Interval(time);
        return sheet(b, true, false).value;
    };
    /* Reached for certain: the whole enclosure is beyond the goal. Not yet for certain: it is short of it. */
    auto done = [&](double time) { return heats ? goal.at_most(at(time)) : at(time).at_most(goal); };
    auto before = [&](double time) { return heats ? at(time).below(goal) : goal.below(at(time)); };
    double scale = (a[7] * a[5].squared() / a[6]).high(), high = scale, low = 0;
    for (int i = 0; !done(high); i++, high *= 2)
        if (i == 60)
            return {false, 0, {}};
    for (double top = high, i = 0; i < 40; i++) {
        double m = (low + top) / 2;
        (before(m) ? low : top) = m;
    }
    for (double bottom = low, i = 0; i < 40; i++) {
        double m = (bottom + high) / 2;
        (done(m) ? high : bottom) = m;
    }
    Arguments b = a;
    b[8] = Interval(low, high);
    Enclosure now = sheet(b, true), e{true, b[8], std::vector<Interval>(9)};
    Interval pace = now.defined ? now.slopes[8] : Interval(0);
    for (int i = 0; i < 8; i++)
        e.slopes[i] = pace.has_zero() ? Interval::everything() : -(now.slopes[i] / pace);
    e.slopes[8] = pace.has_zero() ? Interval::everything() : Interval(1) / pace;
    return e;
}
