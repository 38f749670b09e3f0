/* Collecting a derivation: the graph of what reads what, before it has values. Private to why.c and its parts.
 *
 * An expression is walked in the frame it was lowered in, and each part is lowered again, so names mean here exactly
 * what they meant there and nothing is parsed twice. Conditions that only the values decide are kept as guards. */
#ifndef COMPILER_REVIEW_WHY_COLLECT_H
#define COMPILER_REVIEW_WHY_COLLECT_H

#include "compiler/review/why/why.h"

struct why_value { /* a low and the unit it is shown in; factor 0: none known */
    struct low low;
    struct unit unit;
};

struct why_guard { /* what stands behind it counts when the condition comes out as wanted, and the outer guard's too */
    uint32_t outer;
    struct low condition;
    bool wanted;
};

struct why_read {
    uint32_t node;  /* the part of the expression that reads */
    uint32_t point; /* what it reads; 0: a parameter or an end of a band, which is no point of its own */
    uint32_t guard;
    struct why_value value;
    bool hidden; /* lies inside a part that is shown as one */
    bool asked;  /* given(x), banded(x) */
};

struct why_choice { /* an if */
    uint32_t node;
    struct low condition;
};

struct why_point { /* becomes an entry */
    enum why_sort sort;
    uint32_t quantity;   /* of named ones */
    uint32_t callee, of; /* of calls: the formula, property or built-in; the definition whose property it is */
    struct site value;   /* its expression; node 0: none */
    struct why_value result;
    struct why_value *arguments; /* of calls */
    uint32_t argument_count;
    uint32_t depth;
    bool walked;
    bool alias; /* takes one value over unchanged, so what that stands on is no deeper */
    ARRAY(struct why_read) reads;
    ARRAY(struct why_choice) choices;
};

struct why_collector {
    struct strokewright_recipe *recipe;
    struct lowering *lowering;
    struct arena *arena;
    ARRAY(struct why_point) points; /* 0 unused */
    ARRAY(struct why_guard) guards; /* 0: always */
    struct map known;               /* quantity to point */
    bool cut;
    bool probing, strange; /* while a value is tried: nothing new is made, and what would have to be is strange */
};

struct why_walker { /* walks the expression of a point */
    struct why_collector *collector;
    struct frame frame;
    struct unit units[SIGNATURE_LIMIT + 4]; /* of the frame's locals */
    uint32_t point, guard;
    bool hidden, asked;
};

void why_collector_init(struct why_collector *, struct strokewright_recipe *);
uint32_t why_point_of(struct why_collector *, uint32_t quantity, uint32_t depth);
void why_walk_point(struct why_collector *, uint32_t point);
/* Known to have none. Nodes made since the last evaluation count as having one. */
bool why_valueless(const struct why_collector *, struct low);
double why_si(const struct why_collector *, struct low); /* NaN when it has no number */
bool why_guard_open(const struct why_collector *, uint32_t guard);
uint32_t why_inside_parens(const struct tree *, uint32_t node);

/* why_calls.c: calls, and what the walkers share. */
void why_walk(struct why_walker *, uint32_t node);
void why_walk_hidden(struct why_walker *, uint32_t node);
void why_walk_call(struct why_walker *, uint32_t node);
uint32_t why_depth_below(const struct why_walker *);
struct why_walker why_walker_of(struct why_collector *, uint32_t point);
uint32_t why_add_point(struct why_collector *, struct why_point); /* 0 when there is no room, or while probing */
void why_add_read(struct why_walker *, uint32_t node, uint32_t point, struct why_value);
/* The unit in which a part was found to be read; factor 0 when it is no single thing. */
struct unit why_unit_of_part(struct why_walker *, uint32_t node);

/* why_moves.c: what moves a quantity. */
void why_fill_moves(struct strokewright_recipe *, uint32_t quantity, struct why_root *);

/* why_words.c: the texts of an entry. */
void why_fill_expression(struct why_collector *, const struct why_point *, struct why_entry *);

#endif
