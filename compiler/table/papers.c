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

/* What is set at the press once for all pieces, and what it must show: of every step of the kind. */
static const struct setup_entry {
    enum kind kind;
    const char *property;
} step_setup_table[] = {
    {KIND_warm_up, "ready-after"}, {KIND_warm_up, "soak"},         {KIND_heat_up, "oven"},
    {KIND_stroke, "speed"},        {KIND_stroke, "hold"},          {KIND_stroke, "holder-pressure"},
    {KIND_stroke, "pressing"},     {KIND_stroke, "release-after"}, {KIND_stroke, "force"},
};

/* The heading of a definition's rows. */
static struct text group_of(struct steps *s, uint32_t definition)
{
    const char *group = kind_table[definition_at(s->lowering->scope, definition)->kind].group;
    return group ? steps_said(s, group) : capitalised(s->lowering->arena, title_of(s, definition));
}

/* In the schema's order, a family's properties before a kind's own. */
static void add_setup_of(struct steps *s, struct step_table *t, uint32_t definition)
{
    enum kind kind = definition_at(s->lowering->scope, definition)->kind;
    for (uint32_t i = 0; i < property_count; i++) {
        const struct property_entry *p = &property_table[i];
        if (!kind_is(kind, p->kind) || !serves(p, FOR_set_up))
            continue;
        uint32_t q = quantity_of(s, definition, p->name);
        if (q)
            add_setup(s, t, group_of(s, definition), steps_said(s, p->label), shown_for_use(s, q));
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
    for (uint32_t i = 0; i < t->steps.count; i++)
        for (size_t k = 0; k < sizeof step_setup_table / sizeof step_setup_table[0]; k++) {
            const struct step_row *row = &t->steps.at[i];
            for (uint32_t m = 0; m < row->settings.count; m++) {
                const struct setting *set = &row->settings.at[m];
                if (text_is(row->kind, kind_table[step_setup_table[k].kind].name) &&
                    text_is(set->name, step_setup_table[k].property))
                    add_setup(s, t, row->what, set->label, set->shown);
            }
        }
}

/* The blank as it is worked out: what the part laid flat takes at least, a piece's mass, and how much of it becomes the part.
   A round one has its length for diameter. What cannot be worked out is left out. */
static void add_blank(struct steps *s, struct step_table *t, struct text group)
{
    static const struct {
        const char *name;
        enum setup_reader reader;
    } rows[] = {{"blank.developed-length", SETUP_AT_PRESS},
                {"blank.developed-width", SETUP_AT_PRESS},
                {"blank.mass", SETUP_AT_PRESS},
                {"blank.utilisation", SETUP_IN_PLANNING}};
    const struct lowering *l = s->lowering;
    struct text why;
    bool round = quantity_si(s, lowering_named(l, TEXT("blank.round")), &why) == 1;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        uint32_t q = lowering_named(l, text_of(rows[i].name));
        if (isnan(quantity_si(s, q, &why)) || (round && i == 1))
            continue;
        struct text label = round && i == 0 ? steps_said(s, SAY("developed diameter")) : label_of(s, q);
        *ARRAY_PUSH(l->arena, &t->setup) = (struct setup_row){rows[i].reader, group, label, shown_for_use(s, q)};
    }
}

static void add_setup_of_kind(struct steps *s, struct step_table *t, enum kind kind)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++)
        if (definition_at(scope, id)->kind == kind)
            add_setup_of(s, t, id);
}

void fill_setup(struct steps *s, struct step_table *t)
{
    for (enum kind kind = KIND_NONE + 1; kind < KIND_COUNT; kind++) {
        add_setup_of_kind(s, t, kind);
        if (kind == KIND_sheet)
            add_blank(s, t, steps_said(s, kind_table[kind].group));
    }
    add_setup_of_steps(s, t);
    add_standards(s, t);
}

/* ---- tool sizes ---------------------------------------------------------------------------------------------------------------- */

/* The drawing's size with the band it must be in: its own, or the general tolerance that the library applies. */
struct shown shown_part(struct steps *s, uint32_t feature)
{
    struct text why;
    uint32_t size = quantity_for(s, feature, FOR_measured);
    double low = quantity_si(s, quantity_of(s, feature, "lower-limit"), &why);
    double high = quantity_si(s, quantity_of(s, feature, "upper-limit"), &why);
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

static struct tool_size size_row(struct steps *s, uint32_t feature)
{
    const struct lowering *l = s->lowering;
    const struct definition *d = definition_at(l->scope, feature);
    uint32_t tool = reference_of(s, feature, "set-by"), stroke = reference_of(s, feature, "formed-in");
    uint32_t material = tool ? reference_of(s, tool, "material") : 0;
    struct text why;
    double half = quantity_si(s, quantity_of(s, feature, "tool-tolerance"), &why);
    struct tool_size row = {.feature = atom_text(&l->scope->names, d->name)};
    row.tool = tool ? atom_text(&l->scope->names, definition_at(l->scope, tool)->name) : TEXT("");
    row.title = title_of(s, feature);
    row.tool_title = tool ? capitalised(l->arena, title_of(s, tool)) : TEXT("");
    row.material = material ? title_of(s, material) : TEXT("");
    const char *between = kind_table[d->kind].side;
    struct text side = between ? text_of(between) : text_for(s, feature, FOR_side);
    row.side = said_text(s->spelling.language, "word", side);
    row.part = shown_part(s, feature);
    uint32_t cold = quantity_of(s, feature, "cold-tool-size");
    row.cold = shown_with_band(s, cold, half);
    row.hot = hot_size(s, quantity_of(s, feature, "hot-tool-size"), cold, half);
    row.released = hot_size(s, quantity_of(s, feature, "released-size"), cold, half);
    row.finished = shown_with_band(s, quantity_of(s, feature, "finished-size"), NAN);
    row.per_kelvin = shown_with_band(s, quantity_of(s, feature, "per-kelvin-both"), NAN);
    row.grows = shown_with_band(s, quantity_of(s, feature, "tool-grows"), NAN);
    row.shrinks = shown_with_band(s, quantity_of(s, feature, "part-shrinks"), NAN);
    row.tool_temperature = tool ? shown_value(s, quantity_of(s, tool, "temperature")) : shown_words(s, TEXT(""));
    uint32_t release = stroke ? quantity_of(s, stroke, "release-temperature") : 0;
    row.release_temperature = release ? shown_value(s, release) : shown_words(s, TEXT(""));
    return row;
}

void fill_sizes(struct steps *s, struct step_table *t)
{
    struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++) {
        enum kind kind = definition_at(scope, id)->kind;
        if (kind == KIND_dimension || kind == KIND_hole_pitch)
            *ARRAY_PUSH(s->lowering->arena, &t->sizes) = size_row(s, id);
    }
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
