/* Limits in the step table: verdict, value and bound, and how much is left, as stated and at worst. */
#include "compiler/table/parts.h"
#include "compiler/text/said.h"

#include <math.h>
#include <stdlib.h>

/* ---- margins ----------------------------------------------------------------------------------------------------- */

static struct text percent_words(struct steps *s, double share)
{
    return arena_format(s->lowering->arena, "%s%.0f%s%%",
                        share < 0 && s->spelling.print ? "\xE2\x88\x92"
                        : share < 0                    ? "-"
                                                       : "",
                        fabs(share) * 100, s->spelling.print ? "\xC2\xA0" : " ");
}

/* Of what is at least so much, not more than is sure. "0.062 mm (62 %)"; a temperature has no share, a pure number needs no second number beside its share. */
static struct text margin_words(struct steps *s, const struct limit_result *r, double si, double share,
                                enum toward toward)
{
    struct unit unit = unit_of_difference(r->unit);
    if (isnan(si) || !isfinite(si))
        return TEXT("");
    int decimals = decimals_for_computed(&unit, unit_from_si(&unit, si));
    struct end end = {rounded_toward(unit_from_si(&unit, si), decimals, toward), decimals};
    struct text left = typeset_end(s->lowering->arena, end, &unit, s->spelling);
    if (isnan(share))
        return left;
    return arena_format(s->lowering->arena, "%.*s (%.*s)", TEXT_ARGS(left),
                        TEXT_ARGS(percent_words(s, rounded_toward(share, 2, toward))));
}

/* Its name in words, in the table's language where it is the library's. */
static struct text limit_title(struct steps *s, const struct rule *rule, struct text name)
{
    bool library = rule && rule->site.file < s->lowering->scope->first_file;
    return said_name(s->lowering->arena, library ? s->spelling.language : LANGUAGE_EN, "limit", name);
}

/* ---- rows -------------------------------------------------------------------------------------------------------- */

static void fill_names(struct steps *s, const struct limit_result *r, struct limit_row *row)
{
    const struct lowering *l = s->lowering;
    const struct rule *rule = rule_at(l->scope, r->rule);
    row->name = rule->name ? atom_text(&l->scope->names, rule->name) : TEXT("requirement");
    row->title = rule->name ? limit_title(s, rule, row->name) : said_in(s->spelling.language, "limit", "requirement");
    if (r->subject) {
        const struct definition *d = definition_at(l->scope, r->subject);
        row->subject = d->name ? atom_text(&l->scope->names, d->name) : text_of(kind_table[d->kind].name);
        row->of = title_of(s, r->subject);
    }
    row->because = library_text(s, rule->site.file, note_text(l, rule->site, TOKEN_BECAUSE));
    row->remedy = library_text(s, rule->site.file, note_text(l, rule->site, TOKEN_REMEDY));
    row->source = note_text(l, rule->site, TOKEN_SOURCE);
}

static void fill_worst(struct steps *s, const struct limit_result *r, struct limit_row *row)
{
    const struct lowering *l = s->lowering;
    struct limit_result at = *r;
    at.value_si = r->worst.value_si;
    at.low_si = r->worst.low_si;
    at.high_si = r->worst.high_si;
    row->worst_margin = worst_margin_of(r);
    row->worst_margin_text =
        margin_words(s, r, r->worst.least, row->worst_margin, r->worst.at_least ? TO_BELOW : TO_NEAREST);
    if (r->worst.at_least && row->worst_margin_text.len)
        row->worst_margin_text =
            typeset_bound(l->arena, s->spelling.language, SAY("at least {value}"), row->worst_margin_text);
    if (isnan(at.value_si))
        return;
    row->worst_value = limit_value_words(l, &at, s->spelling);
    row->worst_bound = bound_words(l, &at, s->spelling);
}

static void fill_breaking(struct steps *s, const struct limit_result *r, struct limit_row *row)
{
    const struct lowering *l = s->lowering;
    for (uint32_t i = 0; i < r->worst.broken_count; i++) {
        const struct broken_input *b = &s->limits->broken.at[r->worst.broken_first + i];
        const struct input *in = &b->input;
        struct unit unit = lowering_input_unit(l, in);
        struct text path = lowering_input_path(l, in), words = in->figure
                                                                   ? property_of_said(s, path, in->figure)
                                                                   : quantity_said(s, &l->quantities.at[in->quantity]);
        *ARRAY_PUSH(l->arena, &row->breaking) =
            (struct breaking_value){path, words, typeset_quantity(l->arena, b->si, &unit, s->spelling)};
    }
}

/* "until 2026-12-31, by process engineering: trial lot" */
static struct text waiver_words(struct steps *s, uint32_t id)
{
    const struct waiver *w = waiver_at(s->lowering->scope, id);
    return SAID(s->lowering->arena, s->spelling.language, "until {date}, by {who}: {reason}", {"date", w->until},
                {"who", w->by}, {"reason", w->why});
}

