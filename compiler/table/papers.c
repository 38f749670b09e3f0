/* The rest of the step table: set-up card, tool sizes, cautions, all values. */
#include "compiler/table/steps.h"

#include <math.h>

/* ---- set-up card -------------------------------------------------------------------------------------------------------------- */

static void add_setup(struct steps *s, struct step_table *t, struct text group, struct text label, struct shown shown)
{
    if (shown.text.len)
        *ARRAY_PUSH(s->lowering->arena, &t->setup) = (struct setup_row){.group = group, .label = label, .shown = shown};
}

static enum setup_reader reader_of(enum kind kind)
{
    enum setup_reader own = kind_table[kind].standards;
    return own == SETUP_AT_PRESS ? kind_table[kind_table[kind].family].standards : own;
}

/* The heading of a kind's rows, or of a definition's. */
static struct text group_words(struct steps *s, const char *group)
{
    return capitalised(s->lowering->arena, said_in(s->spelling.language, "name", group));
}

static struct text group_of(struct steps *s, uint32_t definition)
{
    const char *group = kind_table[definition_at(s->lowering->scope, definition)->kind].group;
    return group ? group_words(s, group) : capitalised(s->lowering->arena, title_of(s, definition));
}

/* What is set, and what else stands on the card; a family's properties before a kind's own. */
static void add_setup_of(struct steps *s, struct step_table *t, uint32_t definition, struct text group)
{
    enum kind kind = definition_at(s->lowering->scope, definition)->kind;
    for (uint32_t i = 0; i < property_count; i++) {
        const struct property_entry *p = &property_table[i];
        if (!kind_is(kind, p->kind) || (p->role != ROLE_SET && !serves(p, FOR_set_up)))
            continue;
        uint32_t q = quantity_of(s, definition, p->name);
        if (q)
            add_setup(s, t, group, steps_said(s, p->label), shown_for_use(s, q));
    }
}

/* A value that follows; what cannot be worked out is left out. */
static void add_expected(struct steps *s, struct step_table *t, uint32_t quantity, struct text group,
                         enum setup_reader reader)
{
    struct text why;
    if (isnan(quantity_si(s, quantity, &why)))
        return;
    *ARRAY_PUSH(s->lowering->arena, &t->setup) = (struct setup_row){.reader = reader,
                                                                    .expected = true,
                                                                    .group = group,
                                                                    .label = label_of(s, quantity),
                                                                    .shown = shown_for_use(s, quantity)};
}

static void add_expected_of(struct steps *s, struct step_table *t, uint32_t definition, struct text group)
{
    const struct lowering *l = s->lowering;
    enum kind kind = definition_at(l->scope, definition)->kind;
    for (uint32_t id = 1; id < derived_end(l->scope); id++) {
        const struct derived *d = derived_at(l->scope, id);
        if (has_purpose(d->uses, FOR_set_up) && kind_is(kind, d->kind) && find_derived(l->scope, kind, d->name) == id)
            add_expected(s, t, lowering_derived(l, id, definition), group, SETUP_AT_PRESS);
    }
}

/* blank.mass, in the group "blank" */
static bool let_is_in(const struct scope *scope, const struct let *let, const char *group)
{
    struct text name = atom_text(&scope->names, let->name);
    uint32_t len = (uint32_t)strlen(group);
    return name.len > len && name.at[len] == '.' && memcmp(name.at, group, len) == 0;
}

static void add_lets_of(struct steps *s, struct step_table *t, const char *group)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = 1; id < let_end(scope); id++) {
        const struct let *let = let_at(scope, id);
        bool set_up = has_purpose(let->uses, FOR_set_up), planning = has_purpose(let->uses, FOR_planning);
        if ((set_up || planning) && let_is_in(scope, let, group))
            add_expected(s, t, lowering_let(s->lowering, id), group_words(s, group),
                         set_up ? SETUP_AT_PRESS : SETUP_IN_PLANNING);
    }
}

