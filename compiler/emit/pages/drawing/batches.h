/* Batches: the shapes of a page, those of one paint together.
 *
 * In: shapes in the order in which they would be drawn, one over the other. Out: the same picture from fewer changes of
 * colour and line, most of what a table costs. A shape comes forward to those of its paint only where nothing drawn
 * between can lie below it: a page is divided into zones, and two shapes that have none in common do not touch.
 * Everything lives in the arena. */
#ifndef COMPILER_EMIT_PAGES_DRAWING_BATCHES_H
#define COMPILER_EMIT_PAGES_DRAWING_BATCHES_H

#include "compiler/emit/pages/drawing/drawing.h"

struct place { /* of a picture on the page: moved, then scaled */
    double x, y, scale;
};

struct zones { /* bits: strips of the page, from left to right and from top to bottom */
    uint64_t across, down[4];
};

struct placed_shape {
    const struct outline *outline;
    struct place place;
};

struct batch {
    struct paint paint; /* as on the page */
    ARRAY(struct placed_shape) shapes;
    struct zones zones; /* that any of them touches */
};

struct batches {
    struct arena *arena;
    double width, height; /* of the page */
    ARRAY(struct batch) batches;
};

struct place placed_in(struct place, double x, double y, double scale);
bool outline_is_box(const struct outline *);
void batches_add(struct batches *, const struct outline *, const struct paint *, struct place);

#endif
