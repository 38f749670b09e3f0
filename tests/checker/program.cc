#include "program.hh"

#include "heat.hh"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>

namespace
{

const Interval FALSE(0), TRUE(1);

Interval unknown_truth()
{
    return Interval(0, 1);
}

Interval largest(const Interval &a)
{
    return abs(a).highest();
}

Interval least_size(const Interval &a)
{
    return a.has_zero() ? Interval(0) : abs(a).lowest();
}

Interval greater(const Interval &a, const Interval &b)
{
    return a.at_most(b) ? b : a;
} /* of two points */

Interval less(const Interval &a, const Interval &b)
{
    Interval d = b - a, most = Interval(1e-12) * greater(largest(a), largest(b));
    if ((d - most).positive())
        return TRUE;
    Interval fewest = Interval(1e-12) * greater(least_size(a), least_size(b));
    return (d - fewest).negative() || d.not_positive() ? FALSE : unknown_truth();
}

Interval negated(const Interval &truth)
{
    return certainly(truth) ? FALSE : certainly_not(truth) ? TRUE : unknown_truth();
}

Interval same(const Interval &a, const Interval &b)
{
    if (certainly(less(a, b)) || certainly(less(b, a)))
        return FALSE;
    return certainly_not(less(a, b)) && certainly_not(less(b, a)) ? TRUE : unknown_truth();
}

/* Where an argument stands in a curve: segments it may be in; one that misses an end by rounding is at the end. */
struct Segments {
    bool inside;
    size_t first, last;
    Interval clamped;
};

Segments segments_of(const std::vector<double> &at, const Interval &x)
{
    Interval low(at.front()), high(at.back());
    Segments s{!certainly(less(x.lowest(), low)) && !certainly(less(high, x.highest())), 0, 0, x};
    s.inside = s.inside && certainly_not(less(x.lowest(), low)) && certainly_not(less(high, x.highest()));
    if (!s.inside)
        return s;
    s.clamped = meet(x, span(low, high));
    size_t count = at.size() > 1 ? at.size() - 1 : 1;
    while (s.first + 1 < count && Interval(at[s.first + 1]).below(s.clamped))
        s.first++;
    s.last = s.first;
    while (s.last + 1 < count && !s.clamped.at_most(Interval(at[s.last + 1])))
        s.last++;
    return s;
}

Interval share_of(const std::vector<double> &at, size_t i, const Interval &x)
{
    if (at.size() < 2)
        return 0;
    Interval part = meet(x, Interval(at[i], at[i + 1]));
    return meet((part - Interval(at[i])) / (Interval(at[i + 1]) - Interval(at[i])), Interval(0, 1));
}

Interval blend(const Interval &a, const Interval &b, const Interval &share)
{
    return a + share * (b - a);
}

} // namespace

Interval sameness(const Interval &a, const Interval &b)
{
    return Interval(1e-12) * greater(least_size(a), least_size(b));
}

Pass::Pass(const Program &p, const std::vector<bool> &marks, const std::vector<size_t> &inputs,
           const std::vector<Interval> &stated)
    : program(p), read(marks), varied(inputs), nominal(stated), values(p.nodes.size())
{
}

void Pass::run(const Box &box)
{
    for (size_t i = 1; i < program.nodes.size(); i++)
        if (read[i])
            values[i] = evaluate(program.nodes[i], box);
}

Value Pass::undefined() const
{
    Value v;
    v.defined = false;
    v.value = Interval::everything();
    return v;
}

Value Pass::combined(const std::vector<const Value *> &of, const Interval &value,
                     const std::vector<Interval> &slopes) const
{
    Value out;
    out.value = value;
    for (size_t i = 0; i < of.size(); i++) {
        if (!of[i]->defined)
            return undefined();
        if (of[i]->slopes.empty())
            continue;
        if (out.slopes.empty())
            out.slopes.resize(varied.size());
        for (size_t k = 0; k < varied.size(); k++)
            if (!of[i]->slopes[k].is_zero())
                out.slopes[k] = out.slopes[k] + slopes[i] * of[i]->slopes[k];
    }
    return out;
}

