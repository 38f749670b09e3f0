/* Window: what the unknowns of a recipe may be, drawn as a map.
 *
 * In: limits, what was found, and which unknowns to draw. Out: compiler/judge/window_map.h. The ranges are
 * covered with cells as by `find`, only finer: they decide what is proved. Lines show which limit it is: over one unknown
 * its margin at the corner of the tolerances that the slopes point to; over two, on a lattice and to first order, the
 * margin at the stated values less every slope times its tolerance. */
#ifndef COMPILER_JUDGE_WINDOW_H
#define COMPILER_JUDGE_WINDOW_H

#include "compiler/judge/solve.h"
#include "compiler/judge/window_map.h"

enum { WINDOW_AXES = 2, POINTS_ALONE = 49, POINTS_TOGETHER = 33 };
enum { LEVELS_ALONE = 11, LEVELS_TOGETHER = 8 }; /* how often a range is halved: 256 by 256 cells over two */

struct window_request {
    uint32_t count;                /* 1 or 2 */
    uint32_t unknown[WINDOW_AXES]; /* in lowering.unknowns */
};

/* Fills axes, lines and cells. The recipe must have been evaluated. scratch is used and left empty. */
void window_fill(struct window_map *, struct limits *, const struct solutions *, const struct window_request *,
                 struct arena *scratch);

#endif
