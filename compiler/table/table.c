/* The step table put together. */
#include "compiler/table/parts.h"

#include <math.h>

/* ---- all values --------------------------------------------------------------------------------------------------------------------- */

static void fill_values(struct steps *s, struct step_table *t)
{
    const struct lowering *l = s->lowering;
    for (uint32_t i = 1; i < l->quantities.count; i++) {
        const struct quantity *q = &l->quantities.at[i];
        if (q->sort != QUANTITY_DERIVED && q->sort != QUANTITY_LET)
            continue;
        struct value_row row = {.path = q->path,
                                .label = library_text(s, q->site.file, note_text(l, q->site, TOKEN_LABEL))};
        row.shown = shown_value(s, i);
        row.why_not = quantity_why_not(s, i);
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
    steps_fill_limits(s, t);
    steps_fill_chosen(s, t);
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
    steps_fill_rows(s, t);
    steps_fill_setup(s, t);
    steps_fill_sizes(s, t);
    if (budgets)
        steps_fill_budgets(s, t);
    steps_fill_tool_facts(s, t);
    steps_fill_inspection(s, t);
    steps_fill_charts(s, t);
    steps_fill_limits(s, t);
    steps_fill_waivers(s, t);
    steps_fill_chosen(s, t);
    steps_fill_cautions(s, t);
    steps_fill_revisions(s, t);
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
