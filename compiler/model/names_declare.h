/* Declaring names: the part of names.c that names_declare.c fills scopes with. Private to names*.c. */
#ifndef COMPILER_MODEL_NAMES_DECLARE_H
#define COMPILER_MODEL_NAMES_DECLARE_H

#include "compiler/model/names.h"

uint32_t declare_definition(struct scope *, struct definition);
void declare_property(struct scope *, struct property, atom name);
bool declares_property(const struct scope *, uint32_t definition, atom name); /* itself, not its base */
void declare_let(struct scope *, struct let);
void declare_derived(struct scope *, struct derived);
void declare_formula(struct scope *, struct formula);
void declare_rule(struct scope *, struct rule);
void declare_waiver(struct scope *, struct waiver);

#endif
