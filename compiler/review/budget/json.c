/* Budgets as JSON: numbers in the units named beside them. */
#include "compiler/emit/json.h"
#include "compiler/review/budget/budget.h"

#include <math.h>

enum { DIGITS = 10 };

static void named_number(struct json *j, const char *name, double value)
{
    json_named_number(j, name, to_digits(value, DIGITS));
}

static void named_unit(struct json *j, const char *name, struct buffer *b, const struct unit *unit)
{
    json_named_text(j, name, typeset_unit(b->arena, unit, SPELL_ASCII));
}

static void write_inputs(struct json *j, struct buffer *b, const struct budget *u)
{
    json_named_open(j, "inputs", '[');
    for (uint32_t i = 0; i < u->u.parts.count; i++) {
        const struct budget_row *r = &u->rows[i];
        json_open_line(j, '{');
        json_named_text(j, "name", r->name);
        json_named_text(j, "spread", text_of(r->spread));
        named_number(j, "half_width", r->half / r->unit.factor);
        named_number(j, "standard", r->part->standard / r->unit.factor);
        named_unit(j, "unit", b, &r->unit);
        named_number(j, "sensitivity", r->part->sensitivity * r->unit.factor / u->fine.factor);
        named_number(j, "contribution", r->part->contribution / u->fine.factor);
        named_number(j, "share", r->part->share);
        named_number(j, "freedom", r->part->freedom);
        json_close(j, '}');
    }
    json_close(j, ']');
}

static void write_bends(struct json *j, const struct budget *u)
{
    json_named_open(j, "second_order_terms", '[');
    for (uint32_t i = 0; i < u->u.bends.count; i++) {
        json_open_line(j, '{');
        json_named_text(j, "a", u->bends[i][0]);
        json_named_text(j, "b", u->bends[i][1]);
        named_number(j, "variance", u->u.bends.at[i].variance / (u->fine.factor * u->fine.factor));
        json_close(j, '}');
    }
    json_close(j, ']');
}

static void write_pair(struct json *j, const char *name, const struct unit *unit, const double ends[2])
{
    json_named_line(j, name, '[');
    json_number(j, to_digits(unit_from_si(unit, ends[0]), DIGITS));
    json_number(j, to_digits(unit_from_si(unit, ends[1]), DIGITS));
    json_close(j, ']');
}

static void write_comparison(struct json *j, const char *name, const struct unit *fine, const struct gum_comparison *c)
{
    json_name(j, name);
    if (isnan(c->tolerance)) {
        json_null(j);
        return;
    }
    json_open_line(j, '{');
    json_named_truth(j, "validated", c->valid);
    named_number(j, "low_apart", c->low / fine->factor);
    named_number(j, "high_apart", c->high / fine->factor);
    named_number(j, "allowed", c->tolerance / fine->factor);
    json_close(j, '}');
}

static void write_samples(struct json *j, const struct budget *u)
{
    const struct monte_carlo *m = &u->samples;
    json_named_open(j, "monte_carlo", '{');
    named_number(j, "samples", m->samples);
    json_named_text(j, "seed", arena_format(j->buffer->arena, "%llu", (unsigned long long)u->seed));
    named_number(j, "undefined", m->undefined);
    named_number(j, "mean", unit_from_si(&u->unit, m->mean));
    named_number(j, "standard", m->standard / u->fine.factor);
    write_pair(j, "shortest", &u->unit, m->shortest);
    write_pair(j, "symmetric", &u->unit, m->symmetric);
    write_comparison(j, "first_order", &u->fine, &u->first_order);
    write_comparison(j, "second_order", &u->fine, &u->second_order);
    json_close(j, '}');
}

static void write_budget(struct json *j, const struct budget *u)
{
    struct buffer *b = j->buffer;
    json_open(j, '{');
    json_named_text(j, "name", u->name);
    json_name(j, "why_not");
    if (u->why_not.len) {
        json_text(j, u->why_not);
        json_close(j, '}');
        return;
    }
    json_null(j);
    named_number(j, "estimate", unit_from_si(&u->unit, u->u.estimate));
    named_number(j, "stated", unit_from_si(&u->unit, u->u.stated));
    named_unit(j, "unit", b, &u->unit);
    named_unit(j, "uncertainty_unit", b, &u->fine);
    named_number(j, "coverage", u->u.coverage);
    write_inputs(j, b, u);
    named_number(j, "combined", u->u.combined / u->fine.factor);
    named_number(j, "second_order", u->u.second_order / u->fine.factor);
    write_bends(j, u);
    named_number(j, "freedom", u->u.freedom);
    named_number(j, "factor", u->u.factor);
    named_number(j, "expanded", u->u.expanded / u->fine.factor);
    if (u->sampled)
        write_samples(j, u);
    json_close(j, '}');
}

void budget_json(struct buffer *b, const struct budget *budgets, uint32_t count)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '[');
    for (uint32_t i = 0; i < count; i++)
        write_budget(&j, &budgets[i]);
    json_close(&j, ']');
    buffer_putc(b, '\n');
}
