/* Tool sizes, limits and what belongs to them, and all values, as tables of the report. */
#include "compiler/emit/pages/report/report.h"

#include "compiler/text/said.h"
#include "runtime/base/number.h"

#include <math.h>

/* ---- tool sizes --------------------------------------------------------------------------------------------------- */

static const struct report_column size_columns[] = {{SAY("Feature"), COLUMN_WORDS},
                                                    {SAY("Tool"), COLUMN_WORDS},
                                                    {SAY("Part at 20 degC"), COLUMN_NUMBER},
                                                    {SAY("Make at 20 degC"), COLUMN_NUMBER},
                                                    {SAY("Tool hot"), COLUMN_NUMBER},
                                                    {SAY("Part hot"), COLUMN_NUMBER},
                                                    {SAY("Part expected"), COLUMN_NUMBER},
                                                    {SAY("Per kelvin"), COLUMN_NUMBER},
                                                    {SAY_IN("head", "Measured at 20 °C"), COLUMN_FIELD},
                                                    {SAY_IN("head", "By"), COLUMN_FIELD}};
enum { SIZE_COLUMNS = sizeof size_columns / sizeof size_columns[0] };

static void put_beside(struct report *r, const char *english, struct text value)
{
    if (!value.len)
        return;
    report_markup(r, "<small>");
    report_text(r, said_filled(r->arena, said(r->table->language, english), SAID_PARTS({"temperature", value})));
    report_markup(r, "</small>");
}

static void put_size(struct report *r, const struct tool_size *s)
{
    const struct shown *shown[] = {&s->part, &s->cold, &s->hot, &s->released, &s->finished, &s->per_kelvin};
    report_markup(r, "<tr role=\"row\">");
    report_cell_begin(r, &size_columns[0]);
    report_capital(r, "bdi", s->title);
    report_markup(r, " <small>");
    report_text(r, s->side);
    report_markup(r, "</small></td>");
    report_cell_begin(r, &size_columns[1]);
    report_either(r, "bdi", s->tool_title);
    report_either(r, "small", s->material);
    put_beside(r, SAY("tool at {temperature}"), s->tool_temperature.print);
    put_beside(r, SAY("part released at {temperature}"), s->release_temperature.print);
    report_markup(r, "</td>");
    for (uint32_t i = 0; i < 6; i++)
        report_cell_shown(r, &size_columns[2 + i], shown[i]);
    for (uint32_t i = 8; i < SIZE_COLUMNS; i++)
        report_cell_field(r, &size_columns[i]);
    report_markup(r, "</tr>\n");
}

void report_sizes(struct report *r)
{
    static const char *const blanks[] = {SAY("Tool number"), SAY("Made by"), SAY("Measured by"), SAY("Date"),
                                         SAY("Hardness")};
    const struct step_table *t = r->table;
    if (!t->sizes.count)
        return;
    report_heading(r, "sizes", SAY("Tool sizes"));
    report_blanks(r, blanks, sizeof blanks / sizeof *blanks);
    report_table_begin(r, "wide sizes", SAY("What the toolroom makes, and what comes of it"), size_columns,
                       SIZE_COLUMNS);
    for (uint32_t i = 0; i < t->sizes.count; i++)
        put_size(r, &t->sizes.at[i]);
    report_table_end(r);
    report_markup(r, "</section>\n");
}

/* ---- limits ------------------------------------------------------------------------------------------------------- */

static const struct report_column limit_columns[] = {
    {SAY("Verdict"), COLUMN_WORDS}, {SAY("Limit"), COLUMN_WORDS},   {SAY("Value"), COLUMN_NUMBER},
    {SAY("Must be"), COLUMN_WORDS}, {SAY("Margin"), COLUMN_NUMBER}, {SAY("Worst over the tolerances"), COLUMN_NUMBER}};

/* Shape and word tell a verdict; its colour repeats them. */
static const struct {
    const char *class_name, *mark;
} verdicts[VERDICT_COUNT] = {
    [VERDICT_FAILS] = {"bad", "M4 4l8 8M12 4l-8 8"},
    [VERDICT_NOT_EVALUATED] = {"open", "M5.6 6a2.4 2.4 0 1 1 3.5 2.1c-.8.4-1.1.8-1.1 1.7M8 12v.2"},
    [VERDICT_NOT_DECIDED] = {"open", "M5.6 6a2.4 2.4 0 1 1 3.5 2.1c-.8.4-1.1.8-1.1 1.7M8 12v.2"},
    [VERDICT_NOMINAL_ONLY] = {"part", "M3.5 8.5h9M8 4v9"},
    [VERDICT_WAIVED] = {"part", "M4 8h8"},
    [VERDICT_HOLDS] = {"good", "M3.5 8.5l3 3 6-7"},
    [VERDICT_PROVED] = {"good", "M2 8.5l3 3 5-7M7.5 11l.5.5 6-7"},
    [VERDICT_NOT_APPLICABLE] = {"none", "M5 8h6"},
};

