/* Lowering: a typed scope becomes a program.
 *
 * In: a scope that typing found good enough, with bindings. Out: quantities, every stated, derived and let value with its
 * node of the program, made on demand and once. Formulas and property functions are unfolded where they are called;
 * references, words, lists and conditions on them are decided here, so the program holds numbers only. What lacks a
 * statement is "missing", with the reason in words, and whatever needs it is missing for the same reason. */
#ifndef COMPILER_LOWER_LOWER_H
#define COMPILER_LOWER_LOWER_H

#include "compiler/model/typing.h"
#include "runtime/evaluate/evaluate.h"

enum { PROGRAM_LIMIT = 4000000 }; /* nodes; formulas that call each other can unfold without end */

enum low_tag {
    LOW_MISSING,    /* text: why; truth: a fault was reported already */
    LOW_NODE,       /* id: node of the program */
    LOW_TRUTH,      /* truth, decided now */
    LOW_DEFINITION, /* id */
    LOW_LIST,       /* id: the property that lists definitions */
    LOW_FUNCTION,   /* id: the property function's property; of definition `of` */
    LOW_WORD,       /* text */
    LOW_TEXT,       /* id: quantity, see filled_text() */
    LOW_DATE        /* text */
};

struct low {
    enum low_tag tag;
    bool truth;
    uint32_t id, of;
    uint32_t quantity; /* the named quantity this is, or 0 */
    struct text text;
};

enum quantity_sort { QUANTITY_STATED, QUANTITY_STANDARD, QUANTITY_DERIVED, QUANTITY_LET };

struct quantity {
    enum quantity_sort sort;
    struct text path;    /* "form.force", "overall-length.size", "cycle.time" */
    uint32_t definition; /* 0 for a let */
    atom name;
    const struct property_entry *entry; /* stated and standard ones */
    struct site site;                   /* where it is stated or derived; file 0 for a standard */
    struct low value;
    bool banded;            /* it was stated with a tolerance or as a range */
    uint32_t low, high;     /* nodes of its band, or 0 */
    struct unit unit;       /* shown in */
    bool own_unit;          /* stated in another unit than its schema row\'s */
    bool shown_as_quantity; /* it is a number, so unit applies */
    uint32_t record;        /* of its expression, where records are kept; else 0 */
    bool busy;
};

struct call_memo {                        /* a formula's call and the node it gave */
    uint32_t formula, first, count, node; /* arguments: count from first in memo_args */
    uint32_t record;                      /* of the formula's expression in that call, or 0 */
};

struct lowered {       /* a record: what a part of an expression came to */
    uint32_t node;     /* the part, in the tree of its file */
    uint32_t whole;    /* the record of the expression it is part of */
    uint32_t end;      /* records from this one up to here were made while it was lowered */
    uint32_t unfolded; /* of a call: the record of the expression that was unfolded for it; 0: none */
    struct low low;
};

enum preference { PREFER_MARGIN, PREFER_LOWEST, PREFER_HIGHEST };

struct unknown { /* a value the recipe leaves to be found */
    uint32_t input, node, quantity;
    double low, high; /* SI */
    enum preference prefer;
    struct site site; /* of its NODE_FIND */
};

struct unanimous_unit { /* a unit the library shows in, and a quantity stated in what the recipe has instead, or 0 */
    struct unit usual;
    uint32_t stated;
};

