/* A trial for the terminal, and the header of a file for one. */
#include "compiler/readings/trial.h"

#include "compiler/emit/columns.h"

#include <math.h>

/* ---- the table ------------------------------------------------------------------------------------------------------------- */

static const struct column heads[] = {{"reading", COLUMN_WORDS}, {"n", COLUMN_NUMBER},      {"mean", COLUMN_NUMBER},
                                      {"s", COLUMN_NUMBER},      {"recipe", COLUMN_NUMBER}, {"off by", COLUMN_NUMBER},
                                      {"out", COLUMN_NUMBER}};
enum { NAME, COUNT, MEAN, SCATTER, SAYS, OFF, OUTSIDE, HEADS };

static struct text figure(struct buffer *b, double si, const struct unit *unit, int decimals)
{
    return isnan(si) ? TEXT("") : typeset_quantity_to(b->arena, si, unit, decimals, SPELL_ASCII);
}

/* The unit of a difference: of a temperature scale, K. */
static struct unit difference_unit(struct buffer *b, const struct unit *unit)
{
    return unit->point ? unit_default(b->arena, unit->dim, false) : *unit;
}

/* Two digits of what the readings scatter by; those of the unit where they do not. */
static int decimals_of(struct buffer *b, const struct trial_column *c, const struct unit *unit)
{
    struct unit step = difference_unit(b, unit);
    double s = trial_deviation(c) / step.factor;
    int own = decimals_shown(unit, c->mean), fine = s > 0 ? decimals_for_computed(&step, s) : own;
    return fine > own ? fine : own;
}

static struct text outside_words(struct buffer *b, const struct trial_column *c)
{
    if (isnan(c->low) && isnan(c->high))
        return TEXT("");
    return c->outside ? arena_format(b->arena, "%u of %u", c->outside, c->count) : TEXT("none");
}

static void add_row(struct columns *table, struct buffer *b, const struct trial *t, const struct trial_column *c)
{
    const struct readings_column *head = &t->readings->columns.at[c->column];
    struct unit step = difference_unit(b, &head->unit);
    int decimals = decimals_of(b, c, &head->unit);
    struct columns_row *row = columns_add(table);
    row->cell[NAME] = head->name;
    row->cell[COUNT] = arena_format(b->arena, "%u", c->count);
    row->cell[MEAN] = figure(b, c->count ? c->mean : NAN, &head->unit, decimals);
    row->cell[SCATTER] = figure(b, trial_deviation(c), &step, decimals);
    row->cell[SAYS] = figure(b, c->predicted, &head->unit, decimals);
    row->cell[OFF] = figure(b, c->count && !c->wanted ? c->mean - c->predicted : NAN, &step, decimals);
    row->cell[OUTSIDE] = outside_words(b, c);
}

static void put_table(struct buffer *b, const struct trial *t, uint32_t width)
{
    struct columns table = {.arena = b->arena, .columns = heads, .count = HEADS};
    for (uint32_t i = 0; i < t->columns.count; i++)
        add_row(&table, b, t, &t->columns.at[i]);
    columns_print(&table, b, width);
}

/* ---- out of band ------------------------------------------------------------------------------------------------------------- */

static struct text band_words(struct buffer *b, const struct trial_column *c, const struct unit *unit)
{
    double low = isnan(c->low) ? -INFINITY : c->low, high = isnan(c->high) ? INFINITY : c->high;
    return typeset_band(b->arena, low, high, unit, SPELL_ASCII);
}

static void put_outside(struct buffer *b, const struct trial *t, const struct trial_column *c)
{
    const struct readings_column *head = &t->readings->columns.at[c->column];
    if (!c->outside)
        return;
    buffer_printf(b, "\n%.*s must be %.*s:\n", TEXT_ARGS(head->name), TEXT_ARGS(band_words(b, c, &head->unit)));
    for (uint32_t i = 0; i < c->kept.count; i++) {
        const struct trial_outside *o = &c->kept.at[i];
        struct text value =
            typeset_quantity_to(b->arena, o->value, &head->unit, decimals_of(b, c, &head->unit), SPELL_ASCII);
        if (o->piece.len)
            buffer_printf(b, "  line %u, piece %.*s: %.*s\n", o->line, TEXT_ARGS(o->piece), TEXT_ARGS(value));
        else
            buffer_printf(b, "  line %u: %.*s\n", o->line, TEXT_ARGS(value));
    }
    if (c->outside > c->kept.count)
        buffer_printf(b, "  and %u more\n", c->outside - c->kept.count);
}

