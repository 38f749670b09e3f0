/* The steps themselves: their order, their numbers, and their rows. */
#include "compiler/table/steps.h"

#include <math.h>

/* ---- order and numbers ------------------------------------------------------------------------------------------------------ */

static const struct order_row {
    enum kind step, first; /* if the recipe has a `first` at all, one must stand before every `step` */
    const char *why;
} order_table[] = {
    {KIND_stroke, KIND_heat_up, "the blank would be formed before it is hot"},
    {KIND_stroke, KIND_warm_up, "the tools would be cold when the part is formed"},
    {KIND_heat_up, KIND_warm_up, "the tools would be cold when the blank is heated"},
    {KIND_cooling, KIND_stroke, "there is no part to cool yet"},
    {KIND_transfer, KIND_heat_up, "there is no hot blank to carry yet"},
};

static uint32_t first_of(const struct scope *s, enum kind kind)
{
    for (uint32_t i = 0; i < s->steps.count; i++)
        if (definition_at(s, s->steps.at[i])->kind == kind)
            return i + 1;
    return 0;
}

static void check_order(struct scope *s, const struct order_row *row)
{
    uint32_t step = first_of(s, row->step), first = first_of(s, row->first);
    if (!step || !first || first < step)
        return;
    struct diagnostic *d =
        report(s->diagnostics, FAULT_step_order, definition_span(s, s->steps.at[step - 1]),
               "this %s comes before any %s", kind_table[row->step].name, kind_table[row->first].name);
    report_here(s->diagnostics, d, "%s", row->why);
    report_label(s->diagnostics, d, definition_span(s, s->steps.at[first - 1]), "the first %s is only here",
                 kind_table[row->first].name);
    report_help(s->diagnostics, d, "steps stand in working order: move the %s up", kind_table[row->first].name);
}

static double own_number(struct scope *s, uint32_t definition, uint32_t *node)
{
    atom a = interned(&s->names, TEXT("number"));
    uint32_t property = a ? find_property(s, definition, a) : 0;
    double value;
    if (!property)
        return NAN;
    const struct property *p = property_at(s, property);
    *node = p->value;
    return constant_number(file_at(s, p->site.file)->tree, p->value, &value) ? value : NAN;
}

static void check_numbers(struct scope *s)
{
    double before = 0;
    for (uint32_t i = 0; i < s->steps.count; i++) {
        uint32_t node = 0, id = s->steps.at[i];
        double number = own_number(s, id, &node);
        if (isnan(number) && !node) {
            before = floor(before / 10) * 10 + 10;
            continue;
        }
        if (isnan(number) || number != floor(number) || number <= before || number > 9999) {
            struct diagnostic *d = report(
                s->diagnostics, FAULT_step_number, site_span(s, (struct site){definition_at(s, id)->site.file, node}),
                "step numbers are whole, up to 9999, and rise; the step before is %g", before);
            report_help(s->diagnostics, d, "use the next number, %g, or leave it out", floor(before / 10) * 10 + 10);
            return;
        }
        before = number;
    }
}

void steps_check(struct scope *s)
{
    for (uint32_t i = 0; i < sizeof order_table / sizeof order_table[0]; i++)
        check_order(s, &order_table[i]);
    check_numbers(s);
    uint32_t many, recipe = find_sole(s, KIND_recipe, &many);
    if (recipe && !s->steps.count && !s->diagnostics->errors) {
        struct diagnostic *d =
            report(s->diagnostics, FAULT_no_steps, definition_span(s, recipe), "this recipe has no steps");
        report_help(s->diagnostics, d, "add 'steps { warm-up ... heat-up ... stroke ... cooling ... inspect ... }'");
    }
}

/* ---- rows --------------------------------------------------------------------------------------------------------------------- */

