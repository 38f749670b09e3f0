/* The program: a recipe as a flat array of quantities in evaluation order.
 *
 * In: nodes appended by compiler/lower. Out: what every evaluator runs and every printer reads. A node's operands are
 * earlier nodes, so one pass from first to last evaluates all. Values are in SI; temperature points in kelvin; truth is
 * 1 or 0. Node 0 is unused. Owned by the compilation's arena.
 *
 * The program knows nothing of syntax: a node carries the number of the place it came from, which the compiler can turn
 * into a span. */
#ifndef RUNTIME_PROGRAM_H
#define RUNTIME_PROGRAM_H

#include "runtime/base/array.h"

enum op {
    OP_NONE,
    OP_CONSTANT, /* value */
    OP_INPUT,    /* a = index of an input: a stated quantity, with what it may vary by */
    OP_ADD,
    OP_SUBTRACT,
    OP_MULTIPLY,
    OP_DIVIDE,
    OP_POWER,
    OP_NEGATE,
    OP_LESS,
    OP_LESS_EQUAL,
    OP_EQUAL,
    OP_AND,
    OP_OR,
    OP_NOT,
    OP_SELECT,  /* a ? b : c */
    OP_CURVE,   /* a = index of a curve, b = first argument, c = second argument or 0 */
    OP_CALL,    /* a = function (function.h), b = first of its operands in operands[], c = how many */
    OP_NOMINAL, /* a's value with every held input at its nominal value: what was fixed before the process scatters */
    OP_UNCERTAINTY, /* the standard uncertainty of a at the stated inputs: `value`, worked out when the node is made
                       (uncertainty.h), so it is level; NaN when there is none */
    OP_COUNT
};

struct node_code { /* one quantity */
    uint16_t op;
    uint32_t a, b, c;
    double value;    /* of a constant */
    uint32_t origin; /* compiler's number for the place; 0 none */
};

struct input {
    double nominal, low, high; /* SI; low == high == nominal when exact */
    bool held;                 /* the process keeps it in low..high; else it is exact for the evaluators */
    uint32_t quantity;         /* compiler's number of the named quantity it belongs to */
    bool unknown;              /* nobody has stated it yet: OP_NOMINAL sees it as it comes, not at its nominal value */
    uint32_t figure; /* compiler's number of the function it moves, whoever asked for it; 0: the quantity's own */
};

enum spread_shape { /* how a held value lies in its band: spreads.def */
#define SPREAD(id, name, facts, doc, source) SPREAD_##id,
#include "runtime/spreads.def"
#undef SPREAD
                    SPREAD_COUNT
};

struct spread { /* see spread.h; zeros: rectangular, of a band that is certain */
    uint8_t shape;
    double k, coverage; /* of a normal one: band over standard uncertainty, or share inside the band; one of them */
    double top;         /* of a trapezoid: share of the band */
    double freedom;     /* degrees of freedom; 0: as doubt says */
    double doubt;       /* share of its width by which the band itself is in doubt */
};

struct stated_spread {
    uint32_t input;
    struct spread spread;
};

struct curve {                 /* piecewise linear; strictly increasing x; outside its range is an error */
    uint32_t x_count, y_count; /* y_count 0: one variable */
    const double *x, *y;
    const double *z; /* x_count values, or x_count rows of y_count */
    uint32_t origin;
};

struct program {
    struct arena *arena;
    ARRAY(struct node_code) nodes;
    ARRAY(uint32_t) operands;
    ARRAY(struct input) inputs;
    ARRAY(struct stated_spread) spreads; /* of inputs that have said one; the others are rectangular */
    ARRAY(struct curve) curves;
    bool has_nominal;      /* there is an OP_NOMINAL */
    uint32_t longest_call; /* most operands of any */
};

void program_init(struct program *, struct arena *);
uint32_t program_constant(struct program *, double value, uint32_t origin);
uint32_t program_input(struct program *, struct input, uint32_t origin);
uint32_t program_node(struct program *, enum op, uint32_t a, uint32_t b, uint32_t c, uint32_t origin);
uint32_t program_call(struct program *, uint32_t function, const uint32_t *operands, uint32_t count, uint32_t origin);
void program_spread(struct program *, uint32_t input, struct spread);
struct spread spread_of(const struct program *, uint32_t input);
uint32_t program_curve(struct program *, struct curve); /* index of the curve */

/* The same program with inputs of its own, which may be changed; all else is shared. */
struct program program_with_own_inputs(struct arena *, const struct program *);

enum { MOST_ROOM = 3 };
/* All nodes a node may read, in order: in *out, which is `room` or the program's own array. */
uint32_t program_operands(const struct program *, const struct node_code *, const uint32_t **out,
                          uint32_t room[MOST_ROOM]);
/* By node: whether any of these inputs goes into it. */
bool *program_reading(struct arena *, const struct program *, const uint32_t *inputs, uint32_t count);
/* Marks all that some OP_NOMINAL reads. */
void program_needs_of_nominals(const struct program *, bool *wanted);
/* Marks a node and all it is worked out from. `wanted` has a place for each node; what is marked stays. */
void program_needs(const struct program *, uint32_t node, bool *wanted);

#endif