static void put_notes(struct buffer *b, const struct trial *t)
{
    bool sizes = false;
    for (uint32_t i = 0; i < t->columns.count; i++)
        sizes |= t->columns.at[i].correction != 0;
    buffer_put(b, TEXT("\ns: standard deviation of the readings; out: how many are out of their band.\n"));
    if (sizes)
        buffer_put(b, TEXT("Sizes are at 20 degC: the recipe's gauge correction is added to each reading.\n"));
}

static void put_left_out(struct buffer *b, const struct trial *t)
{
    struct buffer left;
    buffer_init(&left, b->arena);
    readings_left_out(t->readings, &left);
    if (left.count)
        buffer_printf(b, "\nLeft out:\n%.*s", (int)left.count, left.at);
}

void trial_text(struct buffer *b, const struct trial *t, uint32_t width)
{
    buffer_printf(b, "%.*s: %u %s\n\n", TEXT_ARGS(t->readings->path), t->pieces, t->pieces == 1 ? "piece" : "pieces");
    put_table(b, t, width);
    put_notes(b, t);
    for (uint32_t i = 0; i < t->columns.count; i++)
        put_outside(b, t, &t->columns.at[i]);
    put_left_out(b, t);
}

/* ---- the header of a file -------------------------------------------------------------------------------------------------- */

static void put_head(struct buffer *b, struct text name, const struct unit *unit)
{
    struct text written = typeset_unit(b->arena, unit, SPELL_ASCII);
    buffer_printf(b, ",%.*s [%.*s]", TEXT_ARGS(name), TEXT_ARGS(written.len ? written : TEXT("1")));
}

static void put_temperatures(struct buffer *b, struct strokewright_recipe *r, enum purpose purpose)
{
    const struct scope *s = &r->scope;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++) {
        uint32_t q = name_for(s, definition_at(s, id)->kind, purpose) ? quantity_for(&r->steps, id, purpose) : 0;
        if (q)
            put_head(b, r->lowering->quantities.at[q].path, &r->lowering->quantities.at[q].unit);
    }
}

static bool is_measured(struct strokewright_recipe *r, uint32_t *quantity, uint32_t id)
{
    *quantity = quantity_for(&r->steps, id, FOR_measured);
    if (!*quantity)
        *quantity = quantity_for(&r->steps, id, FOR_measured_at_most);
    return *quantity != 0;
}

/* By definition: whether an inspection measures it; `any`: some inspection measures something. */
static bool *inspected(struct strokewright_recipe *r, bool *any)
{
    struct scope *s = &r->scope;
    bool *by_feature = ARENA_ARRAY(&r->arena, definition_end(s) + 1, bool);
    *any = false;
    for (uint32_t i = 0; i < s->steps.count; i++) {
        const uint32_t *ids = NULL;
        uint32_t list = quantity_for(&r->steps, s->steps.at[i], FOR_measuring);
        uint32_t count = list ? lowering_members(r->lowering, r->lowering->quantities.at[list].value, &ids) : 0;
        for (uint32_t k = 0; k < count; k++)
            by_feature[ids[k]] = *any = true;
    }
    return by_feature;
}

static void put_features(struct buffer *b, struct strokewright_recipe *r)
{
    const struct scope *s = &r->scope;
    bool any;
    const bool *wanted = inspected(r, &any);
    uint32_t q;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if ((!any || wanted[id]) && is_measured(r, &q, id))
            put_head(b, atom_text(&s->names, definition_at(s, id)->name), &r->lowering->quantities.at[q].unit);
}

void trial_template(struct buffer *b, struct strokewright_recipe *r)
{
    buffer_put(b, TEXT("piece,time"));
    put_temperatures(b, r, FOR_temperature);
    put_temperatures(b, r, FOR_room_temperature);
    put_features(b, r);
    buffer_putc(b, '\n');
}
