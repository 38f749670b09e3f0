/* What a value stated by a formula may be, at the stated values and over the tolerances. */
#include "compiler/model/bounds.h"
#include "compiler/judge/parts.h"

#include <math.h>

static struct unit unit_of_bound(const struct lowering *l, const struct lowered_bound *one, const struct bounds *b)
{
    return one->quantity ? l->quantities.at[one->quantity].unit : b->unit;
}

static struct text value_words(const struct lowering *l, const struct lowered_bound *one, const struct bounds *b,
                               double si)
{
    struct unit unit = unit_of_bound(l, one, b);
    return typeset_quantity(l->arena, si, &unit, SPELL_ASCII);
}

static struct span place_of_bound(const struct lowering *l, const struct lowered_bound *one)
{
    const struct tree *t = file_at(l->scope, one->site.file)->tree;
    uint32_t value = node_value(t, one->site.node);
    return value ? node_span(t, value) : site_span(l->scope, one->site);
}

/* Where the value was taken from as it is. */
static void label_source(const struct lowering *l, struct diagnostic *d, const struct lowered_bound *one)
{
    uint32_t from = one->quantity ? l->quantities.at[one->quantity].value.quantity : 0;
    if (from && l->quantities.at[from].site.file >= l->scope->first_file)
        report_label(l->scope->diagnostics, d, site_span(l->scope, l->quantities.at[from].site), "it comes from here");
}

static struct diagnostic *report_bound(const struct lowering *l, const struct lowered_bound *one, const char *when,
                                       double si)
{
    struct diagnostics *g = l->scope->diagnostics;
    struct bounds b;
    bounds_read(one->entry->can, &b);
    struct diagnostic *d =
        report(g, FAULT_impossible_value, place_of_bound(l, one), "%s cannot be %.*s, which it comes to%s",
               one->entry->name, TEXT_ARGS(value_words(l, one, &b, si)), when);
    report_help(g, d, "it is %s%s; check the formula and the values in it", one->entry->can,
                one->entry->whole ? ", a whole number" : "");
    return d;
}

/* A statement that serves several definitions, or a function asked for often, is told once. */
static bool is_told(const struct lowering *l, const bool *told, uint32_t index)
{
    struct site site = l->bounds.at[index].site;
    for (uint32_t i = 0; i < index; i++)
        if (told[i] && l->bounds.at[i].site.file == site.file && l->bounds.at[i].site.node == site.node)
            return true;
    return false;
}

static bool can_be(const struct lowered_bound *one, double si)
{
    struct bounds b;
    bool whole = !one->entry->whole || fabs(si - round(si)) < 1e-9 * fmax(1, fabs(si));
    return isnan(si) || !one->entry->can || !bounds_read(one->entry->can, &b) || (bounds_hold(&b, si) && whole);
}

bool bounds_judge(const struct lowering *l, const struct evaluation *e)
{
    bool *told = ARENA_ARRAY(l->arena, l->bounds.count + 1, bool), good = true;
    for (uint32_t i = 0; i < l->bounds.count; i++) {
        const struct lowered_bound *one = &l->bounds.at[i];
        if (can_be(one, e->value[one->node]) || is_told(l, told, i))
            continue;
        label_source(l, report_bound(l, one, "", e->value[one->node]), one);
        told[i] = true;
        good = false;
    }
    return good;
}

/* Whether it can be over all tolerances; else the message, with the combination. */
static bool prove_bound(const struct lowering *l, const struct evaluation *e, const struct lowered_bound *one,
                        struct prover *p)
{
    struct limits m = {.lowering = l};
    struct limit_result r = {0};
    struct proof proof = prover_prove(p, prover_budget(p), 0);
    if (proof.state != PROOF_BROKEN)
        return true;
    keep_combination(&m, e, &r, p);
    prover_at_point(p, p->worst);
    struct diagnostic *d = report_bound(l, one, " inside the tolerances", p->at.value[p->claim.compared[0]]);
    report_here(l->scope->diagnostics, d, "so with %.*s", TEXT_ARGS(combination_words(&m, &r)));
    label_inputs(&m, d, &r);
    return false;
}

bool bounds_prove(const struct lowering *l, const struct evaluation *e, struct arena *scratch)
{
    bool *told = ARENA_ARRAY(l->arena, l->bounds.count + 1, bool), good = true;
    struct cone_marks marks = cone_marks_new(l->arena, &l->program);
    for (uint32_t i = 0; i < l->bounds.count; i++) {
        const struct lowered_bound *one = &l->bounds.at[i];
        if (!one->claim.truth || isnan(e->value[one->node]) || is_told(l, told, i))
            continue;
        struct prover p = prover_new(scratch, &l->program, &marks, &one->claim);
        told[i] = !prove_bound(l, e, one, &p);
        good = good && !told[i];
        arena_clear(scratch);
    }
    return good;
}

void bounds_remark(const struct lowering *l, const struct evaluation *e)
{
    bool *told = ARENA_ARRAY(l->arena, l->bounds.count + 1, bool);
    for (uint32_t i = 0; i < l->bounds.count; i++) {
        const struct lowered_bound *one = &l->bounds.at[i];
        struct bounds b;
        double si = e->value[one->node];
        if (!one->entry->usual || isnan(si) || !bounds_read(one->entry->usual, &b) || bounds_hold(&b, si) ||
            is_told(l, told, i))
            continue;
        struct diagnostics *g = l->scope->diagnostics;
        struct diagnostic *d =
            report(g, FAULT_unusual_value, place_of_bound(l, one), "%s comes to %.*s, which is unusual",
                   one->entry->name, TEXT_ARGS(value_words(l, one, &b, si)));
        report_help(g, d, "usual is %s; check the formula and the values in it", one->entry->usual);
        told[i] = true;
    }
}
