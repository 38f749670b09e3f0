/* The schema: which kinds of definition there are and which properties each has. One table, schema.def.
 *
 * The grammar knows none of these words. Validation, "did you mean", the language reference and completion all read
 * this table; to add a kind or a property is to add a row. */
#ifndef COMPILER_MODEL_SCHEMA_H
#define COMPILER_MODEL_SCHEMA_H

#include "runtime/base/text.h"

enum kind {
    KIND_NONE,
#define KIND(id, name, family, flags, doc) KIND_##id,
#define PROPERTY(kind, name, form, type, role, need, standard, label, doc)
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
    KIND_BESIDE = 32    /* a step that runs beside the press */
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
};

struct kind_entry {
    const char *name;
    enum kind family; /* KIND_step, KIND_feature or KIND_NONE: properties of the family belong to it too */
    unsigned flags;
    const char *doc;
};

extern const struct kind_entry kind_table[KIND_COUNT];
extern const struct property_entry property_table[];
extern const uint32_t property_count;

enum kind kind_named(struct text);                                        /* KIND_NONE when unknown */
const struct property_entry *property_named(enum kind, struct text name); /* also the family's; NULL when unknown */
const char *article_of(const char *word);                                 /* "an" for an alloy, "a" for a tool */
bool kind_is(enum kind, enum kind family_or_same);

#endif
