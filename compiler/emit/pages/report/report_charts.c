/* Charts and what else the toolroom and the inspection work from, in the report. */
#include "compiler/emit/pages/report/report.h"

#include "compiler/emit/pages/charts/chart.h"
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"
#include "compiler/text/typeset.h"

#include <math.h>

/* ---- charts ------------------------------------------------------------------------------------------------------- */

enum { TRACKS_WIDTH = 420, SIZES_WIDTH = 520 }; /* their words are read in half of a screen, too */

static void put_chart(struct report *r, const struct picture *picture, struct text title, struct text words,
                      uint32_t number)
{
    struct svg_words told = {title, words, arena_format(r->arena, "chart-%u", number).at};
    if (!picture)
        return;
    report_markup(r, "<figure class=\"card\"><figcaption>");
    report_either(r, "h3", title);
    report_markup(r, "</figcaption>");
    buffer_printf(r->out, "<div class=\"figure\" tabindex=\"0\" role=\"group\" aria-labelledby=\"chart-%u-title\">",
                  number);
    svg_inline(r->out, picture, told, true);
    report_markup(r, "</div>");
    report_markup(r, "<details><summary>");
    report_said(r, SAY("In words"));
    report_markup(r, "</summary>");
    report_either(r, "p", words);
    report_markup(r, "</details></figure>\n");
}

void report_charts(struct report *r)
{
    const struct step_table *t = r->table;
    uint32_t number = 0;
    if (!t->charts.count && !t->sizes.count)
        return;
    report_heading(r, "charts", SAY("Charts"));
    report_markup(r, "<div class=\"cards charts\">\n");
    for (uint32_t i = 0; i < t->charts.count; i++) {
        const struct chart *c = &t->charts.at[i];
        if (chart_has_curve(c))
            put_chart(r, chart_of_tracks(r->typesetter, t->language, c, TRACKS_WIDTH), c->title,
                      chart_text(r->arena, t->language, c), number++);
    }
    if (t->sizes.count)
        put_chart(r, chart_of_sizes(r->typesetter, t, SIZES_WIDTH), said(t->language, SAY("Sizes, cold and hot")),
                  chart_sizes_text(r->arena, t), number);
    report_markup(r, "</div></section>\n");
}

/* ---- inspection --------------------------------------------------------------------------------------------------- */

static const struct report_column inspection_columns[] = {{SAY("Feature"), COLUMN_WORDS},
                                                          {SAY("Part at 20 degC"), COLUMN_NUMBER},
                                                          {SAY("From"), COLUMN_NUMBER},
                                                          {SAY("To"), COLUMN_NUMBER},
                                                          {SAY("Gauge reads"), COLUMN_NUMBER},
                                                          {SAY("Add to it"), COLUMN_NUMBER},
                                                          {SAY("How often"), COLUMN_WORDS},
                                                          {SAY("If out"), COLUMN_WORDS},
                                                          {SAY_IN("head", "First piece"), COLUMN_FIELD},
                                                          {SAY_IN("head", "Last piece"), COLUMN_FIELD},
                                                          {SAY_IN("head", "By"), COLUMN_FIELD}};

void report_inspection(struct report *r)
{
    const struct step_table *t = r->table;
    static const char *const blanks[] = {SAY("Gauges"), SAY("Room temperature"), SAY("Date")};
    const struct report_column *c = inspection_columns;
    if (!t->inspection.count)
        return;
    report_heading(r, "inspection", SAY("Inspection"));
    report_blanks(r, blanks, sizeof blanks / sizeof *blanks);
    report_table_begin(r, "wide", SAY("What is measured, and what a steel gauge reads in the shop"), c,
                       sizeof inspection_columns / sizeof *c);
    for (uint32_t i = 0; i < t->inspection.count; i++) {
        const struct inspected *row = &t->inspection.at[i];
        report_markup(r, "<tr role=\"row\">");
        report_cell_own(r, &c[0], print_text_capital(r->arena, row->title));
        report_cell_shown(r, &c[1], &row->part);
        report_cell_text(r, &c[2], row->low);
        report_cell_text(r, &c[3], row->high);
        report_cell_shown(r, &c[4], &row->reads);
        report_cell_shown(r, &c[5], &row->correction);
        report_cell_own(r, &c[6], row->plan);
        report_cell_own(r, &c[7], row->reaction);
        for (size_t k = 8; k < sizeof inspection_columns / sizeof *c; k++)
            report_cell_field(r, &c[k]);
        report_markup(r, "</tr>\n");
    }
    report_table_end(r);
    report_samples(r);
    report_markup(r, "</section>\n");
}

/* ---- what to expect of the sizes ----------------------------------------------------------------------------------- */

