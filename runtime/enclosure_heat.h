/* A sheet whose properties are intervals, in numbers without dimension: what the enclosures of conduction and the
 * signs of their slopes are worked out from. */
#ifndef RUNTIME_ENCLOSURE_HEAT_H
#define RUNTIME_ENCLOSURE_HEAT_H

#include "runtime/enclosure.h"

struct slab_box {
    struct interval biot[2];
    struct interval surroundings[2], start; /* K */
    struct interval diffusion_time;         /* s: time at Fourier number 1 */
    struct interval fourier;
    struct interval depth; /* share of the thickness; empty: the mean is meant */
};

enum way { WAY_DOWN = -1, WAY_UNKNOWN = 0, WAY_UP = 1, WAY_NONE = 2 /* does not depend on it */ };

/* From the first eight arguments of the slab functions; fourier 0, mean. A fault for what is no sheet. */
enum eval_fault slab_box_of(const struct interval *args, struct slab_box *);

/* How far the surroundings of a face alone move the sheet, from 0 (none) to 1, over the whole box. */
struct interval slab_weight(const struct slab_box *, int face);

/* Which way the temperature goes as a face's conductance grows, or as time passes, the same over the whole box. */
enum way slab_way_of_conductance(const struct slab_box *, int face);
enum way slab_way_of_time(const struct slab_box *);

#endif
