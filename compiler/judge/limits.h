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
    bool at_least;                       /* it may well be more: it was not told more exactly within the budget */
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
    struct text why_not;
    bool quiet;          /* the reason was reported as a fault of its own */
    enum verdict waived; /* VERDICT_WAIVED: the verdict without the waiver */
    uint32_t waiver;     /* VERDICT_WAIVED: the waiver that covers it */
    struct claim claim;  /* in the program's numbers; truth 0: nothing to prove */
    struct worst_case worst;
};

struct limits {
    const struct lowering *lowering;
    ARRAY(struct limit_result) results;
    ARRAY(struct broken_input) broken;
    struct text today; /* that waivers are held against, "2026-11-25"; empty: no date was given */
};

void limits_begin(struct limits *, const struct lowering *);
void limits_judge(struct limits *, const struct evaluation *);
/* Proves over the tolerances what holds at the stated values. margins: the worst margin of what is proved is wanted too, to
 * a fiftieth. scratch is used and left empty. */
void limits_prove(struct limits *, const struct evaluation *, bool margins, struct arena *scratch);
/* Sets apart what the scope's waivers cover today, and reports how each waiver came out. today_from: what told the
 * day, for people: "--date". */
void limits_waive(struct limits *, struct text today_from);
/* Whether a waiver in force covers it, whatever its verdict. m->today must be set. */
bool is_waivable(const struct limits *, const struct limit_result *);
bool waiver_in_force(const struct limits *, const struct waiver *);
/* Reports what neither holds nor is waived. */
/* Of a recipe that lacks required properties, which is told: what else its limits wait for. Nothing is evaluated. */
void limits_ask(struct limits *);
void limits_report(struct limits *, bool released);
/* Faults of evaluation: a curve left, a division by zero; once for each culprit. What only a waived limit needs is not
 * reported. */
void report_evaluation(const struct lowering *, const struct limits *, const struct evaluation *);

/* A value by its low; NaN and *why when there is none. Truths are 1 and 0. */
double value_of(const struct lowering *, const struct evaluation *, struct low, struct text *why, bool *quiet);
struct text culprit_words(const struct lowering *, const struct evaluation *, uint32_t node);
struct text rule_words(const struct lowering *, uint32_t rule, uint32_t subject); /* "corner-cracking of rim" */
struct text note_text(const struct lowering *, struct site,
                      enum token_kind); /* of a rule or derived value; may be empty */
bool is_open_verdict(enum verdict);     /* fails, nominal only, not decided, not evaluated */
/* "the draw ratio is 2.08, and must be at most 1.46 (the limiting draw ratio)"; "it is ..." where the value has no name;
 * empty where there is no value. The other is the same over the tolerances. */
struct text measured_words(const struct lowering *, const struct limit_result *);
struct text worst_words(const struct lowering *, const struct limit_result *);
/* ", which it misses by 2 um" where value and bound would read the same; else empty. */
struct text hair_words(const struct lowering *, const struct limit_result *);
/* What is wrong with a result of such a verdict: "the bend ratio is 0.32, and must be at least 0.35". */
struct text open_words(const struct lowering *, const struct limit_result *, enum verdict);
/* A limit's value and bound as they are shown: in the unit's decimals, or in so many more that a value which keeps the bound
 * reads so, and one that does not, not. The bound is rounded to its safe side. */
struct text limit_value_words(const struct lowering *, const struct limit_result *, struct spelling);
struct text bound_words(const struct lowering *, const struct limit_result *, struct spelling);
/* What the tightest comes first by: the share left at worst; of a temperature, its share of a hundred kelvin; where the
 * bound is zero, the share of the value. */
double limit_tightness(const struct limit_result *);
/* Proves a result's claim over its prover's box and keeps the worst case in it. */
enum proof_state prove_result(struct limit_result *, struct prover *, uint32_t budget, uint32_t finer);
/* What of a proof is told with its limit. */
void keep_worst(struct limit_result *, struct prover *, const struct proof *);
/* The same from the corners the slopes point to alone: no proof. */
void look_at_worst(struct limit_result *, struct prover *);
struct limit_provers { /* of the claims that read an unknown */
    struct prover *at;
    uint32_t *result; /* by prover: index of the limit result */
    uint32_t count;
};
/* On a program, the lowering's own or a copy of it. without_waived: not of those that a waiver in force covers. All in the
 * arena. */
struct limit_provers limit_provers(struct limits *, const struct program *, const struct unknowns *,
                                   bool without_waived, struct arena *);
double margin_si(const struct limit_result *);       /* at the stated values, in SI; NaN: there is none */
double margin_of(const struct limit_result *);       /* a share, at the stated values */
double worst_margin_of(const struct limit_result *); /* over the tolerances: it is nowhere less */
struct span place_of_result(const struct lowering *, const struct limit_result *);

#endif
