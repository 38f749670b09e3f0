/* What the laws of heat come to over a box of arguments, and how they move with each: derived here from the mathematics,
 * not from the program that wrote the certificate. Arguments as the recipe language has them (grammar/LANGUAGE.md): SI,
 * temperatures in kelvin. */
#ifndef CHECKER_HEAT_HH
#define CHECKER_HEAT_HH

#include "interval.hh"

#include <vector>

struct Enclosure {
    bool defined; /* at every point of the box; else nothing else is said */
    Interval value;
    std::vector<Interval> slopes; /* by argument */
};

using Arguments = std::vector<Interval>;

Enclosure slab_mean(const Arguments &);           /* h0 h1 S0 S1 T0 thickness conductivity capacity time */
Enclosure slab_temperature(const Arguments &);    /* and depth as a share */
Enclosure slab_time(const Arguments &);           /* with a goal instead of time */
Enclosure contact_temperature(const Arguments &); /* T0 Ttools time-constant softness time */
Enclosure contact_time(const Arguments &);        /* with a goal instead of time */
Enclosure air_temperature(const Arguments &);     /* T0 Ts capacity convection emissivity time */
Enclosure air_time(const Arguments &);            /* with a goal instead of time */

#endif
