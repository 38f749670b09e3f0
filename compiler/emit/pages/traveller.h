/* The traveller: the paper that goes through the shop with the parts.
 *
 * In: a step table. Out: blocks of the paper, section by section: head, cautions, set-up card, steps, tool sizes,
 * limits, flow diagram. */
#ifndef COMPILER_EMIT_PAGES_TRAVELLER_H
#define COMPILER_EMIT_PAGES_TRAVELLER_H

#include "compiler/emit/pages/flow.h"
#include "compiler/emit/pages/paper.h"

void traveller_head(struct paper *);
void traveller_cautions(struct paper *);
void traveller_setup(struct paper *);
void traveller_steps(struct paper *);
void traveller_sizes(struct paper *);
void traveller_limits(struct paper *);
/* NULL, or what went wrong. */
const char *traveller_flow(struct paper *);

/* A capital in front, of the letters of our languages. */
struct text capital(struct arena *, struct text words);
/* An empty box to write or tick in. */
void draw_field(struct picture *, double x, double y, double width, double height);

/* Heads of a table's columns, in small capitals on a tinted band. */
struct column_head {
    const char *line[2]; /* the second may be NULL */
    double x, width;
    enum align align;
};
struct picture *table_heading(struct paper *, const struct column_head *, uint32_t count);

#endif