/* Nothing that changes a result goes unsaid: what the recipe left to the standard is listed, each property once. */
static void add_standards(struct steps *s, struct step_table *t)
{
    const struct lowering *l = s->lowering;
    bool *told = ARENA_ARRAY(l->arena, property_count, bool);
    for (uint32_t i = 1; i < l->quantities.count; i++) {
        const struct quantity *q = &l->quantities.at[i];
        bool told_already = !q->entry || told[q->entry - property_table];
        if (q->sort != QUANTITY_STANDARD || told_already || (q->value.tag != LOW_NODE && q->value.tag != LOW_WORD))
            continue;
        told[q->entry - property_table] = true;
        struct text label = kind_table[q->entry->kind].flags & KIND_IN_LABEL
                                ? steps_said(s, q->entry->label)
                                : said_filled(l->arena, steps_said(s, SAY("{kind}: {label}")),
                                              SAID_PARTS({"kind", kind_said(s, q->entry->kind)},
                                                         {"label", steps_said(s, q->entry->label)}));
        uint32_t before = t->setup.count;
        add_setup(s, t, steps_said(s, SAY("Not stated, taken as standard")), label, shown_value(s, i));
        if (t->setup.count > before)
            t->setup.at[before].reader = reader_of(q->entry->kind);
    }
}

static void add_setup_of_steps(struct steps *s, struct step_table *t)
{
    for (uint32_t i = 0; i < t->steps.count; i++) {
        add_setup_of(s, t, s->lowering->scope->steps.at[i], t->steps.at[i].what);
        add_expected_of(s, t, s->lowering->scope->steps.at[i], t->steps.at[i].what);
    }
}

static void add_setup_of_kind(struct steps *s, struct step_table *t, enum kind kind)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++)
        if (definition_at(scope, id)->kind == kind) {
            add_setup_of(s, t, id, group_of(s, id));
            add_expected_of(s, t, id, group_of(s, id));
        }
    if (kind_table[kind].group && s->lowering->scope->kind_count[kind])
        add_lets_of(s, t, kind_table[kind].group);
}

void fill_setup(struct steps *s, struct step_table *t)
{
    for (enum kind kind = KIND_NONE + 1; kind < KIND_COUNT; kind++)
        if (!(kind_table[kind].flags & KIND_STEP))
            add_setup_of_kind(s, t, kind);
    add_setup_of_steps(s, t);
    add_standards(s, t);
}

/* ---- tool sizes ---------------------------------------------------------------------------------------------------------------- */

/* The drawing's size with the band it must be in: its own, or the general tolerance that the library applies. */
struct shown shown_part(struct steps *s, uint32_t feature)
{
    struct text why;
    uint32_t size = quantity_for(s, feature, FOR_measured);
    double low = quantity_si(s, quantity_for(s, feature, FOR_lower_limit), &why);
    double high = quantity_si(s, quantity_for(s, feature, FOR_upper_limit), &why);
    if (!size || s->lowering->quantities.at[size].banded || isnan(low) || isnan(high))
        return shown_value(s, size);
    return shown_with_band(s, size, (high - low) / 2);
}

/* The size hot, in as many decimals as the size cold: in a column of sizes a nought is a digit like the others. */
static struct shown hot_size(struct steps *s, uint32_t quantity, uint32_t cold, double half)
{
    struct shown shown = shown_with_band(s, quantity, NAN);
    struct text why;
    double si = quantity_si(s, cold, &why);
    if (isnan(shown.value) || isnan(si))
        return shown;
    const struct unit *unit = &s->lowering->quantities.at[quantity].unit;
    double value = unit_from_si(unit, si);
    int own = decimals_for(unit, shown.value, 0),
        wanted = decimals_for(unit, value, isnan(half) ? 0 : half / unit->factor);
    if (wanted <= own)
        return shown;
    struct end end = {shown.value, wanted};
    shown.text = typeset_end(s->lowering->arena, end, unit, s->spelling);
    shown.print = typeset_end(s->lowering->arena, end, unit, (struct spelling){true, s->spelling.language});
    return shown;
}

