/* The meaning of a file as plain lines: one statement a line, always in the same order and units.
 *
 * In: a compiled recipe; what it uses need not have been found, for only its own file is told. Out: lines that two files
 * have in common where they say the same, whatever their layout, order and units, so that a tool that compares lines
 * compares meanings: git's textconv is what they are for. Expressions are told as written. A file that cannot be read as
 * a recipe is told as it is. */
#ifndef COMPILER_REVIEW_MEANING_H
#define COMPILER_REVIEW_MEANING_H

#include "compiler/recipe.h"
#include "runtime/base/buffer.h"

/* False when memory ran out. */
bool meaning_text(struct buffer *, struct strokewright_recipe *);

#endif
