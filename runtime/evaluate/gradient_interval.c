#include "runtime/evaluate/gradient.h"

struct pass {
    const struct program *program;
    const struct interval *value;
    struct interval_gradient *g;
};

/* ---- rows -------------------------------------------------------------------------------------------------------- */

/* Goes on to the next column, from *k on, that a mask of interval_gradient.moving names; false when there is none. Most of
 * a row is 0, as most quantities come from few inputs. */
static bool next_column(uint64_t moving, uint32_t *k, uint32_t count)
{
    for (; *k < count; *k = (*k / 64 + 1) * 64) {
        uint64_t left = moving >> *k % 64;
        if (!left)
            continue;
        *k += (uint32_t)__builtin_ctzll(left);
        return *k < count;
    }
    return false;
}

#define EACH_MOVING(k, moving, count) for (uint32_t k = 0; next_column((moving), &(k), (count)); (k)++)

/* Adds factor times an operand's row. Sums and differences, whose factors are whole, are most of what is added. */
static void add_row(struct pass *s, uint32_t i, struct interval factor, uint32_t operand)
{
    const struct interval *from = s->g->slope[operand];
    if (!from || interval_is_zero(factor))
        return;
    struct interval *row = s->g->slope[i];
    uint64_t moving = s->g->moving[operand];
    bool one = interval_is_point(factor) && factor.low == 1, minus = interval_is_point(factor) && factor.low == -1;
    EACH_MOVING (k, moving, s->g->held.count) {
        if (interval_is_zero(from[k]))
            continue;
        struct interval add = one ? from[k] : minus ? interval_negate(from[k]) : interval_multiply(factor, from[k]);
        row[k] = interval_is_zero(row[k]) ? add : interval_add(row[k], add);
    }
    s->g->moving[i] |= moving;
}

static struct interval column_of(const struct interval *row, uint32_t k)
{
    return row ? row[k] : interval_point(0);
}

static void clear_row(struct interval_gradient *g, uint32_t i)
{
    memset(g->slope[i], 0, g->held.count * sizeof *g->slope[i]);
    g->moving[i] = 0;
}

static void set_column(struct interval_gradient *g, uint32_t i, uint32_t k, struct interval slope)
{
    g->slope[i][k] = slope;
    g->moving[i] |= interval_is_zero(slope) ? 0 : (uint64_t)1 << k % 64;
}

/* ---- operations -------------------------------------------------------------------------------------------------- */

/* A truth that may go either way can jump with any input that goes into it; one that is decided is level. */
static void slope_of_truth(struct pass *s, uint32_t i, const struct node_code *n)
{
    const struct interval *a = s->g->slope[n->a], *b = n->op == OP_NOT ? NULL : s->g->slope[n->b];
    if (interval_truth(s->value[i]) != TRUTH_UNKNOWN)
        return;
    EACH_MOVING (k, (a ? s->g->moving[n->a] : 0) | (b ? s->g->moving[n->b] : 0), s->g->held.count)
        if (!interval_is_zero(column_of(a, k)) || !interval_is_zero(column_of(b, k)))
            set_column(s->g, i, k, interval_whole());
}

/* Between sides that may both be chosen the value can jump when an input changes the choice; with the others it moves
 * as either side does. */
static void slope_of_select(struct pass *s, uint32_t i, const struct node_code *n)
{
    struct interval **slope = s->g->slope;
    const uint64_t *moving = s->g->moving;
    enum truth t = interval_truth(s->value[n->a]);
    EACH_MOVING (k, moving[n->a] | moving[n->b] | moving[n->c], s->g->held.count) {
        struct interval yes = column_of(slope[n->b], k), no = column_of(slope[n->c], k);
        if (t != TRUTH_UNKNOWN)
            set_column(s->g, i, k, t == TRUTH_TRUE ? yes : no);
        else if (interval_is_zero(column_of(slope[n->a], k)))
            set_column(s->g, i, k, interval_hull(yes, no));
        else
            set_column(s->g, i, k, interval_whole());
    }
}

