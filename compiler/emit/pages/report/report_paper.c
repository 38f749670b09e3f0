/* What the printed report has to be written on, as the papers have: lines under a heading, and the grid of the samples. */
#include "compiler/emit/pages/report/report.h"

#include "compiler/text/said.h"

enum { SAMPLE_ROWS = 9, SAMPLE_FEATURES = 5 }; /* as on the inspection sheet */

void put_blanks(struct report *r, const char *const *names, uint32_t count)
{
    put_markup(r, "<div class=\"paper blanks\">\n");
    for (uint32_t i = 0; i < count; i++) {
        put_markup(r, "<p>");
        put_said(r, names[i]);
        put_markup(r, "</p>\n");
    }
    put_markup(r, "</div>\n");
}

static void put_sample_heads(struct report *r, const uint32_t *features, uint32_t count)
{
    put_markup(r, "<thead><tr><th scope=\"col\">");
    put_said(r, SAY("Piece number"));
    put_markup(r, "</th>");
    for (uint32_t i = 0; i < count; i++)
        put_capital(r, "th scope=\"col\"", r->table->inspection.at[features[i]].title);
    put_markup(r, "<th scope=\"col\" class=\"initials\">");
    put_words_of(r, said_in(r->table->language, "head", "By"));
    put_markup(r, "</th></tr></thead>\n<tbody>");
}

static void put_sample_grid(struct report *r, const uint32_t *features, uint32_t count)
{
    put_markup(r, "<table class=\"samples\"><caption>");
    put_said(r, SAY("Samples"));
    put_markup(r, "</caption>\n");
    put_sample_heads(r, features, count);
    for (int row = 0; row < SAMPLE_ROWS; row++) {
        put_markup(r, "<tr>");
        for (uint32_t i = 0; i < count + 2; i++)
            put_markup(r, "<td></td>");
        put_markup(r, "</tr>\n");
    }
    put_markup(r, "</tbody></table>\n");
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
        put_markup(r, begun ? "" : "<div class=\"paper\">\n");
        put_sample_grid(r, features, count);
        begun = true;
        count = 0;
    }
    put_markup(r, begun ? "</div>\n" : "");
}
