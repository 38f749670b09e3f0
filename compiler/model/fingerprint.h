/* The fingerprint: one number for all that a recipe's meaning depends on.
 *
 * In: a scope that was typed without errors. Out: the parts that count, each with its SHA-256, and the SHA-256 over all
 * of them. The parts are
 *   - the recipe's file and each file it uses: what they say, not where they lie, nor what `use` calls them,
 *   - of the library, what the recipe reaches: lets, derived values, limits and cautions of the kinds it has, and the
 *     formulas and materials that any of these or the recipe itself names,
 *   - the standard values the recipe left in force,
 *   - the version of the physics.
 * A part is hashed in its canonical form, the spellings of compiler/model/spelling.h: comments and layout do not count, every
 * word, number and text does, notes included, for they are printed. What is alike but for its order of files is the
 * same. Owned by the arena. */
#ifndef COMPILER_MODEL_FINGERPRINT_H
#define COMPILER_MODEL_FINGERPRINT_H

#include "compiler/model/typing.h"

/* Raised whenever the program gives other results for the same text: a function of the runtime, an evaluator, a unit,
 * the meaning of a word of the language. tests/unit/test_physics.c notices when that was forgotten. */
enum { PHYSICS_VERSION = 1 };

enum fingerprint_what {
    FINGERPRINT_RECIPE,
    FINGERPRINT_USED,    /* a file named by `use` */
    FINGERPRINT_LIBRARY, /* something of the library */
    FINGERPRINT_STANDARD /* a standard value */
};

enum { HASH_DIGITS = 64, HASH_SHORT = 12 }; /* hexadecimal digits; those shown of a part */

struct fingerprint_part {
    enum fingerprint_what what;
    struct text kind; /* "alloy", "formula", "limit", "derived"; of a file empty */
    struct text name; /* "az31b-o", "tool.growth"; of a file its path */
    struct text file; /* of the library: where it stands */
    struct text hash; /* HASH_DIGITS; of a standard value the value itself */
};

struct fingerprint {
    struct text hash;
    ARRAY(struct fingerprint_part) parts; /* by what, kind and name */
};

void fingerprint_of(struct fingerprint *, struct arena *, const struct scope *);

/* Of the recipe and the files it uses alone, which decide what is reached of the library: two recipes on one library have
 * the same fingerprint exactly when they have the same of these. A tenth of the time. */
struct text fingerprint_of_own(struct arena *, const struct scope *);

#endif
