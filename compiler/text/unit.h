/* Units and dimensions.
 *
 * One table (units.def) of atoms with their exact factor to SI; a unit expression such as W/(m^2*K) is parsed into a
 * dimension and a factor. A temperature atom degC or degF also has an offset: alone it is a point on the scale, and it
 * may not stand in a product. Angle is a dimension of its own, so the sine of a length is a fault.
 * No allocation; errors are values. */
#ifndef COMPILER_TEXT_UNIT_H
#define COMPILER_TEXT_UNIT_H

#include "runtime/base/array.h"

enum base_dimension { DIM_LENGTH, DIM_MASS, DIM_TIME, DIM_TEMPERATURE, DIM_ANGLE, DIM_COUNT };

enum { DIM_UNIT = 12 }; /* exponents are kept in twelfths, so halves, thirds and quarters are exact */

struct dim {
    int16_t exponent[DIM_COUNT]; /* in twelfths */
};

struct unit {
    struct dim dim;
    double factor;        /* SI value of one unit */
    double offset;        /* SI value of zero: 273.15 for degC, 459.67*5/9 for degF, else 0 */
    bool point;           /* a temperature scale whose zero is not absolute: degC, degF */
    struct text spelling; /* as written */
    uint8_t row;          /* of the table, from 1; 0: not looked up, see unit_row() */
};

enum unit_fault { UNIT_OK, UNIT_UNKNOWN, UNIT_MALFORMED, UNIT_POINT_IN_PRODUCT, UNIT_EXPONENT };

struct unit_error {
    enum unit_fault fault;
    uint32_t lo, hi;     /* within the text */
    struct text nearest; /* a known spelling near to an unknown one, or empty */
    struct text advice;  /* what to write instead, as a sentence, when more than one thing could be meant; or empty */
};

/* Reads a whole unit: "mm", "/h", "1/K", "1", "W/(m^2*K)", "%". The text must outlive the unit.
 * After ISO 80000-1 nothing follows a solidus but one atom or a product in parentheses: W/m^2*K is malformed. */
enum unit_fault unit_read(struct text, struct unit *out, struct unit_error *);

/* Fills nearest and advice of an unknown atom. */
void unit_guess(struct text wrong, struct unit_error *);

enum { UNIT_ROOM = 64 };
/* The unit that an ill-formed text most likely means, W/(m^2*K) for W/m2K or W/(m K), in the room given; empty: none. */
struct text unit_meant(struct text wrong, char room[UNIT_ROOM]);

/* The unit as a step of its scale, a difference: 6 degF of a band. Of a unit without a scale, itself. */
struct unit unit_step(struct unit);
/* The unit that differences of it are shown in: K beside degC, a step of degF beside degF, else itself. */
struct unit unit_of_difference(struct unit);

double unit_to_si(const struct unit *, double value); /* with offset when point */
double unit_from_si(const struct unit *, double si);
double unit_difference_to_si(const struct unit *, double value); /* without the offset */

bool dim_same(struct dim, struct dim);
bool dim_none(struct dim);
struct dim dim_times(struct dim, struct dim);
struct dim dim_over(struct dim, struct dim);
bool dim_power(struct dim, double exponent, struct dim *out); /* false when the result has no exponents in twelfths */

/* In words: "a length", "a temperature difference", "a force per length", "a pure number"; unknown products as base
 * units, "a quantity in kg*m^2/s". Result in the arena. */
struct text dim_words(struct arena *, struct dim, bool point);
/* The unit a value of this dimension is printed in when nothing else says so: mm, s, K, deg, kN, MPa, kW ... */
struct unit unit_default(struct arena *, struct dim, bool point);

/* Rows of the table, for the reference page, completion and the tests. */
struct unit_row {
    const char *name;
    const char *also; /* other spellings, separated by spaces */
    const char *meaning;
    const char *factor; /* to SI, exact, as published: "0.0254 m", "5/9 K" */
    struct unit unit;
    uint8_t decimals, least; /* shown when nothing else says so; trailing zeros are dropped down to least */
};
const struct unit_row *unit_rows(uint32_t *count);
const struct unit_row *unit_row_of(struct text spelling); /* one atom, any of its spellings; NULL when unknown */
const struct unit_row *unit_row(const struct unit *);     /* NULL of a product; an empty spelling is that of 1 */

#endif
