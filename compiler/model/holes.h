/* Values that a recipe leaves open: `specific-heat = ?` of a property that is a number or a function.
 *
 * In: a scope that was read. Out: whether a property, or anything of a scope, is open; and what helps to fill it in: its unit, what it can be, and the figures that the library has. Texts live in the
 * arena. */
#ifndef COMPILER_MODEL_HOLES_H
#define COMPILER_MODEL_HOLES_H

#include "compiler/model/typing.h"

bool property_is_open(const struct scope *, uint32_t property);
/* Such a recipe is a draft. */
bool scope_is_open(const struct scope *);
/* "it is in J/(kg*K), 50 J/(kg*K) .. 5000 J/(kg*K); az31b-o has 1020 .. 1130 J/(kg*K)" */
struct text open_help(struct scope *, struct arena *, uint32_t property);
/* Reports a ? where no number stands. */
void check_open(struct env *, const struct property *);

#endif