/* (da - q db) / b rather than da / b - a db / b^2: the quotient's own range knows more than that of a and b apart, and
 * with both in one sum a quantity that stands above and below the line keeps its direction. */
static void slope_of_quotient(struct pass *s, uint32_t i, const struct node_code *n)
{
    struct interval quotient = interval_negate(s->value[i]), divisor = s->value[n->b], *row = s->g->slope[i];
    add_row(s, i, interval_point(1), n->a);
    add_row(s, i, quotient, n->b);
    EACH_MOVING (k, s->g->moving[i], s->g->held.count)
        if (!interval_is_zero(row[k]))
            row[k] = interval_divide(row[k], divisor);
}

/* y x^(y-1). Beyond 2^53 every double is even and one less may be none, of which a negative base would have no power: it
 * is odd all the same, so that the power has the sign of the base. Where 0 to less than the first power would be asked
 * for, the slope grows without bound. */
static struct interval slope_along_base(struct interval x, struct interval y)
{
    struct interval less = interval_subtract(y, interval_point(1)), power = interval_power(x, less);
    if (x.low < 0 && !interval_is_point(less)) {
        struct interval size = interval_power(interval_abs(x), less);
        power = interval_of(-size.high, x.high > 0 ? size.high : -size.low);
    }
    return interval_is_empty(power) ? interval_whole() : interval_multiply(y, power);
}

static void slope_of_power(struct pass *s, uint32_t i, const struct node_code *n)
{
    struct interval x = s->value[n->a], y = s->value[n->b];
    if (interval_is_zero(y) && !s->g->slope[n->b])
        return;
    add_row(s, i, slope_along_base(x, y), n->a);
    if (s->g->slope[n->b]) {
        struct interval with = interval_multiply(s->value[i], interval_ln(x));
        add_row(s, i, x.low > 0 ? with : interval_whole(), n->b);
    }
}

static void slope_of_curve(struct pass *s, uint32_t i, const struct node_code *n)
{
    const struct curve *c = &s->program->curves.at[n->a];
    struct interval slope[2];
    gradient_curve_slope_ranges(c, s->value[n->b], c->y_count ? s->value[n->c] : interval_point(0), slope);
    add_row(s, i, slope[0], n->b);
    if (c->y_count)
        add_row(s, i, slope[1], n->c);
}

static bool is_level(const struct interval_gradient *g, uint32_t node)
{
    EACH_MOVING (k, g->slope[node] ? g->moving[node] : 0, g->held.count)
        if (!interval_is_zero(g->slope[node][k]))
            return false;
    return true;
}

static void slope_of_call(struct pass *s, uint32_t i, const struct node_code *n)
{
    const uint32_t *operands = n->c ? &s->program->operands.at[n->b] : NULL;
    bool level = true;
    for (uint32_t k = 0; k < n->c && level; k++)
        level = is_level(s->g, operands[k]);
    if (level)
        return;
    struct interval *args = s->g->over.arguments, *partial = s->g->partial;
    for (uint32_t k = 0; k < n->c; k++) {
        args[k] = s->value[operands[k]];
        partial[k] = interval_point(0);
    }
    slopes_table[n->a](args, n->c, s->value[i], partial);
    for (uint32_t k = 0; k < n->c; k++)
        add_row(s, i, partial[k], operands[k]);
}

/* Level in what the process holds. In the run at the stated inputs, which has columns of unknown ones alone, it is its
 * operand. */
static void slope_of_nominal(struct pass *s, uint32_t i, const struct node_code *n)
{
    const struct interval_gradient *from = s->g->stated ? s->g->stated : s->g;
    for (uint32_t k = 0, unknown = 0; k < s->g->held.count; k++)
        if (s->program->inputs.at[s->g->held.input[k]].unknown)
            set_column(s->g, i, k, column_of(from->slope[n->a], unknown++));
}

