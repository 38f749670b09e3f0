/* How: the natural interval of each comparison's difference, met with the mean value form
 * d(x) in d(m) + sum of slope_k (x_k - m_k) over the box; inputs in which all open differences go one way are put at their
 * worse end, which sharpens the rest; what is still open is cut along the input that moves it most. */
#include "claim.hh"

#include <cmath>

std::vector<bool> needed(const Program &p, const std::vector<size_t> &of)
{
    std::vector<bool> marks(p.nodes.size());
    for (size_t node : of)
        marks[node] = node != 0;
    for (size_t i = p.nodes.size(); i-- > 1;) {
        const Node &n = p.nodes[i];
        if (!marks[i] || n.op == "input" || n.op == "constant" || n.op == "uncertainty" || n.op == "nominal")
            continue;
        for (size_t k = n.op == "curve" ? 1 : 0; k < n.operands.size(); k++)
            marks[n.operands[k]] = true;
    }
    return marks;
}

namespace
{

std::vector<size_t> varied_of(const Program &p, const std::vector<bool> &read)
{
    std::vector<bool> used(p.inputs.size());
    for (size_t i = 1; i < p.nodes.size(); i++)
        if (read[i] && p.nodes[i].op == "input")
            used[p.nodes[i].operands[0]] = true;
    std::vector<size_t> varied;
    for (size_t i = 0; i < p.inputs.size(); i++)
        if (used[i] && p.inputs[i].low < p.inputs[i].high)
            varied.push_back(i);
    return varied;
}

Interval truth(bool t)
{
    return Interval(t ? 1 : 0);
}

} // namespace

Prover::Prover(const Program &p, const Claim &c, const std::vector<Interval> &nominal)
    : program(p), claim(c), read(needed(p, {c.when, c.truth, c.margin})), varied(varied_of(p, read)),
      pass(p, read, varied, nominal), middle(p, read, none, nominal), plain(true)
{
}

/* ---- one comparison ---------------------------------------------------------------------------------------------- */

Interval Prover::slope(const Difference &d, size_t k) const
{
    const Value &a = pass[d.larger], &b = pass[d.smaller];
    Interval up = a.slopes.empty() ? Interval(0) : a.slopes[k];
    return b.slopes.empty() ? up : up - b.slopes[k];
}

Interval Prover::difference(size_t larger, size_t smaller, const Box &box) const
{
    Interval natural = pass[larger].value - pass[smaller].value;
    if (!middle[larger].defined || !middle[smaller].defined)
        return natural;
    Interval centred = middle[larger].value - middle[smaller].value;
    for (size_t k = 0; k < varied.size(); k++) {
        Interval s = slope({larger, smaller}, k), away = box[varied[k]] - box[varied[k]].center();
        if (!s.is_bounded() && !away.is_zero())
            return natural;
        centred = centred + s * away;
    }
    return meet(natural, centred);
}

/* larger > smaller (strict: not as the same) or larger >= smaller (or as the same). */
Interval Prover::comparison(size_t larger, size_t smaller, bool strict, bool wanted, const Box &box)
{
    if (!pass[larger].defined || !pass[smaller].defined) {
        plain = false;
        return Interval(0, 1);
    }
    Interval d = difference(larger, smaller, box);
    Interval least = sameness(pass[larger].value, pass[smaller].value);
    Interval most = Interval(1e-12) * (abs(pass[larger].value) + abs(pass[smaller].value)).highest();
    if (strict ? (d - most).positive() : (d + least).positive() || d.not_negative())
        return truth(true);
    if (strict ? (d - least).negative() || d.not_positive() : (d + most).negative())
        return truth(false);
    open.push_back(wanted ? Difference{larger, smaller} : Difference{smaller, larger});
    return Interval(0, 1);
}

/* ---- logic ------------------------------------------------------------------------------------------------------- */

