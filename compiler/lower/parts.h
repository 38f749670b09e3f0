/* The parts of lowering: quantities (quantities.c, stated.c), expressions (unfold.c, calls.c), units (units.c), limits and
 * texts (rules.c), names that users ask with (named.c). All of it makes; only lower.h is for others. */
#ifndef COMPILER_LOWER_PARTS_H
#define COMPILER_LOWER_PARTS_H

#include "compiler/lower/lower.h"

enum {
    PROGRAM_LIMIT = 4000000, /* nodes; formulas that call each other can unfold to very many */
    EXPRESSION_LIMIT = 2000, /* expressions inside each other, calls unfolded */
    CALL_LIMIT = 200         /* functions that are unfolded in each other */
};

struct call_memo {                        /* a formula's call and the node it gave */
    uint32_t formula, first, count, node; /* arguments: count from first in memo_args */
    uint32_t record;                      /* of the formula's expression in that call, or 0 */
};

struct unanimous_unit { /* a unit the library shows in, and a quantity stated in what the recipe has instead, or 0 */
    struct unit usual;
    uint32_t stated;
};

struct definition_list {
    uint32_t first, count; /* in list_ids */
};

struct making {         /* what is needed while a lowering is made; of it, lookups read `known`, `lists` and `texts` */
    struct map known;   /* (sort and definition, name) to quantity */
    struct map texts;   /* site and subject to text + 1 */
    struct map calls;   /* hash of formula and arguments to memo + 1 */
    struct map bounded; /* property that is a function and a node it came to, in `bounds` */
    struct map constants; /* property that is a function of nothing, and whose (0: of all), to its node */
    ARRAY(struct definition_list) lists;
    ARRAY(uint32_t) list_ids;
    ARRAY(struct call_memo) memos;
    ARRAY(uint32_t) memo_args;
    ARRAY(struct unanimous_unit) unanimous;
    bool own_units;              /* something is stated in another unit than the schema's */
    bool exhausted;              /* PROGRAM_LIMIT was met and reported */
    bool recording;              /* what each part of an expression came to is kept */
    struct map constant_records; /* the same to the record of its expression */
    uint32_t record;             /* of what is being lowered */
    uint32_t current;            /* quantity being made */
    uint32_t calls_open;         /* formulas and functions being unfolded in each other */
    uint32_t depth;
};

struct frame { /* where an expression is unfolded */
    struct lowering *lowering;
    const struct unit_file *file;
    uint32_t file_number;
    struct low locals[SIGNATURE_LIMIT + 4];
    uint32_t count;
    uint32_t self;  /* definition whose property this is, or 0 */
    uint32_t whole; /* the record of the first expression lowered in it, or 0 */
};

struct frame frame_at(struct lowering *, struct site);

/* ---- quantities: numbers, always valid ----------------------------------------------------------------------------- */

uint32_t lower_property(struct lowering *, uint32_t definition, atom name);
uint32_t lower_derived(struct lowering *, uint32_t derived, uint32_t definition);
uint32_t lower_let(struct lowering *, uint32_t let);
struct low lower_member_of(struct lowering *, uint32_t definition, atom name);
/* All lets, and all stated and derived values of every definition of the recipe's own scope. */
void lower_all(struct lowering *);
/* Of every other definition that was met, what is stated: titles, sources and so on, for the papers. */
void lower_stated_of_met(struct lowering *);
void lower_asked(struct lowering *, const struct demand *);
void lower_rules(struct lowering *);
void lower_texts(struct lowering *);
/* The claims of all values that are stated by a formula; what functions came to is noted where they are unfolded. */
void lower_bounds(struct lowering *);
void note_function_value(struct lowering *, uint32_t property, struct low);

/* Of quantity `id`, which is being made: what its property states, what it is taken as when nobody states it, what a let
 * with a tolerance states. They give it its unit and its band too. */
struct low make_stated(struct lowering *, uint32_t id, const struct property *, uint32_t property);
struct low make_standard(struct lowering *, uint32_t id, const struct property_entry *);
struct low make_let_band(struct lowering *, uint32_t id, struct frame *, uint32_t value);
struct low lower_hole(struct lowering *, const struct property *);        /* stated as ? */
struct low not_stated(struct lowering *, uint32_t definition, atom name); /* why it is missing */
void note_spread(struct lowering *, const struct tree *, uint32_t statement);
void follow_stated_unit(struct lowering *, uint32_t quantity);
void show_one_scale(struct lowering *);

/* ---- expressions ----------------------------------------------------------------------------------------------------- */

struct low lower_expression(struct frame *, uint32_t node);
struct low lower_call(struct frame *, uint32_t node);
struct low lower_function(struct lowering *, uint32_t definition, uint32_t property, const struct low *args,
                          uint32_t count, uint32_t origin);
struct low lower_list(struct frame *, uint32_t value); /* NODE_LIST, or a single definition */

struct low low_missing(struct lowering *, struct reason why);
struct low low_faulty(void); /* what a fault that was reported leaves behind */
struct low low_truth(bool);
struct low low_node(uint32_t node);
struct low as_node(struct lowering *, struct low); /* a static truth as 1 or 0 */
struct low quantity_low(struct lowering *, uint32_t quantity);

/* ---- nodes ----------------------------------------------------------------------------------------------------------- */

uint32_t origin_of(struct lowering *, uint32_t file, uint32_t node);
uint32_t emit(struct lowering *, enum op, uint32_t a, uint32_t b, uint32_t c, uint32_t origin);
uint32_t emit_input(struct lowering *, struct input, uint32_t origin);
uint32_t emit_constant(struct lowering *, double, uint32_t origin);
uint32_t emit_call(struct lowering *, uint32_t function, const uint32_t *operands, uint32_t count, uint32_t origin);

/* ---- keys of the maps ------------------------------------------------------------------------------------------------- */

uint64_t key_of_property(uint32_t definition, atom name);
uint64_t key_of_derived(uint32_t derived, uint32_t definition);
uint64_t key_of_let(uint32_t let);
uint64_t key_of_text(struct site, uint32_t subject);

#endif
