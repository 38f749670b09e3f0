/* The paper: upright pages filled with blocks from top to bottom.
 *
 * In: pictures in order, with what may not be parted. Out: pages with head, foot, "page x of y" and the status in
 * the margin, in a PDF. Sections that run over a page are named again, and tables get their heading again; a table's first and last two rows stay
 * together, so no row stands alone; a row an inch high or more is no orphan. */
#ifndef COMPILER_EMIT_PAGES_PAPERS_PAPER_H
#define COMPILER_EMIT_PAGES_PAPERS_PAPER_H

#include "compiler/emit/pages/drawing/drawing.h"
#include "compiler/emit/pages/drawing/pdf.h"
#include "compiler/emit/pages/pages.h"

/* Width of the text, and of every block, on every paper: A4 less 42 points on either side. */
#define TEXT_SPAN (210 / 25.4 * 72 - 84)

struct block {
    const struct picture *picture;
    const struct picture *heading; /* of the table it is a row of, repeated when a page begins with the row; NULL */
    double before;                 /* space above, left away at the top of a page */
    bool with_next;                /* no page ends behind it */
    bool new_page;
    bool fills;        /* comes again until the page is full */
    struct text entry; /* of the PDF's outline; empty: none */
    struct text shows; /* of a heading whose rows are one figure and no table: what that shows, in words */
};

struct paper {
    struct typesetter *typesetter;
    struct arena *arena;
    const struct step_table *table;
    double width, height, margin; /* margin: left of the text, and right of it */
    ARRAY(struct block) blocks;
};

void paper_begin(struct paper *, struct typesetter *, const struct step_table *, enum paper_format);
struct block *paper_add(struct paper *, const struct picture *, double before);
/* The heading of a section, in English, marked by SAY(); with its entry in the outline. */
void paper_section(struct paper *, const char *english);
/* Begins a table with its heading; gives the index of its first row, for paper_table_end(). */
uint32_t paper_table(struct paper *, const struct picture *heading);
void paper_table_end(struct paper *, uint32_t first);
void paper_print(struct paper *, struct pdf *);
double paper_room(const struct paper *, bool first_page); /* height for blocks on one page */

/* ---- the type on it ----------------------------------------------------------------------------------------------- */

extern const struct type type_title, type_section, type_value, type_strong, type_body, type_small, type_label;

/* Small capitals for labels: the words in the paper's language, in upper case, spaced. Set smaller where they would be wider
 * than `most`; 0: as wide as they come. */
const struct typeset *paper_label(struct paper *, const char *english, double most);
/* In lines no wider than this. */
const struct typeset *paper_label_lines(struct paper *, const char *, double width, enum align);
struct text paper_status(struct paper *);      /* in the table's language, in capitals */
struct text paper_fingerprint(struct paper *); /* its first twelve digits */
const struct typeset *paper_body(struct paper *, struct text, double width);

struct reach { /* how far to the right and down something was drawn */
    double right, bottom;
};

/* Number and unit side by side, the number larger, its decimal point at `axis`. What begins with no number begins at
 * `left`, and is broken into lines. Either is set smaller when it would be wider than `width` from there. */
struct reach paper_draw_figure(struct paper *, struct picture *, struct text print, double left, double axis,
                               double width, double baseline, struct type);

#endif
