/* The steps themselves: their order, their numbers, and their rows. */
#include "compiler/table/parts.h"

#include <math.h>

/* ---- order and numbers ------------------------------------------------------------------------------------------------------ */

static uint32_t first_of(const struct scope *s, enum kind kind)
{
    for (uint32_t i = 0; i < s->steps.count; i++)
        if (definition_at(s, s->steps.at[i])->kind == kind)
            return i + 1;
    return 0;
}

/* If the recipe has steps of the kind `order->first` at all, one must stand before every step of `kind`. */
static void check_order(struct scope *s, enum kind kind, const struct step_order *order)
{
    uint32_t step = first_of(s, kind), first = first_of(s, order->first);
    if (!step || !first || first < step)
        return;
    struct diagnostic *d = report(s->diagnostics, FAULT_step_order, definition_span(s, s->steps.at[step - 1]),
                                  "this %s comes before any %s", kind_table[kind].name, kind_table[order->first].name);
    report_here(s->diagnostics, d, "%s", order->why);
    report_label(s->diagnostics, d, definition_span(s, s->steps.at[first - 1]), "the first %s is only here",
                 kind_table[order->first].name);
    report_help(s->diagnostics, d, "steps stand in working order: move the %s up", kind_table[order->first].name);
}

static void check_orders(struct scope *s)
{
    for (enum kind kind = KIND_NONE + 1; kind < KIND_COUNT; kind++)
        for (int i = 0; i < MOST_ORDERS && kind_table[kind].after[i].first; i++)
            check_order(s, kind, &kind_table[kind].after[i]);
}

static double own_number(struct scope *s, uint32_t definition, uint32_t *node)
{
    uint32_t property = find_property_for(s, definition, FOR_number);
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

/* "sheet { alloy = ... thickness = ... }": what it must state. */
static struct text example_words(struct arena *a, enum kind kind)
{
    struct text words = arena_format(a, "%s {", kind_table[kind].name);
    for (uint32_t i = 0; i < property_count; i++)
        if (property_table[i].kind == kind && property_table[i].need == NEED_REQUIRED)
            words = arena_format(a, "%.*s %s = ...", TEXT_ARGS(words), property_table[i].name);
    return arena_format(a, "%.*s }", TEXT_ARGS(words));
}

/* A stroke has a sheet to form. Told at the first step that lacks it. */
static void check_works_on(struct scope *s)
{
    for (uint32_t i = 0; i < s->steps.count && !s->diagnostics->errors; i++) {
        enum kind kind = definition_at(s, s->steps.at[i])->kind, wanted = kind_table[kind].works_on;
        if (!wanted || s->kind_count[wanted])
            continue;
        struct diagnostics *g = s->diagnostics;
        struct diagnostic *d =
            report(g, FAULT_missing_definition, definition_span(s, s->steps.at[i]),
                   "this %s needs a %s, and the recipe has none", kind_table[kind].name, kind_table[wanted].name);
        report_help(g, d, "add '%.*s'", TEXT_ARGS(example_words(s->arena, wanted)));
        return;
    }
}

void steps_check(struct scope *s)
{
    check_orders(s);
    check_works_on(s);
    check_numbers(s);
    uint32_t recipe = find_recipe(s);
    if (recipe && !s->steps.count && !s->diagnostics->errors) {
        struct diagnostic *d =
            report(s->diagnostics, FAULT_no_steps, definition_span(s, recipe), "this recipe has no steps");
        report_help(s->diagnostics, d, "add 'steps { warm-up ... heat-up ... stroke ... cooling ... inspect ... }'");
    }
}

/* ---- rows --------------------------------------------------------------------------------------------------------------------- */

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
    const struct kind_entry *kind = &kind_table[definition_at(s->lowering->scope, step)->kind];
    row->shape = kind->shape;
    for (int i = 0; i < MOST_SENTENCES && kind->sentences[i].text; i++) {
        const struct step_sentence *sentence = &kind->sentences[i];
        if (sentence->given && !quantity_of(s, step, sentence->given))
            continue;
        row->what = fill_sentence(s, step, sentence->text);
        return;
    }
}

