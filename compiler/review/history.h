/* The history of one value: what it was at each revision, how it moved, and why it could not be had where it could not.
 *
 * In: the recipe compiled at each commit, oldest first. Out: rows, and printers for them: a table with a small chart for
 * the terminal, CSV and JSON. Values are shown in the unit of the newest. Rows own nothing of the recipes: what they
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
    struct text shown, change; /* filled in by history_finish() */
    double value, percent;     /* in the unit shown; NaN */
};

struct history {
    struct arena *arena;
    struct text name;
    struct unit unit;
    ARRAY(struct history_row) rows; /* oldest first */
};

/* Adds what the recipe says of the value; NULL recipe: why_not says it. Returns the row, for the rest. */
struct history_row *history_add(struct history *, struct strokewright_recipe *, struct text why_not);
void history_finish(struct history *); /* after the last row */

void history_text(struct buffer *, struct history *, uint32_t width);
void history_csv(struct buffer *, const struct history *);
void history_json(struct buffer *, const struct history *);

#endif
