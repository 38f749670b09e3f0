/* Limits: the rules of the trade and the recipe's own, held against the values.
 *
 * In: a lowering, which has every limit and requirement for each definition it speaks of, and its evaluation. Each is
 * judged at the stated values, what holds there is proved over the tolerances, what does not and is waived is set apart,
 * and only then the rest is reported. Out: one result a limit and subject, and diagnostics. A limit that lacks an input is
 * not evaluated, with the reason, never passed. What fails silences only its own dependents. */
#ifndef COMPILER_JUDGE_LIMITS_H
#define COMPILER_JUDGE_LIMITS_H

#include "compiler/judge/verdict.h"
#include "compiler/lower/lower.h"
#include "compiler/text/typeset.h"
#include "runtime/proof/feasible.h"
#include "runtime/proof/proof.h"

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

#endif