static void add_setting(struct steps *s, struct step_row *row, enum setting_role role, uint32_t quantity,
                        struct text label)
{
    const struct lowering *l = s->lowering;
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
    const struct lowering *l = s->lowering;
    enum kind kind = definition_at(l->scope, step)->kind;
    for (uint32_t d = 1; d < derived_end(l->scope); d++) {
        const struct derived *derived = derived_at(l->scope, d);
        if (!kind_is(kind, derived->kind) || find_derived(l->scope, kind, derived->name) != d)
            continue;
        struct text label = library_text(s, derived->site.file, note_text(l, derived->site, TOKEN_LABEL));
        uint32_t q = label.len ? lowering_derived(l, d, step) : 0;
        if (q && l->quantities.at[q].value.tag != LOW_MISSING)
            add_setting(s, row, SETTING_EXPECT, q, label);
    }
}

/* The most that may be measured is a bound, not a value to aim at. */
static struct shown shown_bound(struct steps *s, uint32_t quantity)
{
    struct arena *a = s->lowering->arena;
    struct shown shown = shown_value(s, quantity);
    shown.high = shown.value;
    shown.value = NAN;
    shown.band = typeset_bound(a, s->spelling.language, "at most {value}", shown.text);
    shown.print_band = typeset_bound(a, s->spelling.language, "at most {value}", shown.print);
    shown.text = shown.print = TEXT("");
    return shown;
}

/* The features that a step measures: a box each, with the band. */
static void add_measured(struct steps *s, uint32_t step, struct step_row *row)
{
    const struct lowering *l = s->lowering;
    const uint32_t *ids = NULL;
    uint32_t list = quantity_for(s, step, FOR_measuring);
    uint32_t count = list ? lowering_members(l, l->quantities.at[list].value, &ids) : 0;
    for (uint32_t i = 0; i < count; i++) {
        uint32_t size = quantity_for(s, ids[i], FOR_measured), most = quantity_for(s, ids[i], FOR_measured_at_most);
        uint32_t measured = size ? size : most;
        if (!measured)
            continue;
        struct setting setting = {SETTING_CHECK, atom_text(&l->scope->names, l->quantities.at[measured].name),
                                  l->quantities.at[measured].path, title_of(s, ids[i]),
                                  size ? shown_part(s, ids[i]) : shown_bound(s, most)};
        *ARRAY_PUSH(l->arena, &row->settings) = setting;
    }
}

static bool runs_beside(struct steps *s, uint32_t step, enum kind kind)
{
    if (kind_table[kind].flags & KIND_BESIDE)
        return true;
    uint32_t q = quantity_for(s, step, FOR_beside_press);
    return q && s->lowering->quantities.at[q].value.tag == LOW_TRUTH && s->lowering->quantities.at[q].value.truth;
}

static uint32_t next_number(struct steps *s, uint32_t step, uint32_t before)
{
    uint32_t q = quantity_for(s, step, FOR_number);
    double own = q ? quantity_si(s, q) : NAN;
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

void steps_fill_rows(struct steps *s, struct step_table *table)
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
        row.instruction = text_for(s, step, FOR_instruction);
        row.check = text_for(s, step, FOR_check);
        row.reaction = text_for(s, step, FOR_reaction);
        row.beside_press = runs_beside(s, step, d->kind);
        uint32_t rework = reference_for(s, step, FOR_rework);
        row.rework = rework ? number_of_step(s, rework) : 0;
        add_stated(s, step, &row);
        add_measured(s, step, &row);
        add_expected(s, step, &row);
        *ARRAY_PUSH(s->lowering->arena, &table->steps) = row;
    }
}
