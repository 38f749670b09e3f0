/* Provers: what it takes to prove a claim about nodes of a program.
 *
 * In: a program and a claim about nodes of it. Out: a prover, with the part of the program that the claim rests on (its
 * cone) and room to evaluate that at points and over boxes; proof.h says what is then done with it. One that is never
 * asked is never made. Values are SI. All room stays in the arena that is given. */
#ifndef RUNTIME_PROOF_PROVER_H
#define RUNTIME_PROOF_PROVER_H

#include "runtime/cone.h"
#include "runtime/evaluate/gradient.h"

enum { MOST_SHARED = 60 }; /* held inputs of a pass over the whole program */

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
};

struct proof_room {
    struct arena *arena;
    double *point;     /* by input */
    double *evaluated; /* by input: where prover.at is, once it is known */
    bool known;
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
    bool *wanted;            /* by node of the whole program: what goes into the claim; NULL: it has a cone */
    struct node_list needed; /* the same */
};

/* Whether one of the nodes it speaks of is marked. */
bool claim_reads(const struct claim *, const bool *marked);
/* Marks the nodes a claim speaks of. */
void mark_claim(const struct claim *, bool *wanted);

/* Room for a pass that many provers share, over the nodes wanted. NULL where so much is held that every claim is better
 * off with the few inputs of its own cone: the room would grow with the square of the recipe. */
struct interval_gradient *shared_pass_new(struct arena *, const struct program *, const bool *wanted);

struct prover prover_new(struct arena *, const struct program *, struct cone_marks *, const struct claim *);
/* Several, of which one is at work at a time, none of them made yet. sharing: the largest part of their room is one and
 * the same, which spares memory, and what they remember of the box before. */
void provers_new(struct arena *, const struct program *, const struct claim *, uint32_t count, bool sharing,
                 struct prover *out);
/* For one claim after another on the whole program, over its own box, of which a pass was made: has no cone, and can look
 * at that box alone. Most claims need no more, and a cone costs as much as that look. */
struct prover prover_over(struct arena *, const struct program *, const struct interval_gradient *pass);
/* Which is next. */
void prover_take(struct prover *, const struct claim *);

/* Makes it, if it is not made; all that is done with one asks for that. */
void prover_made(struct prover *);
static inline bool prover_is_made(const struct prover *r)
{
    return r->room;
}
/* Has room to work over a box from now on. What is told of a claim by points alone needs none, so many never have it. */
void prover_ready(struct prover *);
/* `at` at a point: values by the cone's inputs. */
void prover_at_point(struct prover *, const double *point);

#endif
