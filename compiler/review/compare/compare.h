/* Comparison: what differs in meaning between two revisions of a recipe, and what follows from it.
 *
 * In: two compiled recipes on one library. Out: rows, first what was stated otherwise, then what moved because of it,
 * each section sorted by importance. Layout, comments, the order of facts, units that say the same and names that were
 * only changed everywhere are no difference; the order of steps is one. Where a side is too faulty to give values, what
 * is stated is compared all the same. The time grows with the length of both recipes. Nothing is printed here; rows live
 * in the arena given, texts in it or in the recipes, which must outlive the comparison. */
#ifndef COMPILER_REVIEW_COMPARE_COMPARE_H
#define COMPILER_REVIEW_COMPARE_COMPARE_H

#include "compiler/recipe.h"
#include "runtime/base/buffer.h"

enum compare_section { /* in the order in which they are shown */
                       COMPARE_STATED,
                       COMPARE_VERDICT,
                       COMPARE_CAUTION,
                       COMPARE_SIZE,   /* what the toolroom makes */
                       COMPARE_SET,    /* what is set at the machine and follows from something else */
                       COMPARE_MARGIN, /* the verdict stayed, the value or its bound moved */
                       COMPARE_VALUE,  /* every other derived value */
                       COMPARE_SECTION_COUNT
};

enum compare_how {
    COMPARE_ADDED,
    COMPARE_REMOVED,
    COMPARE_CHANGED,
    COMPARE_RENAMED, /* the same content under another name; before and after are the names */
    COMPARE_MOVED,   /* a step; before and after say behind which other */
    COMPARE_HOW_COUNT
};

struct compare_row {
    enum compare_section section;
    enum compare_how how;
    struct text subject;       /* "corner rim", "corner-cracking of rim", "form.force" */
    struct text what;          /* the property or line; empty when the whole subject is meant */
    struct text label;         /* for people; may be empty */
    struct text before, after; /* typeset or as written; empty where there is none */
    struct text change;        /* as compare_change() tells it where it is worded already */
    struct compare_step {      /* else from here to there, SI; of many rows few are ever worded */
        bool known;
        double before, after;
        struct unit unit;
    } step;
    double before_value, after_value; /* in the unit below; NaN where there is no number */
    struct text unit;                 /* ASCII spelling; empty for a pure number */
    double percent;                   /* NaN where it makes no sense */
    bool aside;                       /* of the paper, not of how the part is made: date, status, a source */
    bool worse;                       /* of verdicts: for the worse */
    struct text file;                 /* stated rows: where it stands, of what was removed where it stood */
    uint32_t line;
    struct span span; /* the same in the sources of that side; file 0: nowhere */
    double weight;    /* within a section: larger first */
    uint32_t order;   /* then this */
};

struct compare_side {
    struct text path, title, part, revision, date, status; /* the last five may be empty */
    bool evaluated;                                        /* false: too faulty to give values */
    uint32_t errors, warnings;
    struct text fault; /* the first error: "line 12: there is no ... [slug]"; empty when there is none */
};

struct comparison {
    struct arena *arena;
    struct compare_side old, new;
    bool same; /* they mean the same */
    ARRAY(struct compare_row) rows;
    uint32_t count[COMPARE_SECTION_COUNT];
    ARRAY(struct text) notes; /* sentences: what cannot be compared, which file is the cause */
};

extern const char *const compare_how_names[COMPARE_HOW_COUNT];          /* "added", ... */
extern const char *const compare_section_names[COMPARE_SECTION_COUNT];  /* for programs: "verdicts" */
extern const char *const compare_section_titles[COMPARE_SECTION_COUNT]; /* for people */

/* NULL when memory runs out. */
const struct comparison *compare_recipes(struct arena *, struct strokewright_recipe *before,
                                         struct strokewright_recipe *after);

/* The same without what follows, which is what takes the time. */
const struct comparison *compare_statements(struct arena *, struct strokewright_recipe *before,
                                            struct strokewright_recipe *after);

/* "4 statements differ; 1 verdict changed, for the worse; 12 values moved", or that they mean the same. */
struct text compare_summary(struct arena *, const struct comparison *);

/* "+10 K", "-0.4 mm, -50 %"; empty where it says nothing. */
struct text compare_change(struct arena *, const struct compare_row *);

/* "line 31" in the new recipe's own file, "old line 31", "shop/press-bay.recipe:12"; empty when it stands nowhere. */
struct text compare_place(struct arena *, const struct comparison *, const struct compare_row *);

/* ---- printers ------------------------------------------------------------------------------------------------------ */

enum { COMPARE_FEW = 30 }; /* rows of the last section that text and Markdown show unless all are asked for */

struct compare_style {
    uint32_t width; /* columns */
    bool color, all;
};

/* Values that many at once have no more, or now have, for one reason, as one row: what text and Markdown show unless all
 * rows are asked for. */
const struct comparison *compare_folded(struct arena *, const struct comparison *);

void compare_text(struct buffer *, const struct comparison *, struct compare_style);
void compare_markdown(struct buffer *, const struct comparison *, bool all); /* for a merge request */
/* A text of somebody's as a code span, in which nothing is a link, a mention, a mark or HTML. */
void compare_markdown_code(struct buffer *, struct text);
void compare_html(struct buffer *, const struct comparison *); /* one page that needs nothing else */
void compare_json(struct buffer *, const struct comparison *);

#endif