/* Of a kind whose sizes a tool makes. */
bool has_tool_size(const struct steps *s, uint32_t definition)
{
    const struct scope *scope = s->lowering->scope;
    return name_for(scope, definition_at(scope, definition)->kind, FOR_size_to_make) != 0;
}

static struct text name_of(struct steps *s, uint32_t definition)
{
    const struct scope *scope = s->lowering->scope;
    return definition ? atom_text(&scope->names, definition_at(scope, definition)->name) : TEXT("");
}

static struct text side_words(struct steps *s, uint32_t feature)
{
    const char *side = kind_table[definition_at(s->lowering->scope, feature)->kind].side;
    return said_text(s->spelling.language, "word", side ? text_of(side) : text_for(s, feature, FOR_side));
}

static void name_tool(struct steps *s, uint32_t feature, struct tool_size *row)
{
    uint32_t tool = reference_for(s, feature, FOR_made_by), material = tool ? reference_for(s, tool, FOR_material) : 0;
    row->tool = name_of(s, tool);
    row->tool_title = tool ? capitalised(s->lowering->arena, title_of(s, tool)) : TEXT("");
    row->material = material ? title_of(s, material) : TEXT("");
    row->tool_temperature = tool ? shown_value(s, quantity_for(s, tool, FOR_temperature)) : shown_words(s, TEXT(""));
}

static struct tool_size size_row(struct steps *s, uint32_t feature)
{
    struct tool_size row = {
        .feature = name_of(s, feature), .title = title_of(s, feature), .side = side_words(s, feature)};
    const struct {
        enum purpose purpose;
        struct shown *shown;
    } plain[] = {{FOR_size_finished, &row.finished},
                 {FOR_size_per_kelvin, &row.per_kelvin},
                 {FOR_tool_growth, &row.grows},
                 {FOR_part_shrinkage, &row.shrinks}};
    struct text why;
    double half = quantity_si(s, quantity_for(s, feature, FOR_machining_band), &why);
    uint32_t stroke = reference_for(s, feature, FOR_formed_in), cold = quantity_for(s, feature, FOR_size_to_make);
    name_tool(s, feature, &row);
    row.part = shown_part(s, feature);
    row.cold = shown_with_band(s, cold, half);
    row.hot = hot_size(s, quantity_for(s, feature, FOR_size_hot), cold, half);
    row.released = hot_size(s, quantity_for(s, feature, FOR_size_released), cold, half);
    for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++)
        *plain[i].shown = shown_with_band(s, quantity_for(s, feature, plain[i].purpose), NAN);
    row.release_temperature = shown_value(s, stroke ? quantity_for(s, stroke, FOR_release_temperature) : 0);
    return row;
}

void fill_sizes(struct steps *s, struct step_table *t)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++)
        if (has_tool_size(s, id))
            *ARRAY_PUSH(s->lowering->arena, &t->sizes) = size_row(s, id);
}

/* ---- cautions ---------------------------------------------------------------------------------------------------------- */

/* Worst first; a caution whose condition cannot be worked out is shown: silence would be the unsafe answer. */
void fill_cautions(struct steps *s, struct step_table *t)
{
    static const char *const order[] = {"danger", "warning", "caution", "notice"};
    static const char *const words[] = {SAY_IN("signal", "DANGER"), SAY_IN("signal", "WARNING"),
                                        SAY_IN("signal", "CAUTION"), SAY_IN("signal", "NOTICE")};
    const struct lowering *l = s->lowering;
    for (int k = 0; k < 4; k++)
        for (uint32_t i = 0; i < l->cautions.count; i++) {
            const struct lowered_caution *c = &l->cautions.at[i];
            const struct rule *rule = rule_at(l->scope, c->rule);
            const struct tree *tree = file_at(l->scope, rule->site.file)->tree;
            uint32_t signal = rule_line(tree, rule->site.node, "signal"),
                     sign = rule_line(tree, rule->site.node, "sign");
            uint32_t text = rule_line(tree, rule->site.node, "text");
            struct text why, word = signal ? node_text(tree, signal) : TEXT("");
            bool quiet;
            if (!text_is(word, order[k]) || value_of(l, s->values, c->when, &why, &quiet) == 0)
                continue;
            struct caution_row row = {.name = atom_text(&l->scope->names, rule->name)};
            row.signal = text_of(words[k]);
            row.word = said_text(s->spelling.language, "signal", row.signal);
            row.sign = sign && node_kind(tree, sign) == NODE_TEXT ? text_piece(l->arena, tree, sign, 0) : TEXT("");
            row.text = text ? filled_text(s, (struct site){rule->site.file, text}, c->subject) : TEXT("");
            *ARRAY_PUSH(l->arena, &t->cautions) = row;
        }
}

