/* What the pieces say, in sentences and tables of a fixed width. */
#include "compiler/readings/learn.h"

#include "compiler/emit/columns.h"

#include <math.h>

static const double cover = 1.959963984540054; /* standard deviations that hold 95 % */
static const double unlikely = 0.01, doubtful = 0.05;

static struct unit difference_unit(struct buffer *b, const struct unit *unit)
{
    return unit->point ? unit_default(b->arena, unit->dim, false) : *unit;
}

/* Two digits of a standard deviation; of nothing, the unit's own. */
static int decimals_of(const struct unit *unit, double standard)
{
    return standard > 0 && isfinite(standard) ? decimals_for_computed(unit, standard / unit->factor) : 3;
}

static struct text amount(struct buffer *b, double si, const struct unit *unit, double standard)
{
    struct unit step = difference_unit(b, unit);
    return typeset_quantity_to(b->arena, si, &step, decimals_of(&step, standard), SPELL_ASCII);
}

/* "0.025 mm +/- 0.004 mm" */
static struct text with_doubt(struct buffer *b, double si, const struct unit *unit, double standard)
{
    return arena_format(b->arena, "%.*s +/- %.*s", TEXT_ARGS(amount(b, si, unit, standard)),
                        TEXT_ARGS(amount(b, cover * standard, unit, standard)));
}

static void put_line(struct buffer *b, struct text line, uint32_t width, uint32_t indent)
{
    print_wrapped(b, line, width, indent, indent ? 2 : 0);
}

/* ---- a size ---------------------------------------------------------------------------------------------------------------- */

static bool is_on_aim(const struct learned_size *z)
{
    return fabs(z->size - z->aim) <= cover * z->standard;
}

static void put_where(struct buffer *b, const struct learned_size *z, uint32_t width)
{
    double off = z->size - z->aim;
    bool out = z->size < z->low || z->size > z->high;
    struct text t;
    if (is_on_aim(z))
        t = arena_format(b->arena, "%.*s is on its aim as far as these pieces can tell: off by %.*s.",
                         TEXT_ARGS(z->name), TEXT_ARGS(with_doubt(b, off, &z->unit, z->standard)));
    else
        t = arena_format(b->arena, "%.*s is %.*s too %s%s.", TEXT_ARGS(z->name),
                         TEXT_ARGS(with_doubt(b, fabs(off), &z->unit, z->standard)), off < 0 ? "small" : "large",
                         out ? ", out of its band" : "");
    put_line(b, t, width, 0);
}

/* Cutting takes material off and never puts it on. */
static void put_cut(struct buffer *b, const struct learned_size *z, uint32_t width)
{
    double cut = z->per_cut != 0 ? (z->aim - z->size) / z->per_cut : NAN;
    struct text t = TEXT("Not by cutting: a pitch does not move when metal is taken off.");
    if (cut > 0)
        t = arena_format(b->arena, "Cut the %.*s by %.*s, over its whole size, and it is on its aim.",
                         TEXT_ARGS(z->tool), TEXT_ARGS(amount(b, cut, &z->unit, z->standard)));
    else if (cut <= 0)
        t = arena_format(b->arena,
                         "Not by cutting: the %.*s would need %.*s more metal, and cutting only takes it off.",
                         TEXT_ARGS(z->tool), TEXT_ARGS(amount(b, -cut, &z->unit, z->standard)));
    put_line(b, t, width, 2);
}

enum { WARMEST = 40 }; /* K: beyond, no other temperature is a small change any more */

static void put_temperature(struct buffer *b, const struct learning *l, const struct learned_size *z, uint32_t width)
{
    double change = z->per_kelvin != 0 ? (z->aim - z->size) / z->per_kelvin : INFINITY;
    struct buffer others;
    if (!(fabs(change) <= WARMEST)) {
        put_line(b, TEXT("Not by temperature: it would take more than 40 K of all tools."), width, 2);
        return;
    }
    buffer_init(&others, b->arena);
    for (uint32_t i = 0; i < l->sizes.count; i++) {
        const struct learned_size *o = &l->sizes.at[i];
        if (o != z)
            buffer_printf(&others, "%s%.*s %s%.*s", others.count ? ", " : "; with it ", TEXT_ARGS(o->name),
                          o->per_kelvin * change > 0 ? "+" : "",
                          TEXT_ARGS(amount(b, o->per_kelvin * change, &o->unit, o->standard)));
    }
    put_line(b,
             arena_format(b->arena, "Or set all tools %.1f K %s%.*s. What the limits say of it: 'strokewright check'.",
                          fabs(change), change > 0 ? "hotter" : "colder", (int)others.count,
                          others.count ? others.at : ""),
             width, 2);
}

static struct text doubt(struct buffer *b, const struct learned_size *z, double standard)
{
    return arena_format(b->arena, "+/- %.*s", TEXT_ARGS(amount(b, cover * standard, &z->unit, standard)));
}

static const double better = 0.8; /* of the doubt: what leaves more is no help */

