/* Proof: whether something is true for every combination of held inputs.
 *
 * In: a program and a claim about nodes of it. Out: proved over the whole box, or broken at a point, which was evaluated
 * to be sure, or neither within the budget, with the reason. How: the interval of the claim's margin over the box; where
 * that is too wide, its slopes (runtime/evaluate/gradient.h) put the inputs it is monotone in at their ends; what is still open is
 * cut in two along the input that moves it most, the worst piece first.
 *
 * Values are SI. What is compared and comes out the same after runtime/compare.h counts as the same, as everywhere. */
#ifndef RUNTIME_PROOF_PROOF_H
#define RUNTIME_PROOF_PROOF_H

#include "runtime/proof/prover.h"

/* Boxes: for a proof at least, and at most; to tell the worst margin of what is proved. */
enum { PROOF_BUDGET = 400, PROOF_BUDGET_MOST = 20000, PROOF_FINER = 6 };

enum proof_state {
    PROOF_HOLDS,
    PROOF_IDLE, /* its condition is true nowhere */
    PROOF_BROKEN,
    PROOF_OPEN
};

struct proof {
    enum proof_state state;
    double least;    /* the margin is nowhere less; NaN: no margin, or not known */
    double attained; /* the least margin met by evaluating; NaN: none */
    double nominal;  /* the margin in the middle of the box */
    uint32_t boxes;  /* looked at */
    /* PROOF_OPEN: a node that may be undefined, with why; 0: the budget ran out. */
    uint32_t culprit;
    enum eval_fault fault;
    bool met; /* it is undefined at `worst` for certain: evaluating there said so */
};

/* Boxes worth spending before a proof is given up: more of a claim that is soon evaluated, so that none takes long. */
uint32_t prover_budget(const struct prover *);
struct logged_piece { /* a piece of the box that was looked at */
    uint32_t input; /* of the program, along which it was cut; UINT32_MAX: it was not cut, and the claim holds in it */
    double at;
    uint32_t below, above; /* what it was cut into, in the log */
    double least;          /* of one that was not cut: the margin is nowhere less; NaN: no margin */
    bool idle;             /* likewise: the claim's condition is true nowhere */
};

struct proof_log { /* the pieces of a proof; 0 is the whole box */
    struct arena *arena;
    ARRAY(struct logged_piece) pieces;
};

/* Over prover.box. budget: boxes; finer: how many more to spend on the worst margin of what is proved. */
struct proof prover_prove(struct prover *, uint32_t budget, uint32_t finer);
/* The same without telling the margin more closely, and with a log of the pieces. */
struct proof prover_prove_logged(struct prover *, uint32_t budget, struct proof_log *);
/* The least margin met at the corners of prover.box that the slopes point to, whether it is broken there or not; `worst`
 * and `at` are of that corner. No proof: for pictures. NaN where there is none. */
double prover_least_met(struct prover *);
/* Whether the claim fails, or has no value, with the unknown inputs in the middle of prover.box and the others where
 * `worst` has them: where it was last met at its least, to begin with in the middle of theirs. */
bool prover_fails_in_middle(struct prover *);
/* Puts back to its stated value whatever in `worst` is not needed to break the claim, what moves it least first. */
void prover_simplify(struct prover *);

#endif
