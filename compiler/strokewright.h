/* Strokewright, the library: a recipe in; diagnostics, values, verdicts and outputs out.
 *
 * This header stands alone. No global state, no exit, no printing, no file is opened. A library is made once and serves
 * many recipes; compiling only reads it, so several threads may share one. A recipe belongs to one thread at a time.
 *
 * Strings are UTF-8, end in a NUL and are owned by the recipe: they live until strokewright_free(). Numbers are in the unit
 * that is told beside them; NaN where there is none. Functions that give bool give false, and those that give pointers
 * NULL, when there is nothing of that index or name, or when memory ran out: strokewright_state() then says so. */
#ifndef STROKEWRIGHT_H
#define STROKEWRIGHT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define STROKEWRIGHT_VERSION "0.1.0"
#define STROKEWRIGHT_ABI 1 /* changes when a program must be compiled again */

#define STROKEWRIGHT_API __attribute__((visibility("default")))

STROKEWRIGHT_API const char *strokewright_version(void);
STROKEWRIGHT_API int strokewright_abi(void); /* of the library that is linked; compare with STROKEWRIGHT_ABI */

/* ---- the library: built-in materials, formulas and limits ------------------------------------------------------------- */

struct strokewright_library;

STROKEWRIGHT_API struct strokewright_library *strokewright_library_new(void);
STROKEWRIGHT_API void strokewright_library_free(struct strokewright_library *);
/* The day that waivers are held against, "2026-11-25". Without one no waiver is in force. */
STROKEWRIGHT_API bool strokewright_set_day(struct strokewright_library *, const char *day);

/* ---- a recipe --------------------------------------------------------------------------------------------------------- */

enum strokewright_reach {                    /* each includes those before it */
                          STROKEWRIGHT_TEXT, /* what the text says; no values */
                          STROKEWRIGHT_STATED, /* values; what the recipe leaves open stays open, and no limit is judged */
                          STROKEWRIGHT_NOMINAL, /* what is left open is found; limits are judged at the stated values alone */
                          STROKEWRIGHT_VERDICTS, /* limits are proved over the tolerances; worst margins as far as the proof met them */
                          STROKEWRIGHT_MARGINS /* the worst margin of each limit, to a fiftieth */
};

struct strokewright_demand { /* what will be asked of a recipe, and is worked out */
    enum strokewright_reach reach;
    bool ranges;              /* of each value that is found, the proved stretch around it */
    bool values;              /* every derived value */
    bool outputs;             /* strokewright_output() */
    const char *const *names; /* values asked for by name, "die.temperature" */
    uint32_t name_count;
};

struct strokewright_file {
    const char *path; /* how the file is shown and compared from now on */
    const char *bytes;
    size_t length;
};

struct strokewright_loader { /* how files named by `use` are read */
    void *context;
    /* from: the path of the file that says so. */
    bool (*load)(void *context, const char *from, const char *wanted, struct strokewright_file *);
};

struct strokewright_recipe;

enum strokewright_state {
    STROKEWRIGHT_GOOD,
    STROKEWRIGHT_FAULTY,   /* errors among the diagnostics */
    STROKEWRIGHT_NO_MEMORY /* nothing else of the recipe may be used */
};

/* Works out what is demanded and nothing else; demand NULL: everything. The library, and the path and bytes of every file,
 * must outlive the recipe. loader NULL: `use` is a fault. */
STROKEWRIGHT_API struct strokewright_recipe *strokewright_compile(const struct strokewright_library *,
                                                                  const struct strokewright_demand *,
                                                                  const struct strokewright_file *,
                                                                  const struct strokewright_loader *);
STROKEWRIGHT_API void strokewright_free(struct strokewright_recipe *);
STROKEWRIGHT_API enum strokewright_state strokewright_state(const struct strokewright_recipe *);
/* 64 hex digits: what the recipe means, whatever its layout. */
STROKEWRIGHT_API const char *strokewright_fingerprint(struct strokewright_recipe *);

/* ---- diagnostics: by file, then place --------------------------------------------------------------------------------- */

enum strokewright_severity { STROKEWRIGHT_NOTE, STROKEWRIGHT_WARNING, STROKEWRIGHT_ERROR };

struct strokewright_diagnostic {
    const char *id; /* "limit-fails" */
    enum strokewright_severity severity;
    const char *message;
    const char *help;                            /* what to write instead; may be empty */
    const char *path;                            /* empty: it has no place */
    uint32_t line, column, end_line, end_column; /* from 1; columns in characters; the end is behind the last */
};

STROKEWRIGHT_API uint32_t strokewright_diagnostic_count(const struct strokewright_recipe *);
STROKEWRIGHT_API bool strokewright_diagnostic(struct strokewright_recipe *, uint32_t index,
                                              struct strokewright_diagnostic *);

/* ---- values ------------------------------------------------------------------------------------------------------------ */

struct strokewright_value {
    const char *name;
    double number, low, high; /* low and high: its band */
    const char *unit;         /* empty for a pure number or a word */
    const char *text, *band;  /* as shown: "200 degC", "+/- 4 K" */
    const char *why_not;      /* why it has no value; empty: it has one */
};

/* A value that was demanded by this name. False: the recipe has none of that name. */
STROKEWRIGHT_API bool strokewright_value_named(struct strokewright_recipe *, const char *name,
                                               struct strokewright_value *);
/* Every derived value, where `values` was demanded. */
STROKEWRIGHT_API uint32_t strokewright_value_count(struct strokewright_recipe *);
STROKEWRIGHT_API bool strokewright_value(struct strokewright_recipe *, uint32_t index, struct strokewright_value *);

/* ---- limits ------------------------------------------------------------------------------------------------------------ */

struct strokewright_limit {
    const char *name, *subject;  /* "corner-cracking", "rim"; subject may be empty */
    const char *verdict;         /* "proved", "nominal only", "fails", ... */
    bool open;                   /* it applies, and is neither proved nor waived */
    const char *value, *bound;   /* "0.800", "at least 0.350"; empty where there is none */
    double margin, worst_margin; /* shares of the bound: at the stated values, and at the worst of the tolerances */
    const char *why_not;         /* why it was not evaluated or not decided */
};

/* The tightest first. */
STROKEWRIGHT_API uint32_t strokewright_limit_count(struct strokewright_recipe *);
STROKEWRIGHT_API bool strokewright_limit(struct strokewright_recipe *, uint32_t index, struct strokewright_limit *);

/* ---- outputs, where they were demanded -------------------------------------------------------------------------------- */

/* An output by the name that `build --only` takes, of those that are not drawn: "steps", "steps-csv", "steps-json", "sizes",
 * "limits-csv". language: "en", "de", "es", "ja". The bytes are the recipe's. */
STROKEWRIGHT_API bool strokewright_output(struct strokewright_recipe *, const char *name, const char *language,
                                          const char **bytes, size_t *length);
/* The map of one or two values that the recipe leaves to be found, as CSV; NULL: the first, or the first two. */
STROKEWRIGHT_API bool strokewright_window(struct strokewright_recipe *, const char *const *names, uint32_t count,
                                          const char **bytes, size_t *length);

#ifdef __cplusplus
}
#endif

#endif
