/* Strokewright, the library: a recipe in, diagnostics, values, verdicts and the step table out.
 *
 * No global state, no exit, no printing. A library is made once and serves many recipes; compiling only reads it, so
 * several threads may share one. A recipe belongs to one thread at a time and owns all that is reached through it, until
 * strokewright_free(). */
#ifndef COMPILER_STROKEWRIGHT_H
#define COMPILER_STROKEWRIGHT_H

#include "compiler/judge/window.h"
#include "compiler/model/embedded.h"
#include "compiler/model/fingerprint.h"
#include "compiler/table/steps.h"

#define STROKEWRIGHT_VERSION "0.1.0"

struct strokewright_library { /* the built-in materials, formulas and limits, parsed and typed */
    struct arena arena;
    struct sources sources;
    struct diagnostics diagnostics; /* empty unless the build is broken */
    struct scope scope;
    /* Set by whoever compiles: the day waivers are held against, "2026-11-25", and what told it, as messages name it:
     * "--date". Empty: no waiver can be in force. Both must outlive the recipes. */
    struct text today, today_from;
};

enum strokewright_state {
    STROKEWRIGHT_GOOD,
    STROKEWRIGHT_FAULTY,   /* errors among the diagnostics */
    STROKEWRIGHT_NO_MEMORY /* nothing else of the recipe may be used */
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
    struct step_table *table[2][LANGUAGE_COUNT]; /* made by strokewright_table(), by print and language */
};

/* NULL when memory runs out. */
struct strokewright_library *strokewright_library_new(void);
/* The same of other files, which must outlive it. */
struct strokewright_library *strokewright_library_of(const struct embedded_file *, uint32_t count);
void strokewright_library_free(struct strokewright_library *);

/* Works out what is demanded and nothing else; NULL: all there is. path, bytes and the names of the demand must outlive the
 * recipe. loader may be NULL: then `use` is a fault. */
struct strokewright_recipe *strokewright_compile(const struct strokewright_library *, const struct demand *,
                                                 struct text path, struct text bytes, const struct loader *);
void strokewright_free(struct strokewright_recipe *);

/* Whether there are values to believe: evaluated, and a value was found for all that the recipe leaves open. */
bool strokewright_has_values(const struct strokewright_recipe *);

/* Runs work on it that may fill the memory; false when it did, which its state then says. What work allocated is kept. */
bool strokewright_within_memory(struct strokewright_recipe *, void (*work)(struct strokewright_recipe *, void *),
                                void *argument);
/* Its limits and chosen values alone, much sooner; made anew each time. */
const struct step_table *strokewright_limits(struct strokewright_recipe *, struct spelling);
/* The map of what the unknowns asked for may be; its heading is the caller's. False when memory ran out. */
bool strokewright_window(struct strokewright_recipe *, const struct window_request *, struct window_map *);
/* The step table, its texts spelled for people of that language, on paper or at a terminal; made once for each spelling,
 * with the parts that were demanded. NULL when the recipe was not evaluated or memory ran out. */
const struct step_table *strokewright_table(struct strokewright_recipe *, struct spelling);
/* 64 hex digits: what the recipe means, as compiler/model/fingerprint.h says; and all that went into it. */
struct text strokewright_fingerprint(struct strokewright_recipe *);
const struct fingerprint *strokewright_fingerprint_parts(struct strokewright_recipe *);

#endif
