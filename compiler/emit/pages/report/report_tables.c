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
    put_markup(r, "<small>");
    put_words_of(r, said_filled(r->arena, said(r->table->language, english), SAID_PARTS({"temperature", value})));
    put_markup(r, "</small>");
}

static void put_size(struct report *r, const struct tool_size *s)
{
    const struct shown *shown[] = {&s->part, &s->cold, &s->hot, &s->released, &s->finished, &s->per_kelvin};
    put_markup(r, "<tr role=\"row\">");
    cell_begin(r, &size_columns[0]);
    put_capital(r, "bdi", s->title);
    put_markup(r, " <small>");
    put_words_of(r, s->side);
    put_markup(r, "</small></td>");
    cell_begin(r, &size_columns[1]);
    put_either(r, "bdi", s->tool_title);
    put_either(r, "small", s->material);
    put_beside(r, SAY("tool at {temperature}"), s->tool_temperature.print);
    put_beside(r, SAY("part released at {temperature}"), s->release_temperature.print);
    put_markup(r, "</td>");
    for (uint32_t i = 0; i < 6; i++)
        cell_shown(r, &size_columns[2 + i], shown[i]);
    for (uint32_t i = 8; i < SIZE_COLUMNS; i++)
        cell_field(r, &size_columns[i]);
    put_markup(r, "</tr>\n");
}

void report_sizes(struct report *r)
{
    static const char *const blanks[] = {SAY("Tool number"), SAY("Made by"), SAY("Measured by"), SAY("Date"),
                                         SAY("Hardness")};
    const struct step_table *t = r->table;
    if (!t->sizes.count)
        return;
    put_heading(r, "sizes", SAY("Tool sizes"));
    put_blanks(r, blanks, sizeof blanks / sizeof *blanks);
    table_begin(r, "wide sizes", SAY("What the toolroom makes, and what comes of it"), size_columns, SIZE_COLUMNS);
    for (uint32_t i = 0; i < t->sizes.count; i++)
        put_size(r, &t->sizes.at[i]);
    table_end(r);
    put_markup(r, "</section>\n");
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
    put_words_of(r, said_in(r->table->language, "verdict", verdict_table[v].word));
    put_markup(r, "</span>");
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
    cell_begin(r, c);
    put_bar(r, margin, margin < 0 ? "bad" : "good");
    put_markup(r, "<span class=\"value\">");
    put_words_of(r, words);
    put_markup(r, "</span>");
    if (value.len) {
        put_markup(r, " <small>");
        put_words_of(r, value);
        put_markup(r, "</small>");
    }
    put_markup(r, "</td>");
}

static void put_reason(struct report *r, const char *head, struct text words)
{
    if (!words.len)
        return;
    put_markup(r, "<p class=\"reason\"><b>");
    put_words_of(r, said_in(r->table->language, "note", head));
    put_markup(r, "</b> ");
    put_either(r, "bdi", words);
    put_markup(r, "</p>");
}

static void put_breaking(struct report *r, const struct limit_row *l)
{
    if (!l->breaking.count)
        return;
    put_markup(r, "<p class=\"reason\"><b>");
    put_said(r, SAY("Breaks at"));
    put_markup(r, "</b> ");
    for (uint32_t i = 0; i < l->breaking.count; i++) {
        put_markup(r, i ? "; " : "");
        put_either(r, "bdi", l->breaking.at[i].words);
        put_markup(r, " ");
        put_words_of(r, l->breaking.at[i].text);
    }
    put_markup(r, "</p>");
}

static void put_name(struct report *r, const struct limit_row *l)
{
    put_capital(r, "bdi", l->title);
    if (l->of.len) {
        put_markup(r, " <small>");
        put_either(r, "bdi", l->of);
        put_markup(r, "</small>");
    }
}

