/* What a cell says: a number as machines and spreadsheets write it, or a time.
 *
 * One file has one decimal sign. A single cell does not always tell which: 1.234 is a little more than one, or more than a
 * thousand. cell_sign() says what a cell gives away, and cell_number() reads it once the sign is known. No allocation. */
#ifndef COMPILER_READINGS_CELL_H
#define COMPILER_READINGS_CELL_H

#include "runtime/base/text.h"

enum decimal_sign { SIGN_UNKNOWN, SIGN_POINT = '.', SIGN_COMMA = ',' };

enum sign_evidence {
    SIGN_IN_NONE,   /* a whole number, or no number at all */
    SIGN_IN_EITHER, /* a sign before three digits: decimals or thousands */
    SIGN_IN_POINT,
    SIGN_IN_COMMA
};
enum sign_evidence cell_sign(struct text);

enum cell_says {
    CELL_NUMBER,
    CELL_EMPTY,
    CELL_NO_READING, /* NaN, n/a, ---: the machine says that it has none */
    CELL_TEXT,       /* no number */
    CELL_OTHER_SIGN  /* a number with the other decimal sign */
};
/* Correctly rounded. Groups of three digits may be parted by blanks, no-break and narrow no-break spaces, apostrophes or,
 * where there is no doubt, by the other sign. */
enum cell_says cell_number(struct text, enum decimal_sign, double *value);

/* Seconds since 1970 (in UTC where an offset is stated, else in the clock's own time) of 2026-11-20T14:05:07.250+01:00, of
 * the same with a blank for the T, and of 20.11.2026 14:05:07, day first; parts of a second with point or comma. A date
 * with slashes is not read: nobody can say which number is the month. */
struct cell_time {
    double seconds;
    bool zone; /* an offset or Z is stated */
};
bool cell_time(struct text, struct cell_time *);

#endif
