/* The parts of solving: where all limits are proved (solve.c), which point of it is taken (solve_choice.c), and what is
 * said when there is none (solve_conflict.c). */
#ifndef COMPILER_JUDGE_SOLVE_PARTS_H
#define COMPILER_JUDGE_SOLVE_PARTS_H

#include "compiler/judge/solve.h"

enum { LEVELS_ONE = 7 }; /* a 128th of the range for one unknown */

struct solving {
    struct limits *limits;
    const struct lowering *lowering;
    struct solutions *out;
    bool ranges;
    struct arena *scratch;
    struct unknowns unknowns;
    struct limit_provers claims;
};

/* Feasible stretches along one unknown, from cells in ascending order, and the limits that end them. */
void gather_stretches(struct solving *, const struct feasible *, uint32_t unknown, struct solution *out);

/* Whether all is proved at a point; *margins, by claim, is how tight each is, the tightest first. */
bool proved_at(struct solving *, const double *point, double *margins);
/* The point preferred, at round values where all is proved there. Nothing when no cell is feasible. */
void choose_point(struct solving *, const struct feasible *, double *chosen);

/* No value: which limits conflict, and by how much. */
void report_none(struct solving *, const struct feasible *);
/* No limit reads it. */
void report_free(struct solving *, uint32_t unknown);

#endif
