/* Derivations: why a value is what it is.
 *
 * In: a compiled recipe and the quantities asked for. Out: entries, one for each value the asked ones stand on, down to
 * what is stated: its expression as written and with the values put in, where it stands, its source, and its inputs. A
 * value that several need is one entry: it stands below one of them, its home, and the others refer to it. Where a
 * value is missing the inputs without a value are followed past the depth asked for, down to what nobody stated.
 * Everything lives in the recipe's arena and nothing is printed here; the printers are below. */
#ifndef COMPILER_REVIEW_WHY_WHY_H
#define COMPILER_REVIEW_WHY_WHY_H

#include "compiler/recipe.h"
#include "runtime/base/buffer.h"

enum { WHY_DEPTH = 3, WHY_DEPTH_MOST = 99, WHY_LIMIT = 10000 /* entries */ };

enum why_sort {
    WHY_STATED,
    WHY_STANDARD, /* not stated, taken as standard */
    WHY_ABSENT,   /* not stated, and there is no standard */
    WHY_DERIVED,  /* by a derive or let */
    WHY_FORMULA,  /* a formula, as called */
    WHY_FUNCTION, /* a definition's curve, function or constant, as called */
    WHY_BUILTIN   /* a built-in function that does more than arithmetic, as called */
};

struct why_input {
    uint32_t entry;
    bool home;  /* it is shown below this one; else only referred to */
    bool asked; /* only whether it is stated was asked */
};

struct why_rows {           /* where a table was read: one row or the two on either side of the value asked for */
    uint32_t rows, columns; /* 0 rows: no table; 0 columns: a table of one variable; at most 2 each */
    struct shown at[2], across[2], value[2][2];
};

struct why_entry {
    enum why_sort sort;
    struct text name;  /* "form.force"; of a call with what went in: "h13.expansion(200 degC)" */
    struct text label; /* for people; may be empty */
    struct shown shown;
    struct text why_not; /* the reason when it has no value; else empty */
    bool inherited;      /* of a call: it has none because what went into it has none */
    struct text head;    /* of a formula or function: "growth(expansion, temperature)"; else empty */
    struct text written; /* its expression, on one line; empty when a plain value is stated */
    struct text taken;   /* what is left of it when the conditions are decided; empty when there were none */
    struct text numbers; /* the same with the values put in; empty when that says nothing more */
    struct text file;    /* and line: where it stands, or where it is missing; empty for a standard and a built-in */
    uint32_t line;
    struct text owner;  /* WHY_ABSENT: "the sheet", which may state it; empty when only the standard cannot be had */
    struct text source; /* source note; may be empty */
    struct why_rows rows;
    bool more;                      /* it has inputs that the depth cut off */
    ARRAY(struct why_input) inputs; /* each once, in reading order */
};

struct why_move {      /* an input with a held band, and how it moves what was asked for, at the stated values */
    struct text input; /* "die.temperature" */
    struct text band;  /* "+/- 4 K" */
    struct text slope; /* "2.05 um/K", by first derivatives, all ways together */
    double effect;     /* of half the band, with its sign, in the unit below */
    struct text unit, effect_text;
    double share; /* of the variance */
};

struct why_root {
    uint32_t entry;
    ARRAY(struct why_move) moves; /* greatest first */
    /* Labelled values of the same definition that follow at once from those shown: part-shrinks and tool-grows beside
     * a tool's size. Entries, whose inputs are all shown already. */
    ARRAY(uint32_t) also;
};

struct why {
    struct arena *arena;
    ARRAY(struct why_entry) entries; /* 0 unused; in the order in which they are shown */
    ARRAY(struct why_root) roots;    /* as asked */
    bool cut;                        /* WHY_LIMIT was met */
};

extern const char *const why_sort_names[]; /* "stated", "standard", ... */

/* Inputs are followed for `depth` levels below each quantity. The recipe's library was told to keep records. NULL when the recipe was not evaluated or memory ran out;
 * then state says which. */
const struct why *why_derive(struct strokewright_recipe *, const uint32_t *quantities, uint32_t count, uint32_t depth);

/* ---- printers ------------------------------------------------------------------------------------------------------ */

void why_text(struct buffer *, const struct why *, uint32_t width); /* a tree for the terminal */
void why_json(struct buffer *, const struct why *); /* { "asked": [{ "entry", "also" }], "entries": [...] } */
void why_dot(struct buffer *, const struct why *);  /* a graph in the Graphviz language */

#endif
