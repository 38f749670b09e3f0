/* How a token is written in the one form of a recipe.
 *
 * In: a token of a tree. Out: its text with what may be written in two ways written in one: +/- for the sign of a
 * tolerance, * for the dot, degC ^2 ^3 * u in units, no blanks inside the brackets of a unit type. Numbers, names and
 * texts stay as they were typed. What tidy prints and the fingerprint is taken of. */
#ifndef COMPILER_MODEL_SPELLING_H
#define COMPILER_MODEL_SPELLING_H

#include "compiler/model/syntax.h"
#include "compiler/text/unit.h"

/* A piece of the tree's bytes where nothing changes, else a copy in the arena. */
struct text spelling_of(struct arena *, const struct tree *, uint32_t token);

/* Whether a blank stands between two tokens of these kinds on one line. TOKEN_END: nothing is there. */
bool spelling_gap(uint8_t before, uint8_t kind);
/* The tokens on one line, without the comments between them. */
struct text spelling_line(struct arena *, const struct tree *, uint32_t first, uint32_t last);

#endif
