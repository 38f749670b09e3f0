/* Typesetter: text set in type, measured before anything is drawn.
 *
 * In: text of the step table. Out: lines of letters with their places, in points, from Pango; they live in the arena. All
 * text goes through print_text() on its way in, so what reaches Pango and Cairo is valid UTF-8 in printed spelling. Metrics
 * are never hinted: a page measures the same on every device. */
#ifndef COMPILER_EMIT_PAGES_DRAWING_TYPESETTER_H
#define COMPILER_EMIT_PAGES_DRAWING_TYPESETTER_H

#include "compiler/emit/pages/drawing/faces.h"
#include "compiler/emit/pages/drawing/print_text.h"
#include "compiler/table/step_table.h"
#include "runtime/base/map.h"

enum align { ALIGN_LEFT, ALIGN_CENTRE, ALIGN_RIGHT };

struct type {
    double size; /* of the em, in points */
    bool bold;
    double tracking; /* added between letters, for small capitals */
    enum align align;
    bool shapes; /* drawn as shapes on a page: there to be seen, not to be found or copied */
};

struct letters { /* neighbours in one face, from left to right */
    cairo_font_face_t *face;
    char *text; /* what they say, in the order of reading */
    cairo_glyph_t *glyphs;
    cairo_text_cluster_t *clusters;
    int bytes, glyph_count, cluster_count;
    bool backward; /* read from right to left */
};

struct line {
    struct text text; /* without the blanks at its end */
    double x, baseline, width;
};

struct typeset {
    struct type type; /* as set, which may be smaller than asked for */
    struct text text;
    double width, height; /* of the block of lines; the width is that of its longest line */
    double baseline;      /* of the first line, below the top */
    double axis;          /* from the left to the decimal point of the number it begins with, or behind the number */
    struct {
        struct line *at;
        uint32_t count;
    } lines;
    struct {
        struct letters *at;
        uint32_t count;
    } letters;
    PangoLayout *boxes; /* NULL, or what draws them, at FACE_SIZE: it has letters that no font has */
};

struct set_before { /* words, and what they were set from */
    struct text text;
    struct type type;
    double width;
    const struct typeset *words;
};

struct typesetter {
    struct arena *arena;
    struct faces *faces;
    ARRAY(PangoLayout *) boxes; /* to be released at the end */
    ARRAY(uint32_t) unknown;    /* characters that no font has, each once: a box with their number stands for them */
    ARRAY(struct set_before) before;
    struct map known; /* hash of what was asked for to its place in `before` + 1 */
};

/* The faces are the caller's. */
void typesetter_begin(struct typesetter *, struct arena *, struct faces *);
void typesetter_end(struct typesetter *);
/* Returns a sentence that names the characters no font has; empty when there are none. */
struct text typesetter_unknown(struct typesetter *, struct arena *);

/* width: the lines are broken to fit it; 0: one line. Where one word alone is wider, all is set a little smaller. */
const struct typeset *typesetter_set(struct typesetter *, struct text, struct type, double width);

/* Broken into as few lines as `most` allows, of about the same length; a block as wide as the longest of them. */
const struct typeset *typesetter_set_balanced(struct typesetter *, struct text, struct type, double most);

enum { LEAST_SIZE = 7 }; /* points: what is set smaller to fit is not set below this */

/* One line, set smaller where it would be longer than `most`, and broken where even that does not help. */
const struct typeset *typesetter_set_fitting(struct typesetter *, struct text, struct type, double most);

/* One line, its end left away where it would be longer than `most`. */
const struct typeset *typesetter_set_short(struct typesetter *, struct text, struct type, double most);

#endif
