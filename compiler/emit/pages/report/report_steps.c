/* Cautions, set-up and steps of the report. */
#include "compiler/emit/pages/report/report.h"

#include "compiler/emit/pages/drawing/signs.h"
#include "compiler/text/said.h"

/* ---- cautions ----------------------------------------------------------------------------------------------------- */

/* Colours of the signal panels after ISO 3864-4; the word says the same. */
static const char *signal_class(struct text signal)
{
    return text_is(signal, "DANGER")    ? "danger"
           : text_is(signal, "WARNING") ? "warning"
           : text_is(signal, "CAUTION") ? "caution"
                                        : "notice";
}

static void put_signs(struct report *r, struct text numbers)
{
    report_markup(r, "<div class=\"signs\">");
    while (numbers.len) {
        const struct picture *sign = sign_picture(r->typesetter, sign_next(&numbers), 56);
        if (sign)
            svg_inline(r->out, sign, (struct svg_words){0}, false);
    }
    report_markup(r, "</div>");
}

static void put_caution(struct report *r, const struct caution_row *c)
{
    buffer_printf(r->out, "<li class=\"%s\">", signal_class(c->signal));
    put_signs(r, c->sign);
    report_markup(r, "<div><p class=\"signal\"><strong>");
    report_text(r, c->word);
    report_markup(r, "</strong>");
    if (c->sign.len) {
        report_markup(r, " <small>ISO 7010-");
        report_text(r, c->sign);
        report_markup(r, "</small>");
    }
    report_markup(r, "</p>");
    report_either(r, "p", c->text);
    report_markup(r, "</div></li>\n");
}

void report_cautions(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->cautions.count)
        return;
    report_heading(r, "cautions", SAY("Cautions"));
    report_markup(r, "<ul class=\"cautions\">\n");
    for (uint32_t i = 0; i < t->cautions.count; i++)
        put_caution(r, &t->cautions.at[i]);
    report_markup(r, "</ul></section>\n");
}

/* ---- set-up ------------------------------------------------------------------------------------------------------- */

static const struct report_column setup_columns[] = {
    {SAY("Setting"), COLUMN_WORDS}, {SAY("Value"), COLUMN_WORDS}, {SAY("Set"), COLUMN_WORDS}};

/* The group's name is the caption: it may be the recipe's own. */
static void put_group(struct report *r, uint32_t first, uint32_t end)
{
    const struct step_table *t = r->table;
    report_markup(r, "<div class=\"card\">");
    report_either(r, "h3", t->setup.at[first].group);
    report_table_begin(r, "plain", SAY("Set-up"), setup_columns, 3);
    for (uint32_t i = first; i < end; i++) {
        report_markup(r, "<tr role=\"row\">");
        report_cell_text(r, &setup_columns[0], t->setup.at[i].label);
        report_cell_shown(r, &setup_columns[1], &t->setup.at[i].shown);
        report_markup(r, "<td role=\"cell\" class=\"tick\" data-label=\"\"><span class=\"box\"></span></td></tr>\n");
    }
    report_table_end(r);
    report_markup(r, "</div>\n");
}

void report_setup(struct report *r)
{
    const struct step_table *t = r->table;
    if (!t->setup.count)
        return;
    report_heading(r, "setup", SAY("Set-up"));
    report_markup(r, "<div class=\"cards\">\n");
    for (uint32_t first = 0, end = 0; first < t->setup.count; first = end) {
        while (end < t->setup.count && text_same(t->setup.at[end].group, t->setup.at[first].group))
            end++;
        put_group(r, first, end);
    }
    report_markup(r, "</div></section>\n");
}

/* ---- steps -------------------------------------------------------------------------------------------------------- */

static const struct report_column setting_columns[] = {{SAY("Role"), COLUMN_WORDS},
                                                       {SAY("Setting"), COLUMN_WORDS},
                                                       {SAY("Value"), COLUMN_WORDS},
                                                       {SAY_IN("head", "Taken"), COLUMN_FIELD}};

