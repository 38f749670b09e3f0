/* What the built-in library derives, as tables of the language reference.
 *
 * In: the embedded trees of recipes/library/. Out: one table a kind (every derived property with its unit, its label and the
 * comment directly above it), one of the values with dotted names, one of the formulas. */
#ifndef COMPILER_TOOLS_REFERENCE_LIBRARY_H
#define COMPILER_TOOLS_REFERENCE_LIBRARY_H

#include "runtime/base/buffer.h"

void reference_put_derived(struct buffer *);
void reference_put_formulas(struct buffer *);

#endif