static void put_limit(struct report *r, const struct limit_row *l, bool worst)
{
    buffer_printf(r->out, "<tr role=\"row\" class=\"%s\">", verdicts[l->verdict].class_name);
    cell_begin(r, &limit_columns[0]);
    put_mark(r, l->verdict);
    put_markup(r, "</td>");
    cell_begin(r, &limit_columns[1]);
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
    put_markup(r, "</td>");
    cell_words(r, &limit_columns[2], l->value);
    cell_words(r, &limit_columns[3], l->bound);
    put_margin(r, &limit_columns[4], l->margin, l->margin_text, TEXT(""));
    if (worst)
        put_margin(r, &limit_columns[5], l->worst_value.len ? l->worst_margin : NAN, l->worst_margin_text,
                   l->worst_value);
    put_markup(r, "</tr>\n");
}

static void put_counts(struct report *r)
{
    const struct step_table *t = r->table;
    put_markup(r, "<ul class=\"counts\">\n");
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_COUNT; v++) {
        uint32_t count = 0;
        for (uint32_t i = 0; i < t->limits.count; i++)
            count += t->limits.at[i].verdict == v;
        if (!count)
            continue;
        buffer_printf(r->out, "<li><b>%u</b> ", count);
        put_mark(r, v);
        put_markup(r, "</li>\n");
    }
    put_markup(r, "</ul>\n");
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
            put_markup(r, "<h3>");
            put_said(r, SAY("Do not apply here"));
            put_markup(r, "</h3>\n<ul class=\"idle\">");
        }
        begun = true;
        put_capital(r, "li", t->limits.at[i].title);
    }
    put_markup(r, begun ? "</ul>\n" : "");
}

void report_limits(struct report *r)
{
    const struct step_table *t = r->table;
    bool worst = false;
    if (!t->limits.count)
        return;
    for (uint32_t i = 0; i < t->limits.count; i++)
        worst = worst || t->limits.at[i].worst_value.len;
    put_heading(r, "limits", SAY("Limits"));
    put_counts(r);
    if (t->limits_note.len) {
        put_markup(r, "<p class=\"note\">");
        put_words_of(r, t->limits_note);
        put_markup(r, "</p>\n");
    }
    table_begin(r, "wide limits", SAY("Limits and how far they are kept"), limit_columns, worst ? 6 : 5);
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_NOT_APPLICABLE; v++)
        for (uint32_t i = 0; i < t->limits.count; i++)
            if (t->limits.at[i].verdict == v)
                put_limit(r, &t->limits.at[i], worst);
    table_end(r);
    put_idle(r);
    put_markup(r, "</section>\n");
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
    put_heading(r, "waivers", SAY("Waivers"));
    if (t->judged_on.len) {
        put_markup(r, "<p class=\"note\">");
        put_words_of(r, SAID(r->arena, t->language,
                             "Held against {date}. After a waiver has run out, its limit counts again.",
                             {"date", t->judged_on}));
        put_markup(r, "</p>\n");
    }
    table_begin(r, "wide", SAY("Limits waived for a time"), waiver_columns, 4);
    for (uint32_t i = 0; i < t->waivers.count; i++) {
        const struct waiver_row *w = &t->waivers.at[i];
        put_markup(r, w->expired ? "<tr role=\"row\" class=\"bad\">" : "<tr role=\"row\">");
        cell_begin(r, &waiver_columns[0]);
        put_capital(r, "bdi", w->words);
        put_markup(r, "</td>");
        cell_begin(r, &waiver_columns[1]);
        put_words_of(r, w->until);
        if (w->expired) {
            put_markup(r, " <strong>");
            put_said(r, SAY("expired"));
            put_markup(r, "</strong>");
        }
        put_markup(r, "</td>");
        cell_own(r, &waiver_columns[2], w->by);
        cell_own(r, &waiver_columns[3], w->because);
        put_markup(r, "</tr>\n");
    }
    table_end(r);
    put_markup(r, "</section>\n");
}