Value Pass::scaled(const Value &of, const Interval &value, const Interval &slope) const
{
    return combined({&of}, value, {slope});
}

/* One of several, it is not known which: it moves as any of them, provided it does not jump. */
Value Pass::choice(const std::vector<const Value *> &of, const Interval &value) const
{
    Value out;
    out.value = value;
    out.slopes.resize(varied.size());
    for (size_t k = 0; k < varied.size(); k++)
        for (size_t i = 0; i < of.size(); i++) {
            Interval slope = of[i]->slopes.empty() ? Interval(0) : of[i]->slopes[k];
            out.slopes[k] = i ? hull(out.slopes[k], slope) : slope;
        }
    return out;
}

Value Pass::power(const Value &base, const Value &exponent) const
{
    const Interval &a = base.value, &b = exponent.value;
    if (b.is_point() && b.low() == (long)b.low() && std::abs(b.low()) < 1000) {
        long n = (long)b.low();
        if (n < 0 && a.has_zero())
            return undefined();
        Interval r(1), before(1);
        for (long i = 0; i < std::abs(n); i++) {
            before = r;
            r = r * a;
        }
        if (n % 2 == 0 && n != 0) { /* even: of the sizes */
            Interval size = abs(a);
            Interval low(1), high(1);
            for (long i = 0; i < std::abs(n); i++) {
                low = low * size.lowest();
                high = high * size.highest();
            }
            r = span(low, high);
        }
        Interval slope = Interval((double)std::abs(n)) * before;
        if (n < 0) {
            slope = -(slope / (r * r));
            r = Interval(1) / r;
        }
        return combined({&base, &exponent}, r, {slope, Interval(0)});
    }
    if (a.positive()) {
        Interval r = exp(b * log(a));
        return combined({&base, &exponent}, r, {b * r / a, r * log(a)});
    }
    if (a.not_negative() && b.positive()) {
        Interval high = a.highest().is_zero() ? Interval(0) : exp(b * log(a.highest()));
        Interval r = span(Interval(0), high);
        return combined({&base, &exponent}, r, {Interval::everything(), Interval::everything()});
    }
    return undefined();
}

Value Pass::curve(const Node &node) const
{
    const Curve &c = program.curves[node.operands[0]];
    const Value &vx = values[node.operands[1]];
    static const Value none;
    const Value &vy = c.y.empty() ? none : values[node.operands[2]];
    if (!vx.defined || !vy.defined)
        return undefined();
    std::vector<double> single{0};
    const std::vector<double> &ys = c.y.empty() ? single : c.y;
    Segments across = segments_of(c.x, vx.value), down = segments_of(ys, c.y.empty() ? Interval(0) : vy.value);
    if (!across.inside || !down.inside)
        return undefined();
    size_t width = ys.size();
    bool started = false;
    Interval value, by_x, by_y;
    for (size_t i = across.first; i <= across.last; i++)
        for (size_t j = down.first; j <= down.last; j++) {
            size_t i1 = std::min(i + 1, c.x.size() - 1), j1 = std::min(j + 1, width - 1);
            Interval z00(c.z[i * width + j]), z10(c.z[i1 * width + j]), z01(c.z[i * width + j1]),
                z11(c.z[i1 * width + j1]);
            Interval s = share_of(c.x, i, across.clamped), t = share_of(ys, j, down.clamped);
            /* Linear in each share: extremes at the corners of the part. */
            Interval part;
            for (int corner = 0; corner < 4; corner++) {
                Interval sc = corner & 1 ? s.highest() : s.lowest(), tc = corner & 2 ? t.highest() : t.lowest();
                Interval at = blend(blend(z00, z10, sc), blend(z01, z11, sc), tc);
                part = corner ? hull(part, at) : at;
            }
            Interval dx =
                i1 == i ? Interval(0) : blend(z10 - z00, z11 - z01, t) / (Interval(c.x[i1]) - Interval(c.x[i]));
            Interval dy = j1 == j ? Interval(0) : blend(z01 - z00, z11 - z10, s) / (Interval(ys[j1]) - Interval(ys[j]));
            value = started ? hull(value, part) : part;
            by_x = started ? hull(by_x, dx) : dx;
            by_y = started ? hull(by_y, dy) : dy;
            started = true;
        }
    return combined({&vx, &vy}, value, {by_x, by_y});
}

