/* Spreads: how a held value lies in its band.
 *
 * In: a band and what is known of it. Out: its standard uncertainty and degrees of freedom after JCGM 100, and values
 * drawn from it after JCGM 101. One table (spreads.def), one row a shape, read by the language too. */
#ifndef RUNTIME_STATISTICS_SPREAD_H
#define RUNTIME_STATISTICS_SPREAD_H

#include "runtime/program.h"

struct spread_entry {
    const char *name;
    const char *facts; /* "!k !coverage freedom": what may be stated; of those with ! one must be */
    const char *doc;
    const char *source;
};

extern const struct spread_entry spread_table[SPREAD_COUNT];

/* Of a band low..high about the nominal value (SI). */
double spread_standard(const struct spread *, const struct input *);

/* Its expectation, JCGM 100 4.3.8: of a band that lies unevenly about the stated value not that value but the middle of
 * what is known. */
double spread_mean(const struct spread *, const struct input *);

/* Degrees of freedom of that, infinite when it is taken for certain. Of a band that is itself in doubt by a share d,
 * 1 / (2 d^2), JCGM 100 G.4.2. */
double spread_freedom(const struct spread *);

/* One value of the distribution from two independent ones, u and v, that are alike between 0 and 1, both excluded.
 * standard: its standard uncertainty, which is worked out once for many draws. */
double spread_draw(const struct spread *, const struct input *, double standard, double u, double v);

#endif
