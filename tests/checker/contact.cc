/* A thin sheet between two half spaces behind a contact conductance. With t the time in time constants, b the softness, and
 * r the root of the Laplace variable, the share of the first difference that is left has the transform
 * (r + b) / (r (r^2 + b r + 1)). Expanded in 1/r and turned back term by term (Mittag-Leffler):
 *
 *     left = sum over n of (-1)^(n+1) u_(n-1) t^(n/2) / Gamma(n/2 + 1),   u_(-1) = -1, u_0 = 0, u_(n+1) = b u_n - u_(n-1).
 *
 * v = -d left/dt has the transform 1 / (r^2 + b r + 1) and is positive, so left falls with t; it is convex in t, its spectrum
 * b / ((1 - s^2)^2 + b^2 s^2) being positive. d left/db is positive (the softer tool cools more), and the second derivative
 * by b, -2 v * v * v (a convolution), negative: left is concave in b. Slopes are bounded by these. */
#include "heat.hh"

#include <cmath>
#include <vector>

namespace
{

enum { LATE = 90 }; /* from here on the integral over the spectrum is bounded by its first terms */

/* t^(n/2) / Gamma(n/2 + 1), one after the other. */
class Powers
{
  public:
    explicit Powers(const Interval &t) : time(t), even(1), odd(Interval(2) * sqrt(t / Interval::pi()))
    {
    }
    Interval at(int n)
    {
        Interval &own = n % 2 ? odd : even;
        if (n > 1)
            own = own * time / (Interval(n) / Interval(2));
        return own;
    }

  private:
    Interval time, even, odd;
};

Interval by_series(const Interval &t, const Interval &b)
{
    Powers powers(t);
    Interval before(-1), u(0), sum(0); /* u_(n-1) is `before` at n */
    double growth = std::fmax(1, b.high()), size = 1;
    for (int n = 0; n < 4000; n++) {
        Interval power = powers.at(n), term = before * power;
        sum = n % 2 ? sum + term : sum - term;
        /* |u_n| <= n growth^n. From where a term is under half of the one two before it, the rest is under four of these. */
        size = (n + 2) * std::pow(growth, n + 1) * power.high();
        bool small = (n + 2) / 2.0 > 4 * growth * growth * t.high();
        if (small && n > 4 && size < 1e-24)
            break;
        Interval next = b * u - before;
        before = u;
        u = next;
    }
    return sum + Interval(-8 * size, 8 * size);
}

/* left = 2 b/pi integral exp(-s^2 t) / ((1 - s^2)^2 + b^2 s^2) ds: nearly all from small s when t is large. */
Interval by_spectrum(const Interval &t, const Interval &b)
{
    Interval lead = b / sqrt(Interval::pi() * t);
    Interval high = lead * (Interval(1) + Interval(1.556) / t) + exp(-(t / Interval(4)));
    Interval low = lead * (Interval(1) - b.squared() / (Interval(2) * t)) - b * exp(-t);
    return span(low.lowest(), high.highest());
}

/* Of points. */
Interval share_left(const Interval &t, const Interval &b)
{
    if (t.is_zero())
        return 1;
    if (b.is_zero())
        return exp(-t);
    if (b.high() > 2)
        return Interval(0, 1); /* tools softer than any metal */
    Interval left = t.high() < LATE ? by_series(t, b) : by_spectrum(t, b);
    return meet(left, Interval(0, 1));
}

struct Share {
    Interval value, by_time, by_softness;
};

Share share_over(const Interval &t, const Interval &b)
{
    Interval t1 = t.lowest(), t2 = t.highest(), b1 = b.lowest(), b2 = b.highest();
    Interval fresh = share_left(t1, b2);
    Share s;
    s.value = span(share_left(t2, b1), fresh);
    s.by_time = Interval(-1, 0);
    if (t1.positive()) { /* convex: the slope is between those of chords before and behind */
        Interval half = t1 / Interval(2);
        Interval steep = (share_left(half.lowest(), b2) - share_left(t1, b1)) / half;
        Interval flat = (share_left(t2, b1) - share_left((Interval(2) * t2).highest(), b2)) / t2;
        s.by_time = meet(-hull(flat.lowest(), steep.highest()), Interval(-1, 0));
    }
    Interval most = b1.positive() ? (fresh - exp(-t2)) / b1 : Interval::everything();
    s.by_softness = meet(span(Interval(0), most.highest()), span(Interval(0), Interval::everything()));
    return s;
}

} // namespace

Enclosure contact_temperature(const Arguments &a) /* start, tools, time constant, softness, time */
{
    const Interval &start = a[0], &tools = a[1], &constant = a[2], &softness = a[3], &time = a[4];
    if (!constant.positive() || !softness.not_negative() || !time.not_negative())
        return {false, 0, {}};
    Share s = share_over(time / constant, softness);
    auto end = [&](bool upper) { /* rises with both temperatures */
                                 auto at = [&](const Interval &x) { return upper ? x.highest() : x.lowest(); };
                                 Interval away = at(start) - at(tools);
                                 return at(tools) +
                                        away * (away.not_negative() == upper ? s.value.highest() : s.value.lowest());
    };
    Interval away = start - tools;
    Enclosure e{true, meet(span(end(false), end(true)), hull(start, tools)), std::vector<Interval>(5)};
    e.slopes[0] = s.value;
    e.slopes[1] = Interval(1) - s.value;
    e.slopes[2] = -(away * s.by_time * time / constant.squared());
    e.slopes[3] = away * s.by_softness;
    e.slopes[4] = away * s.by_time / constant;
    return e;
}

Enclosure contact_time(const Arguments &a) /* with a goal instead of time */
{
    const Interval &start = a[0], &tools = a[1], &constant = a[2], &softness = a[3], &goal = a[4];
    bool cools = tools.below(goal) && goal.below(start), heats = goal.below(tools) && start.below(goal);
    if (!constant.positive() || !softness.not_negative() || (!cools && !heats))
        return {false, 0, {}};
    Interval away = start - tools, rest = goal - tools;
    /* The share to come to, at the corners where it is least and most. */
    Interval least = cools ? (goal.lowest() - tools.highest()) / (start.highest() - tools.highest())
                           : (goal.highest() - tools.lowest()) / (start.lowest() - tools.lowest());
    Interval most = cools ? (goal.highest() - tools.lowest()) / (start.lowest() - tools.lowest())
                          : (goal.lowest() - tools.highest()) / (start.highest() - tools.highest());
    double low = 0, high = 1;
    auto before = [&](double t) { return most.highest().below(share_left(Interval(t), softness.lowest())); };
    auto done = [&](double t) { return share_left(Interval(t), softness.highest()).at_most(least.lowest()); };
    for (int i = 0; !done(high); i++, high *= 2)
        if (i == 40)
            return {false, 0, {}};
    for (double top = high, i = 0; i < 40; i++) {
        double m = (low + top) / 2;
        (before(m) ? low : top) = m;
    }
    for (double bottom = low, i = 0; i < 40; i++) {
        double m = (bottom + high) / 2;
        (done(m) ? high : bottom) = m;
    }
    Interval steps(low, high);
    Share s = share_over(steps, softness);
    Enclosure e{true, steps * constant, std::vector<Interval>(5)};
    Interval pace = s.by_time.negative() ? constant / s.by_time : Interval::everything(); /* by the share, below zero */
    e.slopes[0] = -(pace * rest / away.squared());
    e.slopes[1] = pace * (rest - away) / away.squared();
    e.slopes[2] = steps;
    e.slopes[3] = -(pace * s.by_softness);
    e.slopes[4] = pace / away;
    return e;
}
