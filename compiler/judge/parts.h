/* The parts of judging, for this folder alone: limits judged, proved, waived and reported one after another, and values found
 * where all of them are proved. */
#ifndef COMPILER_JUDGE_PARTS_H
#define COMPILER_JUDGE_PARTS_H

#include "compiler/judge/judge.h"

/* ---- the steps of limits_decide() -------------------------------------------------------------------------------------- */

void limits_prove(struct limits *, const struct evaluation *, bool margins, struct arena *scratch);
void limits_waive(struct limits *, struct text today_from);
void limits_report(struct limits *, bool released);
void limits_report_taken(const struct limits *,
                         const struct evaluation *); /* what nobody stated and is taken as something */
/* Once for each culprit. What only a waived limit needs is not reported. */
void limits_report_evaluation(const struct limits *, const struct evaluation *);

/* Whether a waiver in force covers it, whatever its verdict. */
bool is_waivable(const struct limits *, const struct limit_result *);

/* ---- words of messages ------------------------------------------------------------------------------------------------- */

const struct reason *culprit_reason(const struct lowering *, const struct evaluation *, uint32_t node);
struct text rule_words(const struct lowering *, uint32_t rule, uint32_t subject); /* "corner-cracking of rim" */
/* "the draw ratio is 2.08, and must be at most 1.46 (the limiting draw ratio)"; "it is ..." where the value has no name;
 * empty where there is no value. The other is the same over the tolerances. */
struct text measured_words(const struct lowering *, const struct limit_result *);
struct text worst_words(const struct lowering *, const struct limit_result *);
/* ", which it misses by 2 um" where value and bound would read the same; else empty. */
struct text hair_words(const struct lowering *, const struct limit_result *);
/* What is wrong with a result of such a verdict: "the bend ratio is 0.32, and must be at least 0.35". */
struct text open_words(const struct lowering *, const struct limit_result *, enum verdict);
struct span place_of_result(const struct lowering *, const struct limit_result *);

/* ---- one limit over the tolerances ------------------------------------------------------------------------------------- */

/* Proves a result's claim over its prover's box and keeps the worst case in it. */
enum proof_state prove_result(struct limit_result *, struct prover *, uint32_t budget, uint32_t finer);
/* Keeps the inputs that break it, from a prover whose proof was broken; in words, and a label for each. */
void keep_combination(struct limits *, const struct evaluation *, struct limit_result *, struct prover *);
struct text combination_words(struct limits *, const struct limit_result *);
void label_inputs(struct limits *, struct diagnostic *, const struct limit_result *);
/* Keeps the worst case that a proof met. */
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

/* ---- finding values: the feasible set (solve.c), the point chosen in it (solve_choice.c), the message when it is empty
 * (solve_conflict.c) ---------------------------------------------------------------------------------- */

enum { LEVELS_ONE = 7 }; /* a 128th of the range for one unknown */

struct solving {
    struct limits *limits;
    const struct lowering *lowering;
    struct solutions *out;
    bool ranges;
    struct arena *scratch;
    struct unknowns unknowns;
    struct limit_provers claims;
};

/* Feasible ranges along one unknown, from cells in ascending order, and the limits that end them. */
void solve_gather_ranges(struct solving *, const struct feasible *, uint32_t unknown, struct solution *out);

/* Whether all is proved at a point; *margins, by claim, is how tight each is, the tightest first. */
bool solve_proved_at(struct solving *, const double *point, double *margins);
/* The point preferred, at round values where all is proved there. Nothing when no cell is feasible. */
void solve_choose_point(struct solving *, const struct feasible *, double *chosen);

/* No value: which limits conflict, and by how much. */
void report_none(struct solving *, const struct feasible *);
/* No limit reads it. */
void report_free(struct solving *, uint32_t unknown);

#endif