/* To a whole multiple of the step: up from `up_from` below it on. A quotient within 1e-12 of a half counts as that half, so
 * either neighbour is taken into account there. */
Value Pass::rounded(const Value &x, const Value &step, double up_from) const
{
    if (!step.value.positive())
        return undefined();
    Interval quotient = x.value / step.value, near = Interval(-1e-11, 1e-11) * quotient;
    Interval moved = quotient + near + Interval(up_from);
    double low = std::floor(moved.low()), high = std::floor(moved.high());
    if (up_from == 1) { /* a whole number stays: ceil(q) = -floor(-q) */
        Interval back = -(quotient + near);
        low = -std::floor(back.high());
        high = -std::floor(back.low());
    }
    bool jumps = low != high;
    Interval multiple(low, high);
    Interval slope = jumps ? Interval::everything() : Interval(0);
    return combined({&x, &step}, multiple * step.value, {slope, jumps ? slope : multiple});
}

Value Pass::call(const Node &node) const
{
    std::vector<const Value *> of;
    for (size_t operand : node.operands) {
        of.push_back(&values[operand]);
        if (!of.back()->defined)
            return undefined();
    }
    const std::string &f = node.function;
    const Interval &x = of[0]->value;
    if (f == "min" || f == "max") {
        bool low = f == "min";
        Interval best = x;
        for (const Value *v : of) {
            const Interval &y = v->value;
            Interval least = best.lowest().at_most(y.lowest()) == low ? best.lowest() : y.lowest();
            Interval most = best.highest().at_most(y.highest()) == low ? best.highest() : y.highest();
            best = span(least, most);
        }
        std::vector<const Value *> possible;
        for (const Value *v : of)
            if (low ? !best.below(v->value) : !v->value.below(best))
                possible.push_back(v);
        return choice(possible.empty() ? of : possible, best);
    }
    if (f == "mean") {
        Interval share = Interval(1) / Interval((double)of.size()), sum(0);
        for (const Value *v : of)
            sum = sum + v->value;
        return combined(of, sum * share, std::vector<Interval>(of.size(), share));
    }
    if (f == "abs") {
        Interval sign = x.not_negative() ? Interval(1) : x.not_positive() ? Interval(-1) : Interval(-1, 1);
        return scaled(*of[0], abs(x), sign);
    }
    if (f == "sqrt") {
        if (!x.not_negative())
            return undefined();
        Interval r = sqrt(x);
        return scaled(*of[0], r, Interval(1) / (Interval(2) * r));
    }
    if (f == "exp")
        return scaled(*of[0], exp(x), exp(x));
    if (f == "ln")
        return x.positive() ? scaled(*of[0], log(x), Interval(1) / x) : undefined();
    if (f == "sin")
        return scaled(*of[0], sin(x), cos(x));
    if (f == "cos")
        return scaled(*of[0], cos(x), -sin(x));
    if (f == "tan")
        return cos(x).has_zero() ? undefined() : scaled(*of[0], tan(x), Interval(1) / cos(x).squared());
    if (f == "atan")
        return scaled(*of[0], atan(x), Interval(1) / (Interval(1) + x.squared()));
    if (f == "radians" || f == "kelvin" || f == "celsius")
        return scaled(*of[0], x, 1);
    if (f == "inside") {
        bool within = certainly_not(less(x.lowest(), of[1]->value)) && certainly_not(less(of[2]->value, x.highest())) &&
                      certainly_not(less(of[2]->value, of[1]->value));
        return within ? scaled(*of[0], x, 1) : undefined();
    }
    if (f == "round" || f == "round-up")
        return rounded(*of[0], *of[1], f == "round" ? 0.5 : 1);
    static const std::map<std::string, std::function<Enclosure(const Arguments &)>> heat{
        {"slab-mean", slab_mean},       {"slab-temperature", slab_temperature},
        {"slab-time", slab_time},       {"contact-temperature", contact_temperature},
        {"contact-time", contact_time}, {"air-temperature", air_temperature},
        {"air-time", air_time}};
    auto law = heat.find(f);
    if (law == heat.end())
        throw std::string("the function '" + f + "' is not known here");
    Arguments arguments;
    for (const Value *v : of)
        arguments.push_back(v->value);
    Enclosure e = law->second(arguments);
    return e.defined ? combined(of, e.value, e.slopes) : undefined();
}

