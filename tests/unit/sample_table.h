/* Step tables made by hand, for the tests of what is printed from them. */
#ifndef TESTS_UNIT_SAMPLE_TABLE_H
#define TESTS_UNIT_SAMPLE_TABLE_H

#include "compiler/table/step_table.h"

/* The river-level logger's lid: six steps, five sizes, every verdict but one that fails, every signal word. */
struct step_table *sample_table(struct arena *);
/* The same with a long title, a limit that fails, and as many steps and sizes as asked for. */
struct step_table *sample_long_table(struct arena *, uint32_t steps, uint32_t sizes);
/* The lid with `words` in every text that comes from a recipe. */
struct step_table *sample_hostile_table(struct arena *, struct text words);
/* A table as empty as the compiler may make it: a head, and nothing below. */
struct step_table *sample_empty_table(struct arena *);

#endif