struct lowering {
    struct scope *scope;
    struct arena *arena;
    struct program program;
    ARRAY(struct quantity) quantities; /* 0 unused */
    struct map known;                  /* (sort and definition, name) to quantity */
    ARRAY(struct unknown) unknowns;
    ARRAY(struct site) origins;    /* by origin number of nodes; 0 unused */
    ARRAY(uint32_t) node_quantity; /* by node: the quantity being made when it was */
    struct map calls;              /* hash of formula and arguments to memo + 1 */
    ARRAY(struct call_memo) memos;
    ARRAY(uint32_t) memo_args;
    bool own_units; /* something is stated in another unit than the schema's */
    ARRAY(struct unanimous_unit) unanimous;
    bool exhausted;                /* PROGRAM_LIMIT was met and reported */
    bool later;                    /* uncertainties are left to renew_uncertainties(), which takes many at once */
    struct map curves;             /* property to curve + 1 */
    struct map constants;          /* property that is a function of nothing to its node */
    bool recording;                /* set before anything is lowered: what each part of an expression came to is kept */
    ARRAY(struct lowered) records; /* 0 unused; a part stands behind what it is part of */
    struct map constant_records;   /* property in `constants` to the record of its expression */
    uint32_t record;               /* of what is being lowered */
    uint32_t current;              /* quantity being made */
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

void lowering_init(struct lowering *, struct scope *, struct arena *);

/* Quantity numbers; always valid. */
uint32_t lower_property(struct lowering *, uint32_t definition, atom name);
uint32_t lower_derived(struct lowering *, uint32_t derived, uint32_t definition);
uint32_t lower_let(struct lowering *, uint32_t let);
/* All lets, and all derived values of every definition of the recipe's own scope. */
void lower_all(struct lowering *);
/* By the name a user asks with: "cycle.time", "die.temperature", "stroke.form.force". 0 when there is none. */
uint32_t quantity_named(struct lowering *, struct text path);

struct low lower_expression(struct frame *, uint32_t node);
struct low lower_call(struct frame *, uint32_t node);
/* The ids of the definitions a LOW_LIST names, in the arena; the count. */
uint32_t list_members(struct lowering *, struct low list, uint32_t **ids);
/* The same of what stands behind `each`, a kind or a list; *why says it when a list cannot be had. */
uint32_t each_members(struct frame *, uint32_t head, uint32_t **ids, struct low *why);
struct frame frame_at(struct lowering *, struct site);

/* ---- shared by the files of this stage ------------------------------------------------------------------------------------ */
struct low low_missing(struct text why, bool reported);
/* What a fault that was reported leaves behind. */
static inline struct low low_faulty(void)
{
    return (struct low){.tag = LOW_MISSING, .truth = true, .text = TEXT("")};
}

struct low low_truth(bool);
struct low low_node(uint32_t node);
struct low quantity_low(struct lowering *, uint32_t quantity);
/* The quantity a property was made into, 0 when it was not yet. */
uint32_t known_property(const struct lowering *, uint32_t definition, atom name);
/* The quantity a derived value of a definition was made into, 0 when it was not. */
uint32_t known_derived(const struct lowering *, uint32_t derived, uint32_t definition);
/* Of quantity `id`, which is being made: what its property states, what it is taken as when nobody states it, what a let
 * with a tolerance states. They give it its unit and its band too. */
struct low make_stated(struct lowering *, uint32_t id, const struct property *, uint32_t property);
struct low make_standard(struct lowering *, uint32_t id, const struct property_entry *);
struct low make_let_band(struct lowering *, uint32_t id, struct frame *, uint32_t value);
struct low not_stated(struct lowering *, uint32_t definition, atom name); /* why it is missing */
void note_spread(struct lowering *, const struct tree *, uint32_t statement);
void follow_stated_unit(struct lowering *, uint32_t quantity);
/* Of an input: what people call it, "die.temperature" or "az31b-o.strength", and the unit it is stated in: of a percentage
 * that moves a whole curve, %. */
struct text input_path(struct lowering *, const struct input *);
struct unit input_stated_unit(struct lowering *, const struct input *);
bool moves_curve(struct lowering *, const struct input *);
uint32_t origin_of(struct lowering *, uint32_t file, uint32_t node);
uint32_t emit(struct lowering *, enum op, uint32_t a, uint32_t b, uint32_t c, uint32_t origin);
uint32_t emit_uncertainty(struct lowering *, uint32_t of, uint32_t origin);
uint32_t emit_input(struct lowering *, struct input, uint32_t origin);
uint32_t emit_constant(struct lowering *, double, uint32_t origin);
uint32_t emit_call(struct lowering *, uint32_t function, const uint32_t *operands, uint32_t count, uint32_t origin);
struct low as_node(struct lowering *, struct low); /* a static truth as 1 or 0 */
struct low lower_member_of(struct lowering *, uint32_t definition, atom name);
struct low lower_function(struct lowering *, uint32_t definition, uint32_t property, const struct low *args,
                          uint32_t count, uint32_t origin);

#endif