static const struct {
    const char *word, *class_name;
} roles[] = {[SETTING_SET] = {SAY_IN("role", "set"), "set"},
             [SETTING_CHECK] = {SAY_IN("role", "check"), "check"},
             [SETTING_EXPECT] = {SAY_IN("role", "expect"), "expect"}};

static void put_note(struct report *r, const char *class_name, struct text head, struct text words)
{
    if (!words.len)
        return;
    buffer_printf(r->out, "<div class=\"%s\"><dt>", class_name);
    report_text(r, head);
    report_markup(r, "</dt>");
    report_own(r, "dd", words);
    report_markup(r, "</div>\n");
}

static void put_settings(struct report *r, const struct step_row *s)
{
    report_table_begin(r, "plain settings", SAY("Settings of the step"), setting_columns, 4);
    for (uint32_t i = 0; i < s->settings.count; i++) {
        const struct setting *set = &s->settings.at[i];
        buffer_printf(r->out, "<tr role=\"row\" class=\"%s\">", roles[set->role].class_name);
        report_cell_text(r, &setting_columns[0], said_in(r->table->language, "role", roles[set->role].word));
        report_cell_own(r, &setting_columns[1], set->label);
        report_cell_shown(r, &setting_columns[2], &set->shown);
        if (set->role == SETTING_EXPECT) /* there to compare with, not to be written down */
            report_markup(r, "<td role=\"cell\" class=\"paper\"></td>");
        else
            report_cell_field(r, &setting_columns[3]);
        report_markup(r, "</tr>\n");
    }
    report_table_end(r);
}

static void put_step(struct report *r, const struct step_row *s)
{
    enum language l = r->table->language;
    bool notes = s->instruction.len || s->check.len || s->reaction.len || s->rework;
    buffer_printf(r->out, "<li id=\"step-%u\" class=\"card\"><h3><span class=\"step\">%u</span> ", s->number,
                  s->number);
    report_either(r, "bdi", s->what);
    report_markup(r, "</h3>\n<p class=\"paper by\">");
    report_text(r, said_in(l, "head", "By"));
    report_markup(r, " <span class=\"field\"></span></p>\n");
    if (s->beside_press) {
        report_markup(r, "<p class=\"beside\">");
        report_said(r, SAY("Beside the press, while it runs"));
        report_markup(r, "</p>\n");
    }
    report_markup(r, notes ? "<dl class=\"notes\">\n" : "");
    put_note(r, "do", said_in(l, "note", "do"), s->instruction);
    put_note(r, "look", said_in(l, "note", "check"), s->check);
    put_note(r, "react", said_in(l, "note", "if out"), s->reaction);
    if (s->rework)
        put_note(r, "react", said_in(l, "note", "rework"),
                 SAID(r->arena, l, "back to step {number}", {"number", arena_format(r->arena, "%u", s->rework)}));
    report_markup(r, notes ? "</dl>\n" : "");
    if (s->settings.count)
        put_settings(r, s);
    report_markup(r, "</li>\n");
}

static void put_flow(struct report *r)
{
    if (!r->flows)
        return;
    report_heading(r, "flow", SAY("Flow"));
    struct svg_words words = {said(r->table->language, SAY("Flow diagram of the steps")), text_of(r->flow_text),
                              "flow-picture"};
    report_markup(r, "<div class=\"figure flow\" tabindex=\"0\" role=\"group\" aria-labelledby=\"flow-head\">");
    for (uint32_t i = 0; i < r->flows; i++) /* the first tells all of it */
        svg_inline(r->out, r->flow[i], i ? (struct svg_words){0} : words, true);
    report_markup(r, "</div></section>\n");
}

void report_steps(struct report *r)
{
    report_heading(r, "steps", SAY("Steps"));
    report_markup(r, "<ol class=\"steps cards\">\n");
    for (uint32_t i = 0; i < r->table->steps.count; i++)
        put_step(r, &r->table->steps.at[i]);
    report_markup(r, "</ol></section>\n");
    put_flow(r);
}