static void slope_of_node(struct pass *s, uint32_t i, const struct node_code *n)
{
    struct interval one = interval_point(1);
    const struct interval *value = s->value;
    switch (n->op) {
    case OP_ADD:
    case OP_SUBTRACT:
        add_row(s, i, one, n->a);
        add_row(s, i, n->op == OP_ADD ? one : interval_negate(one), n->b);
        break;
    case OP_MULTIPLY:
        add_row(s, i, value[n->b], n->a);
        add_row(s, i, value[n->a], n->b);
        break;
    case OP_DIVIDE:
        slope_of_quotient(s, i, n);
        break;
    case OP_POWER:
        slope_of_power(s, i, n);
        break;
    case OP_NEGATE:
        add_row(s, i, interval_negate(one), n->a);
        break;
    case OP_SELECT:
        slope_of_select(s, i, n);
        break;
    case OP_CURVE:
        slope_of_curve(s, i, n);
        break;
    case OP_CALL:
        slope_of_call(s, i, n);
        break;
    case OP_NOMINAL:
        slope_of_nominal(s, i, n);
        break;
    default:
        slope_of_truth(s, i, n);
        break;
    }
}

/* ---- room -------------------------------------------------------------------------------------------------------- */

static bool has_column(const struct held_inputs *held, uint32_t input)
{
    for (uint32_t k = 0; k < held->count; k++)
        if (held->input[k] == input)
            return true;
    return false;
}

/* Whether an input that has a column goes into a node: what decides that it has a row at all. */
static bool has_row(const struct interval_gradient *g, const struct program *p, const struct node_code *n)
{
    switch (n->op) {
    case OP_CONSTANT:
    case OP_UNCERTAINTY:
        return false;
    case OP_INPUT:
        return has_column(&g->held, n->a);
    case OP_NEGATE:
    case OP_NOT:
        return g->slope[n->a] != NULL;
    case OP_SELECT:
        return g->slope[n->a] || g->slope[n->b] || g->slope[n->c];
    case OP_CURVE:
        return g->slope[n->b] || (p->curves.at[n->a].y_count && g->slope[n->c]);
    case OP_CALL:
        for (uint32_t k = 0; k < n->c; k++)
            if (g->slope[p->operands.at[n->b + k]])
                return true;
        return false;
    default:
        return g->slope[n->a] || g->slope[n->b];
    }
}

static struct held_inputs unknown_inputs_of(struct arena *arena, const struct program *p)
{
    struct held_inputs all = held_inputs_of(arena, p);
    uint32_t kept = 0;
    for (uint32_t k = 0; k < all.count; k++)
        if (p->inputs.at[all.input[k]].unknown)
            all.input[kept++] = all.input[k];
    all.count = kept;
    return all;
}

static struct interval_gradient gradient_new(struct arena *arena, const struct program *p, struct held_inputs columns,
                                             struct interval_evaluation over)
{
    struct interval_gradient g = {.arena = arena,
                                  .over = over,
                                  .held = columns,
                                  .slope = ARENA_ARRAY(arena, p->nodes.count, struct interval *),
                                  .moving = ARENA_ARRAY(arena, p->nodes.count, uint64_t),
                                  .partial = ARENA_ARRAY(arena, p->longest_call, struct interval)};
    for (uint32_t i = 1; i < p->nodes.count; i++)
        if (has_row(&g, p, &p->nodes.at[i]))
            g.slope[i] = ARENA_ROOM(arena, columns.count, struct interval);
    return g;
}

/* The run at the stated inputs has the same box as that of the values' own, but its own time: it follows when slopes are
 * asked for. */
static void add_stated(struct interval_gradient *g, struct arena *arena, const struct program *p,
                       struct held_inputs unknown)
{
    const struct stated_intervals *of = g->over.stated;
    g->stated_box = ARENA_NEW(arena, struct stated_intervals);
    *g->stated_box = *of;
    g->stated_box->box = ARENA_ARRAY(arena, p->inputs.count, struct interval);
    memcpy(g->stated_box->box, of->box, p->inputs.count * sizeof *of->box);
    g->stated = ARENA_NEW(arena, struct interval_gradient);
    *g->stated = gradient_new(arena, p, unknown, interval_evaluation_beside(arena, p, NULL));
}