static const struct sentence_row {
    enum kind kind;
    const char *given;    /* only when this property is stated; NULL: always */
    const char *sentence; /* {name}: the step's name, {property}: that property in words */
    enum step_shape shape;
} sentence_table[] = {
    {KIND_warm_up, NULL, SAY("Warm up {heats}"), SHAPE_PREPARATION},
    {KIND_task, NULL, "{name}", SHAPE_MANUAL},
    {KIND_heat_up, "oven", SAY("Heat the blank in the oven"), SHAPE_PROCESS},
    {KIND_heat_up, "gap", SAY("Heat the blank at a gap from {between}"), SHAPE_PROCESS},
    {KIND_heat_up, NULL, SAY("Heat the blank between {between}"), SHAPE_PROCESS},
    {KIND_transfer, NULL, SAY("Carry the hot blank to the tools"), SHAPE_MANUAL},
    {KIND_stroke, NULL, SAY("Form the part in one stroke"), SHAPE_PROCESS},
    {KIND_cooling, NULL, SAY("Let the part cool in {in}"), SHAPE_DELAY},
    {KIND_trim, NULL, SAY("Trim: {name}"), SHAPE_PROCESS},
    {KIND_inspect, NULL, SAY("Inspect {measure}"), SHAPE_DECISION},
};

static struct text fill_sentence(struct steps *s, uint32_t step, const char *sentence)
{
    struct arena *a = s->lowering->arena;
    const char *open = strchr(sentence, '{'), *close = open ? strchr(open, '}') : NULL;
    if (!close)
        return steps_said(s, sentence);
    struct text word = arena_text(a, (struct text){open + 1, (uint32_t)(close - open - 1)}), value;
    if (text_is(word, "name"))
        value = open == sentence ? capitalised(a, title_of(s, step)) : title_of(s, step);
    else
        value = shown_value(s, quantity_of(s, step, word.at)).text;
    return said_filled(a, steps_said(s, sentence), SAID_PARTS({word.at, value}));
}

static void begin_row(struct steps *s, uint32_t step, struct step_row *row)
{
    enum kind kind = definition_at(s->lowering->scope, step)->kind;
    for (uint32_t i = 0; i < sizeof sentence_table / sizeof sentence_table[0]; i++) {
        const struct sentence_row *r = &sentence_table[i];
        if (r->kind != kind || (r->given && !quantity_of(s, step, r->given)))
            continue;
        row->what = fill_sentence(s, step, r->sentence);
        row->shape = r->shape;
        return;
    }
}

static void add_setting(struct steps *s, struct step_row *row, enum setting_role role, uint32_t quantity,
                        struct text label)
{
    struct lowering *l = s->lowering;
    const struct quantity *q = &l->quantities.at[quantity];
    struct setting setting = {role, atom_text(&l->scope->names, q->name), q->path, label, shown_for_use(s, quantity)};
    if (setting.shown.text.len)
        *ARRAY_PUSH(l->arena, &row->settings) = setting;
}

/* What is set and what is to be reached, in the schema's order. */
static void add_stated(struct steps *s, uint32_t step, struct step_row *row)
{
    enum kind kind = definition_at(s->lowering->scope, step)->kind;
    for (uint32_t i = 0; i < property_count; i++) {
        const struct property_entry *p = &property_table[i];
        if (p->kind != kind || (p->role != ROLE_SET && p->role != ROLE_WANTED))
            continue;
        uint32_t q = quantity_of(s, step, p->name);
        if (q)
            add_setting(s, row, p->role == ROLE_SET ? SETTING_SET : SETTING_CHECK, q, steps_said(s, p->label));
    }
}

/* Derived values that carry a label. */
static void add_expected(struct steps *s, uint32_t step, struct step_row *row)
{
    struct lowering *l = s->lowering;
    enum kind kind = definition_at(l->scope, step)->kind;
    for (uint32_t d = 1; d < derived_end(l->scope); d++) {
        const struct derived *derived = derived_at(l->scope, d);
        if (!kind_is(kind, derived->kind) || find_derived(l->scope, kind, derived->name) != d)
            continue;
        struct text label = library_text(s, derived->site.file, NULL, note_text(l, derived->site, TOKEN_LABEL));
        uint32_t q = label.len ? lower_derived(l, d, step) : 0;
        if (q && l->quantities.at[q].value.tag != LOW_MISSING)
            add_setting(s, row, SETTING_EXPECT, q, label);
    }
}