Value Pass::evaluate(const Node &n, const Box &box) const
{
    auto at = [&](size_t k) -> const Value & { return values[n.operands[k]]; };
    auto truth = [&](const Interval &t) {
        Value v;
        v.value = t;
        v.defined = at(0).defined && at(1).defined;
        return v;
    };
    Value v;
    if (n.op == "constant" || n.op == "uncertainty") {
        v.value = Interval(n.constant);
        return v;
    }
    if (n.op == "nominal") {
        v.value = nominal[n.operands[0]];
        return v;
    }
    if (n.op == "input") {
        v.value = box[n.operands[0]];
        auto k = std::find(varied.begin(), varied.end(), n.operands[0]);
        if (k != varied.end()) {
            v.slopes.resize(varied.size());
            v.slopes[k - varied.begin()] = Interval(1);
        }
        return v;
    }
    if (n.op == "add")
        return combined({&at(0), &at(1)}, at(0).value + at(1).value, {1, 1});
    if (n.op == "subtract")
        return combined({&at(0), &at(1)}, at(0).value - at(1).value, {1, -1});
    if (n.op == "multiply") {
        if (n.operands[0] == n.operands[1])
            return scaled(at(0), at(0).value.squared(), Interval(2) * at(0).value);
        return combined({&at(0), &at(1)}, at(0).value * at(1).value, {at(1).value, at(0).value});
    }
    if (n.op == "divide") {
        if (at(1).value.has_zero())
            return undefined();
        Interval q = at(0).value / at(1).value;
        return combined({&at(0), &at(1)}, q, {Interval(1) / at(1).value, -(q / at(1).value)});
    }
    if (n.op == "power")
        return at(0).defined && at(1).defined ? power(at(0), at(1)) : undefined();
    if (n.op == "negate")
        return scaled(at(0), -at(0).value, -1);
    if (n.op == "less")
        return truth(less(at(0).value, at(1).value));
    if (n.op == "less-equal")
        return truth(negated(less(at(1).value, at(0).value)));
    if (n.op == "equal")
        return truth(same(at(0).value, at(1).value));
    if (n.op == "not") {
        v.defined = at(0).defined;
        v.value = negated(at(0).value);
        return v;
    }
    if (n.op == "and" || n.op == "or") { /* what the left side decides alone leaves the right side unread */
        bool is_and = n.op == "and";
        const Value &a = at(0), &b = at(1);
        if (!a.defined)
            return undefined();
        if (is_and ? certainly_not(a.value) : certainly(a.value)) {
            v.value = a.value;
            return v;
        }
        v.defined = b.defined;
        if (is_and)
            v.value = certainly(a.value) ? b.value : certainly_not(b.value) ? FALSE : unknown_truth();
        else
            v.value = certainly_not(a.value) ? b.value : certainly(b.value) ? TRUE : unknown_truth();
        return v;
    }
    if (n.op == "select") {
        if (!at(0).defined)
            return undefined();
        if (certainly(at(0).value))
            return at(1);
        if (certainly_not(at(0).value))
            return at(2);
        if (!at(1).defined || !at(2).defined)
            return undefined();
        v.value = hull(at(1).value, at(2).value); /* it may jump: nothing is known of its slopes */
        v.slopes.assign(varied.size(), Interval::everything());
        return v;
    }
    if (n.op == "curve")
        return curve(n);
    if (n.op == "call")
        return call(n);
    throw std::string("the operation '" + n.op + "' is not known here");
}
