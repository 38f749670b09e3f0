/* The history of one value: what it was at each revision, how it moved, and why it could not be had where it could not.
 *
 * In: the recipe compiled at each commit, parents before children. Out: rows, and printers for them: a table with a small
 * chart for the terminal, in which branches are drawn, CSV and JSON. How a value moved is told from the commit before it on
 * the same branch. Values are shown in the unit of the newest. Rows own nothing of the recipes: what they
 * show is copied into the arena. */
#ifndef COMPILER_REVIEW_HISTORY_H
#define COMPILER_REVIEW_HISTORY_H

#include "compiler/recipe.h"
#include "runtime/base/buffer.h"

struct history_row {
    struct text revision; /* of the recipe; empty when it could not be read */
    struct text date;     /* of the commit, "2026-11-02"; empty for what is not committed */
    struct text commit;   /* short; empty for what is not committed */
    struct text file;     /* its name then */
    struct text cause;    /* "shop/press-bay.recipe" when that was changed and not the recipe's own file; else empty */
    double si;            /* NaN: no number */
    struct unit unit;     /* factor 0: none */
    struct text word;     /* of a value that is no number */
    struct text why_not;
    uint32_t parents[2];       /* rows of the commits it follows, from 1; the second of a merge; 0: none */
    struct text parent_names;  /* "a1b2c3d 9f8e7d6" */
    struct text shown, change; /* filled in by history_finish() */
    double value, percent;     /* in the unit shown; NaN */
};

struct history {
    struct arena *arena;
    struct text name;
    struct unit unit;
    ARRAY(struct history_row) rows; /* parents before children */
};

/* Adds what the recipe says of the value; NULL recipe: why_not says it. Returns the row, for the rest. */
struct history_row *history_add(struct history *, struct strokewright_recipe *, struct text why_not);
void history_finish(struct history *); /* after the last row */

struct history_lanes { /* how branches are drawn beside a row, one column a branch; empty: it is all one line */
    struct text fork, row,
        merge; /* lines before the row, beside it, and before it of a merge; the first and last may be empty */
};
/* One for each row, in the arena; NULL when there is one branch only. */
const struct history_lanes *history_draw(const struct history *);

void history_text(struct buffer *, struct history *, uint32_t width);
void history_csv(struct buffer *, const struct history *);
void history_json(struct buffer *, const struct history *);

#endif
