#include "compiler/readings/learn.h"

#include "compiler/model/roles.h"
#include "runtime/evaluate/gradient.h"
#include "runtime/statistics/spread.h"

#include <math.h>

struct maker {
    struct learning *l;
    struct strokewright_recipe *r;
    struct arena *arena;
    uint32_t *gauge_offset;  /* by definition of a gauge: offset from 1; 0: none yet */
    uint32_t *cut_offset;    /* by feature: the tool as cut */
    uint32_t *sensor_offset; /* by tool */
    bool good;
};

static double value_for(struct strokewright_recipe *r, uint32_t definition, enum purpose purpose)
{
    return quantity_si(&r->steps, quantity_for(&r->steps, definition, purpose));
}

static double or_zero(double value)
{
    return isnan(value) ? 0 : value;
}

static struct text name_of(const struct strokewright_recipe *r, uint32_t definition)
{
    const struct definition *d = definition_at(&r->scope, definition);
    return d->name ? atom_text(&r->scope.names, d->name) : text_of(kind_table[d->kind].name);
}

static struct unit unit_named(const char *name)
{
    struct unit unit = {0};
    struct unit_error error;
    unit_read(text_of(name), &unit, &error);
    return unit;
}

/* ---- offsets --------------------------------------------------------------------------------------------------------------- */

static uint32_t add_offset(struct maker *m, struct text name, const char *unit, double standard)
{
    *ARRAY_PUSH(m->arena, &m->l->fit.offsets) = standard;
    *ARRAY_PUSH(m->arena, &m->l->inputs) =
        (struct learned_input){.name = name, .unit = unit_named(unit), .before_standard = standard, .reading = true};
    return m->l->fit.offsets.count;
}

/* ---- sizes ----------------------------------------------------------------------------------------------------------------- */

/* The gauge that reads a feature; 0: none does. */
static uint32_t gauge_of(struct strokewright_recipe *r, uint32_t feature)
{
    const struct scope *s = &r->scope;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++) {
        const uint32_t *ids = NULL;
        uint32_t list = name_for(s, definition_at(s, id)->kind, FOR_reads) ? quantity_for(&r->steps, id, FOR_reads) : 0;
        uint32_t count = list ? lowering_members(r->lowering, r->lowering->quantities.at[list].value, &ids) : 0;
        for (uint32_t k = 0; k < count; k++)
            if (ids[k] == feature)
                return id;
    }
    return 0;
}

static void say_no_gauge(struct maker *m, const struct readings_column *c)
{
    struct diagnostics *ds = &m->l->trial->readings->diagnostics;
    struct diagnostic *d =
        report(ds, FAULT_fit_unstated, c->span, "no gauge of the recipe reads %.*s", TEXT_ARGS(c->name));
    report_help(
        ds, d,
        "write in the recipe 'gauge calliper { ... }' with reads, repeatability and calibration: of a digital calliper "
        "8 um and 20 um are usual, of a measuring machine 1.5 um and 3 um");
    m->good = false;
}

static double noise_of(struct maker *m, uint32_t gauge, uint32_t feature)
{
    double repeatability = value_for(m->r, gauge, FOR_repeatability);
    double resolution = or_zero(value_for(m->r, gauge, FOR_resolution));
    double scatter = or_zero(value_for(m->r, feature, FOR_piece_scatter));
    return sqrt(repeatability * repeatability + resolution * resolution / 12 + scatter * scatter);
}

static uint32_t gauge_offset(struct maker *m, uint32_t gauge)
{
    double calibration = value_for(m->r, gauge, FOR_calibration);
    if (!m->gauge_offset[gauge] && calibration > 0)
        m->gauge_offset[gauge] = add_offset(
            m, arena_format(m->arena, "calibration of %.*s", TEXT_ARGS(name_of(m->r, gauge))), "um", calibration / 2);
    return m->gauge_offset[gauge];
}

/* A tool that was not measured lies somewhere in the toolroom's band. */
static uint32_t cut_offset(struct maker *m, uint32_t feature)
{
    double half = value_for(m->r, feature, FOR_machining_band);
    if (quantity_for(&m->r->steps, feature, FOR_made_size) || !(half > 0))
        return 0;
    m->cut_offset[feature] = add_offset(
        m, arena_format(m->arena, "tool of %.*s, as cut", TEXT_ARGS(name_of(m->r, feature))), "um", half / sqrt(3));
    m->l->inputs.at[m->l->inputs.count - 1].reading = false;
    return m->cut_offset[feature];
}

