/* What of the library a recipe reaches. Private to the fingerprint. */
#ifndef COMPILER_MODEL_FINGERPRINT_REACH_H
#define COMPILER_MODEL_FINGERPRINT_REACH_H

#include "compiler/model/typing.h"

struct reach {
    const struct scope *scope;
    struct arena *arena;
    bool *definitions, *lets, *derived, *formulas, *rules; /* by id: it counts; of the library's only */
    bool kinds[KIND_COUNT];                                /* there is a definition of it, here or reached */
    struct map asked;                                      /* names of derived values that are asked for */
    ARRAY(struct site) todo;
};

void fingerprint_reach_find(struct reach *, struct arena *, const struct scope *);

#endif
