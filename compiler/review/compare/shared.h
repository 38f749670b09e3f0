/* Changes of files that many recipes use: told once, at the statement that was changed, with the recipes it moves.
 *
 * In: one move a recipe, from compare_against(). Out: a diagnostic a changed file, with a label at the revision of each
 * recipe: an error when one of them has to get a new revision, a note when nothing that stands on a paper moved. */
#ifndef COMPILER_REVIEW_COMPARE_SHARED_H
#define COMPILER_REVIEW_COMPARE_SHARED_H

#include "compiler/review/compare/compare.h"

enum { SHARED_LABELS = 8 }; /* recipes that are shown; the others are counted */

struct shared_file {
    struct text path;
    struct span span;         /* the first statement that was changed */
    struct text words;        /* what it was and is */
    uint32_t recipes, asking; /* moved by it, and of these those that have to get a new revision */
    ARRAY(struct label) labels;
};

struct shared {
    struct arena *arena;
    struct sources sources; /* copies, since the recipes are closed one after the other */
    ARRAY(struct shared_file) files;
};

void shared_init(struct shared *, struct arena *);
/* The recipe that moved must still be open. */
void shared_add(struct shared *, const struct compare_move *);
/* against: as of compare_against(). */
void shared_report(const struct shared *, struct diagnostics *, struct text against);

#endif
