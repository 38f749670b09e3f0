/* Provers: what it takes to prove a claim about nodes of a program.
 *
 * In: a program and a claim about nodes of it. Out: a prover, with the part of the program that the claim rests on (its
 * cone) and room to evaluate that at points and over boxes; proof.h says what is then done with it. Values are SI. All
 * room stays in the arena that is given. */
#ifndef RUNTIME_PROOF_PROVER_H
#define RUNTIME_PROOF_PROVER_H

#include "runtime/cone.h"
#include "runtime/evaluate/gradient.h"

struct claim {
    uint32_t when;        /* truth node: only where it is true is anything claimed; 0: everywhere */
    uint32_t truth;       /* truth node: what must be true */
    uint32_t margin;      /* node that is at least 0 where that is true, and greater the more so; 0: there is none */
    bool strict;          /* the margin must be above zero */
    uint32_t compared[4]; /* pairs of nodes whose differences the margin is, for what counts as the same; 0: no more */
};

struct proof_piece {
    double least; /* the margin is nowhere in it less; -HUGE_VAL: not known */
    bool good;
    uint32_t box;    /* first of its intervals in boxes */
    uint32_t column; /* the held input to cut along */
    uint32_t culprit;
    enum eval_fault fault;
    uint32_t logged; /* its number in the log */
};

struct prover { /* of one claim */
    struct arena *arena;
    struct cone cone;
    struct claim claim;   /* in the cone's numbers */
    struct interval *box; /* by the cone's inputs: to begin with, what they are held in */
    double *worst;        /* by the cone's inputs: where `attained` was met, or what breaks the claim or has no value */
    struct evaluation at; /* at a point: after prover_prove() and prover_simplify(), `worst` */
    double *evaluated;    /* by the cone's inputs: that point, once it is known */
    bool known;
    struct interval_gradient over; /* and over a piece */
    /* Room for a proof. */
    double *point;                    /* by the cone's inputs */
    struct interval *half;            /* likewise */
    ARRAY(struct proof_piece) pieces; /* those that may need another look */
    ARRAY(struct interval) boxes;
};

/* Whether one of the nodes it speaks of is marked. */
bool claim_reads(const struct claim *, const bool *marked);
/* At a point that was evaluated, the nodes being those of the claim: whether it fails there, or has no value. */
bool claim_fails(const struct evaluation *, const struct claim *);

struct prover prover_new(struct arena *, const struct program *, struct cone_marks *, const struct claim *);
/* Evaluates `at` at a point: values by the cone's inputs. */
void prover_at_point(struct prover *, const double *point);

#endif
