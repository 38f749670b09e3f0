/* What the printed report has to be written on, as the papers have: lines under a heading, and the grid of the samples. */
#include "compiler/emit/pages/report/report.h"

#include "compiler/text/said.h"

enum { SAMPLE_ROWS = 9, SAMPLE_FEATURES = 5 }; /* as on the inspection sheet */

void report_blanks(struct report *r, const char *const *names, uint32_t count)
{
    report_markup(r, "<div class=\"paper blanks\">\n");
    for (uint32_t i = 0; i < count; i++) {
        report_markup(r, "<p>");
        report_said(r, names[i]);
        report_markup(r, "</p>\n");
    }
    report_markup(r, "</div>\n");
}

static void put_sample_heads(struct report *r, const uint32_t *features, uint32_t count)
{
    report_markup(r, "<thead><tr><th scope=\"col\">");
    report_said(r, SAY("Piece number"));
    report_markup(r, "</th>");
    for (uint32_t i = 0; i < count; i++)
        report_capital(r, "th scope=\"col\"", r->table->inspection.at[features[i]].title);
    report_markup(r, "<th scope=\"col\" class=\"initials\">");
    report_text(r, said_in(r->table->language, "head", "By"));
    report_markup(r, "</th></tr></thead>\n<tbody>");
}

static void put_sample_grid(struct report *r, const uint32_t *features, uint32_t count)
{
    report_markup(r, "<table class=\"samples\"><caption>");
    report_said(r, SAY("Samples"));
    report_markup(r, "</caption>\n");
    put_sample_heads(r, features, count);
    for (int row = 0; row < SAMPLE_ROWS; row++) {
        report_markup(r, "<tr>");
        for (uint32_t i = 0; i < count + 2; i++)
            report_markup(r, "<td></td>");
        report_markup(r, "</tr>\n");
    }
    report_markup(r, "</tbody></table>\n");
}

void report_samples(struct report *r)
{
    const struct step_table *t = r->table;
    uint32_t features[SAMPLE_FEATURES], count = 0;
    bool begun = false;
    for (uint32_t i = 0; i < t->inspection.count; i++) {
        if (t->inspection.at[i].step)
            features[count++] = i;
        if (!count || (count < SAMPLE_FEATURES && i + 1 < t->inspection.count))
            continue;
        report_markup(r, begun ? "" : "<div class=\"paper\">\n");
        put_sample_grid(r, features, count);
        begun = true;
        count = 0;
    }
    report_markup(r, begun ? "</div>\n" : "");
}