static void put_mark(struct report *r, enum verdict v)
{
    buffer_printf(r->out,
                  "<span class=\"verdict\"><svg class=\"mark %s\" viewBox=\"0 0 16 16\" aria-hidden=\"true\"><path "
                  "d=\"%s\"/></svg> ",
                  verdicts[v].class_name, verdicts[v].mark);
    report_text(r, said_in(r->table->language, "verdict", verdict_table[v].word));
    report_markup(r, "</span>");
}

/* How much of the bound is left, 0 to 100 %; the figure stands beside it, so it is decoration to a voice. */
static void put_bar(struct report *r, double margin, const char *class_name)
{
    if (isnan(margin))
        return;
    double share = fmin(fmax(margin, 0), 1) * 60;
    struct text width = number_fixed(r->arena, share, 1);
    buffer_printf(r->out,
                  "<svg class=\"bar %s\" viewBox=\"0 0 60 6\" aria-hidden=\"true\"><rect class=\"left\" width=\"%.*s\" "
                  "height=\"6\"/><rect class=\"frame\" x=\".5\" y=\".5\" width=\"59\" height=\"5\"/></svg>",
                  class_name, TEXT_ARGS(width));
}

static void put_margin(struct report *r, const struct report_column *c, double margin, struct text words,
                       struct text value)
{
    report_cell_begin(r, c);
    put_bar(r, margin, margin < 0 ? "bad" : "good");
    report_markup(r, "<span class=\"value\">");
    report_text(r, words);
    report_markup(r, "</span>");
    if (value.len) {
        report_markup(r, " <small>");
        report_text(r, value);
        report_markup(r, "</small>");
    }
    report_markup(r, "</td>");
}

static void put_reason(struct report *r, const char *head, struct text words)
{
    if (!words.len)
        return;
    report_markup(r, "<p class=\"reason\"><b>");
    report_text(r, said_in(r->table->language, "note", head));
    report_markup(r, "</b> ");
    report_either(r, "bdi", words);
    report_markup(r, "</p>");
}

static void put_breaking(struct report *r, const struct limit_row *l)
{
    if (!l->breaking.count)
        return;
    report_markup(r, "<p class=\"reason\"><b>");
    report_said(r, SAY("Breaks at"));
    report_markup(r, "</b> ");
    for (uint32_t i = 0; i < l->breaking.count; i++) {
        report_markup(r, i ? "; " : "");
        report_either(r, "bdi", l->breaking.at[i].words);
        report_markup(r, " ");
        report_text(r, l->breaking.at[i].text);
    }
    report_markup(r, "</p>");
}

static void put_name(struct report *r, const struct limit_row *l)
{
    report_capital(r, "bdi", l->title);
    if (l->of.len) {
        report_markup(r, " <small>");
        report_either(r, "bdi", l->of);
        report_markup(r, "</small>");
    }
}

static void put_limit(struct report *r, const struct limit_row *l, bool worst)
{
    buffer_printf(r->out, "<tr role=\"row\" class=\"%s\">", verdicts[l->verdict].class_name);
    report_cell_begin(r, &limit_columns[0]);
    put_mark(r, l->verdict);
    report_markup(r, "</td>");
    report_cell_begin(r, &limit_columns[1]);
    put_name(r, l);
    put_reason(r, SAY_IN("note", "why"), l->why_not);
    put_reason(r, SAY_IN("note", "waiver"), l->waiver);
    enum verdict verdict = l->verdict == VERDICT_WAIVED ? l->waived : l->verdict;
    if (l->verdict == VERDICT_WAIVED)
        put_reason(r, SAY_IN("note", "else"), said_in(r->table->language, "verdict", verdict_table[verdict].word));
    put_breaking(r, l);
    if (verdict == VERDICT_FAILS || verdict == VERDICT_NOMINAL_ONLY) {
        put_reason(r, SAY_IN("note", "because"), l->because);
        put_reason(r, SAY_IN("note", "remedy"), l->remedy);
    }
    report_markup(r, "</td>");
    report_cell_text(r, &limit_columns[2], l->value);
    report_cell_text(r, &limit_columns[3], l->bound);
    put_margin(r, &limit_columns[4], l->margin, l->margin_text, TEXT(""));
    if (worst)
        put_margin(r, &limit_columns[5], l->worst_value.len ? l->worst_margin : NAN, l->worst_margin_text,
                   l->worst_value);
    report_markup(r, "</tr>\n");
}

