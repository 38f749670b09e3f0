/* A thin sheet in air, C dT/dt = -f(T), f = h (T - Ts) + e sigma (T^4 - Ts^4). Time is an integral of 1/f, which partial
 * fractions give in closed form; T follows from it by halving. With f = (T - Ts) Q, Q = h + e sigma q,
 * q = (T + Ts)(T^2 + Ts^2), differentiating t = C integral(T..T0) dx/f(x) gives every slope, each remaining integral
 * bounded by its monotone factor:
 *
 *     integral (x - Ts)/f^2 dx = integral 1/Q dx/f in (t/C) / [Q(T), Q(T0)],
 *     integral dx/f^2 = integral 1/f' d(-1/f) in (1/f(T) - 1/f(T0)) / [f'(T), f'(T0)].
 *
 * By the comparison principle T rises with T0 and Ts. */
#include "heat.hh"

namespace
{

const Interval SIGMA(5.670374419e-8); /* W/(m^2 K^4), CODATA 2018 */

struct Sheet {
    Interval start, around, capacity, convection, emissivity;
};

Interval transfer(const Sheet &s, const Interval &T) /* Q */
{
    const Interval &a = s.around;
    return s.convection + s.emissivity * SIGMA * (T + a) * (T.squared() + a.squared());
}

Interval loss(const Sheet &s, const Interval &T)
{
    return (T - s.around) * transfer(s, T);
} /* f */

Interval loss_slope(const Sheet &s, const Interval &T) /* f' */
{
    return s.convection + Interval(4) * s.emissivity * SIGMA * T.squared() * T;
}

/* ---- of points: time from the start to T, on the way to the surroundings --------------------------------------- */

Interval real_root(const Interval &a, const Interval &ratio) /* of x^3 + a x^2 + a^2 x + a^3 + h/(e sigma), rising */
{
    auto cubic = [&](const Interval &x) { return ((x + a) * x + a.squared()) * x + a.squared() * a + ratio; };
    double low = -1, high = 0;
    while (!cubic(Interval(low)).negative())
        low *= 2;
    for (int i = 0; i < 60; i++) {
        double m = (low + high) / 2;
        (cubic(Interval(m)).middle() < 0 ? low : high) = m;
    }
    Interval x = low;
    for (int i = 0; i < 3; i++)
        x = (x - cubic(x) / ((Interval(3) * x + Interval(2) * a) * x + a.squared())).center();
    for (double width = 1e-40; width < 1; width *= 1e3) {
        Interval wide(-width, width), box = x + wide * x;
        if (cubic(box.lowest()).negative() && cubic(box.highest()).positive())
            return box;
    }
    return Interval(low, high);
}

class Integral
{ /* of dx / f(x), from T to the start */
  public:
    explicit Integral(const Sheet &sheet) : s(sheet), radiates(!sheet.emissivity.is_zero())
    {
        if (!radiates)
            return;
        const Interval &a = s.around;
        factor = s.emissivity * SIGMA;
        r = real_root(a, s.convection / factor);
        p = a + r;
        q = a.squared() + r * p;
        at_around = Interval(1) / ((a - r) * ((a + p) * a + q));
        at_root = Interval(1) / ((r - a) * ((r + p) * r + q));
        linear = -(at_around + at_root);
        rest = Interval(1) / (a * r) + q * (at_around / a + at_root / r);
        span_root = sqrt(Interval(4) * q - p.squared());
    }
    Interval to(const Interval &T) const
    {
        if (!radiates)
            return log(abs(s.start - s.around) / abs(T - s.around)) / s.convection;
        return (primitive(s.start) - primitive(T)) / factor;
    }

  private:
    const Sheet &s;
    bool radiates;
    Interval factor, r, p, q, at_around, at_root, linear, rest, span_root;

