/* Judging: the rules of the trade and the recipe's own held against the values, and the values that `find` leaves to be
 * chosen. This is the face of the folder; verdict.h and window_map.h are what it gives to those who only print. */
#ifndef COMPILER_JUDGE_JUDGE_H
#define COMPILER_JUDGE_JUDGE_H

#include "compiler/judge/verdict.h"
#include "compiler/judge/window_map.h"
#include "compiler/lower/lower.h"
#include "compiler/text/typeset.h"
#include "runtime/proof/feasible.h"
#include "runtime/proof/proof.h"

/* ---- limits ------------------------------------------------------------------------------------------------------------ */

/* Limits: the rules of the trade and the recipe's own, held against the values.
 *
 * In: a lowering, which has every limit and requirement for each definition it speaks of, and its evaluation. Each is
 * judged at the stated values, what holds there is proved over the tolerances, what does not and is waived is set apart,
 * and only then the rest is reported. Out: one result a limit and subject, and diagnostics. A limit that lacks an input is
 * not evaluated, with the reason, never passed. What fails silences only its own dependents. */

struct broken_input { /* an input of a combination, not at its stated value */
    struct input input;
    double si; /* of one that moves a curve, its factor */
};

struct worst_case { /* over the tolerances; NaN where nothing is known */
    double value_si, low_si, high_si;
    double least;                        /* the margin (SI) is nowhere less */
    bool at_least;                       /* the budget ended before the bound was tight: it may be more */
    uint32_t broken_first, broken_count; /* the combination, in limits.broken */
};

struct limit_result {
    uint32_t rule;
    uint32_t subject; /* definition, or 0 */
    enum bound bound;
    struct low when, value, low, high, condition; /* as far as the bound has them; LOW_MISSING otherwise */
    uint32_t measured, against;                   /* the named quantities the value and the only bound are, or 0 */
    struct unit unit;
    enum verdict verdict;
    double value_si, low_si, high_si; /* NaN where there is none */
    const struct reason *why_not;     /* not evaluated, or not decided; else NULL */
    enum verdict waived;              /* VERDICT_WAIVED: the verdict without the waiver */
    uint32_t waiver;                  /* VERDICT_WAIVED: the waiver that covers it */
    struct claim claim;               /* in the program's numbers; truth 0: nothing to prove */
    struct worst_case worst;
};

struct limits {
    const struct lowering *lowering;
    ARRAY(struct limit_result) results;
    ARRAY(struct broken_input) broken;
    struct text today; /* that waivers are held against, "2026-11-25"; empty: no date was given */
};

/* Results that are not judged yet. */
void limits_begin(struct limits *, const struct lowering *);

struct deciding {           /* how results come to their verdicts */
    bool proving;           /* over the tolerances; else at the stated values alone */
    bool margins;           /* the worst margin of what is proved is wanted too, to a fiftieth */
    bool released;          /* the recipe is: nothing may stay open */
    struct text today_from; /* where the day that waivers are held against comes from, for messages: "--date" */
    struct arena *scratch;  /* used and left empty */
};
/* Judges each at the stated values, proves what holds there, sets apart what waivers cover, and reports the rest, faults of
 * evaluation among it: a curve left, a division by zero. limits.today must be set. */
void limits_decide(struct limits *, const struct evaluation *, const struct deciding *);

/* Values that are stated by a formula, against what their rows of the schema say they can be and usually are: plain numbers
 * were held against them where they are written. At the stated values, and over the tolerances. False where one cannot be,
 * which is reported: nothing that follows from it is worth saying. */
bool bounds_judge(const struct lowering *, const struct evaluation *);
bool bounds_prove(const struct lowering *, const struct evaluation *, struct arena *scratch);
void bounds_remark(const struct lowering *, const struct evaluation *); /* what is unusual at the stated values */

/* limits.today must be set. */
bool waiver_in_force(const struct limits *, const struct waiver *);
/* Of a recipe that lacks required properties, which is told: what else its limits wait for. Nothing is evaluated. */
void limits_ask(struct limits *);
bool is_open_verdict(enum verdict); /* fails, nominal only, not decided, not evaluated */