static void add_column(struct maker *m, uint32_t column, struct fit_column fit)
{
    *ARRAY_PUSH(m->arena, &m->l->fit.columns) = fit;
    *ARRAY_PUSH(m->arena, &m->l->columns) = column;
}

static uint32_t node_of(struct maker *m, uint32_t quantity)
{
    struct low low = m->r->lowering->quantities.at[quantity].value;
    return low.tag == LOW_NODE ? low.id : 0;
}

static void add_size(struct maker *m, uint32_t i, const struct readings_column *c)
{
    uint32_t gauge = gauge_of(m->r, c->feature);
    if (!gauge) {
        say_no_gauge(m, c);
        return;
    }
    struct fit_column column = {node_of(m, c->quantity), noise_of(m, gauge, c->feature), {gauge_offset(m, gauge), 0}};
    column.offset[1] = cut_offset(m, c->feature);
    add_column(m, i, column);
}

/* ---- temperatures and other values ------------------------------------------------------------------------------------------- */

static void say_no_sensor(struct maker *m, const struct readings_column *c, uint32_t tool)
{
    struct diagnostics *ds = &m->l->trial->readings->diagnostics;
    struct text name = name_of(m->r, tool);
    struct diagnostic *d = report(ds, FAULT_fit_unstated, c->span, "how far readings of %.*s may be off is not stated",
                                  TEXT_ARGS(c->name));
    report_help(
        ds, d,
        "write in the recipe, in the block of %.*s: 'sensor-offset = 1.5 K', the limit of a class 1 thermocouple, "
        "and 'sensor-noise = 0.2 K'",
        TEXT_ARGS(name));
    m->good = false;
}

static void add_temperature(struct maker *m, uint32_t i, const struct readings_column *c, uint32_t tool)
{
    double noise = value_for(m->r, tool, FOR_sensor_noise), offset = value_for(m->r, tool, FOR_sensor_offset);
    if (isnan(noise) || isnan(offset)) {
        say_no_sensor(m, c, tool);
        return;
    }
    struct fit_column column = {node_of(m, c->quantity), noise, {0, 0}};
    if (offset > 0)
        column.offset[0] = m->sensor_offset[tool] = add_offset(
            m, arena_format(m->arena, "sensor of %.*s", TEXT_ARGS(name_of(m->r, tool))), "K", offset / sqrt(3));
    add_column(m, i, column);
}

static bool is_input(struct maker *m, uint32_t quantity)
{
    uint32_t node = node_of(m, quantity);
    return node && m->r->lowering->program.nodes.at[node].op == OP_INPUT;
}

static void take_column(struct maker *m, uint32_t i)
{
    const struct readings_column *c = &m->l->trial->readings->columns.at[i];
    const struct quantity *q = &m->r->lowering->quantities.at[c->quantity];
    uint32_t tool = q->definition;
    bool temperature = tool && quantity_for(&m->r->steps, tool, FOR_temperature) == c->quantity;
    if (c->feature && !isnan(value_for(m->r, c->feature, FOR_size_finished)))
        add_size(m, i, c);
    else if (!c->feature && temperature)
        add_temperature(m, i, c, tool);
    else if (!c->feature && is_input(m, c->quantity))
        *ARRAY_PUSH(m->arena, &m->l->fit.given) = m->r->lowering->program.nodes.at[node_of(m, c->quantity)].a;
    else
        *ARRAY_PUSH(m->arena, &m->l->unused) = c->name;
}

/* ---- inputs ------------------------------------------------------------------------------------------------------------------ */

static bool is_given(const struct fit *f, uint32_t input)
{
    for (uint32_t i = 0; i < f->given.count; i++)
        if (f->given.at[i] == input)
            return true;
    return false;
}

/* Even spreads have their mean in the middle of the band, wherever the nominal value stands in it. */
static struct fit_input known(const struct program *p, uint32_t input)
{
    const struct input *in = &p->inputs.at[input];
    struct spread spread = spread_of(p, input);
    bool peaked = spread.shape == SPREAD_NORMAL || spread.shape == SPREAD_TRIANGULAR;
    double mean = peaked ? in->nominal : (in->low + in->high) / 2;
    return (struct fit_input){input, mean, spread_standard(&spread, in), mean};
}

/* Set values are set anew for each piece; what is held comes with the lot. */
static bool is_of_each_piece(const struct lowering *l, const struct input *in)
{
    const struct property_entry *entry = l->quantities.at[in->quantity].entry;
    return !in->figure && entry && entry->role == ROLE_SET;
}

