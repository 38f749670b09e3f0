/* Proof: whether something is true for every combination of held inputs.
 *
 * In: a program and a claim about nodes of it. Out: proved over the whole box, or broken at a point, which was evaluated
 * to be sure, or neither within the budget, with the reason. How: the interval of the claim's margin over the box; where
 * that is too wide, its slopes (runtime/gradient.h) put the inputs it is monotone in at their ends; what is still open is
 * cut in two along the input that moves it most, the worst piece first.
 *
 * Values are SI. What is compared and comes out the same after runtime/compare.h counts as the same, as everywhere. */
#ifndef RUNTIME_PROOF_H
#define RUNTIME_PROOF_H

#include "runtime/cone.h"
#include "runtime/gradient.h"

enum { PROOF_BUDGET = 400, PROOF_FINER = 6 }; /* boxes: for a proof; to tell the worst margin of what is proved */
enum { MOST_SHARED = 60 };                    /* held inputs of a pass over the whole program */

struct claim {
    uint32_t when;        /* truth node: only where it is true is anything claimed; 0: everywhere */
    uint32_t truth;       /* truth node: what must be true */
    uint32_t margin;      /* node that is at least 0 where that is true, and greater the more so; 0: there is none */
    bool strict;          /* the margin must be above zero */
    uint32_t compared[4]; /* pairs of nodes whose differences the margin is, for what counts as the same; 0: no more */
};

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
    uint32_t boxes;  /* looked at */
    /* PROOF_OPEN: a node that may be undefined, with why; 0: the budget ran out. */
    uint32_t culprit;
    enum eval_fault fault;
    bool met; /* it is undefined at `worst` for certain: evaluating there said so */
};

struct proof_piece {
    double least; /* the margin is nowhere in it less; -HUGE_VAL: not known */
    bool good;
    uint32_t box;    /* first of its intervals in boxes */
    uint32_t column; /* the held input to cut along */
    uint32_t culprit;
    enum eval_fault fault;
};

struct proof_room {
    struct arena *arena;
    double *point; /* by input */
    struct interval *half;
    ARRAY(struct proof_piece) pieces; /* those that may need another look */
    ARRAY(struct interval) boxes;
};

/* What provers of one program are made from, each when it is first asked for: most claims are settled by what is worked
 * out for all of them at once, and never need one. */
struct prover_source {
    struct arena *arena;
    const struct program *whole;
    struct cone_marks marks;
    struct interval *box;     /* by the whole's inputs: what a prover begins with */
    struct shared_rows *rows; /* of those made last */
    bool sharing;
};

struct prover {                   /* of one claim */
    struct claim of;              /* as asked for, in the whole program's numbers */
    struct prover_source *source; /* NULL: made at once. What follows is there from prover_made() on */
    struct cone cone;
    struct claim claim;   /* the same in the cone's */
    struct interval *box; /* by the cone's inputs: to begin with, what they are held in */
    double *worst;        /* by the cone's inputs: where `attained` was met, or what breaks the claim or has no value */
    struct evaluation at; /* at a point: after prove() and simplify(), `worst` */
    struct interval_gradient over; /* and over a piece; made by prover_ready() */
    struct proof_room *room;
    const struct interval_gradient *shared; /* a pass of the whole program over `box`, made for many claims; or NULL */
};

/* Room for a pass that many provers share, over the nodes wanted. NULL where so much is held that every claim is better off with the few
 * inputs of its own cone: the room would grow with the square of the recipe. */
struct interval_gradient *shared_pass_new(struct arena *, const struct program *, const bool *wanted);
/* Whether one of the nodes it speaks of is marked. */
bool claim_reads(const struct claim *, const bool *marked);
/* Marks the nodes a claim speaks of. */
void mark_claim(const struct claim *, bool *wanted);
/* All room stays in the arena. */
struct prover prover_new(struct arena *, const struct program *, struct cone_marks *, const struct claim *);
/* Several, of which one is at work at a time, none of them made yet. sharing: the largest part of their room is one and
 * the same, which spares memory, and what they remember of the box before. */
void provers_new(struct arena *, const struct program *, const struct claim *, uint32_t count, bool sharing,
                 struct prover *out);
/* Makes it, if it is not made; all below ask for that. */
void prover_made(struct prover *);
static inline bool prover_is_made(const struct prover *r)
{
    return r->room;
}
/* Has room to work over a box from now on. What is told of a claim by points alone needs none, so many never have it. */
void prover_ready(struct prover *);
/* At a point that was evaluated, the nodes being those of the claim: whether it fails there, or has no value. */
bool claim_fails(const struct evaluation *, const struct claim *);
/* Over prover.box. budget: boxes; finer: how many more to spend on the worst margin of what is proved. */
struct proof prove(struct prover *, uint32_t budget, uint32_t finer);
/* The least margin met at the corners of prover.box that the slopes point to, whether it is broken there or not; `worst`
 * and `at` are of that corner. No proof: for pictures. NaN where there is none. */
double least_met(struct prover *);
/* Whether the claim fails, or has no value, with the unknown inputs in the middle of prover.box and the others where
 * `worst` has them: where it was last met at its least, to begin with in the middle of theirs. */
bool fails_in_middle(struct prover *);
/* Puts back to its stated value whatever in `worst` is not needed to break the claim, what moves it least first. */
void simplify(struct prover *);

#endif
