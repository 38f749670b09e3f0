/* Small amounts beside a quantity: what its inputs are called, and uncertainties and slopes as people read them. */
#ifndef COMPILER_TABLE_AMOUNTS_H
#define COMPILER_TABLE_AMOUNTS_H

#include "compiler/table/steps.h"

/* What a person calls an input: the quantity, or the figure of a material, that states it: "die.temperature",
 * "az31b-o.conductivity"; and the unit of its differences. */
struct text input_name(const struct lowering *, uint32_t input);
struct text input_said(struct steps *, uint32_t input); /* the same for people, in the table's language */
struct unit input_unit(const struct lowering *, uint32_t input);

/* What it may vary by: "+/- 4 K". */
struct text input_band(const struct lowering *, uint32_t input, struct spelling);

/* The unit in which a small amount of it reads well: mm and 2 um give um. */
struct unit finer_unit(struct unit, double si);
/* To so many significant digits, in that unit, as a difference: "4.7 um". */
struct text small_amount(struct arena *, double si, const struct unit *, int digits, struct spelling);
/* "2.05 um/K", "0.12 kN per W/(m^2*K)" */
struct text slope_text(struct arena *, double slope, const struct unit *of, const struct unit *per, struct spelling);

/* A number for programs, to so many significant digits: what a machine's last bits differ in stays out of the papers. */
double to_digits(double value, int digits);

#endif
