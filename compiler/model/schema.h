/* The schema: which kinds of definition there are and which properties each has. One table, schema.def.
 *
 * The grammar knows none of these words. Validation, "did you mean", the language reference and completion all read
 * this table; to add a kind or a property is to add a row. So do the step table and the papers: no kind and no property is
 * named in C, but by what it is for (purposes.def). */
#ifndef COMPILER_MODEL_SCHEMA_H
#define COMPILER_MODEL_SCHEMA_H

#include "runtime/base/text.h"

enum kind {
    KIND_NONE,
#define KIND(id, name, family, flags, ...) KIND_##id,
#define PROPERTY(kind, name, form, type, role, need, standard, label, ...)
#include "compiler/model/schema.def"
#undef KIND
#undef PROPERTY
    KIND_COUNT
};

enum form {
    FORM_QUANTITY,   /* a number with a unit; type is the unit type; may carry a tolerance when its role is held */
    FORM_BAND,       /* a quantity with tolerance, or a range: something wanted */
    FORM_RANGE,      /* low .. high */
    FORM_FUNCTION,   /* type "temperature [degC] -> [MPa]"; a curve, an expression, or a constant */
    FORM_REFERENCE,  /* another definition; type is its kind, "stroke" */
    FORM_REFERENCES, /* one or more */
    FORM_WORD,       /* one of the words in type, separated by | */
    FORM_TEXT,
    FORM_DATE,
    FORM_TRUTH
};

enum role {
    ROLE_FACT,   /* plain */
    ROLE_HELD,   /* the process keeps it in its band; it spreads into results */
    ROLE_WANTED, /* the result must fall in the band; it becomes a limit */
    ROLE_SET     /* held, and set at the machine: shown in the step table and on the set-up card */
};

enum need {
    NEED_OPTIONAL, /* may be absent: ask given(x) first */
    NEED_REQUIRED,
    NEED_STANDARD, /* absent means `standard`, which is printed where it has an effect; for references
                      "only", the only definition of that kind, or "role die", the tool of that role, see roles.h */
    NEED_CHOICE    /* one of a group (the group's name in `standard`) must be given; else as optional */
};

/* flags of kinds */
enum {
    KIND_SINGLE = 1,    /* at most one in a recipe; named by its kind: sheet.thickness */
    KIND_ABSTRACT = 2,  /* a family: step, feature */
    KIND_STEP = 4,      /* stands in steps { } */
    KIND_UNNAMED = 8,   /* takes no name */
    KIND_SELECTED = 16, /* several may exist; the bare kind name means the one that recipe.<kind> selects */
    KIND_BESIDE = 32,   /* a step that runs beside the press */
    KIND_IN_LABEL = 64, /* the labels of its properties say what they are of: "shop temperature", "days a year" */
    KIND_SOURCED = 128, /* its figures need a source */
    KIND_IMPLIED = 256, /* a recipe without one has one with the standard values */
    KIND_HISTORY = 512  /* an entry of the revision history, which changes no result */
};

/* What a value is for. A property says it here, a derived value in the library. */
enum purpose {
    FOR_NOTHING,
#define PURPOSE(id, word, by, doc) FOR_##id,
#include "compiler/model/purposes.def"
#undef PURPOSE
    PURPOSE_COUNT
};

enum purpose_of { PURPOSE_OF_ANYBODY, PURPOSE_OF_LIBRARY, PURPOSE_OF_SCHEMA }; /* who may say it, see purposes.def */

struct purpose_entry {
    const char *word; /* behind `for`; empty when only the schema says it */
    enum purpose_of by;
    const char *doc;
};

extern const struct purpose_entry purpose_table[PURPOSE_COUNT];

enum { MOST_PURPOSES = 4 }; /* of one value */

/* Whom a row of the set-up card concerns. */
enum setup_reader { SETUP_AT_PRESS, SETUP_IN_TOOLROOM, SETUP_IN_PLANNING };

enum step_shape { /* outline of a step in the flow diagram, after ISO 5807 */
                  SHAPE_PROCESS,
                  SHAPE_PREPARATION,
                  SHAPE_MANUAL,
                  SHAPE_DECISION,
                  SHAPE_DELAY
};

