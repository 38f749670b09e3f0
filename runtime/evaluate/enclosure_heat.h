/* A sheet whose properties are intervals, in numbers without dimension: what the enclosures of conduction and the
 * signs of their slopes are worked out from. */
#ifndef RUNTIME_EVALUATE_ENCLOSURE_HEAT_H
#define RUNTIME_EVALUATE_ENCLOSURE_HEAT_H

#include "runtime/evaluate/enclosure.h"
#include "runtime/physics/slab.h"

/* The sheets at the corners of a box whose weights are asked for: for its highest and its lowest, from either face. */
enum { SLAB_CORNERS = 4 };
struct slab_corners {
    uint32_t count;
    struct slab_sheet sheet[SLAB_CORNERS];
};

struct slab_box {
    struct interval biot[2];
    struct interval surroundings[2], start; /* K */
    struct interval diffusion_time;         /* s: time at Fourier number 1 */
    struct interval fourier;
    struct interval depth;        /* share of the thickness; empty: the mean is meant */
    struct slab_corners *corners; /* where they are kept, for who asks for several weights; or NULL */
};

enum way { WAY_DOWN = -1, WAY_UNKNOWN = 0, WAY_UP = 1, WAY_NONE = 2 /* does not depend on it */ };

/* From the first eight arguments of the slab functions; fourier 0, mean. A fault for what is no sheet. */
enum eval_fault slab_box_of(const struct interval *args, struct slab_box *);

/* The share of contact.h that is left, over a box of times and of softness. */
struct interval contact_left_range(struct interval time, struct interval softness);

/* How far the surroundings of a face alone move the sheet, from 0 (none) to 1, over the whole box. */
struct interval slab_weight(const struct slab_box *, int face);

/* Which way the temperature goes as a face's conductance grows, or as time passes, the same over the whole box. */
enum way slab_way_of_conductance(const struct slab_box *, int face);
enum way slab_way_of_time(const struct slab_box *);

#endif
