/* Which tool is a stroke's die and which its punch.
 *
 * In: a finished scope; roles are found from what is written alone, before any value is worked out. A tool has the role it
 * states; else the one whose word is its name; else the one that is left over for it: of two tools that no other step or
 * holder takes, the wider bore is the die's, else the tool that sets an outside size is the die. */
#ifndef COMPILER_MODEL_ROLES_H
#define COMPILER_MODEL_ROLES_H

#include "compiler/model/names.h"

/* role: "die" or "punch". The tool that has it in that stroke, which does not say so itself; 0 when none fits. */
uint32_t role_tool(const struct scope *, uint32_t stroke, struct text role);
/* Reports, once, that the tools of a stroke cannot be told apart, and notes where their sizes alone told it. */
void role_check(struct scope *);

#endif
