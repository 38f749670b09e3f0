/* The window map, drawn: margins over one unknown, or the region where every limit is proved over two.
 *
 * In: runtime/window_map.h. Out: a picture. Nothing depends on colour: what is proved is grey, each line has a letter on
 * it, and the key below says which limit that is. */
#ifndef COMPILER_EMIT_PAGES_WINDOW_H
#define COMPILER_EMIT_PAGES_WINDOW_H

#include "compiler/emit/pages/drawing.h"
#include "runtime/window_map.h"

const struct picture *window_picture(struct typesetter *, enum language, const struct window_map *, double width);
/* The same in words, for those who cannot see it. */
struct text window_words(struct arena *, enum language, const struct window_map *);

#endif
