/* Typing: every expression is checked for dimensions, points and kinds, once, in general.
 *
 * In: a finished scope. Out: bindings, what each NAME, MEMBER and CALL node means, which lowering follows; types of lets,
 * derived properties and formulas. A library formula is checked here once, not for each recipe. */
#ifndef COMPILER_MODEL_TYPING_H
#define COMPILER_MODEL_TYPING_H

#include "compiler/model/names.h"
#include "compiler/text/unit.h"
#include "runtime/function.h"

enum type_tag {
    TYPE_ERROR, /* already reported */
    TYPE_QUANTITY,
    TYPE_TRUTH,
    TYPE_TEXT,
    TYPE_DATE,
    TYPE_WORD,       /* entry: the property whose words they are */
    TYPE_REFERENCE,  /* kind */
    TYPE_REFERENCES, /* kind */
    TYPE_FUNCTION,   /* entry: a property function not yet called */
    TYPE_KIND        /* kind: its bare name, in front of a dot */
};

struct type {
    enum type_tag tag;
    bool point;
    enum kind kind;
    struct dim dim;
    const struct property_entry *entry;
};

enum { SIGNATURE_LIMIT = 12 };

struct parameter {
    struct text name;
    struct type type;
    struct text variable; /* 'a: any one dimension, the same wherever it stands */
    double power;         /* of the variable */
    bool difference;      /* of a result: what two of them differ by, K beside degC */
};

struct signature {
    uint32_t count;
    bool repeats; /* the last parameter may be given again and again */
    struct parameter parameters[SIGNATURE_LIMIT], result;
};

enum bind { /* struct binding.what */
            BIND_NONE,
            BIND_LOCAL,   /* id: which parameter or variable, from 0 */
            BIND_SIBLING, /* id: atom of a property of the same definition */
            BIND_LET,
            BIND_DEFINITION,
            BIND_SOLE, /* id: kind; the only definition of it */
            BIND_KIND, /* id: kind; only a prefix */
            BIND_FORMULA,
            BIND_FUNCTION, /* id: enum function_id */
            BIND_SPECIAL,  /* id: enum special */
            BIND_PROPERTY, /* id: atom; of what the child refers to */
            BIND_DERIVED,  /* id: atom */
            BIND_WORD,     /* a word compared with a word property */
            BIND_TYPED     /* of a call of inside(): id packs its dimension, see typed_unit() */
};

enum special { /* decided when the recipe is compiled */
               SPECIAL_NONE,
               SPECIAL_GIVEN,
               SPECIAL_BANDED,
               SPECIAL_LOWER,
               SPECIAL_UPPER,
               SPECIAL_PREVIOUS,
               SPECIAL_FIRST,
               SPECIAL_SECOND,
               SPECIAL_LISTED,
               SPECIAL_COUNT,
               SPECIAL_SUM,
               SPECIAL_EACH_MIN,
               SPECIAL_EACH_MAX,
               SPECIAL_EACH_MEAN
};

struct local {
    atom name;
    struct type type;
};

struct env { /* where an expression stands */
    struct scope *scope;
    const struct unit_file *file;
    struct local locals[SIGNATURE_LIMIT + 4];
    uint32_t count;
    enum kind self; /* kind of the definition whose property this is, or KIND_NONE */
    uint32_t depth; /* of lets and derived properties being typed for one another */
};

void type_scope(struct scope *); /* types everything the scope itself declares */

/* What typing found in the library when the program was built, see compiler/tools/bind.c: its words need not be looked up anew
 * each time the command starts. */
struct typed_library {
    const struct binding *const *bindings; /* by file in order, then by node; NULL: nothing is known */
    const struct text *names;              /* all of the library, in order: the numbers the bindings know them by */
    uint32_t name_count;
};
extern const struct typed_library typed_library;

/* The same as type_scope() for what was found sound then: only types are worked out. */
void type_again(struct scope *);

/* ---- shared by the files of this stage and by lowering --------------------------------------------------------------- */
struct type type_of(struct env *, uint32_t node);
struct type type_of_call(struct env *, uint32_t node);
struct type type_of_name(struct env *, uint32_t node);
struct type type_of_member(struct env *, uint32_t node);
void check_property(struct scope *, const struct property *);
void check_formula_circles(struct scope *);
void check_waivers(struct scope *); /* finds the limits of the waivers */

static inline struct type type_plain(enum type_tag tag)
{
    return (struct type){.tag = tag};
}

struct type type_quantity(struct dim, bool point);
bool type_same(struct type, struct type);
struct text type_words(struct arena *, struct type); /* "a length", "a reference to a tool" */
struct type type_of_property(const struct scope *, const struct property_entry *);
/* The unit type in [ ]: "[mm]" to a unit; false and a report when it is none. */
bool read_unit_type(struct scope *, const struct tree *, uint32_t node, struct unit *);
struct unit unit_of_type_text(const char *type);      /* of schema and function rows: "[mm]" */
struct signature signature_of_rows(const char *type); /* "temperature [degC] -> [1/K]" */
const struct signature *signature_of_formula(struct scope *, uint32_t formula);
/* node: where it is asked for, or 0. */
const struct type *type_of_let(struct env *, uint32_t node, uint32_t let);
const struct type *type_of_derived(struct env *, uint32_t node, uint32_t derived);

/* A tolerance against what is wanted; entry: whose it is, for messages. */
void check_banded(struct env *, uint32_t value, struct type wanted, const struct property_entry *);
/* A property that is a function: table, formula or constant, against its row. */
void check_function(struct env *, const struct property *);
void check_bounds(struct env *, const struct property *); /* what is stated can be, and is usual */
/* A let with a tolerance, as the property it is like: a quantity that is held. */
const struct property_entry *entry_of_let(struct arena *, struct text name, struct unit);
/* What `as ...` says of a band, at the end of a property or let. held: the band is one the process keeps. */
void check_spread(struct env *, uint32_t statement, uint32_t value, bool held);
struct spread;
/* The same, checked already, for lowering; false: nothing is said. */
bool spread_stated(const struct tree *, uint32_t statement, struct spread *);

/* A number literal, perhaps under a minus: value as written and its unit ("1" when none; *has_unit). */
bool literal_of(const struct tree *, uint32_t node, double *value, struct unit *, bool *has_unit);
/* A pure number known when compiled: 2, -1, (1/3). */
bool constant_number(const struct tree *, uint32_t node, double *value);

/* The unit to show the arguments of a BIND_TYPED call in. */
struct unit typed_unit(struct arena *, uint32_t packed);

void typing_bind(struct env *, uint32_t node, enum bind, uint32_t id);
struct span env_span(const struct env *, uint32_t node);
/* A dimension that differs from what is wanted; points at the node. */
void report_dimension(struct env *, uint32_t node, struct type found, struct type wanted, const char *what);

#endif
