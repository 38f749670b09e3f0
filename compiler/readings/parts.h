/* Shared by the files of this folder alone. */
#ifndef COMPILER_READINGS_PARTS_H
#define COMPILER_READINGS_PARTS_H

#include "compiler/readings/readings.h"

/* A place in the row the stream gave last; bytes of it. */
struct span readings_place(struct readings *, uint32_t lo, uint32_t hi);
/* Says why the stream gives no further row, where that is a fault. */
void readings_say_state(struct readings *, enum csv_state);
/* The stream as far as its buffer goes, to be read ahead: a copy. */
struct csv readings_ahead(struct readings *);
/* Looks at the cells that are in the buffer for the one decimal sign of the file. False when they tell none: said. */
bool readings_find_sign(struct readings *);

#endif
