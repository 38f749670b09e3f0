/* Lowering: a typed scope becomes a frozen program.
 *
 * In: a scope that typing found good enough, with bindings, and what will be shown of it. Out: quantities, that is every
 * stated, derived and let value with its node of the program; limits, cautions and texts as nodes; values asked for by
 * name. Formulas and property functions are unfolded where they are called; references, words, lists and conditions on
 * them are decided here, so the program holds numbers only. What lacks a statement is "missing", with the reason, and
 * whatever needs it is missing for the same reason.
 *
 * Everything is made by lowering_of(). After it the program is frozen: whoever has a lowering has it const, and lookups
 * find what was made and make nothing. Everything lives in the arena. */
#ifndef COMPILER_LOWER_LOWER_H
#define COMPILER_LOWER_LOWER_H

#include "compiler/lower/demand.h"
#include "compiler/lower/reason.h"
#include "compiler/model/typing.h"
#include "runtime/evaluate/evaluate.h"
#include "runtime/proof/proof.h"

enum low_tag {
    LOW_MISSING,    /* why: what is lacking */
    LOW_NODE,       /* id: node of the program */
    LOW_TRUTH,      /* truth, decided now */
    LOW_DEFINITION, /* id */
    LOW_LIST,       /* id: list of definitions, see lowering_members() */
    LOW_FUNCTION,   /* id: the property function's property; of definition `of` */
    LOW_WORD,       /* text */
    LOW_TEXT,       /* id: quantity; see lowering_text() */
    LOW_DATE        /* text */
};

struct low { /* what an expression comes to */
    enum low_tag tag;
    bool truth;
    uint32_t id, of;
    uint32_t quantity; /* the named quantity this is, or 0 */
    struct text text;
    const struct reason *why;
};

/* What two parts lack together, so that all that is missing is asked for in one run. A low that is not missing adds
 * nothing. */
struct low low_both_missing(struct arena *, struct low, struct low);

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
    bool own_unit;          /* stated in another unit than its schema row's */
    bool shown_as_quantity; /* it is a number, so unit applies */
    uint32_t record;        /* of its expression, where records are kept; else 0 */
    bool open;              /* it is stated as ? */
    bool busy;              /* being made */
};

struct lowered {       /* a record, kept for derivations: what a part of an expression came to */
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

enum bound { BOUND_AT_LEAST, BOUND_AT_MOST, BOUND_WITHIN, BOUND_CONDITION };

struct lowered_limit { /* a limit or requirement for one subject */
    uint32_t rule;
    uint32_t subject; /* definition, or 0 */
    enum bound bound;
    struct low when, value, low, high, condition; /* as far as the bound has them; LOW_MISSING otherwise */
    uint32_t measured, against;                   /* the named quantities the value and the only bound are, or 0 */
    struct unit unit;
    struct claim claim; /* truth 0: nothing to prove */
};

struct lowered_bound { /* a value that is stated by a formula, and what its row says it can be */
    struct site site;  /* of its statement */
    uint32_t quantity; /* 0: it is a function of a definition, and this is one call of it */
    const struct property_entry *entry;
    uint32_t node;
    struct claim claim; /* truth 0: it can be anything */
};

struct lowered_caution {
    uint32_t rule, subject;
    struct low when;
};

struct text_part { /* a value that goes into a text */
    struct low low;
    struct unit unit;
};

struct lowered_text {      /* a text with { } */
    struct site site;      /* of its NODE_TEXT */
    uint32_t first, count; /* of its parts, in text_parts */
};

struct lowering {
    struct scope *scope;
    struct arena *arena;
    struct program program;
    ARRAY(struct quantity) quantities; /* 0 unused */
    ARRAY(struct unknown) unknowns;
    ARRAY(struct lowered_limit) limits;
    ARRAY(struct lowered_bound) bounds;
    ARRAY(struct lowered_caution) cautions;
    ARRAY(struct lowered_text) texts;
    ARRAY(struct text_part) text_parts;
    ARRAY(struct site) origins;    /* by origin number of nodes; 0 unused */
    ARRAY(uint32_t) node_quantity; /* by node: the quantity being made when it was */
    uint32_t *asked;               /* by name of the demand: quantity, 0 when there is none of that name */
    struct map curves;             /* property to curve + 1 */
    ARRAY(struct lowered)
    records;               /* 0 unused; a part stands behind what it is part of; where a derivation is demanded */
    struct making *making; /* parts.h */
};

/* Lowers what the demand names and freezes it: uncertainties get their values as the last act. */
const struct lowering *lowering_of(struct scope *, const struct demand *, struct arena *);
/* The same program with its unknowns at these values, in their order, as if they had been stated; NaN: left open, so that
 * what follows from one has no value either. Inputs and uncertainties are its own; all else is shared. */
const struct lowering *lowering_settled(const struct lowering *, const double *values);

/* ---- lookups: quantity numbers, 0 for what was not lowered ------------------------------------------------------------- */

uint32_t lowering_property(const struct lowering *, uint32_t definition, atom name);
uint32_t lowering_derived(const struct lowering *, uint32_t derived, uint32_t definition);
uint32_t lowering_let(const struct lowering *, uint32_t let);
/* A property or derived value of a definition. */
uint32_t lowering_member(const struct lowering *, uint32_t definition, atom name);
/* By the name a user asks with: "cycle.time", "die.temperature", "stroke.form.force". */
uint32_t lowering_named(const struct lowering *, struct text path);
/* The definitions that a LOW_LIST names; the count. */
uint32_t lowering_members(const struct lowering *, struct low list, const uint32_t **ids);
/* The text with { } at a place, of a subject or 0; NULL: it has none. */
const struct lowered_text *lowering_text(const struct lowering *, struct site, uint32_t subject);

/* ---- inputs ------------------------------------------------------------------------------------------------------------ */

/* What people call it, "die.temperature" or "az31b-o.strength", and the unit it is stated in: of a percentage that moves a
 * whole curve, %. */
struct text lowering_input_path(const struct lowering *, const struct input *);
struct unit lowering_input_unit(const struct lowering *, const struct input *);
bool lowering_input_moves_curve(const struct lowering *, const struct input *);

/* The line `name = ...` of a limit, requirement or caution, 0 when absent. */
uint32_t rule_line(const struct tree *, uint32_t rule_node, const char *name);

#endif