struct property_entry {
    enum kind kind;
    const char *name;
    enum form form;
    const char *type; /* unit type, words, kind or signature, by form */
    enum role role;
    enum need need;
    const char *standard;
    const char *label; /* for the set-up card and the step table */
    const char *doc;
    enum purpose uses[MOST_PURPOSES]; /* what it is for; FOR_NOTHING ends them */
    const char *can;                  /* what its value can be at all, see bounds.h; NULL: anything */
    const char *usual;                /* what it usually is; NULL: nobody can say */
    bool whole;                       /* it is a whole number */
};

/* What a step of a kind is called on the papers. {name} stands for the step's title, {property} for that property in words. */
struct step_sentence {
    const char *text;  /* NULL ends them */
    const char *given; /* only where this property is stated; NULL: always */
};

struct step_order {
    enum kind
        first; /* where a recipe has steps of this kind, one stands before every step of the row's; KIND_NONE ends them */
    const char *why; /* what would be wrong otherwise */
};

/* How a stretch of a step is drawn in the chart of temperatures. */
enum stretch_way {
    STRETCH_OVER_TIME,  /* the law gives `value` after `time`, and is asked for parts of that time */
    STRETCH_OVER_VALUE, /* the law gives the `time` down to `value`, and is asked for values between `from` and that */
    STRETCH_ENDS        /* the law gives the ends only: `from` and `value` */
};

enum { MOST_BETWEEN = 3 };

/* What a step does to the temperature of a piece; all but the label are properties or derived values of the step. */
struct step_stretch {
    const char *time; /* how long it takes; NULL ends them */
    const char *value, *from;
    enum stretch_way way;
    const char *label;  /* NULL: what the step is called */
    const char *unless; /* only where this property is not stated; NULL: always */
    const char
        *between[MOST_BETWEEN]; /* the temperature stays between the lowest and the highest of them; NULL: not told */
    const char *reach;          /* the band it must be in at the end; NULL: none */
};

struct force_point {
    double share;                 /* of the travel; 0 ends them */
    const char *force, *capacity; /* needed, and what the press gives there */
};

enum { MOST_SENTENCES = 4, MOST_ORDERS = 3, MOST_STRETCHES = 4, MOST_FORCE_POINTS = 5 };

/* Force over the stroke, for its chart. */
struct force_profile {
    const char *travel; /* NULL: the step has none */
    struct force_point points[MOST_FORCE_POINTS];
};

struct kind_entry {
    const char *name;
    enum kind family; /* step, feature, tool or none: properties of the family belong to it too */
    unsigned flags;
    const char *doc;
    const char *group; /* heading of its rows on the set-up card, and the first word of the lets that stand there
                                    too: blank.mass; NULL: the title of each definition */
    enum setup_reader standards; /* whom the standard values of its properties concern; at the press: the family's */
    const char *side;            /* of a feature: what its size is of where it has no property for that, "pitch" */
    enum step_shape shape;
    enum kind works_on; /* of a step: what the recipe must have one of for it; KIND_NONE: nothing */
    struct step_sentence sentences[MOST_SENTENCES]; /* the first that fits */
    struct step_order after[MOST_ORDERS];
    struct step_stretch stretches[MOST_STRETCHES]; /* in the order of time */
    struct force_profile profile;
};

extern const struct kind_entry kind_table[KIND_COUNT];
extern const struct property_entry property_table[];
extern const uint32_t property_count;

enum kind kind_named(struct text);                                        /* KIND_NONE when unknown */
const struct property_entry *property_named(enum kind, struct text name); /* also the family's; NULL when unknown */
bool has_purpose(const enum purpose uses[MOST_PURPOSES], enum purpose);
bool serves(const struct property_entry *, enum purpose);
/* The words that a FORM_WORD allows, from 0; empty behind the last. */
struct text word_allowed(const struct property_entry *, uint32_t index);
bool is_word_allowed(const struct property_entry *, struct text word);
const struct property_entry *first_property_for(enum purpose); /* of any kind */
/* The property of a kind that is for this, its family's where it has none itself; NULL when there is none. */
const struct property_entry *property_for(enum kind, enum purpose);
const char *article_of(const char *word); /* "an" for an alloy, "a" for a tool */
bool kind_is(enum kind, enum kind family_or_same);
enum kind family_of(enum kind); /* itself when it has none */

#endif