    Interval primitive(const Interval &x) const
    {
        Interval quadratic = (x + p) * x + q;
        Interval turn = atan((Interval(2) * x + p) / span_root) * Interval(2) / span_root;
        return at_around * log(abs(x - s.around)) + at_root * log(x - r) + linear / Interval(2) * log(quadratic) +
               (rest - linear * p / Interval(2)) * turn;
    }
};

/* The temperature of a sheet of points after a time that is a point. */
Interval temperature_at(const Sheet &s, const Interval &time)
{
    bool idle = s.convection.is_zero() && s.emissivity.is_zero();
    if (idle || time.is_zero() || (s.start - s.around).is_zero())
        return s.start;
    Integral integral(s);
    auto taken = [&](const Interval &T) { return s.capacity * integral.to(T); };
    Interval away = s.start - s.around;
    Interval T = (s.around + away * exp(-(time * transfer(s, s.start) / s.capacity))).center();
    for (int i = 0; i < 12 && !(T - s.around).has_zero(); i++) /* Newton, for the logarithm of what is left */
        T = (s.around + (T - s.around) * exp((taken(T) - time) * transfer(s, T) / s.capacity)).center();
    /* An end on each side for which the time is certain. */
    Interval step = (T - s.around).center();
    for (double width = 1e-30; width < 1; width *= 1e3) {
        Interval sooner = (T + Interval(width) * step).center(), later = (T - Interval(width) * step).center();
        bool inside = away.positive() ? sooner.at_most(s.start) && s.around.below(later)
                                      : s.start.at_most(sooner) && later.below(s.around);
        if (inside && taken(sooner).at_most(time) && time.at_most(taken(later)))
            return hull(sooner, later);
    }
    return hull(s.start, s.around);
}

bool is_sound(const Sheet &s)
{
    bool warm = s.start.positive() && s.around.positive();
    return s.convection.not_negative() && s.emissivity.not_negative() && s.capacity.positive() && warm;
}

/* The corner where the sheet is warmest (or coolest): its own law decides whether fast or slow. */
Sheet corner(const Sheet &s, bool warmest, bool &slow)
{
    Sheet c = s;
    c.start = warmest ? s.start.highest() : s.start.lowest();
    c.around = warmest ? s.around.highest() : s.around.lowest();
    slow = warmest == c.around.at_most(c.start); /* cools: warmest when slow */
    c.capacity = slow ? s.capacity.highest() : s.capacity.lowest();
    c.convection = slow ? s.convection.lowest() : s.convection.highest();
    c.emissivity = slow ? s.emissivity.lowest() : s.emissivity.highest();
    return c;
}

/* Slopes of the time to T by start, surroundings, capacity, convection, emissivity and T. */
std::vector<Interval> time_slopes(const Sheet &s, const Interval &T, const Interval &time)
{
    Interval between = hull(transfer(s, T), transfer(s, s.start)), share = time / between;
    Interval q = (hull(T, s.start) + s.around) * (hull(T, s.start).squared() + s.around.squared());
    Interval pace = s.capacity / loss(s, T), first = s.capacity / loss(s, s.start);
    Interval by_around = (s.convection + Interval(4) * s.emissivity * SIGMA * s.around.squared() * s.around) *
                         (pace - first) / hull(loss_slope(s, T), loss_slope(s, s.start));
    return {first, by_around, time / s.capacity, -share, -(SIGMA * q * share), -pace};
}

} // namespace

Enclosure air_temperature(const Arguments &a)
{
    Sheet s{a[0], a[1], a[2], a[3], a[4]};
    const Interval &time = a[5];
    if (!is_sound(s) || !time.not_negative())
        return {false, 0, {}};
    bool slow;
    Sheet cool = corner(s, false, slow);
    Interval low = temperature_at(cool, slow ? time.lowest() : time.highest());
    Sheet warm = corner(s, true, slow);
    Interval high = temperature_at(warm, slow ? time.lowest() : time.highest());
    Enclosure e{true, span(low, high), std::vector<Interval>(6)};
    const Interval &T = e.value, f = loss(s, T);
    bool apart = s.around.below(s.start) || s.start.below(s.around);
    /* dT = f(T)/C (dt's own slopes - dt): what the time to T loses, T gains. */
    Interval share = meet(f / loss(s, s.start), Interval(0, 1));
    e.slopes[0] = apart ? share : Interval(0, 1);
    Interval bends = hull(loss_slope(s, T), loss_slope(s, s.start));
    Interval by_around = s.convection + Interval(4) * s.emissivity * SIGMA * s.around.squared() * s.around;
    e.slopes[1] =
        bends.positive() ? meet(by_around * (Interval(1) - e.slopes[0]) / bends, Interval(0, 1)) : Interval(0, 1);
    Interval flow = f * time / s.capacity, Q = hull(transfer(s, T), transfer(s, s.start));
    Interval both = hull(T, s.start), q = (both + s.around) * (both.squared() + s.around.squared());
    e.slopes[2] = flow / s.capacity;
    e.slopes[3] = Q.positive() ? -(flow / Q) : -(f * time / s.capacity) * Interval::everything();
    e.slopes[4] = Q.positive() ? -(SIGMA * q * flow / Q) : Interval::everything();
    e.slopes[5] = -(f / s.capacity);
    return e;
}

Enclosure air_time(const Arguments &a)
{
    Sheet s{a[0], a[1], a[2], a[3], a[4]};
    const Interval &goal = a[5];
    bool cools = s.around.below(goal) && goal.below(s.start), heats = goal.below(s.around) && s.start.below(goal);
    bool moves = s.convection.positive() || s.emissivity.positive();
    if (!is_sound(s) || !moves || (!cools && !heats))
        return {false, 0, {}};
    /* Longest: the warmest corner that cools to the lowest goal, or the coolest that heats to the highest. */
    bool slow;
    Sheet late = corner(s, cools, slow), soon = corner(s, heats, slow);
    Interval last = late.capacity * Integral(late).to(cools ? goal.lowest() : goal.highest());
    Interval first = soon.capacity * Integral(soon).to(cools ? goal.highest() : goal.lowest());
    Enclosure e{true, span(first, last), {}};
    e.slopes = time_slopes(s, goal, e.value);
    return e;
}