static bool *read_by_columns(struct maker *m, const struct program *p)
{
    bool *wanted = ARENA_ARRAY(m->arena, p->nodes.count, bool), *inputs = ARENA_ARRAY(m->arena, p->inputs.count, bool);
    for (uint32_t k = 0; k < m->l->fit.columns.count; k++)
        program_needs(p, m->l->fit.columns.at[k].node, wanted);
    for (uint32_t i = 1; i < p->nodes.count; i++)
        if (wanted[i] && p->nodes.at[i].op == OP_INPUT)
            inputs[p->nodes.at[i].a] = true;
    return inputs;
}

static void take_inputs(struct maker *m)
{
    const struct lowering *l = m->r->lowering;
    const struct program *p = &l->program;
    struct fit *f = &m->l->fit;
    const bool *wanted = read_by_columns(m, p);
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        const struct input *in = &p->inputs.at[i];
        if (!wanted[i] || !in->held || is_given(f, i) || !(in->high > in->low))
            continue;
        if (is_of_each_piece(l, in))
            *ARRAY_PUSH(m->arena, &f->each) = known(p, i);
        else
            *ARRAY_PUSH(m->arena, &f->common) = known(p, i);
    }
}

/* Inputs stand in front of offsets, as in the fit. */
static void name_inputs(struct maker *m)
{
    const struct lowering *l = m->r->lowering;
    struct learning *out = m->l;
    uint32_t offsets = out->inputs.count, common = out->fit.common.count;
    ARRAY_RESERVE(m->arena, &out->inputs, common);
    memmove(out->inputs.at + common, out->inputs.at, offsets * sizeof *out->inputs.at);
    out->inputs.count += common;
    for (uint32_t i = 0; i < common; i++) {
        const struct fit_input *f = &out->fit.common.at[i];
        const struct input *in = &l->program.inputs.at[f->input];
        const struct property_entry *entry = l->quantities.at[in->quantity].entry;
        out->inputs.at[i] =
            (struct learned_input){.reading = !in->figure && entry && serves(entry, FOR_room_temperature),
                                   .name = lowering_input_path(l, in),
                                   .unit = lowering_input_unit(l, in),
                                   .before = f->mean,
                                   .before_standard = f->standard};
    }
}

static void take_readings(struct maker *m)
{
    const struct trial *t = m->l->trial;
    struct fit *f = &m->l->fit;
    uint32_t columns = t->readings->columns.count, given = 0;
    double *reading = ARENA_ARRAY(m->arena, (size_t)t->pieces * f->columns.count, double);
    double *at = ARENA_ARRAY(m->arena, (size_t)t->pieces * f->given.count, double);
    for (uint32_t i = 0; i < t->pieces; i++)
        for (uint32_t k = 0; k < f->columns.count; k++)
            reading[(size_t)i * f->columns.count + k] = t->values.at[(size_t)i * columns + m->l->columns.at[k]];
    for (uint32_t c = 0; c < columns; c++) {
        const struct readings_column *head = &t->readings->columns.at[c];
        if (head->use != READINGS_VALUE || head->feature || !is_input(m, head->quantity) || given >= f->given.count ||
            m->r->lowering->program.nodes.at[node_of(m, head->quantity)].a != f->given.at[given])
            continue;
        for (uint32_t i = 0; i < t->pieces; i++) {
            double value = t->values.at[(size_t)i * columns + c];
            at[(size_t)i * f->given.count + given] =
                isnan(value) ? m->r->lowering->program.inputs.at[f->given.at[given]].nominal : value;
        }
        given++;
    }
    f->pieces = t->pieces;
    f->reading = reading;
    f->at = at;
}

/* ---- where a size stands ------------------------------------------------------------------------------------------------------- */

struct view { /* the recipe at what the pieces say, its set values as stated */
    struct gradient g;
    uint32_t *column; /* by common input: the gradient's; UINT32_MAX: none */
};

static struct view view_of(struct maker *m)
{
    const struct program *p = &m->r->lowering->program;
    const struct fit *f = &m->l->fit;
    double *inputs = ARENA_ARRAY(m->arena, p->inputs.count, double);
    for (uint32_t i = 0; i < p->inputs.count; i++)
        inputs[i] = p->inputs.at[i].nominal;
    for (uint32_t i = 0; i < f->common.count; i++)
        inputs[f->common.at[i].input] = m->l->out.value[i];
    struct view v = {evaluate_gradient(m->arena, p, inputs), ARENA_ARRAY(m->arena, p->inputs.count, uint32_t)};
    for (uint32_t i = 0; i < p->inputs.count; i++)
        v.column[i] = UINT32_MAX;
    for (uint32_t k = 0; k < v.g.held.count; k++)
        v.column[v.g.held.input[k]] = k;
    return v;
}

