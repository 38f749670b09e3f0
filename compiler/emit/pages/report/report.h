/* The report: one HTML file that holds everything the papers hold, for any screen, and prints too.
 *
 * In: a step table in print spelling. Out: a file that needs nothing beside it: style, signs and diagrams stand in it, no
 * network and no script is needed to read it. A small script adds sorting and printing; the page's own policy lets no
 * other run, whatever a recipe's texts hold. Words are in the table's language; what the recipe says is marked as being
 * in its own, with its own direction. */
#ifndef COMPILER_EMIT_PAGES_REPORT_REPORT_H
#define COMPILER_EMIT_PAGES_REPORT_REPORT_H

#include "compiler/emit/pages/drawing/drawing.h"
#include "compiler/emit/pages/flow/flow.h"

struct report {
    struct buffer *out;
    struct arena *arena;
    struct typesetter *typesetter;
    const struct step_table *table;
    const struct picture *flow[STRETCHES_MOST]; /* of all steps, in stretches */
    uint32_t flows;
    const char *flow_text; /* the same in words, for screen readers */
};

void report_write(struct report *);

/* ---- shared by the files of the report ---------------------------------------------------------------------------- */

void report_markup(struct report *, const char *);
void report_said(struct report *, const char *english);
void report_text(struct report *, struct text);                     /* a text in the table's language, or a quantity */
void report_own(struct report *, const char *element, struct text); /* the recipe's own words, in an element */
void report_either(struct report *, const char *element, struct text);  /* its own words or ours, with { } filled in */
void report_capital(struct report *, const char *element, struct text); /* the same with a capital in front */
void report_heading(struct report *, const char *id, const char *english); /* opens a section */

enum column_form {
    COLUMN_WORDS,
    COLUMN_NUMBER, /* stands to the right */
    COLUMN_FIELD   /* on paper alone: a box to write into, named as on the traveller */
};

struct report_column {
    const char *title; /* in English, marked by SAY(); that of a field by SAY_IN("head") */
    enum column_form form;
};
void report_table_begin(struct report *, const char *class_name, const char *caption, const struct report_column *,
                        uint32_t count);
void report_table_end(struct report *);
void report_cell_begin(struct report *, const struct report_column *);
void report_cell_text(struct report *, const struct report_column *, struct text);
void report_cell_own(struct report *, const struct report_column *, struct text);
void report_cell_shown(struct report *, const struct report_column *, const struct shown *);
void report_cell_field(struct report *, const struct report_column *);

/* Lines to write on, on paper alone: their names in English, marked by SAY(). */
void report_blanks(struct report *, const char *const *names, uint32_t count);

void report_cautions(struct report *);
void report_setup(struct report *);
void report_steps(struct report *);
void report_sizes(struct report *);
void report_tool_facts(struct report *);
void report_inspection(struct report *);
void report_samples(struct report *);
void report_budgets(struct report *);
void report_charts(struct report *);
void report_limits(struct report *);
void report_waivers(struct report *);
void report_chosen(struct report *);
void report_reasons(struct report *);
void report_values(struct report *);

/* report.css and report.js, put into the program when it is built. */
extern const char report_style[], report_script[];

#endif