struct interval_gradient interval_gradient_new(struct arena *arena, const struct program *p)
{
    struct interval_gradient g = gradient_new(arena, p, held_inputs_of(arena, p), interval_evaluation_new(arena, p));
    struct held_inputs unknown = unknown_inputs_of(arena, p);
    if (p->has_nominal && unknown.count)
        add_stated(&g, arena, p, unknown);
    return g;
}

/* ---- the pass ---------------------------------------------------------------------------------------------------- */

/* An input that is a point in the box moves nothing there: its column stays 0, which costs nothing further on. */
static void seed(struct interval_gradient *g, const struct interval *box, uint32_t input, uint32_t i)
{
    for (uint32_t k = 0; k < g->held.count; k++)
        if (g->held.input[k] == input && !interval_is_point(box[input]))
            set_column(g, i, k, interval_point(1));
}

static void run_pass(struct interval_gradient *g, const struct program *p, const struct interval *box,
                     const bool *wanted)
{
    if (g->stated && interval_follow_unknowns(g->stated_box, p, box))
        run_pass(g->stated, p, g->stated_box->box, g->stated_box->wanted);
    evaluate_interval(&g->over, p, box, wanted);
    struct pass s = {p, g->over.value, g};
    for (uint32_t i = 1; i < p->nodes.count; i++) {
        const struct node_code *n = &p->nodes.at[i];
        if ((wanted && !wanted[i]) || !g->slope[i] || g->over.culprit[i])
            continue;
        clear_row(g, i);
        if (n->op == OP_INPUT)
            seed(g, box, n->a, i);
        else
            slope_of_node(&s, i, n);
    }
}

void evaluate_interval_gradient(struct interval_gradient *g, const struct program *p, const struct interval *box)
{
    run_pass(g, p, box, NULL);
}

/* ---- sharper ranges ---------------------------------------------------------------------------------------------- */

/* From where to measure an input that moves a node both ways, with slopes from -down to up, so that the bound of the mean
 * value form is sharpest (Baumann, Optimal centered forms, BIT 28, 1988): the nearer to an end the less it moves the
 * other way. The loss is width * up * down / (up + down). */
static double center_of(struct interval x, struct interval slope, bool highest)
{
    double up = slope.high, down = -slope.low, high = highest ? up : down, low = highest ? down : up;
    double share = isinf(high) ? (isinf(low) ? 0.5 : 1) : isinf(low) ? 0 : high / (high + low);
    return fmin(fmax(x.low + share * (x.high - x.low), x.low), x.high);
}

/* Room for sharper ranges, which many boxes never need. */
static void make_ends(struct interval_gradient *g, const struct program *p)
{
    if (g->box)
        return;
    g->box = ARENA_ARRAY(g->arena, p->inputs.count, struct interval);
    g->ends = interval_evaluation_beside(g->arena, p, g->over.stated);
}

/* The box with each input the node is monotone in put where it makes the node lowest, or highest. With `away`, the
 * others are put at one place too, and *away is what they can add from there: slope times distance, one after another.
 * False when that is the box as it was. */
static bool put_at_ends(struct interval_gradient *g, const struct program *p, const struct interval *box, uint32_t node,
                        bool highest, struct interval *away)
{
    bool moved = false;
    memcpy(g->box, box, p->inputs.count * sizeof *box);
    for (uint32_t k = 0; k < g->held.count; k++) {
        uint32_t input = g->held.input[k];
        struct interval slope = column_of(g->slope[node], k), *x = &g->box[input];
        bool rises = slope.low >= 0, falls = slope.high <= 0;
        if (interval_is_point(*x) || !(rises || falls || away))
            continue;
        moved = true;
        if (rises || falls) {
            *x = interval_point(rises == highest ? x->high : x->low);
        } else {
            struct interval center = interval_point(center_of(*x, slope, highest));
            *away = interval_add(*away, interval_multiply(slope, interval_subtract(*x, center)));
            *x = center;
        }
    }
    return moved;
}

static bool is_monotone(const struct interval_gradient *g, uint32_t node)
{
    for (uint32_t k = 0; k < g->held.count; k++)
        if (g->slope[node][k].low < 0 && g->slope[node][k].high > 0)
            return false;
    return true;
}