static double slope_to(const struct view *v, uint32_t node, uint32_t input)
{
    const double *slope = v->g.slope[node];
    return slope && v->column[input] != UINT32_MAX ? slope[v->column[input]] : 0;
}

/* Slope of a size to the temperature of a tool that its sensor shows. */
static double slope_to_tool(const struct maker *m, const struct view *v, uint32_t node, uint32_t tool)
{
    const struct lowering *l = m->r->lowering;
    uint32_t q = quantity_for(&m->r->steps, tool, FOR_temperature);
    double sum = 0;
    for (uint32_t i = 0; q && i < l->program.inputs.count; i++)
        if (!l->program.inputs.at[i].figure && l->program.inputs.at[i].quantity == q)
            sum += slope_to(v, node, i);
    return sum;
}

/* How a size moves with each common value. The tools are set by their own sensors, so a sensor that shows too much leaves
 * them too cold. */
static double *slopes_of(const struct maker *m, const struct view *v, uint32_t node, uint32_t cut)
{
    const struct fit *f = &m->l->fit;
    double *slope = ARENA_ARRAY(m->arena, m->l->out.count, double);
    for (uint32_t i = 0; i < f->common.count; i++)
        slope[i] = slope_to(v, node, f->common.at[i].input);
    for (uint32_t id = 0; id < definition_end(&m->r->scope); id++)
        if (m->sensor_offset[id])
            slope[f->common.count + m->sensor_offset[id] - 1] = -slope_to_tool(m, v, node, id);
    if (cut)
        slope[f->common.count + cut - 1] = 1;
    return slope;
}

static double standard_of(const double *covariance, uint32_t count, const double *slope)
{
    double sum = 0;
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = 0; k < count; k++)
            sum += slope[i] * slope[k] * covariance[i * count + k];
    return sqrt(fmax(sum, 0));
}

/* The same trial with a hundred times the pieces, which is a tenth of the noise. */
static double *with_more_pieces(struct maker *m)
{
    const struct fitted *out = &m->l->out;
    double *covariance = ARENA_ARRAY(m->arena, (size_t)out->count * out->count, double);
    struct fit f = m->l->fit;
    f.columns.at = ARENA_ARRAY(m->arena, f.columns.count, struct fit_column);
    for (uint32_t k = 0; k < f.columns.count; k++) {
        f.columns.at[k] = m->l->fit.columns.at[k];
        f.columns.at[k].noise *= 0.1;
    }
    fit_certainty(m->arena, &f, out, covariance);
    return covariance;
}

/* Of what readings hang on, what a size would be surest without the doubt of: its variance given that one. */
static void find_limit(const struct maker *m, const double *slope, struct learned_size *z)
{
    const struct fitted *out = &m->l->out;
    double variance = z->standard * z->standard, least = variance;
    for (uint32_t i = 0; i < out->count; i++) {
        double shared = 0, own = out->covariance[i * out->count + i];
        for (uint32_t k = 0; k < out->count; k++)
            shared += slope[k] * out->covariance[i * out->count + k];
        if (m->l->inputs.at[i].reading && own > 0 && variance - shared * shared / own < least) {
            least = variance - shared * shared / own;
            z->limited_by = m->l->inputs.at[i].name;
        }
    }
    z->with_limit = sqrt(fmax(least, 0));
}

/* What a cut of the tool by one does to the size: a cavity grows by it, a punch shrinks, a pitch does neither. */
static double per_cut_of(struct maker *m, uint32_t feature, uint32_t tool, double size, double cold)
{
    const struct lowering *l = m->r->lowering;
    const struct scope *s = &m->r->scope;
    uint32_t q = quantity_for(&m->r->steps, feature, FOR_formed_in);
    uint32_t stroke = q && l->quantities.at[q].value.tag == LOW_DEFINITION ? l->quantities.at[q].value.id : 0;
    if (kind_table[definition_at(s, feature)->kind].side || !stroke || !(cold > 0))
        return 0;
    if (role_tool(s, stroke, TEXT("die")) == tool || text_is(name_of(m->r, tool), "die"))
        return size / cold;
    return role_tool(s, stroke, TEXT("punch")) == tool || text_is(name_of(m->r, tool), "punch") ? -size / cold : 0;
}

static double per_kelvin_of(struct maker *m, const struct view *v, uint32_t node)
{
    const struct scope *s = &m->r->scope;
    double sum = 0;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (name_for(s, definition_at(s, id)->kind, FOR_temperature))
            sum += slope_to_tool(m, v, node, id);
    return sum;
}

