/* What moves a value: each input with a held band, its derivative at the stated values and what its band does. */
#include "compiler/review/why/parts.h"

#include "compiler/table/amounts.h"
#include "runtime/statistics/uncertainty.h"

#include <math.h>

enum { DIGITS = 6 };
static const double LEAST_SHARE = 1e-6;

/* Returns the greatest effect, whose unit all effects are shown in. */
static double greatest(const struct program *p, const struct uncertainty *u)
{
    double most = 0;
    for (uint32_t i = 0; i < u->parts.count; i++) {
        const struct input *in = &p->inputs.at[u->parts.at[i].input];
        most = fmax(most, fabs(u->parts.at[i].sensitivity) * (in->high - in->low) / 2);
    }
    return most;
}

static struct why_move move_of(struct strokewright_recipe *r, const struct uncertainty_part *part,
                               const struct unit *fine)
{
    const struct lowering *l = r->lowering;
    const struct input *in = &l->program.inputs.at[part->input];
    struct unit of = input_unit(l, part->input), per = finer_unit(of, part->standard);
    double effect = part->sensitivity * (in->high - in->low) / 2;
    return (struct why_move){
        .input = input_name(l, part->input),
        .band = input_band(l, part->input, SPELL_ASCII),
        .slope = slope_text(&r->arena, part->sensitivity, fine, &per, SPELL_ASCII),
        .effect = to_digits(effect / fine->factor, DIGITS),
        .unit = text_is(fine->spelling, "1") ? TEXT("") : typeset_unit(&r->arena, fine, SPELL_ASCII),
        .effect_text = small_amount(&r->arena, effect, fine, 2, SPELL_ASCII),
        .share = to_digits(part->share, DIGITS),
    };
}

void why_fill_moves(struct strokewright_recipe *r, uint32_t quantity, struct why_root *root)
{
    const struct lowering *l = r->lowering;
    const struct quantity *q = &l->quantities.at[quantity];
    if (q->value.tag != LOW_NODE || !q->shown_as_quantity || r->values.culprit[q->value.id])
        return;
    struct program cone = program_cone(&r->arena, &l->program, q->value.id);
    struct gradient g = evaluate_gradient(&r->arena, &cone, NULL);
    struct uncertainty u = uncertainty_from(&r->arena, &cone, &g, cone.nodes.count - 1, 0.95);
    struct unit fine = finer_unit(unit_of_difference(q->unit), greatest(&cone, &u));
    for (uint32_t i = 0; i < u.parts.count; i++)
        if (u.parts.at[i].share >= LEAST_SHARE)
            *ARRAY_PUSH(&r->arena, &root->moves) = move_of(r, &u.parts.at[i], &fine);
}
