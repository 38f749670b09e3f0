/* The command: one file a verb, and what they share. Only this folder prints, exits, and touches files. */
#ifndef COMPILER_CLI_CLI_H
#define COMPILER_CLI_CLI_H

#include "compiler/lower/demand.h"
#include "compiler/model/names.h"
#include "compiler/strokewright.h"
#include "compiler/text/language.h"
#include "runtime/base/buffer.h"

#include <stdio.h>

enum exit_status { EXIT_CLEAN, EXIT_FAULTS, EXIT_USE }; /* 0 clean, 1 the recipe has faults, 2 wrong use or I/O */

struct options {
    bool help, json, allow_outside, all, limits;
    bool git, driver, csv;
    bool write, check; /* of tidy */
    bool explain;      /* of fingerprint */
    bool template;     /* of fit */
    const char *out, *only, *lang, *paper, *depth, *graph;
    const char *format, *against, *asks, *changes;
    const char *samples, *seed, *coverage;
    const char *date;
    const char *readings, *decimal, *separator; /* of fit */
    const char *certificate;                    /* of check: the file to write */
    enum language language;                     /* as --lang says; else English */
    bool color;                                 /* of standard error */
    bool color_out;                             /* of standard output */
    bool terminal;                              /* standard error is one: what stands there may be wrapped */
    int width;                                  /* of the terminal, or 80 */
    const char **words;                         /* file names and value names, in order */
    int word_count;
};

struct verb {
    const char *name;
    const char *summary; /* one line */
    const char *usage;   /* what follows the name */
    const char *help;    /* whole page below the usage */
    const char *options; /* those it takes, separated by blanks: "--json --out=DIR" */
    int (*run)(const struct options *);
};

#define VERB(name) extern const struct verb verb_##name;
#include "compiler/cli/verbs.def"
#undef VERB

/* What `build` can write, one a line. */
void list_outputs(FILE *);

/* Where exhausted memory leads in this thread, for arena_init(): the end of the command, or of a worker's piece. */
jmp_buf *out_of_memory(void);
/* Sets it; what it was before. */
jmp_buf *out_of_memory_to(jmp_buf *);

/* A message of the command's own: "strokewright: ..." on standard error; gives EXIT_USE. */
int complain(const char *format, ...) PRINTF_LIKE(1, 2);
/* Messages of the calling thread are kept in the buffer from now on, until the turn of the recipe they are about; NULL:
 * they go to standard error again. */
void complain_into(struct buffer *);

/* ---- reading ---------------------------------------------------------------------------------------------------------------- */

struct opened_recipe {
    struct arena arena; /* of the file's bytes */
    struct loader loader;
    struct loading {
        const struct options *options;
        struct text root; /* folder the recipe's files must be in or below */
        struct git *git;  /* at a revision, see git.h; else NULL */
        struct text revision;
    } loading;
    struct strokewright_recipe *recipe;
};

/* Reads and compiles what is demanded. False when the file cannot be read (said already). */
bool open_recipe(struct opened_recipe *, const struct strokewright_library *, const struct demand *, const char *path,
                 const struct options *);
/* Its parts: the arena and the loader; path need not be readable. */
void begin_recipe(struct opened_recipe *, const char *path, const struct options *);
/* The second half of it, once the loader is set: path and bytes must outlive the recipe. On failure it is closed. */
bool compile_opened(struct opened_recipe *, const struct strokewright_library *, const struct demand *,
                    struct text path, struct text bytes);
/* Two recipes that know nothing of one another, side by side. Both are good, or both are closed and it is said. */
bool open_both(struct opened_recipe *old, struct opened_recipe *new, const struct strokewright_library *,
               const struct demand *, const char *const path[2], const struct options *);
bool compile_both(struct opened_recipe *old, struct opened_recipe *new, const struct strokewright_library *,
                  const struct demand *, const struct text path[2], const struct text bytes[2]);
/* From now on its memory runs out where this thread's does. */
void recipe_out_of_memory(struct opened_recipe *);
void close_recipe(struct opened_recipe *);
/* Those that weigh at least so much. */
struct diagnostics diagnostics_from(const struct diagnostics *, enum severity least);
void print_diagnostics(struct opened_recipe *, const struct options *, enum severity least);
/* With the day that waivers are held against; NULL when it cannot be, or the day makes no sense: said already. */
struct strokewright_library *load_library(const struct options *);

/* ---- values asked for by name ---------------------------------------------------------------------------------------------- */

/* Compiles the recipe that the first word names, with the words behind it as the names of the demand, prints its errors
 * and calls show, if it was evaluated. The verb's exit status. */
int show_recipe(const struct options *, struct demand,
                int (*show)(struct strokewright_recipe *, const struct options *, void *), void *argument);
/* The quantities that those words name, in the recipe's arena; what there is none of is said. EXIT_CLEAN or EXIT_USE. */
int find_asked(struct strokewright_recipe *, const struct options *, uint32_t **quantities, uint32_t *count);

/* ---- the rest -------------------------------------------------------------------------------------------------------------- */

enum { DAY_SIZE = 11 }; /* "2026-11-25" and its end */
/* The day waivers are held against: --date, else SOURCE_DATE_EPOCH, else the clock; *from names which, for messages.
 * False when it makes no sense: said already. */
bool find_today(const struct options *, char out[DAY_SIZE], const char **from);

/* A whole ordinary file, or standard input where the path is "-"; else a fault id and a reason. */
enum fault read_input(struct arena *, const char *path, struct text *bytes, struct text *why);
bool is_stdin(const char *path);
struct text shown_path(const char *path); /* as messages name it */
/* A whole ordinary file; else a fault id and a reason. */
enum fault read_file(struct arena *, const char *path, struct text *bytes, struct text *why);

/* "demo/./shop/../shop/bay.recipe" as "demo/shop/bay.recipe", so that one file has one name. */
struct text tidy_path(struct arena *, struct text path);

#endif