Interval Prover::truth_of(size_t node, bool wanted, const Box &box)
{
    const Node &n = program.nodes[node];
    auto not_of = [](const Interval &t) { return t.is_point() ? Interval(1) - t : t; };
    if (n.op == "less")
        return comparison(n.operands[1], n.operands[0], true, wanted, box);
    if (n.op == "less-equal")
        return comparison(n.operands[1], n.operands[0], false, wanted, box);
    if (n.op == "not")
        return not_of(truth_of(n.operands[0], !wanted, box));
    if (n.op == "and" || n.op == "or") {
        bool is_and = n.op == "and";
        Interval left = truth_of(n.operands[0], wanted, box);
        if (left.is_point() && certainly(left) != is_and)
            return left;
        if (!pass[n.operands[1]].defined) {
            plain = false;
            return Interval(0, 1);
        }
        Interval right = truth_of(n.operands[1], wanted, box);
        if (left.is_point())
            return right;
        return right.is_point() && certainly(right) != is_and ? right : Interval(0, 1);
    }
    const Value &v = pass[node];
    if (v.defined && v.value.is_point())
        return v.value;
    plain = false;
    return Interval(0, 1);
}

/* ---- boxes ------------------------------------------------------------------------------------------------------- */

bool Prover::look_at_condition(const Box &box)
{
    if (!claim.when)
        return false;
    if (!pass[claim.when].defined) {
        plain = false;
        return false;
    }
    return certainly_not(truth_of(claim.when, false, box));
}

bool Prover::look_at_claim(const Box &box)
{
    return look_at_condition(box) || certainly(truth_of(claim.truth, true, box));
}

bool Prover::look_at_margin(const Box &box)
{
    if (!claim.margin || !pass[claim.margin].defined)
        return false;
    Interval d = difference(claim.margin, 0, box) - Interval(least);
    open.push_back({claim.margin, 0});
    return (d + Interval(1e-2) * abs(Interval(least))).not_negative();
}

/* One look at a box: true when it is shown in all of it. */
bool Prover::look(Goal goal, const Box &box)
{
    Box center;
    for (const Interval &x : box)
        center.push_back(x.center());
    looked_at++;
    open.clear();
    plain = true;
    pass.run(box);
    middle.run(center);
    return goal == Goal::idle     ? look_at_condition(box)
           : goal == Goal::margin ? look_at_margin(box)
                                  : look_at_claim(box);
}

/* Puts inputs in which every open difference goes one way at their worse end; false when none is left. */
bool Prover::lower_face(Box &box) const
{
    bool changed = false;
    for (size_t k = 0; plain && !open.empty() && k < varied.size(); k++) {
        Interval &x = box[varied[k]];
        bool up = true, down = true, moves = false;
        for (const Difference &d : open) {
            Interval s = slope(d, k);
            up = up && s.not_negative();
            down = down && s.not_positive();
            moves = moves || !s.is_zero();
        }
        if (x.is_point() || !moves || (!up && !down))
            continue;
        x = up ? x.lowest() : x.highest();
        changed = true;
    }
    return changed;
}

size_t Prover::column(const Box &box, const Box &whole) const
{
    size_t best = 0;
    double most = -1;
    for (size_t k = 0; k < varied.size(); k++) {
        const Interval &x = box[varied[k]], &all = whole[varied[k]];
        double width = x.high() - x.low(), share = all.is_point() ? 0 : width / (all.high() - all.low()), move = 0;
        for (const Difference &d : open) {
            Interval s = slope(d, k);
            move += s.is_bounded() ? width * std::fmax(std::fabs(s.low()), std::fabs(s.high())) : 0;
        }
        if (width > 0 && (move > 0 ? move : 1e-300 * share) > most) {
            most = move > 0 ? move : 1e-300 * share;
            best = k;
        }
    }
    return best;
}

bool Prover::show(Goal goal, const Box &whole, int budget)
{
    std::vector<Box> waiting{whole};
    while (!waiting.empty()) {
        Box box = waiting.back();
        waiting.pop_back();
        if (--budget < 0)
            return false;
        bool good = look(goal, box);
        for (int i = 0; !good && i < 4 && lower_face(box); i++)
            good = look(goal, box);
        if (good)
            continue;
        if (varied.empty())
            return false;
        size_t input = varied[column(box, whole)];
        double m = box[input].middle();
        if (!(box[input].low() < m && m < box[input].high()))
            return false;
        Box low = box, high = box;
        low[input] = Interval(box[input].low(), m);
        high[input] = Interval(m, box[input].high());
        waiting.push_back(low);
        waiting.push_back(high);
    }
    return true;
}