static void put_counts(struct report *r)
{
    const struct step_table *t = r->table;
    report_markup(r, "<ul class=\"counts\">\n");
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_COUNT; v++) {
        uint32_t count = 0;
        for (uint32_t i = 0; i < t->limits.count; i++)
            count += t->limits.at[i].verdict == v;
        if (!count)
            continue;
        buffer_printf(r->out, "<li><b>%u</b> ", count);
        put_mark(r, v);
        report_markup(r, "</li>\n");
    }
    report_markup(r, "</ul>\n");
}

/* Those whose condition never applies, by name, each once. */
static void put_idle(struct report *r)
{
    const struct step_table *t = r->table;
    bool begun = false;
    for (uint32_t i = 0; i < t->limits.count; i++) {
        bool told = false;
        for (uint32_t k = 0; k < i; k++)
            told = told || (t->limits.at[k].verdict == VERDICT_NOT_APPLICABLE &&
                            text_same(t->limits.at[k].name, t->limits.at[i].name));
        if (t->limits.at[i].verdict != VERDICT_NOT_APPLICABLE || told)
            continue;
        if (!begun) {
            report_markup(r, "<h3>");
            report_said(r, SAY("Do not apply here"));
            report_markup(r, "</h3>\n<ul class=\"idle\">");
        }
        begun = true;
        report_capital(r, "li", t->limits.at[i].title);
    }
    report_markup(r, begun ? "</ul>\n" : "");
}

void report_limits(struct report *r)
{
    const struct step_table *t = r->table;
    bool worst = false;
    if (!t->limits.count)
        return;
    for (uint32_t i = 0; i < t->limits.count; i++)
        worst = worst || t->limits.at[i].worst_value.len;
    report_heading(r, "limits", SAY("Limits"));
    put_counts(r);
    if (t->limits_note.len) {
        report_markup(r, "<p class=\"note\">");
        report_text(r, t->limits_note);
        report_markup(r, "</p>\n");
    }
    report_table_begin(r, "wide limits", SAY("Limits and how far they are kept"), limit_columns, worst ? 6 : 5);
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_NOT_APPLICABLE; v++)
        for (uint32_t i = 0; i < t->limits.count; i++)
            if (t->limits.at[i].verdict == v)
                put_limit(r, &t->limits.at[i], worst);
    report_table_end(r);
    put_idle(r);
    report_markup(r, "</section>\n");
}

/* ---- waivers and unknowns ----------------------------------------------------------------------------------------- */

static const struct report_column waiver_columns[] = {{SAY("Limit"), COLUMN_WORDS},
                                                      {SAY("Until"), COLUMN_WORDS},
                                                      {SAY("By"), COLUMN_WORDS},
                                                      {SAY("Because"), COLUMN_WORDS}};

void report_waivers(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->waivers.count)
        return;
    report_heading(r, "waivers", SAY("Waivers"));
    if (t->judged_on.len) {
        report_markup(r, "<p class=\"note\">");
        report_text(r, SAID(r->arena, t->language,
                            "Held against {date}. After a waiver has run out, its limit counts again.",
                            {"date", t->judged_on}));
        report_markup(r, "</p>\n");
    }
    report_table_begin(r, "wide", SAY("Limits waived for a time"), waiver_columns, 4);
    for (uint32_t i = 0; i < t->waivers.count; i++) {
        const struct waiver_row *w = &t->waivers.at[i];
        report_markup(r, w->expired ? "<tr role=\"row\" class=\"bad\">" : "<tr role=\"row\">");
        report_cell_begin(r, &waiver_columns[0]);
        report_capital(r, "bdi", w->words);
        report_markup(r, "</td>");
        report_cell_begin(r, &waiver_columns[1]);
        report_text(r, w->until);
        if (w->expired) {
            report_markup(r, " <strong>");
            report_said(r, SAY("expired"));
            report_markup(r, "</strong>");
        }
        report_markup(r, "</td>");
        report_cell_own(r, &waiver_columns[2], w->by);
        report_cell_own(r, &waiver_columns[3], w->because);
        report_markup(r, "</tr>\n");
    }
    report_table_end(r);
    report_markup(r, "</section>\n");
}

