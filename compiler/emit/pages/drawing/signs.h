/* Safety signs: shape and colour by the letter of the sign's ISO 7010 number (W triangle, P ring with bar, M disc, F and
 * E square), with a simple pictogram of our own. They point to the hazard; they replace no sign on a wall. */
#ifndef COMPILER_EMIT_PAGES_DRAWING_SIGNS_H
#define COMPILER_EMIT_PAGES_DRAWING_SIGNS_H

#include "compiler/emit/pages/drawing/drawing.h"

/* The sign in a square of this side; NULL when the number names no shape. A number without a pictogram of its own is
 * written into the shape. */
const struct picture *sign_picture(struct typesetter *, struct text number, double side);

/* The numbers of a caution, "W017 M009": the next of them is taken from the front; empty when there is none. */
struct text sign_next(struct text *numbers);

#endif