static const struct report_column budget_columns[] = {
    {SAY("Feature"), COLUMN_WORDS}, {SAY("Part expected"), COLUMN_NUMBER}, {SAY("Uncertainty"), COLUMN_NUMBER},
    {SAY("Cp"), COLUMN_NUMBER},     {SAY("Cpk"), COLUMN_NUMBER},           {SAY("Mostly from"), COLUMN_WORDS}};

static void cell_index(struct report *r, const struct report_column *c, double index)
{
    struct unit one;
    struct unit_error error;
    bool known = !isnan(index) && unit_read(TEXT("1"), &one, &error) == UNIT_OK;
    report_cell_text(r, c,
                     known ? typeset_quantity_to(r->arena, index, &one, index < 10 ? 2 : 1,
                                                 (struct spelling){true, r->table->language})
                           : TEXT(""));
}

/* The inputs that make up most of it: those of a tenth at least. */
static void cell_parts(struct report *r, const struct report_column *c, const struct size_budget *s)
{
    report_cell_begin(r, c);
    for (uint32_t i = 0; i < s->parts.count && s->parts.at[i].share >= 0.1; i++) {
        report_markup(r, "<div>");
        report_either(r, "bdi", s->parts.at[i].words);
        buffer_printf(r->out, "\xC2\xA0<b>%.0f\xC2\xA0%%</b></div>", 100 * s->parts.at[i].share);
    }
    report_markup(r, "</td>");
}

void report_budgets(struct report *r)
{
    const struct step_table *t = r->table;
    uint32_t told = 0;
    for (uint32_t i = 0; i < t->budgets.count; i++)
        told += !t->budgets.at[i].why_not.len;
    if (!told)
        return;
    report_heading(r, "budgets", SAY("What to expect of the sizes"));
    report_markup(r, "<p class=\"note\">");
    report_said(
        r,
        SAY("Standard uncertainty of the part, after JCGM 100. Cp and Cpk count what scatters from part to part while "
            "all that is held stays in its band: the wanted band over six of it, and its nearer end over three. Doubt "
            "about expansion shifts all parts alike and is not in them; the tool's machining band is in neither."));
    report_markup(r, "</p>\n");
    report_table_begin(r, "wide", SAY("Scatter of the sizes, and where it comes from"), budget_columns, 6);
    for (uint32_t i = 0; i < t->budgets.count; i++) {
        const struct size_budget *s = &t->budgets.at[i];
        if (s->why_not.len)
            continue;
        report_markup(r, "<tr role=\"row\">");
        report_cell_own(r, &budget_columns[0], print_text_capital(r->arena, s->title));
        report_cell_shown(r, &budget_columns[1], &s->finished);
        report_cell_shown(r, &budget_columns[2], &s->uncertainty);
        cell_index(r, &budget_columns[3], s->cp);
        cell_index(r, &budget_columns[4], s->cpk);
        cell_parts(r, &budget_columns[5], s);
        report_markup(r, "</tr>\n");
    }
    report_table_end(r);
    report_markup(r, "</section>\n");
}

/* ---- the toolroom's other facts ----------------------------------------------------------------------------------- */

static const struct report_column fact_columns[] = {
    {SAY("Setting"), COLUMN_WORDS}, {SAY("Value"), COLUMN_WORDS}, {SAY_IN("head", "Measured at 20 °C"), COLUMN_FIELD}};

static void put_facts(struct report *r, uint32_t first, uint32_t end)
{
    const struct step_table *t = r->table;
    report_markup(r, "<div class=\"card\">");
    report_either(r, "h3", t->tool_facts.at[first].group);
    report_table_begin(r, "plain", SAY("More for the toolroom"), fact_columns, 3);
    for (uint32_t i = first; i < end; i++) {
        report_markup(r, "<tr role=\"row\">");
        report_cell_text(r, &fact_columns[0], t->tool_facts.at[i].label);
        report_cell_shown(r, &fact_columns[1], &t->tool_facts.at[i].shown);
        report_markup(r, "<td role=\"cell\" class=\"paper tick\"><span class=\"box\"></span></td></tr>\n");
    }
    report_table_end(r);
    report_markup(r, "</div>\n");
}

void report_tool_facts(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->tool_facts.count)
        return;
    report_heading(r, "toolroom", SAY("More for the toolroom"));
    report_markup(r, "<div class=\"cards\">\n");
    for (uint32_t first = 0, end = 0; first < t->tool_facts.count; first = end) {
        while (end < t->tool_facts.count && text_same(t->tool_facts.at[end].group, t->tool_facts.at[first].group))
            end++;
        put_facts(r, first, end);
    }
    report_markup(r, "</div></section>\n");
}
