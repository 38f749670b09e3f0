#include "compiler/readings/trial.h"

#include "runtime/base/number.h"

#include <math.h>

/* ---- what the recipe says ------------------------------------------------------------------------------------------------ */

static double value_for(struct steps *s, uint32_t definition, enum purpose purpose)
{
    return quantity_si(s, quantity_for(s, definition, purpose));
}

static void band_of(struct trial_column *t, struct strokewright_recipe *r, uint32_t quantity)
{
    const struct quantity *q = &r->lowering->quantities.at[quantity];
    t->low = q->banded && q->low ? r->values.value[q->low] : NAN;
    t->high = q->banded && q->high ? r->values.value[q->high] : NAN;
}

/* Of a feature: its band at 20 degC, whatever states it. */
static void expect_feature(struct trial_column *t, struct strokewright_recipe *r, uint32_t feature)
{
    struct steps *s = &r->steps;
    uint32_t measured = quantity_for(s, feature, FOR_measured);
    double correction = value_for(s, feature, FOR_gauge_correction),
           finished = value_for(s, feature, FOR_size_finished);
    t->correction = isnan(correction) ? 0 : correction;
    if (measured)
        band_of(t, r, measured);
    double low = value_for(s, feature, FOR_lower_limit), high = value_for(s, feature, FOR_upper_limit);
    t->low = isnan(low) ? t->low : low;
    t->high = isnan(high) ? t->high : high;
    if (!measured)
        t->high = value_for(s, feature, FOR_measured_at_most);
    t->wanted = isnan(finished);
    if (!t->wanted)
        t->predicted = finished;
}

static struct trial_column expected(struct trial *t, uint32_t i)
{
    const struct readings_column *c = &t->readings->columns.at[i];
    struct trial_column column = {.column = i, .low = NAN, .high = NAN};
    column.predicted = quantity_si(&t->recipe->steps, c->quantity);
    if (c->feature)
        expect_feature(&column, t->recipe, c->feature);
    else
        band_of(&column, t->recipe, c->quantity);
    return column;
}

/* ---- a reading that cannot be ---------------------------------------------------------------------------------------------- */

/* Slips of unit: what a reading must be multiplied by to be what was meant. */
static const struct slip {
    double factor;
    const char *words;
} slips[] = {
    {25.4, "a reading in inches"}, {1 / 25.4, "a reading 25.4 times too large"},
    {1000, "a thousandth of it"},  {1e-3, "a thousand times it"},
    {10, "a tenth of it"},         {0.1, "ten times it"},
};

static const struct slip *slip_of(double value, double predicted)
{
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++)
        if (fabs(value * slips[i].factor / predicted - 1) < 0.05)
            return &slips[i];
    return NULL;
}

enum { FAR_OFF = 2 }; /* times what is predicted, or as little: no band of a size is so wide */

static void say_far_off(struct trial *t, const struct trial_column *c, double value)
{
    struct readings *r = t->readings;
    const struct readings_column *head = &r->columns.at[c->column];
    const struct slip *slip = slip_of(value, c->predicted);
    struct text said = typeset_quantity(r->arena, value, &head->unit, SPELL_ASCII);
    struct text predicted = typeset_quantity(r->arena, c->predicted, &head->unit, SPELL_ASCII);
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_far_off, readings_span(r, c->column),
                                  "%.*s cannot be %.*s: the recipe makes it %.*s", TEXT_ARGS(said),
                                  TEXT_ARGS(head->name), TEXT_ARGS(predicted));
    if (slip)
        report_help(&r->diagnostics, d, "it looks like %s: does the header's [%.*s] hold for this row?", slip->words,
                    TEXT_ARGS(head->unit_text));
    r->faulty = true;
}

/* A size: half or twice what it should be is no size of this part. */
static bool is_far_off(const struct trial *t, const struct trial_column *c, double value)
{
    const struct readings_column *head = &t->readings->columns.at[c->column];
    double share = value / c->predicted;
    return head->feature && !c->wanted && c->predicted > 0 && (share > FAR_OFF || share < 1.0 / FAR_OFF);
}

