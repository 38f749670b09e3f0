/* A compiled recipe from inside: what emit, review and the command read beyond the public header, strokewright.h.
 *
 * In: a recipe's bytes and a demand. Out: its diagnostics, frozen lowering, values, verdicts and step tables, all owned by
 * the recipe until strokewright_free(). */
#ifndef COMPILER_RECIPE_H
#define COMPILER_RECIPE_H

#include "compiler/judge/judge.h"
#include "compiler/model/embedded.h"
#include "compiler/model/fingerprint.h"
#include "compiler/strokewright.h"
#include "compiler/table/steps.h"

struct strokewright_library { /* the built-in materials, formulas and limits, parsed and typed */
    struct arena arena;
    struct sources sources;
    struct diagnostics diagnostics; /* empty unless the build is broken */
    struct scope scope;
    /* Set by whoever compiles: the day waivers are held against, "2026-11-25", and what told it, as messages name it:
     * "--date". Empty: no waiver can be in force. Both must outlive the recipes. */
    struct text today, today_from;
    char day[11]; /* today, where strokewright_set_day() gave it */
};

struct strokewright_recipe {
    struct arena arena;
    struct arena scratch; /* room for one proof at a time */
    const struct strokewright_library *library;
    struct demand demand;
    struct sources sources;
    struct diagnostics diagnostics; /* sorted */
    struct scope scope;
    const struct lowering *lowering; /* frozen; NULL: it was not evaluated */
    struct limits limits;
    struct solutions solutions; /* of what the recipe leaves to be found */
    struct steps steps;
    struct evaluation values;
    bool sound;     /* no fault of form: it can be worked out */
    bool evaluated; /* it was, as far as its demand says; what it leaves open may still have no value */
    enum strokewright_state state;
    struct fingerprint fingerprint;
    struct step_table *table[2][LANGUAGE_COUNT]; /* made by recipe_table(), by print and language */
    const struct step_table *limit_rows;         /* made by strokewright_limit_count() */
};

/* The library of other files than the built-in ones, which must outlive it. */
struct strokewright_library *recipe_library_of(const struct embedded_file *, uint32_t count);

/* Works out what is demanded and nothing else; NULL: all there is. path, bytes and the names of the demand must outlive the
 * recipe. loader may be NULL: then `use` is a fault. */
struct strokewright_recipe *recipe_compile(const struct strokewright_library *, const struct demand *, struct text path,
                                           struct text bytes, const struct loader *);

/* Whether there are values to believe: evaluated, and a value was found for all that the recipe leaves open. */
bool recipe_has_values(const struct strokewright_recipe *);

/* Runs work on it that may fill the memory; false when it did, which its state then says. What work allocated is kept. */
bool recipe_within_memory(struct strokewright_recipe *, void (*work)(struct strokewright_recipe *, void *),
                          void *argument);
/* Its limits and chosen values alone, much sooner; made anew each time. */
const struct step_table *recipe_limits_table(struct strokewright_recipe *, struct spelling);
/* The map of what the unknowns asked for may be; its heading is the caller's. False when memory ran out. */
bool recipe_window(struct strokewright_recipe *, const struct window_request *, struct window_map *);
/* The step table, its texts spelled for people of that language, on paper or at a terminal; made once for each spelling,
 * with the parts that were demanded. NULL when the recipe was not evaluated or memory ran out. */
const struct step_table *recipe_table(struct strokewright_recipe *, struct spelling);
/* A quantity as a row of the step table, in its spelling (steps.spelling). */
struct value_row recipe_value(struct strokewright_recipe *, uint32_t quantity);
/* 64 hex digits: what the recipe means, as compiler/model/fingerprint.h says; and all that went into it. */
struct text recipe_fingerprint(struct strokewright_recipe *);
const struct fingerprint *recipe_fingerprint_parts(struct strokewright_recipe *);

#endif
