/* The window map, drawn: margins over one unknown, or the region where every limit is proved over two.
 *
 * In: compiler/judge/window_map.h. Out: a picture. Nothing depends on colour: what is proved is grey, each line has a letter on
 * it, and the key below says which limit that is. */
#ifndef COMPILER_EMIT_PAGES_CHARTS_WINDOW_H
#define COMPILER_EMIT_PAGES_CHARTS_WINDOW_H

#include "compiler/emit/pages/drawing/drawing.h"
#include "compiler/judge/window_map.h"

const struct picture *window_picture(struct typesetter *, enum language, const struct window_map *, double width);
/* Describes the map in words, for screen readers. */
struct text window_text(struct arena *, enum language, const struct window_map *);

#endif