/* ---- values and words of a result ------------------------------------------------------------------------------------------ */

/* A value by its low; NaN when there is none. Truths are 1 and 0. */
double value_of(const struct evaluation *, struct low);
/* Why it has none; NULL: it has one, or is no number. */
const struct reason *why_no_value(const struct lowering *, const struct evaluation *, struct low);
/* The note of a kind that stands at a rule or derived value; may be empty. */
struct text note_text(const struct lowering *, struct site, enum token_kind);
/* A limit's value and bound as they are shown: in the unit's decimals, or in so many more that a value which keeps the bound
 * reads so, and one that does not, not. The bound is rounded to its safe side. */
struct text why_not_words(const struct lowering *, const struct limit_result *); /* in English */
struct text limit_value_words(const struct lowering *, const struct limit_result *, struct spelling);
struct text bound_words(const struct lowering *, const struct limit_result *, struct spelling);
/* The key that sorts the tightest first: the share left at worst; of a temperature, its share of a hundred kelvin; where the
 * bound is zero, the share of the value. */
double limit_tightness(const struct limit_result *);
double margin_si(const struct limit_result *);       /* at the stated values, in SI; NaN: there is none */
double margin_of(const struct limit_result *);       /* a share, at the stated values */
double worst_margin_of(const struct limit_result *); /* over the tolerances: it is nowhere less */

/* ---- unknowns ---------------------------------------------------------------------------------------------------------- */

/* Unknowns: which values the compiler chooses where the recipe says find.
 *
 * In: a lowering whose program has unknown inputs, and the limits, not judged yet. Out: the values for which every limit is
 * proved, and a settled copy of the lowering with one of them chosen, as if it had been stated; or, when there is none, a
 * fault that names the limits that conflict. What is chosen is then judged and proved like any other recipe. */

struct solution {                    /* of one unknown */
    uint32_t unknown;                /* in lowering.unknowns */
    double value;                    /* SI; the middle of the range when there is none */
    ARRAY(struct interval) feasible; /* ascending; with the other unknowns at their chosen values */
    uint32_t binds_low, binds_high;  /* limit result + 1 that ends the set below and above; 0: the range does */
};

struct solutions {
    ARRAY(struct solution) of; /* by unknown */
    bool none;                 /* no value was found, which was reported */
    bool without_waived;       /* with the limits that waivers cover there was none, so these were left out */
};

/* The lowering with its unknowns left open, so that what follows from them has no value either and says why; the same one
 * when it has none. */
const struct lowering *solve_nothing(const struct lowering *);

/* Gives the limits, and back, the lowering with the values that were chosen: the same one when there is nothing to find.
 * Waived limits are kept where they can be. limits.today must be set. ranges: the proved stretch of each value is wanted
 * too. scratch is used and left empty. */
const struct lowering *solve_unknowns(struct solutions *, struct limits *, bool ranges, struct arena *scratch);

/* ---- window ------------------------------------------------------------------------------------------------------------ */

/* Window: what the unknowns of a recipe may be, drawn as a map.
 *
 * In: limits, what was found, and which unknowns to draw. Out: compiler/judge/window_map.h. The ranges are
 * covered with cells as by `find`, only finer: they decide what is proved. Lines show which limit it is: over one unknown
 * its margin at the corner of the tolerances that the slopes point to; over two, on a lattice and to first order, the
 * margin at the stated values less every slope times its tolerance. The rows of the lattice are worked out on as many
 * threads as there are processors; the numbers are the same on any. */

enum { WINDOW_AXES = 2, POINTS_ALONE = 49, POINTS_TOGETHER = 33 };
enum { LEVELS_ALONE = 11, LEVELS_TOGETHER = 8 }; /* how often a range is halved: 256 by 256 cells over two */

struct window_request {
    uint32_t count;                /* 1 or 2 */
    uint32_t unknown[WINDOW_AXES]; /* in lowering.unknowns */
};

/* Fills axes, lines and cells. The recipe must have been evaluated. scratch is used and left empty. */
void window_fill(struct window_map *, struct limits *, const struct solutions *, const struct window_request *,
                 struct arena *scratch);

#endif
