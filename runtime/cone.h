/* Cone: what some nodes of a program are worked out from, as a program of its own.
 *
 * In: a program and nodes of it. Out: a small program with the same meaning, whose size and inputs are those nodes' only,
 * so that whoever asks for one quantity many times pays for that quantity alone. Curves are the whole's own, not copied. */
#ifndef RUNTIME_CONE_H
#define RUNTIME_CONE_H

#include "runtime/program.h"

struct cone {
    struct program program;
    uint32_t *node;  /* by its own node: the whole's */
    uint32_t *input; /* by its own input: the whole's */
};

struct cone_marks { /* room to make cones of one program, one after another */
    struct arena *arena;
    uint32_t *node, *input;               /* by number in the whole: its own, while a cone is made */
    ARRAY(uint32_t) order, inputs, stack; /* of the cone at hand, in the whole's numbers */
};

struct cone_marks cone_marks_new(struct arena *, const struct program *);

/* nodes: in, the whole's numbers, 0 for none; out, the cone's own. */
struct cone cone_of(struct arena *, const struct program *, struct cone_marks *, uint32_t *nodes, uint32_t count);

#endif