/* A flatness is a bound, not a value to aim at. */
static struct shown shown_measure(struct steps *s, uint32_t feature, uint32_t quantity)
{
    struct arena *a = s->lowering->arena;
    if (definition_at(s->lowering->scope, feature)->kind != KIND_flatness)
        return shown_part(s, feature);
    struct shown shown = shown_value(s, quantity);
    shown.high = shown.value;
    shown.value = NAN;
    shown.band = typeset_bound(a, s->spelling.language, "at most {value}", shown.text);
    shown.print_band = typeset_bound(a, s->spelling.language, "at most {value}", shown.print);
    shown.text = shown.print = TEXT("");
    return shown;
}

/* An inspection's features that have a size: a box each, with the band. */
static void add_measured(struct steps *s, uint32_t step, struct step_row *row)
{
    struct lowering *l = s->lowering;
    uint32_t *ids = NULL, list = quantity_of(s, step, "measure");
    uint32_t count = list ? list_members(l, l->quantities.at[list].value, &ids) : 0;
    for (uint32_t i = 0; i < count; i++) {
        const struct definition *d = definition_at(l->scope, ids[i]);
        uint32_t size = quantity_of(s, ids[i], d->kind == KIND_flatness ? "within" : "size");
        if (!size)
            continue;
        struct setting setting = {SETTING_CHECK, atom_text(&l->scope->names, l->quantities.at[size].name),
                                  l->quantities.at[size].path, title_of(s, ids[i]), shown_measure(s, ids[i], size)};
        *ARRAY_PUSH(l->arena, &row->settings) = setting;
    }
}

static bool runs_beside(struct steps *s, uint32_t step, enum kind kind)
{
    if (kind_table[kind].flags & KIND_BESIDE)
        return true;
    uint32_t q = property_named(kind, TEXT("beside-press")) ? quantity_of(s, step, "beside-press") : 0;
    return q && s->lowering->quantities.at[q].value.tag == LOW_TRUTH && s->lowering->quantities.at[q].value.truth;
}

static uint32_t next_number(struct steps *s, uint32_t step, uint32_t before)
{
    struct text why;
    uint32_t q = quantity_of(s, step, "number");
    double own = q ? quantity_si(s, q, &why) : NAN;
    return isnan(own) ? before / 10 * 10 + 10 : (uint32_t)own;
}

static uint32_t number_of_step(struct steps *s, uint32_t step)
{
    struct scope *scope = s->lowering->scope;
    uint32_t number = 0;
    for (uint32_t i = 0; i < scope->steps.count; i++) {
        number = next_number(s, scope->steps.at[i], number);
        if (scope->steps.at[i] == step)
            return number;
    }
    return 0;
}

void fill_steps(struct steps *s, struct step_table *table)
{
    struct scope *scope = s->lowering->scope;
    uint32_t number = 0;
    for (uint32_t i = 0; i < scope->steps.count; i++) {
        uint32_t step = scope->steps.at[i];
        const struct definition *d = definition_at(scope, step);
        struct step_row row = {0};
        row.number = number = next_number(s, step, number);
        row.kind = text_of(kind_table[d->kind].name);
        row.name = atom_text(&scope->names, d->name);
        begin_row(s, step, &row);
        row.instruction = text_of_property(s, step, "instruction");
        row.check = text_of_property(s, step, "check");
        row.reaction = text_of_property(s, step, "reaction");
        row.beside_press = runs_beside(s, step, d->kind);
        uint32_t rework = d->kind == KIND_inspect ? reference_of(s, step, "rework") : 0;
        row.rework = rework ? number_of_step(s, rework) : 0;
        add_stated(s, step, &row);
        if (d->kind == KIND_inspect)
            add_measured(s, step, &row);
        add_expected(s, step, &row);
        *ARRAY_PUSH(s->lowering->arena, &table->steps) = row;
    }
}