static const struct report_column chosen_columns[] = {
    {SAY("Unknown"), COLUMN_WORDS}, {SAY("Chosen"), COLUMN_NUMBER},       {SAY("Every limit holds"), COLUMN_WORDS},
    {SAY("Wanted"), COLUMN_WORDS},  {SAY("Ends below at"), COLUMN_WORDS}, {SAY("Ends above at"), COLUMN_WORDS}};

void report_chosen(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->chosen.count)
        return;
    report_heading(r, "chosen", SAY("Chosen values"));
    report_table_begin(r, "wide", SAY("Values the recipe left open, and what was chosen"), chosen_columns, 6);
    for (uint32_t i = 0; i < t->chosen.count; i++) {
        const struct chosen_row *c = &t->chosen.at[i];
        report_markup(r, "<tr role=\"row\">");
        report_cell_begin(r, &chosen_columns[0]);
        report_capital(r, "bdi", c->words);
        report_markup(r, "</td>");
        report_cell_text(r, &chosen_columns[1], c->shown.print);
        report_cell_text(r, &chosen_columns[2], c->feasible);
        report_cell_text(r, &chosen_columns[3], said_text(t->language, "prefer", c->prefer));
        report_cell_text(r, &chosen_columns[4], c->binds_low);
        report_cell_text(r, &chosen_columns[5], c->binds_high);
        report_markup(r, "</tr>\n");
    }
    report_table_end(r);
    report_markup(r, "</section>\n");
}

/* ---- reasons and values, folded away ------------------------------------------------------------------------------ */

static void fold_begin(struct report *r, const char *id, const char *english)
{
    buffer_printf(r->out, "\n<details id=\"%s\"><summary><h2>", id);
    report_said(r, english);
    report_markup(r, "</h2></summary>\n");
}

static const struct report_column reason_columns[] = {{SAY("Limit"), COLUMN_WORDS},
                                                      {SAY("What goes wrong"), COLUMN_WORDS},
                                                      {SAY("What to change"), COLUMN_WORDS},
                                                      {SAY("Source"), COLUMN_WORDS}};

/* Each limit once: the reason does not depend on what it speaks of. Sources are cited as they were published. */
void report_reasons(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->limits.count)
        return;
    fold_begin(r, "reasons", SAY("Why these limits"));
    report_table_begin(r, "wide", SAY("What goes wrong beyond a limit, and where its figure comes from"),
                       reason_columns, 4);
    for (uint32_t i = 0; i < t->limits.count; i++) {
        const struct limit_row *l = &t->limits.at[i];
        bool told = false;
        for (uint32_t k = 0; k < i && !told; k++)
            told = text_same(t->limits.at[k].name, l->name) && text_same(t->limits.at[k].because, l->because);
        if (told || !l->because.len)
            continue;
        report_markup(r, "<tr role=\"row\">");
        report_cell_begin(r, &reason_columns[0]);
        report_capital(r, "bdi", l->title);
        report_markup(r, "</td>");
        report_cell_own(r, &reason_columns[1], l->because);
        report_cell_own(r, &reason_columns[2], l->remedy);
        report_cell_begin(r, &reason_columns[3]);
        report_markup(r, "<cite lang=\"en\">");
        report_text(r, l->source);
        report_markup(r, "</cite></td></tr>\n");
    }
    report_table_end(r);
    report_markup(r, "</details>\n");
}

static const struct report_column value_columns[] = {
    {SAY("Name"), COLUMN_WORDS}, {SAY("Meaning"), COLUMN_WORDS}, {SAY("Value"), COLUMN_NUMBER}};

void report_values(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->values.count)
        return;
    fold_begin(r, "values", SAY("All derived values"));
    report_table_begin(r, "wide values", SAY("Every derived value by its name"), value_columns, 3);
    for (uint32_t i = 0; i < t->values.count; i++) {
        const struct value_row *v = &t->values.at[i];
        report_markup(r, "<tr role=\"row\">");
        report_cell_begin(r, &value_columns[0]);
        report_markup(r, "<code>");
        report_text(r, v->path);
        report_markup(r, "</code></td>");
        report_cell_own(r, &value_columns[1], v->label);
        report_cell_begin(r, &value_columns[2]);
        report_either(r, "bdi", v->why_not.len ? said(t->language, SAY("not evaluated")) : v->shown.print);
        report_either(r, "small", v->why_not);
        report_markup(r, "</td></tr>\n");
    }
    report_table_end(r);
    report_markup(r, "</details>\n");
}