static struct limit_row limit_row_of(struct steps *s, const struct limit_result *r)
{
    struct limit_row row = {
        .verdict = r->verdict, .margin = NAN, .worst_margin = NAN, .why_not = reason_said(s, r->why_not)};
    bool waived = r->verdict == VERDICT_WAIVED;
    fill_names(s, r, &row);
    if (waived) {
        row.waived = r->waived;
        row.waiver = waiver_words(s, r->waiver);
    }
    if ((waived ? r->waived : r->verdict) == VERDICT_NOT_EVALUATED || isnan(r->value_si))
        return row;
    row.bound = bound_words(s->lowering, r, s->spelling);
    row.value = limit_value_words(s->lowering, r, s->spelling);
    row.margin = margin_of(r);
    row.margin_text = margin_words(s, r, margin_si(r), row.margin, TO_NEAREST);
    fill_worst(s, r, &row);
    fill_breaking(s, r, &row);
    return row;
}

struct ranked {
    double tightness;
    uint32_t result;
};

static int tighter(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;
    if (x->tightness != y->tightness)
        return x->tightness < y->tightness ? -1 : 1;
    return (x->result > y->result) - (x->result < y->result);
}

void steps_fill_limits(struct steps *s, struct step_table *t)
{
    uint32_t count = s->limits->results.count;
    if (count)
        t->limits_note = steps_said(
            s, SAY("Proved: it holds for every combination of the tolerances stated in the recipe. Margin: what "
                   "is left at the stated values, and at the worst combination."));
    struct ranked *order = ARENA_ARRAY(s->lowering->arena, count, struct ranked);
    for (uint32_t i = 0; i < count; i++)
        order[i] = (struct ranked){limit_tightness(&s->limits->results.at[i]), i};
    qsort(order, count, sizeof *order, tighter);
    for (uint32_t i = 0; i < count; i++)
        *ARRAY_PUSH(s->lowering->arena, &t->limits) = limit_row_of(s, &s->limits->results.at[order[i].result]);
}

/* ---- waivers ----------------------------------------------------------------------------------------------------- */

/* The limit by its title: the reader's if it stands in the library, as written if the recipe has its own. */
static struct text waived_words(struct steps *s, const struct waiver *w)
{
    struct scope *scope = s->lowering->scope;
    struct arena *a = s->lowering->arena;
    uint32_t rule = find_rule(scope, w->limit), subject = w->subject ? find_any_definition(scope, w->subject) : 0;
    struct text title = limit_title(s, rule ? rule_at(scope, rule) : NULL, atom_text(&scope->names, w->limit));
    return subject ? said_filled(a, steps_said(s, SAY("{limit}: {subject}")),
                                 SAID_PARTS({"limit", title}, {"subject", title_of(s, subject)}))
                   : title;
}

void steps_fill_waivers(struct steps *s, struct step_table *t)
{
    struct scope *scope = s->lowering->scope;
    const struct limits *m = s->limits;
    for (uint32_t id = scope->first_waiver; id < waiver_end(scope); id++) {
        const struct waiver *w = waiver_at(scope, id);
        *ARRAY_PUSH(s->lowering->arena, &t->waivers) =
            (struct waiver_row){.limit = atom_text(&scope->names, w->limit),
                                .subject = w->subject ? atom_text(&scope->names, w->subject) : TEXT(""),
                                .words = waived_words(s, w),
                                .until = w->until,
                                .by = w->by,
                                .because = w->why,
                                .expired = !waiver_in_force(m, w)};
        t->judged_on = m->today;
    }
}

/* ---- what was chosen --------------------------------------------------------------------------------------------- */

static struct text feasible_words(struct steps *s, const struct solution *v, const struct unit *unit)
{
    struct text words = TEXT("");
    for (uint32_t i = 0; i < v->feasible.count; i++)
        words = arena_format(s->lowering->arena, "%.*s%s%.*s", TEXT_ARGS(words), i ? ", " : "",
                             TEXT_ARGS(typeset_band(s->lowering->arena, v->feasible.at[i].low, v->feasible.at[i].high,
                                                    unit, s->spelling)));
    return words;
}

/* A limit by result + 1; empty for the end of the range. */
static struct text binding_words(struct steps *s, uint32_t result)
{
    if (!result)
        return TEXT("");
    struct limit_row row = {0};
    fill_names(s, &s->limits->results.at[result - 1], &row);
    return row.of.len ? arena_format(s->lowering->arena, "%.*s: %.*s", TEXT_ARGS(row.title), TEXT_ARGS(row.of))
                      : row.title;
}

void steps_fill_chosen(struct steps *s, struct step_table *t)
{
    static const char *const preferences[] = {
        [PREFER_MARGIN] = "margin", [PREFER_LOWEST] = "lowest", [PREFER_HIGHEST] = "highest"};
    const struct lowering *l = s->lowering;
    for (uint32_t k = 0; s->solutions && !s->solutions->none && k < s->solutions->of.count; k++) {
        const struct solution *v = &s->solutions->of.at[k];
        const struct unknown *u = &l->unknowns.at[v->unknown];
        const struct quantity *q = &l->quantities.at[u->quantity];
        struct chosen_row row = {.path = q->path,
                                 .words = quantity_said(s, q),
                                 .shown = shown_value(s, u->quantity),
                                 .feasible = feasible_words(s, v, &q->unit),
                                 .prefer = text_of(preferences[u->prefer]),
                                 .binds_low = binding_words(s, v->binds_low),
                                 .binds_high = binding_words(s, v->binds_high)};
        *ARRAY_PUSH(l->arena, &t->chosen) = row;
    }
}