/* ---- all values --------------------------------------------------------------------------------------------------------------------- */

void fill_values(struct steps *s, struct step_table *t)
{
    const struct lowering *l = s->lowering;
    for (uint32_t i = 1; i < l->quantities.count; i++) {
        const struct quantity *q = &l->quantities.at[i];
        if (q->sort != QUANTITY_DERIVED && q->sort != QUANTITY_LET)
            continue;
        struct value_row row = {.path = q->path,
                                .label = library_text(s, q->site.file, NULL, note_text(l, q->site, TOKEN_LABEL))};
        row.shown = shown_value(s, i);
        if (q->value.tag == LOW_MISSING)
            row.why_not = q->value.text.len ? q->value.text : TEXT("a fault was reported");
        else if (q->value.tag == LOW_NODE)
            (void)quantity_si(s, i, &row.why_not);
        row.why_not = reason_said(s, row.why_not);
        *ARRAY_PUSH(l->arena, &t->values) = row;
    }
}

static struct step_table *table_new(struct steps *s, struct spelling spelling)
{
    struct step_table *t = ARENA_NEW(s->lowering->arena, struct step_table);
    s->spelling = spelling;
    t->language = spelling.language;
    t->print = spelling.print;
    return t;
}

struct step_table *steps_limits_table(struct steps *s, struct spelling spelling)
{
    struct step_table *t = table_new(s, spelling);
    fill_limits(s, t);
    fill_chosen(s, t);
    return t;
}

/* Without its folders: the same recipe gives the same papers, however the command was told where it lies. */
static struct text file_name(struct text path)
{
    uint32_t start = path.len;
    while (start && path.at[start - 1] != '/')
        start--;
    return (struct text){path.at + start, path.len - start};
}

static void fill_head(struct steps *s, struct step_table *t)
{
    uint32_t recipe = find_recipe(s->lowering->scope);
    const struct {
        enum purpose purpose;
        struct text *text;
    } heads[] = {{FOR_title, &t->title}, {FOR_part, &t->part},     {FOR_revision, &t->revision},
                 {FOR_date, &t->date},   {FOR_status, &t->status}, {FOR_author, &t->author}};
    for (uint32_t i = 0; recipe && i < 6; i++)
        *heads[i].text = text_for(s, recipe, heads[i].purpose);
    if (recipe)
        t->name = atom_text(&s->lowering->scope->names, definition_at(s->lowering->scope, recipe)->name);
}

static void fill_papers(struct steps *s, struct step_table *t, bool budgets)
{
    steps_find_sides(s);
    fill_steps(s, t);
    fill_setup(s, t);
    fill_sizes(s, t);
    if (budgets)
        fill_budgets(s, t);
    fill_tool_facts(s, t);
    fill_inspection(s, t);
    fill_charts(s, t);
    fill_limits(s, t);
    fill_waivers(s, t);
    fill_chosen(s, t);
    fill_cautions(s, t);
    fill_revisions(s, t);
}

struct step_table *steps_table(struct steps *s, const struct demand *demand, struct spelling spelling, struct text file,
                               struct text version)
{
    struct step_table *t = table_new(s, spelling);
    t->file = file_name(file);
    t->version = version;
    fill_head(s, t);
    if (demand->papers)
        fill_papers(s, t, demand->budgets);
    if (demand->values)
        fill_values(s, t);
    return t;
}
