/* Typesetting of quantities: the one rounding and the one spelling used by every output and message.
 *
 * Decimals follow the unit and, where there is a tolerance, the tolerance (its last digit shown). ASCII spelling for the
 * terminal, CSV and JSON ("200 degC +/- 4 K"); printed spelling for paper and pictures ("200 °C ± 4 K", after ISO 80000-1:
 * thin or no-break space between number and unit). Independent of the locale.
 *
 * The decimal sign is a point, as in a recipe, wherever the spelling is ASCII; in print it is that of the language: a
 * comma in German and Spanish, a point in English and Japanese (compiler/text/language.c). */
#ifndef COMPILER_TEXT_TYPESET_H
#define COMPILER_TEXT_TYPESET_H

#include "compiler/text/said.h"
#include "compiler/text/unit.h"

struct spelling {
    bool print;             /* for paper and screen; else as in a recipe */
    enum language language; /* of the words; in print, of the decimal sign too */
};
#define SPELL_ASCII ((struct spelling){false, LANGUAGE_EN})
#define SPELL_PRINT ((struct spelling){true, LANGUAGE_EN})

/* Digits after the point for a value in this unit; tolerance (same unit, half width) 0 or NaN when there is none. */
int decimals_for(const struct unit *, double value, double tolerance);
/* Those that typeset_quantity() shows; -1: it shows an exponent. si is in SI. */
int decimals_shown(const struct unit *, double si);
/* The same for what is only ever computed, a margin or a correction: where the unit's own decimals show fewer than two
 * digits of it, two. */
int decimals_for_computed(const struct unit *, double value);
/* The same for a nominal value and its ends (SI) when they lie unequally far: the finer of the two tolerances counts. */
int decimals_for_ends(const struct unit *, double nominal, double lo, double hi);

/* The side that a bound is rounded to, so that who keeps to what is read keeps to what is meant: "at least" up, "at most"
 * down. */
enum toward { TO_NEAREST, TO_ABOVE, TO_BELOW };
/* In one unit: the number of so many decimals on that side of the value. What has no more decimals, but for what conversion
 * between units leaves behind, stays as it is; so does what is to be rounded to the nearest. */
double rounded_toward(double value, int decimals, enum toward);
/* A bound, given in SI, in the unit's own decimals and so many further: what to show, in the unit, and with how many. */
struct end {
    double value;
    int decimals;
};
struct end end_for(const struct unit *, double si, enum toward, int further);
/* The same for what an operator reads at a clock or a gauge: a computed time or force with three digits. Not where a value
 * stands beside its limit. */
struct end end_for_use(const struct unit *, double si, enum toward);

/* Rounded half to even on the decimal value, what conversion between units leaves behind counted as nothing. Beyond
 * 1e10, and where it would take many decimals, as "2.61e-5". */
struct text typeset_number(struct arena *, double value, int decimals);
/* One spelling for all ways to write a unit: "um", "W/(m^2*K)", "/h"; in print "µm", "W/(m²·K)", "/h". Empty for 1. */
struct text typeset_unit(struct arena *, const struct unit *, struct spelling);
/* The same as it stands on a page: in print with its minus sign and the language's decimal sign. */
struct text typeset_figure(struct arena *, double value, int decimals, struct spelling);
/* si is in SI; NaN prints as "not evaluated", an infinite value as "unlimited". */
struct text typeset_quantity(struct arena *, double si, const struct unit *, struct spelling);
struct text typeset_quantity_to(struct arena *, double si, const struct unit *, int decimals, struct spelling);
struct text typeset_end(struct arena *, struct end, const struct unit *, struct spelling);
/* lo and hi in SI; "199.9 mm .. 200.1 mm", in print with an ellipsis; "at most 5 mm" when one end is infinite. The ends are
 * rounded inwards: no value that reads as inside is outside. */
struct text typeset_band(struct arena *, double lo, double hi, const struct unit *, struct spelling);
/* The digits after the point that it has. */
int decimals_of_band(const struct unit *, double lo, double hi);
struct text typeset_band_to(struct arena *, double lo, double hi, const struct unit *, int decimals, struct spelling);
/* SAY("at least {value}"), SAY("at most {value}") or SAY("within {value}"), with the value put in. */
struct text typeset_bound(struct arena *, enum language, const char *english, struct text value);
/* "+/- 0.02 mm" or "+0.10 mm -0.05 mm" about the nominal; differences, so in K beside degC. Empty when there is no
 * width. */
struct text typeset_tolerance(struct arena *, double nominal, double lo, double hi, const struct unit *,
                              struct spelling);

#endif