static const struct report_column chosen_columns[] = {
    {SAY("Unknown"), COLUMN_WORDS}, {SAY("Chosen"), COLUMN_NUMBER},       {SAY("Every limit holds"), COLUMN_WORDS},
    {SAY("Wanted"), COLUMN_WORDS},  {SAY("Ends below at"), COLUMN_WORDS}, {SAY("Ends above at"), COLUMN_WORDS}};

void report_chosen(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->chosen.count)
        return;
    put_heading(r, "chosen", SAY("Chosen values"));
    table_begin(r, "wide", SAY("Values the recipe left open, and what was chosen"), chosen_columns, 6);
    for (uint32_t i = 0; i < t->chosen.count; i++) {
        const struct chosen_row *c = &t->chosen.at[i];
        put_markup(r, "<tr role=\"row\">");
        cell_begin(r, &chosen_columns[0]);
        put_capital(r, "bdi", c->words);
        put_markup(r, "</td>");
        cell_words(r, &chosen_columns[1], c->shown.print);
        cell_words(r, &chosen_columns[2], c->feasible);
        cell_words(r, &chosen_columns[3], said_text(t->language, "prefer", c->prefer));
        cell_words(r, &chosen_columns[4], c->binds_low);
        cell_words(r, &chosen_columns[5], c->binds_high);
        put_markup(r, "</tr>\n");
    }
    table_end(r);
    put_markup(r, "</section>\n");
}

/* ---- reasons and values, folded away ------------------------------------------------------------------------------ */

static void fold_begin(struct report *r, const char *id, const char *english)
{
    buffer_printf(r->out, "\n<details id=\"%s\"><summary><h2>", id);
    put_said(r, english);
    put_markup(r, "</h2></summary>\n");
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
    table_begin(r, "wide", SAY("What goes wrong beyond a limit, and where its figure comes from"), reason_columns, 4);
    for (uint32_t i = 0; i < t->limits.count; i++) {
        const struct limit_row *l = &t->limits.at[i];
        bool told = false;
        for (uint32_t k = 0; k < i && !told; k++)
            told = text_same(t->limits.at[k].name, l->name) && text_same(t->limits.at[k].because, l->because);
        if (told || !l->because.len)
            continue;
        put_markup(r, "<tr role=\"row\">");
        cell_begin(r, &reason_columns[0]);
        put_capital(r, "bdi", l->title);
        put_markup(r, "</td>");
        cell_own(r, &reason_columns[1], l->because);
        cell_own(r, &reason_columns[2], l->remedy);
        cell_begin(r, &reason_columns[3]);
        put_markup(r, "<cite lang=\"en\">");
        put_words_of(r, l->source);
        put_markup(r, "</cite></td></tr>\n");
    }
    table_end(r);
    put_markup(r, "</details>\n");
}

static const struct report_column value_columns[] = {
    {SAY("Name"), COLUMN_WORDS}, {SAY("Meaning"), COLUMN_WORDS}, {SAY("Value"), COLUMN_NUMBER}};

void report_values(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->values.count)
        return;
    fold_begin(r, "values", SAY("All derived values"));
    table_begin(r, "wide values", SAY("Every derived value by its name"), value_columns, 3);
    for (uint32_t i = 0; i < t->values.count; i++) {
        const struct value_row *v = &t->values.at[i];
        put_markup(r, "<tr role=\"row\">");
        cell_begin(r, &value_columns[0]);
        put_markup(r, "<code>");
        put_words_of(r, v->path);
        put_markup(r, "</code></td>");
        cell_own(r, &value_columns[1], v->label);
        cell_begin(r, &value_columns[2]);
        put_either(r, "bdi", v->why_not.len ? said(t->language, SAY("not evaluated")) : v->shown.print);
        put_either(r, "small", v->why_not);
        put_markup(r, "</td></tr>\n");
    }
    table_end(r);
    put_markup(r, "</details>\n");
}