/* What the offsets that reach a size add to it. */
static double shift_of(const struct maker *m, const double *slope)
{
    double sum = 0;
    for (uint32_t i = m->l->fit.common.count; i < m->l->out.count; i++)
        sum += slope[i] * m->l->out.value[i];
    return sum;
}

static void add_learned_size(struct maker *m, const struct view *v, const double *more, uint32_t k)
{
    const struct trial *t = m->l->trial;
    const struct readings_column *c = &t->readings->columns.at[m->l->columns.at[k]];
    struct steps *s = &m->r->steps;
    uint32_t finished = quantity_for(s, c->feature, FOR_size_finished), node = node_of(m, finished);
    uint32_t tool_q = quantity_for(s, c->feature, FOR_made_by), cut = m->cut_offset[c->feature];
    uint32_t tool = tool_q ? m->r->lowering->quantities.at[tool_q].value.id : 0;
    struct learned_size *z = ARRAY_PUSH(m->arena, &m->l->sizes);
    const double *slope = slopes_of(m, v, node, cut);
    z->feature = c->feature;
    z->name = c->name;
    z->unit = c->unit;
    z->size = v->g.at.value[node] + shift_of(m, slope);
    z->standard = standard_of(m->l->out.covariance, m->l->out.count, slope);
    z->with_pieces = fmin(standard_of(more, m->l->out.count, slope), z->standard);
    find_limit(m, slope, z);
    z->per_cut = tool ? per_cut_of(m, c->feature, tool, z->size, value_for(m->r, c->feature, FOR_size_to_make)) : 0;
    z->per_kelvin = per_kelvin_of(m, v, node);
    z->tool = tool ? name_of(m->r, tool) : TEXT("");
    z->tool_measured = !cut;
    for (uint32_t i = 0; i < t->columns.count; i++)
        if (t->columns.at[i].column == m->l->columns.at[k]) {
            z->low = t->columns.at[i].low, z->high = t->columns.at[i].high;
            z->mean = t->columns.at[i].mean, z->deviation = trial_deviation(&t->columns.at[i]);
            z->count = t->columns.at[i].count;
        }
    z->aim = (z->low + z->high) / 2;
}

/* ---- all of it ------------------------------------------------------------------------------------------------------------------ */

static void take_posterior(struct maker *m)
{
    const struct fitted *out = &m->l->out;
    for (uint32_t i = 0; i < out->count; i++) {
        struct learned_input *in = &m->l->inputs.at[i];
        in->after = out->value[i];
        in->after_standard = sqrt(out->covariance[i * out->count + i]);
        in->tells = in->after_standard < 0.95 * in->before_standard;
    }
}

static void take_sizes(struct maker *m)
{
    struct view v = view_of(m);
    const double *more = with_more_pieces(m);
    for (uint32_t k = 0; k < m->l->fit.columns.count; k++)
        if (m->l->trial->readings->columns.at[m->l->columns.at[k]].feature)
            add_learned_size(m, &v, more, k);
}

static bool say_not_fitted(struct maker *m)
{
    struct readings *r = m->l->trial->readings;
    const char *why = m->l->out.state == FIT_NO_VALUE       ? "the recipe has no value at the middle of its bands"
                      : m->l->out.state == FIT_UNDETERMINED ? "the readings do not tell the inputs apart"
                                                            : "no values were found that fit the readings";
    struct diagnostic *d =
        report(&r->diagnostics, FAULT_fit_unstated, r->columns.at[0].span, "nothing was learned: %s", why);
    report_help(&r->diagnostics, d, "look at the bands of the recipe and at the readings");
    return false;
}

bool learn(struct learning *l, struct trial *t)
{
    struct strokewright_recipe *r = t->recipe;
    struct arena *a = t->readings->arena;
    size_t room = definition_end(&r->scope) + 1;
    struct maker m = {
        l, r, a, ARENA_ARRAY(a, room, uint32_t), ARENA_ARRAY(a, room, uint32_t), ARENA_ARRAY(a, room, uint32_t), true};
    *l = (struct learning){.trial = t, .fit = {.program = &r->lowering->program}};
    for (uint32_t i = 0; i < t->readings->columns.count; i++)
        if (t->readings->columns.at[i].use == READINGS_VALUE)
            take_column(&m, i);
    take_inputs(&m);
    name_inputs(&m);
    if (!m.good || !l->fit.columns.count || !l->inputs.count)
        return m.good;
    take_readings(&m);
    l->out = fit_solve(a, &l->fit);
    if (l->out.state != FIT_GOOD)
        return say_not_fitted(&m);
    take_posterior(&m);
    take_sizes(&m);
    return true;
}
