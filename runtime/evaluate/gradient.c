#include "runtime/evaluate/gradient.h"

struct pass {
    const struct program *program;
    const double *value;
    struct gradient *g;
    double *partial;       /* room for the longest call */
    double *const *stated; /* slopes at the stated inputs, for OP_NOMINAL; NULL: this is that run, or there is none */
};

struct held_inputs held_inputs_of(struct arena *arena, const struct program *p)
{
    struct held_inputs held = {0, ARENA_ARRAY(arena, p->inputs.count, uint32_t)};
    for (uint32_t i = 0; i < p->inputs.count; i++)
        if (p->inputs.at[i].held)
            held.input[held.count++] = i;
    return held;
}

/* ---- rows -------------------------------------------------------------------------------------------------------- */

/* Adds factor times an operand's row. A factor that does not exist spoils only the inputs that go into the operand; one
 * that does needs no test, and the loop goes several columns at a time. */
static void add_row(double *restrict row, uint32_t count, double factor, const double *restrict operand)
{
    if (!operand || factor == 0)
        return;
    if (isfinite(factor)) {
        for (uint32_t k = 0; k < count; k++)
            row[k] += factor * operand[k];
        return;
    }
    for (uint32_t k = 0; k < count; k++)
        if (operand[k] != 0)
            row[k] += factor * operand[k];
}

static void copy_row(double *row, uint32_t count, const double *operand)
{
    if (operand)
        memcpy(row, operand, count * sizeof *row);
}

/* ---- operations -------------------------------------------------------------------------------------------------- */

static void slope_of_power(struct pass *s, uint32_t i, const struct node_code *n, double *row)
{
    double x = s->value[n->a], y = s->value[n->b];
    uint32_t count = s->g->held.count;
    add_row(row, count, y == 0 ? 0 : y * pow(x, y - 1), s->g->slope[n->a]);
    /* x^y moves with y as ln x, which only a positive x has; 0 to a positive power stays 0. */
    if (s->g->slope[n->b])
        add_row(row, count, x > 0 ? s->value[i] * log(x) : x == 0 && y > 0 ? 0 : NAN, s->g->slope[n->b]);
}

static void slope_of_curve(struct pass *s, const struct node_code *n, double *row)
{
    const struct curve *c = &s->program->curves.at[n->a];
    double slope[2] = {0, 0};
    gradient_curve_slopes(c, s->value[n->b], c->y_count ? s->value[n->c] : 0, slope);
    add_row(row, s->g->held.count, slope[0], s->g->slope[n->b]);
    if (c->y_count)
        add_row(row, s->g->held.count, slope[1], s->g->slope[n->c]);
}

static void slope_of_call(struct pass *s, uint32_t i, const struct node_code *n, double *row)
{
    const uint32_t *operands = n->c ? &s->program->operands.at[n->b] : NULL;
    double *args = s->partial + n->c;
    for (uint32_t k = 0; k < n->c; k++) {
        args[k] = s->value[operands[k]];
        s->partial[k] = 0;
    }
    partials_table[n->a](args, n->c, s->value[i], s->partial);
    for (uint32_t k = 0; k < n->c; k++)
        add_row(row, s->g->held.count, s->partial[k], s->g->slope[operands[k]]);
}

/* Level in what the process holds; it moves with what is unknown as its operand does at the stated inputs. */
static void slope_of_nominal(struct pass *s, const struct node_code *n, double *row)
{
    const double *operand = s->stated ? s->stated[n->a] : s->g->slope[n->a];
    for (uint32_t k = 0; operand && k < s->g->held.count; k++)
        if (s->program->inputs.at[s->g->held.input[k]].unknown)
            row[k] = operand[k];
}

static void slope_of_node(struct pass *s, uint32_t i, const struct node_code *n, double *row)
{
    double *const *slope = s->g->slope;
    const double *value = s->value;
    uint32_t count = s->g->held.count;
    switch (n->op) {
    case OP_ADD:
    case OP_SUBTRACT:
        copy_row(row, count, slope[n->a]);
        add_row(row, count, n->op == OP_ADD ? 1 : -1, slope[n->b]);
        break;
    case OP_MULTIPLY:
        add_row(row, count, value[n->b], slope[n->a]);
        add_row(row, count, value[n->a], slope[n->b]);
        break;
    case OP_DIVIDE:
        add_row(row, count, 1 / value[n->b], slope[n->a]);
        add_row(row, count, -value[i] / value[n->b], slope[n->b]);
        break;
    case OP_POWER:
        slope_of_power(s, i, n, row);
        break;
    case OP_NEGATE:
        add_row(row, count, -1, slope[n->a]);
        break;
    case OP_SELECT:
        copy_row(row, count, slope[value[n->a] != 0 ? n->b : n->c]);
        break;
    case OP_CURVE:
        slope_of_curve(s, n, row);
        break;
    case OP_CALL:
        slope_of_call(s, i, n, row);
        break;
    case OP_NOMINAL:
        slope_of_nominal(s, n, row);
        break;
    default:
        break; /* truths are level */
    }
}

/* ---- the pass ---------------------------------------------------------------------------------------------------- */

static bool is_level(const struct gradient *g, const struct program *p, const struct node_code *n)
{
    switch (n->op) {
    case OP_ADD:
    case OP_SUBTRACT:
    case OP_MULTIPLY:
    case OP_DIVIDE:
    case OP_POWER:
        return !g->slope[n->a] && !g->slope[n->b];
    case OP_NEGATE:
    case OP_NOMINAL:
        return !g->slope[n->a];
    case OP_SELECT:
        return !g->slope[n->b] && !g->slope[n->c];
    case OP_CURVE:
        return !g->slope[n->b] && !(p->curves.at[n->a].y_count && g->slope[n->c]);
    case OP_CALL:
        for (uint32_t k = 0; k < n->c; k++)
            if (g->slope[p->operands.at[n->b + k]])
                return false;
        return true;
    default:
        return true;
    }
}

static void seed(struct arena *arena, struct gradient *g, uint32_t i, uint32_t input)
{
    for (uint32_t k = 0; k < g->held.count; k++)
        if (g->held.input[k] == input) {
            g->slope[i] = ARENA_ARRAY(arena, g->held.count, double);
            g->slope[i][k] = 1;
        }
}

static struct gradient gradient_of(struct arena *arena, const struct program *p, struct evaluation at,
                                   double *const *stated)
{
    struct gradient g = {.at = at, .held = held_inputs_of(arena, p)};
    struct pass s = {p, g.at.value, &g, ARENA_ARRAY(arena, 2 * (size_t)p->longest_call, double), stated};
    g.slope = ARENA_ARRAY(arena, p->nodes.count, double *);
    for (uint32_t i = 1; i < p->nodes.count; i++) {
        const struct node_code *n = &p->nodes.at[i];
        if (g.at.culprit[i])
            continue;
        if (n->op == OP_INPUT) {
            seed(arena, &g, i, n->a);
        } else if (!is_level(&g, p, n)) {
            g.slope[i] = ARENA_ARRAY(arena, g.held.count, double);
            slope_of_node(&s, i, n, g.slope[i]);
        }
    }
    return g;
}

struct gradient evaluate_gradient(struct arena *arena, const struct program *p, const double *inputs)
{
    double *const *stated = NULL;
    if (inputs && p->has_nominal) {
        const double *at = evaluation_stated_inputs(arena, p, inputs);
        stated = gradient_of(arena, p, evaluate_nominal(arena, p, at), NULL).slope;
    }
    return gradient_of(arena, p, evaluate_nominal(arena, p, inputs), stated);
}
