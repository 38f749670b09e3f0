/* What a value of a property may be, as its row of schema.def writes it:
 *   "above 0 mm"            a size: 0 and less cannot be
 *   "0 s and more"
 *   "0 .. 1"                both ends with it, each with its unit
 *   "-60 degC .. 700 degC"
 *
 * In: the row's text. Out: both ends in SI, points in kelvin. No allocation. */
#ifndef COMPILER_MODEL_BOUNDS_H
#define COMPILER_MODEL_BOUNDS_H

#include "compiler/text/unit.h"

struct bounds {
    double least, most; /* SI; infinite where there is no end */
    bool above;         /* the least itself cannot be */
    struct unit unit;   /* of the ends, as written */
};

/* False for a text of another form, which is a fault of the row. */
bool bounds_read(const char *text, struct bounds *out);

/* Whether a value is inside, an end met up to rounding included. */
bool bounds_hold(const struct bounds *, double si);

#endif
