/* Recipes laid out anew at random: same tokens, same comments, same blank lines, all else thrown. */
#ifndef TESTS_UNIT_SAMPLE_LAYOUT_H
#define TESTS_UNIT_SAMPLE_LAYOUT_H

#include "compiler/model/syntax.h"
#include "runtime/base/buffer.h"

/* A small generator of its own, the same on every machine. */
uint32_t random_below(uint64_t *state, uint32_t limit);

/* The tree must be of a text without faults. */
struct text random_layout(struct arena *, const struct tree *, uint64_t *state);
/* A recipe of lets, limits, tables and texts that nobody wrote. Not one that compiles: one that parses. */
struct text random_recipe(struct arena *, uint64_t *state);

#endif
