/* The traveller: the paper that goes through the shop with the parts.
 *
 * In: a step table. Out: blocks of the paper, section by section. Fixed texts are said in the table's language. */
#ifndef COMPILER_EMIT_PAGES_PAPERS_TRAVELLER_H
#define COMPILER_EMIT_PAGES_PAPERS_TRAVELLER_H

#include "compiler/emit/pages/flow/flow.h"
#include "compiler/emit/pages/papers/paper.h"

void traveller_head(struct paper *);
void traveller_waivers(struct paper *);
void traveller_revisions(struct paper *);
void traveller_chosen(struct paper *);
void traveller_cautions(struct paper *);
void traveller_setup(struct paper *);
/* Rows of one reader in two columns; title is a SAY(). */
void traveller_card(struct paper *, const char *title, const struct setup_row *, uint32_t count, enum setup_reader);
void sheets_tool(struct paper *);
void sheets_inspection(struct paper *);
void traveller_steps(struct paper *);
void traveller_sizes(struct paper *);
void traveller_moves(struct paper *);
void traveller_limits(struct paper *);
void traveller_charts(struct paper *);
/* NULL, or what went wrong. */
const char *traveller_flow(struct paper *);

/* An empty box to write or tick in. */
void paper_draw_field(struct picture *, double x, double y, double width, double height);

/* Heads of a table's columns, in small capitals on a tinted band. */
struct column_head {
    const char *label; /* in English, a SAY_IN("head", ...) */
    double x, width;
    enum align align;
};
/* A paragraph in small type. */
struct picture *paper_small(struct paper *, struct text);

struct paper_field { /* to be written on */
    const char *label;
    double x, width;
};
/* The top of the first page: kind of sheet, title, part, revision, date, status, code, and fields below. */
void paper_head(struct paper *, const char *kind, const struct paper_field *, uint32_t count);
struct picture *paper_table_heading(struct paper *, const struct column_head *, uint32_t count);

#endif
