/* Texts as they are printed: spelling, capitals, quantities cut into number and unit. Results live in the arena. */
#ifndef COMPILER_EMIT_PAGES_DRAWING_PRINT_TEXT_H
#define COMPILER_EMIT_PAGES_DRAWING_PRINT_TEXT_H

#include "runtime/base/arena.h"
#include "runtime/base/text.h"

/* Valid UTF-8, no controls, printed spelling: "heat to 200 degC +/- 4 K" as "heat to 200 °C ± 4 K". */
struct text print_text(struct arena *, struct text);

/* Upper case of every script that has it, whatever the locale; of the whole text, or of its first letter. */
struct text print_text_capitals(struct arena *, struct text);
struct text print_text_capital(struct arena *, struct text);

/* A quantity in printed spelling cut in two: "−17.5" and "mm"; no number when it does not begin with one. */
struct figure {
    struct text number, unit;
};
struct figure print_text_figure(struct text);

#endif
