/* Collecting a derivation: the graph of what reads what, taken from the records that lowering kept of each expression
 * (compiler/lower/lower.h). Nothing is lowered here: a part without a record was never looked at, and is no part of the
 * derivation. Shared by the files of this folder. */
#ifndef COMPILER_REVIEW_WHY_PARTS_H
#define COMPILER_REVIEW_WHY_PARTS_H

#include "compiler/review/why/why.h"

struct why_value { /* a low and the unit it is shown in; factor 0: none known */
    struct low low;
    struct unit unit;
};

struct why_read {
    uint32_t node;  /* the part of the expression that reads */
    uint32_t point; /* what it reads; 0: a parameter or an end of a band, which is no point of its own */
    struct why_value value;
    bool closed; /* in a branch that is not taken */
    bool hidden; /* in a part that is shown as one value */
    bool asked;  /* only given(x) or banded(x) is asked */
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
    uint32_t record;     /* of that expression; 0: nothing of it was lowered */
    struct why_value result;
    struct why_value *arguments; /* of calls */
    uint32_t argument_count;
    uint32_t depth;
    bool alias; /* takes one value over unchanged, so what that stands on is no deeper */
    ARRAY(struct why_read) reads;
    ARRAY(struct why_choice) choices;
};

struct why_collector {
    struct strokewright_recipe *recipe;
    const struct lowering *lowering;
    struct arena *arena;
    ARRAY(struct why_point) points; /* 0 unused */
    struct map known;               /* quantity to point */
    bool cut;
    bool probing, strange; /* while probing no point is added, and strange is set when one would have to be */
};

struct why_walker { /* goes through the expression of a point */
    struct why_collector *collector;
    const struct unit_file *file;
    uint32_t point;
    bool closed, hidden, asked; /* of the reads that follow */
};

void why_collector_init(struct why_collector *, struct strokewright_recipe *);
uint32_t why_point_of(struct why_collector *, uint32_t quantity, uint32_t depth);
void why_walk_point(struct why_collector *, uint32_t point);
bool why_valueless(const struct why_collector *, struct low);
double why_si(const struct why_collector *, struct low); /* NaN when it has no number */
uint32_t why_inside_parens(const struct tree *, uint32_t node);

/* calls.c: calls. collect.c: what the walkers share. Parts are named by their records; 0, a part without one, is skipped. */
void why_walk(struct why_walker *, uint32_t record);
void why_walk_hidden(struct why_walker *, uint32_t record);
void why_walk_parts(struct why_walker *, uint32_t record, void (*walk)(struct why_walker *, uint32_t record));
void why_walk_call(struct why_walker *, uint32_t record);
const struct lowered *why_record(const struct why_collector *, uint32_t record);
/* The record of a direct part of an expression, by its node. */
uint32_t why_part(const struct why_collector *, uint32_t record, uint32_t node);
uint32_t why_depth_below(const struct why_walker *);
uint32_t why_add_point(struct why_collector *, struct why_point); /* 0 when there is no room, or while probing */
void why_add_read(struct why_walker *, uint32_t node, uint32_t point, struct why_value);
/* The unit in which a part was found to be read; factor 0 when it is no single thing. */
struct unit why_unit_of_part(struct why_walker *, uint32_t node);

/* moves.c: what moves a quantity. */
void why_fill_moves(struct strokewright_recipe *, uint32_t quantity, struct why_root *);

/* words.c: the texts of an entry. */
void why_fill_expression(struct why_collector *, const struct why_point *, struct why_entry *);

#endif