static void put_surer(struct buffer *b, const struct learned_size *z, uint32_t width)
{
    if (z->with_pieces < better * z->standard)
        put_line(b,
                 arena_format(b->arena, "More pieces make this surer: a hundred times as many, %.*s.",
                              TEXT_ARGS(doubt(b, z, z->with_pieces))),
                 width, 2);
    else
        put_line(b, TEXT("More pieces will not make this surer."), width, 2);
    if (z->with_limit < better * z->standard)
        put_line(b,
                 arena_format(b->arena, "Knowing %.*s better will: exactly, %.*s.", TEXT_ARGS(z->limited_by),
                              TEXT_ARGS(doubt(b, z, z->with_limit))),
                 width, 2);
}

/* Overall capability of what was read, with its interval after Bissell (J. Royal Statistical Society C 39 (1990) 331):
 * from memory. */
static void put_capability(struct buffer *b, const struct learned_size *z, uint32_t width)
{
    double n = z->count, ppk = fmin(z->high - z->mean, z->mean - z->low) / (3 * z->deviation);
    if (z->count < 2)
        return;
    if (!(z->deviation > 0)) {
        put_line(b, TEXT("All readings are equal: that is the step of the gauge, and no perfect process."), width, 2);
        return;
    }
    double half = cover * sqrt(1 / (9 * n) + ppk * ppk / (2 * (n - 1)));
    put_line(b,
             arena_format(b->arena, "Ppk of the readings %.2f, between %.2f and %.2f: %u pieces tell no more.", ppk,
                          ppk - half, ppk + half, z->count),
             width, 2);
}

static bool is_conflict(const struct learning *l)
{
    return l->out.lot.share < unlikely || (l->out.pieces.freedom && l->out.pieces.share < unlikely);
}

static void put_size(struct buffer *b, const struct learning *l, const struct learned_size *z, uint32_t width)
{
    put_where(b, z, width);
    if (!is_on_aim(z) && is_conflict(l))
        put_line(b, TEXT("No change is proposed before it is known why readings and recipe disagree, see below."),
                 width, 2);
    else if (!is_on_aim(z)) {
        put_cut(b, z, width);
        put_temperature(b, l, z, width);
    }
    put_surer(b, z, width);
    put_capability(b, z, width);
    buffer_putc(b, '\n');
}

/* ---- agreement ---------------------------------------------------------------------------------------------------------------- */

static struct text percent(struct buffer *b, double share)
{
    if (share < 1e-4)
        return TEXT("less than 0.01 %");
    return arena_format(b->arena, "%.*f %%", share < 0.01 ? 2 : share < 0.1 ? 1 : 0, 100 * share);
}

static void put_agreement(struct buffer *b, const char *what, const struct fit_agreement *a, uint32_t width)
{
    const char *word = a->share < unlikely ? "No" : a->share < doubtful ? "Hardly" : "Yes";
    struct text t = arena_format(b->arena, "%s? One piece does not tell.", what);
    if (a->freedom)
        t = arena_format(b->arena, "%s? %s: chance alone is as far off in %.*s of lots (chi-squared %.2f of %u).", what,
                         word, TEXT_ARGS(percent(b, a->share)), a->chi_squared, a->freedom);
    put_line(b, t, width, 0);
}

/* The input that had to go furthest, in its own standard deviations. */
static const struct learned_input *furthest(const struct learning *l)
{
    const struct learned_input *far = NULL;
    double most = 0;
    for (uint32_t i = 0; i < l->inputs.count; i++) {
        const struct learned_input *in = &l->inputs.at[i];
        double off = fabs(in->after - in->before) / in->before_standard;
        if (off > most) {
            most = off;
            far = in;
        }
    }
    return far;
}

static void put_conflict(struct buffer *b, const struct learning *l, uint32_t width)
{
    const struct learned_input *in = furthest(l);
    if (l->out.pieces.share < unlikely)
        put_line(b,
                 TEXT("The pieces differ by more than gauge, scatter and temperatures account for: look for pieces of "
                      "another "
                      "tool, coil or setting, or state the piece-scatter."),
                 width, 2);
    if (l->out.lot.share < unlikely && in)
        put_line(b,
                 arena_format(b->arena,
                              "The recipe would have to be wrong most in %.*s, by %.1f of its standard deviations; "
                              "or a gauge, a sensor or the tool is not what is stated. Nothing should be taken over "
                              "before that is known.",
                              TEXT_ARGS(in->name), fabs(in->after - in->before) / in->before_standard),
                 width, 2);
}

/* ---- what was learned ------------------------------------------------------------------------------------------------------------ */

static const struct column heads[] = {{"input", COLUMN_WORDS}, {"before", COLUMN_WORDS}, {"after", COLUMN_WORDS}};
enum { HEADS = sizeof heads / sizeof heads[0] };