/* ---- pieces ---------------------------------------------------------------------------------------------------------------- */

struct pieces { /* names that were seen, and where */
    struct names_table names;
    ARRAY(uint32_t) line;
};

static void say_piece_twice(struct readings *r, uint32_t first)
{
    uint32_t column = 0;
    while (r->columns.at[column].use != READINGS_PIECE)
        column++;
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_piece_twice, readings_span(r, column),
                                  "piece '%.*s' stands in line %u already", TEXT_ARGS(r->piece), first);
    report_help(&r->diagnostics, d,
                "a piece counts once: take one of the rows out, or give the pieces their own names");
    r->faulty = true;
}

static void know_piece(struct pieces *p, struct readings *r)
{
    if (!r->piece.len)
        return;
    atom name = intern(&p->names, arena_text(r->arena, r->piece));
    while (p->line.count <= name)
        *ARRAY_PUSH(r->arena, &p->line) = 0;
    if (p->line.at[name])
        say_piece_twice(r, p->line.at[name]);
    else
        p->line.at[name] = r->csv.line;
}

static void keep_outside(struct trial *t, struct trial_column *c, double value)
{
    struct readings *r = t->readings;
    if (++c->outside <= TRIAL_OUTSIDE_KEPT)
        *ARRAY_PUSH(r->arena, &c->kept) = (struct trial_outside){arena_text(r->arena, r->piece), r->csv.line, value};
}

static void count_reading(struct trial *t, struct trial_column *c)
{
    double value = t->readings->value[c->column] + c->correction;
    if (isnan(value))
        return;
    double off = value - c->mean;
    c->mean += off / ++c->count;
    c->squares += off * (value - c->mean);
    if (value < c->low || value > c->high)
        keep_outside(t, c, value);
}

static void check_row(struct trial *t, struct pieces *p)
{
    know_piece(p, t->readings);
    for (uint32_t k = 0; k < t->columns.count; k++) {
        double value = t->readings->value[t->columns.at[k].column];
        if (is_far_off(t, &t->columns.at[k], value))
            say_far_off(t, &t->columns.at[k], value);
    }
}

static void keep_row(struct trial *t)
{
    struct readings *r = t->readings;
    for (uint32_t i = 0; i < r->columns.count; i++)
        *ARRAY_PUSH(r->arena, &t->values) = r->value[i];
    *ARRAY_PUSH(r->arena, &t->names) = arena_text(r->arena, r->piece);
}

static void read_row(struct trial *t, struct pieces *p)
{
    if (t->readings->faulty)
        return;
    check_row(t, p);
    if (t->readings->faulty) {
        t->readings->faulty_rows++;
        return;
    }
    t->pieces++;
    keep_row(t);
    for (uint32_t k = 0; k < t->columns.count; k++)
        count_reading(t, &t->columns.at[k]);
}

static void say_no_rows(struct readings *r)
{
    struct diagnostic *d =
        report(&r->diagnostics, FAULT_readings_none, r->columns.at[0].span, "there is no row below the header");
    report_help(&r->diagnostics, d, "one row a piece, with what was read");
}

void trial_read(struct trial *t, struct readings *r, struct strokewright_recipe *recipe)
{
    struct pieces pieces = {0};
    *t = (struct trial){.readings = r, .recipe = recipe};
    intern_init(&pieces.names, r->arena, NULL);
    for (uint32_t i = 0; i < r->columns.count; i++)
        if (r->columns.at[i].use == READINGS_VALUE)
            *ARRAY_PUSH(r->arena, &t->columns) = expected(t, i);
    while (readings_next(r))
        read_row(t, &pieces);
    if (!r->rows && !r->diagnostics.errors)
        say_no_rows(r);
}

double trial_deviation(const struct trial_column *c)
{
    return c->count > 1 ? sqrt(c->squares / (c->count - 1)) : NAN;
}
