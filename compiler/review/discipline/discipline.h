/* Revision discipline: who changes what a recipe means gives it another revision.
 *
 * In: two states of one recipe, compiled. Out: faults among the diagnostics of the later. A change of files that many
 * recipes use is told once, at the statement that was changed, with the recipes it moves: an error when one of them has to
 * get a new revision, a note when nothing that stands on a paper moved. */
#ifndef COMPILER_REVIEW_DISCIPLINE_DISCIPLINE_H
#define COMPILER_REVIEW_DISCIPLINE_DISCIPLINE_H

#include "compiler/review/compare/compare.h"

enum discipline_answer {
    DISCIPLINE_JUDGED,
    DISCIPLINE_NO_MEMORY,
    DISCIPLINE_NEEDS_PROOF /* only what follows can tell, and `before` was not worked out so far: nothing was reported */
};

/* What asks for a new revision where only files that the recipe uses were changed: bits of sections, 1 << COMPARE_SIZE and
 * so on. */
enum {
    DISCIPLINE_ASKS =
        1 << COMPARE_SIZE | 1 << COMPARE_SET | 1 << COMPARE_VERDICT | 1 << COMPARE_MARGIN | 1 << COMPARE_CAUTION
};
/* From a list such as "sizes,settings,limits"; false, and *wrong is the word, when there is one that it cannot have. */
bool discipline_read_asks(struct text list, uint32_t *asks, struct text *wrong);

struct discipline_cause { /* a statement of a used file that was changed */
    struct span span;     /* in the sources of the recipe */
    struct text words;    /* "press bay-2, handling: 5 s -> 7 s" */
};

struct discipline_move {                   /* what files that a recipe uses change in it */
    ARRAY(struct discipline_cause) causes; /* one a file; none: nothing moved */
    struct strokewright_recipe *recipe;
    struct span revision; /* in its sources */
    struct text words;    /* "revision C; cycle.time: 20 s -> 22 s, and 3 more" */
    bool asks;            /* for a new revision */
};

struct discipline_request {
    struct text against; /* which `before` is: "at HEAD~1", "in lid-b.recipe" */
    bool proved;         /* `before` was worked out all the way; STROKEWRIGHT_STATED is enough until it is asked for */
    uint32_t asks;
    struct arena *arena; /* of the move's texts */
};

/* Faults of revision discipline go to the diagnostics of `after`: what it states differs from `before` and the revision
 * does not, or goes back. Where only files that it uses were changed, *move says what that does. */
enum discipline_answer discipline_check(struct arena *, struct strokewright_recipe *before,
                                        struct strokewright_recipe *after, const struct discipline_request *,
                                        struct discipline_move *);

/* ---- changes of files that many recipes use ------------------------------------------------------------------------ */

enum { DISCIPLINE_LABELS = 8 }; /* recipes that are shown; the others are counted */

struct discipline_file {
    struct text path;
    struct span span;         /* the first statement that was changed */
    struct text words;        /* what it was and is */
    uint32_t recipes, asking; /* moved by it, and of these those that have to get a new revision */
    ARRAY(struct label) labels;
};

struct discipline_shared {
    struct arena *arena;
    struct sources sources; /* copies, since the recipes are closed one after the other */
    ARRAY(struct discipline_file) files;
};

void discipline_shared_init(struct discipline_shared *, struct arena *);
/* The recipe that moved must still be open. */
void discipline_shared_add(struct discipline_shared *, const struct discipline_move *);
/* against: as of discipline_check(). */
void discipline_shared_report(const struct discipline_shared *, struct diagnostics *, struct text against);

#endif
