/* check --against: holds recipes against what they were, at a revision in git or in another file. */
#ifndef COMPILER_CLI_AGAINST_H
#define COMPILER_CLI_AGAINST_H

#include "compiler/cli/git.h"
#include "compiler/review/discipline/discipline.h"

struct against {
    const char *name; /* revision or file; NULL: nothing is held against anything */
    bool file;
    uint32_t asks;      /* as of discipline_check() */
    struct arena arena; /* of git's answers; emptied after each recipe */
    struct git git;     /* of the repository asked last; not open while git.to is -1 */
};

/* False, and said, when the name cannot be meant. */
bool against_begin(struct against *, const struct options *);
enum against_state { AGAINST_CHANGED, AGAINST_SAME, AGAINST_UNREADABLE };

/* Whether the recipe, of which reading is enough, means the same as at the revision, with all it uses. One that cannot
 * be worked out, or has waivers, for which the day counts too, is taken for changed. Unreadable: said already. */
enum against_state against_state_of(struct against *, const struct strokewright_library *, struct opened_recipe *,
                                    const char *path, const struct options *);
/* Faults go to the recipe's diagnostics; a recipe that was not there then has none. What files it uses move, in the arena,
 * goes to *move. False, and said, when what it is to be held against cannot be read. */
bool against_check(struct against *, const struct strokewright_library *, struct opened_recipe *, const char *path,
                   const struct options *, struct arena *, struct discipline_move *move);
/* "at HEAD", "in old.recipe" */
struct text against_words(const struct against *, struct arena *);
/* Adds in Markdown what differs from it, when it means something else; path and options as above. */
void against_tell(struct against *, const struct strokewright_library *, struct opened_recipe *, const char *path,
                  const struct options *, struct buffer *);
void against_end(struct against *);

#endif