/* One end of the node's range: over what is left of the box, and about one place in it. */
static struct interval end_range(struct interval_gradient *g, const struct program *p, const struct interval *box,
                                 uint32_t node, bool highest)
{
    struct interval end = g->over.value[node], away = interval_point(0);
    make_ends(g, p);
    if (put_at_ends(g, p, box, node, highest, NULL)) {
        evaluate_interval_toward(&g->ends, p, g->box, node);
        end = g->ends.value[node];
    }
    if (is_monotone(g, node))
        return end;
    put_at_ends(g, p, box, node, highest, &away);
    evaluate_interval_toward(&g->ends, p, g->box, node);
    struct interval about = interval_add(g->ends.value[node], away);
    if (interval_is_empty(end) || !interval_is_finite(about))
        return end;
    return interval_of(fmax(end.low, about.low), fmin(end.high, about.high));
}

static double end_of_node(struct interval_gradient *g, const struct program *p, const struct interval *box,
                          uint32_t node, bool highest)
{
    struct interval range = g->over.value[node];
    if (g->over.culprit[node] || !g->slope[node] || interval_is_point(range))
        return highest ? range.high : range.low;
    struct interval end = end_range(g, p, box, node, highest);
    return highest ? fmin(range.high, end.high) : fmax(range.low, end.low);
}

/* The end of the smallest, or the largest, of some nodes. Which of them it is may change over the box, so that it is
 * monotone in nothing though each of them may be; but its end is that of one of them. One whose whole range lies beyond
 * the end found so far is not asked for a sharper one. */
static double end_of_choice(struct interval_gradient *g, const struct program *p, const struct interval *box,
                            const struct node_code *n, bool highest)
{
    bool smallest = n->a == FUNCTION_min;
    double end = NAN;
    for (uint32_t k = 0; k < n->c; k++) {
        uint32_t term = p->operands.at[n->b + k];
        struct interval range = g->over.value[term];
        if (smallest ? range.low >= end : range.high <= end)
            continue;
        double own = gradient_monotone_end(g, p, box, term, highest);
        end = smallest ? fmin(end, own) : fmax(end, own);
    }
    return end;
}

static bool chooses(const struct node_code *n)
{
    return n->op == OP_CALL && (n->a == FUNCTION_min || n->a == FUNCTION_max);
}

/* The end of a sum or difference from the ends of its terms. */
static double end_of_sum(struct interval_gradient *g, const struct program *p, const struct interval *box,
                         const struct node_code *n, bool highest)
{
    bool plus = n->op == OP_ADD;
    double a = gradient_monotone_end(g, p, box, n->a, highest);
    double b = gradient_monotone_end(g, p, box, n->b, highest == plus);
    b = plus ? b : -b;
    return highest ? interval_sum_up(a, b) : interval_sum_down(a, b);
}

/* A term that chooses hides from the sum which of its sides counts; one that is level costs nothing to take apart. */
static double end_of_terms(struct interval_gradient *g, const struct program *p, const struct interval *box,
                           uint32_t node, bool highest)
{
    const struct node_code *n = &p->nodes.at[node];
    double sum = end_of_sum(g, p, box, n, highest);
    if (!g->slope[n->a] || !g->slope[n->b])
        return sum;
    double whole = end_of_node(g, p, box, node, highest);
    return highest ? fmin(sum, whole) : fmax(sum, whole);
}

double gradient_monotone_end(struct interval_gradient *g, const struct program *p, const struct interval *box,
                             uint32_t node, bool highest)
{
    const struct node_code *n = &p->nodes.at[node];
    if (g->over.culprit[node] || !g->slope[node] || is_monotone(g, node))
        return end_of_node(g, p, box, node, highest);
    if (chooses(n))
        return end_of_choice(g, p, box, n, highest);
    if ((n->op == OP_ADD || n->op == OP_SUBTRACT) &&
        (!g->slope[n->a] || !g->slope[n->b] || chooses(&p->nodes.at[n->a]) || chooses(&p->nodes.at[n->b])))
        return end_of_terms(g, p, box, node, highest);
    return end_of_node(g, p, box, node, highest);
}