static struct text value_of_input(struct buffer *b, const struct learned_input *in, double value, double standard)
{
    struct unit step = difference_unit(b, &in->unit);
    int decimals = decimals_of(&step, in->after_standard);
    struct text mean = typeset_quantity_to(b->arena, value, &in->unit, decimals, SPELL_ASCII);
    struct text half = typeset_quantity_to(b->arena, 2 * standard, &step, decimals, SPELL_ASCII);
    return arena_format(b->arena, "%.*s +/- %.*s", TEXT_ARGS(mean), TEXT_ARGS(half));
}

static uint32_t put_learned(struct buffer *b, const struct learning *l, uint32_t width)
{
    struct columns table = {.arena = b->arena, .columns = heads, .count = HEADS};
    uint32_t rest = 0;
    for (uint32_t i = 0; i < l->inputs.count; i++) {
        const struct learned_input *in = &l->inputs.at[i];
        if (!in->tells) {
            rest++;
            continue;
        }
        struct columns_row *row = columns_add(&table);
        row->cell[0] = in->name;
        row->cell[1] = value_of_input(b, in, in->before, in->before_standard);
        row->cell[2] = value_of_input(b, in, in->after, in->after_standard);
    }
    if (table.rows.count) {
        buffer_put(b, TEXT("\nWhat was learned, two standard deviations beside it:\n\n"));
        columns_print(&table, b, width);
    }
    return rest;
}

static const double alike = 0.9; /* correlation from which two inputs are hardly told apart */

static void put_pairs(struct buffer *b, const struct learning *l, uint32_t width)
{
    for (uint32_t i = 0; i < l->inputs.count; i++)
        for (uint32_t k = 0; k < i; k++) {
            const struct learned_input *one = &l->inputs.at[k], *other = &l->inputs.at[i];
            double r = l->out.covariance[i * l->out.count + k] / (one->after_standard * other->after_standard);
            if (fabs(r) > alike && one->tells && other->tells)
                put_line(b,
                         arena_format(b->arena, "These pieces hardly tell %.*s from %.*s: correlation %.2f.",
                                      TEXT_ARGS(one->name), TEXT_ARGS(other->name), r),
                         width, 0);
        }
}

/* The line as it reads in the block it belongs to. */
static void put_new_line(struct buffer *b, const struct learning *l, const struct learned_input *in,
                         const struct input *input)
{
    const struct trial *t = l->trial;
    const struct scope *s = &t->recipe->scope;
    const struct quantity *q = &t->recipe->lowering->quantities.at[input->quantity];
    struct text name = q->name ? atom_text(&s->names, q->name) : in->name;
    if (q->definition)
        buffer_printf(b, "\n  in %.*s:\n", TEXT_ARGS(definition_words(s, q->definition)));
    buffer_printf(b, "    %.*s = %.*s as normal(k 2)\n        source \"trial, %u %s, %.*s\"\n", TEXT_ARGS(name),
                  TEXT_ARGS(value_of_input(b, in, in->after, in->after_standard)), t->pieces,
                  t->pieces == 1 ? "piece" : "pieces", TEXT_ARGS(t->readings->path));
}

/* Inputs that are a line of the recipe. */
static void put_paste(struct buffer *b, const struct learning *l, uint32_t width)
{
    const struct trial *t = l->trial;
    bool first = true;
    if (is_conflict(l) || isnan(l->out.lot.share))
        return;
    for (uint32_t i = 0; i < l->fit.common.count; i++) {
        const struct learned_input *in = &l->inputs.at[i];
        const struct input *input = &t->recipe->lowering->program.inputs.at[l->fit.common.at[i].input];
        if (!in->tells || input->figure)
            continue;
        if (first)
            put_line(b, TEXT("\nTo write into the recipe; then these pieces are in it and must not be counted again:"),
                     width, 0);
        first = false;
        put_new_line(b, l, in, input);
    }
}

static void put_unused(struct buffer *b, const struct learning *l)
{
    for (uint32_t i = 0; i < l->unused.count; i++)
        buffer_printf(b, "%s%.*s", i ? ", " : "Nothing is learned from: ", TEXT_ARGS(l->unused.at[i]));
    if (l->unused.count)
        buffer_putc(b, '\n');
}

void learning_text(struct buffer *b, const struct learning *l, uint32_t width)
{
    buffer_putc(b, '\n');
    if (!l->sizes.count) {
        buffer_put(b, TEXT("No size was read that the recipe predicts, so nothing was learned.\n"));
        return;
    }
    buffer_put(b, TEXT("What the pieces say of the sizes, at the set temperatures and 20 degC (95 %):\n\n"));
    for (uint32_t i = 0; i < l->sizes.count; i++)
        put_size(b, l, &l->sizes.at[i], width);
    put_agreement(b, "Do the pieces agree with each other", &l->out.pieces, width);
    put_agreement(b, "Does the lot agree with the recipe", &l->out.lot, width);
    put_conflict(b, l, width);
    uint32_t rest = put_learned(b, l, width);
    if (rest)
        put_line(b, arena_format(b->arena, "\nOf %u further inputs these pieces tell nothing new.", rest), width, 0);
    put_pairs(b, l, width);
    put_paste(b, l, width);
    put_unused(b, l);
}
