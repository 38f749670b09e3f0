/* Steps: from values and verdicts to the step table; what makers of one and readers of single values call.
 *
 * In: a lowering, its evaluation and limits. Out: compiler/table/step_table.h, everything the shop's papers show, as text
 * and number. All texts are in the language and spelling of `struct steps`, and live in the lowering's arena. */
#ifndef COMPILER_TABLE_STEPS_H
#define COMPILER_TABLE_STEPS_H

#include "compiler/judge/judge.h"
#include "compiler/table/step_table.h"

struct steps {
    const struct lowering *lowering;
    struct limits *limits;
    const struct evaluation *values;
    const struct solutions *solutions; /* NULL: nothing was to be found */
    enum toward *sides;                /* by quantity, to which it is rounded where it is read */
    uint32_t sided;                    /* quantities that have one */
    struct spelling spelling;          /* of the texts of the table being made */
};

/* ---- before values ------------------------------------------------------------------------------------------------ */

void steps_check(struct scope *);   /* order and numbers of the steps */
void changes_check(struct scope *); /* change blocks against one another and the recipe's revision and date */
/* -1, 0 or 1 as revision a comes before b, is the same or comes after: A before B, Z before AA, 9 before 10, B before B.1;
 * REVISIONS_UNRELATED when nothing says, as of 3 and C. */
int revision_order(struct text a, struct text b);
enum { REVISIONS_UNRELATED = 2 };

/* ---- tables ------------------------------------------------------------------------------------------------------- */

/* The parts that were demanded. Fixed texts, the library's among them, in the language of the spelling; what the recipe says
 * stays as written. The fingerprint is the caller's to put in. */
struct step_table *steps_table(struct steps *, const struct demand *, struct spelling, struct text file,
                               struct text version);
/* Of it the limits and what was chosen, and nothing else: for `check`, which runs on every commit. */
struct step_table *steps_limits_table(struct steps *, struct spelling);

/* ---- single values; quantity 0: there is none --------------------------------------------------------------------- */

double quantity_si(const struct steps *, uint32_t quantity); /* NaN when it has no value */
/* Why it has none, in the spelling of the steps; empty when it has one. */
struct text quantity_why_not(struct steps *, uint32_t quantity);
/* What a definition has for a purpose; 0 when its kind has nothing, or it is not stated. */
uint32_t quantity_for(struct steps *, uint32_t definition, enum purpose);
struct shown shown_value(struct steps *, uint32_t quantity);
struct shown shown_with_band(struct steps *, uint32_t quantity, double half_width_si);
struct shown shown_words(struct steps *, struct text);
struct text filled_text(struct steps *, struct site text, uint32_t subject); /* { } filled in */

#endif
