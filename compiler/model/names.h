/* Names: what a recipe, the files it uses and the library below it define.
 *
 * In: syntax trees. Out: a scope, the flat lists of definitions, lets, derived properties, formulas, limits, cautions,
 * requirements and waivers, with maps from names to them. Two scopes stand on each other: the library's, made once and frozen, and
 * the recipe's. Ids run on from the lower scope, so an id says which scope it is in. Owned by the scope's arena. */
#ifndef COMPILER_MODEL_NAMES_H
#define COMPILER_MODEL_NAMES_H

#include "compiler/model/schema.h"
#include "compiler/model/syntax.h"
#include "compiler/text/said.h"
#include "runtime/base/intern.h"
#include "runtime/base/map.h"

struct binding { /* what typing found a NAME, MEMBER or CALL node to mean; see typing.h */
    uint32_t what, id;
};

struct unit_file { /* one file: its tree and what typing noted about its nodes */
    struct tree *tree;
    const struct binding *bindings; /* by node */
    struct binding *noted;          /* the same while they are worked out; NULL: they were known before */
};

struct site { /* a node of a file */
    uint32_t file, node;
};

struct property {
    const struct property_entry *entry;
    uint32_t definition;
    struct site site; /* the NODE_PROPERTY */
    uint32_t value;   /* its value's node */
};

struct definition {
    enum kind kind;
    atom name; /* 0: none */
    struct site site;
    uint32_t base;     /* definition it is like, or 0 */
    uint32_t step;     /* position in steps { } from 1, else 0 */
    bool faulty;       /* a line of it was not understood, so what it lacks may be there */
    uint32_t namesake; /* next definition of the same name and another kind, or 0 */
    uint32_t first_property, property_count;
};

struct type; /* typing.h; what typing found, NULL before */
struct signature;

struct let {
    atom name; /* with its dots */
    struct site site;
    const struct type *type;
    enum purpose uses[MOST_PURPOSES]; /* FOR_NOTHING ends them */
};

struct derived {
    enum kind kind;
    atom name, variable;
    struct site site; /* the NODE_DERIVED */
    const struct type *type;
    enum purpose uses[MOST_PURPOSES];
};

struct formula {
    atom name;
    struct site site;
    const struct signature *signature;
};

struct rule { /* limit, caution or require */
    enum node_kind what;
    atom name;      /* 0 for a requirement */
    enum kind each; /* KIND_NONE: once */
    atom variable;
    struct site site;
};

struct waiver {
    struct site site;
    atom limit, subject; /* as written; subject 0: all that the limit speaks of */
    struct text until;   /* "2026-12-31"; empty when it is not stated */
    struct text by, why; /* as written */
    uint32_t rule;       /* the limit, when typing found it; else 0 */
};

struct lost {       /* a definition whose head was not understood: what it defines is told no second time as unknown */
    enum kind kind; /* KIND_NONE: any */
    atom name;      /* 0: any */
};

struct opened {
    struct text path;
    bool open; /* still being read: using it again is a circle */
};

struct scope {
    struct arena *arena;
    const struct scope *below;
    struct names_table names;
    struct sources *sources;
    struct diagnostics *diagnostics;
    uint32_t first_file, first_definition, first_property, first_let, first_derived, first_formula, first_rule,
        first_waiver;
    ARRAY(struct unit_file) files;
    ARRAY(struct definition) definitions;
    ARRAY(struct property) properties;
    ARRAY(struct let) lets;
    ARRAY(struct derived) derived;
    ARRAY(struct formula) formulas;
    ARRAY(struct rule) rules;
    ARRAY(struct waiver) waivers;
    ARRAY(struct lost) lost;
    ARRAY(uint32_t) steps;                                   /* definitions in order */
    struct site steps_site;                                  /* the first steps block; file 0: none */
    uint32_t kind_count[KIND_COUNT], kind_first[KIND_COUNT]; /* this scope's own definitions */
    ARRAY(struct opened) opened;                             /* files read, to find circles and to read each once */
    struct map map;                                          /* all names, see names.c */
};

/* How files named by `use` are read. `from` is the path of the file that says so; *path is how the file is shown and
 * compared from now on. On failure returns a fault (use_not_found, use_outside, unreadable_file, ...) and may set *why. */
struct loader {
    void *context;
    enum fault (*load)(void *context, struct arena *, struct text from, struct text wanted, struct text *path,
                       struct text *bytes, struct text *why);
};
enum { LOAD_OK = FAULT_COUNT };

void scope_init(struct scope *, struct arena *, const struct scope *below, struct sources *, struct diagnostics *);

/* Parses a file and declares what it defines; follows `use` through the loader (NULL: `use` is a fault). */
void scope_read(struct scope *, struct text path, struct text bytes, const struct loader *);
/* The same for a tree that is ready; its file number is of scope.sources. known: by node, what its words mean where that
 * is known already, which nobody changes; else NULL. */
void scope_read_tree(struct scope *, struct text path, struct tree *, const struct binding *known,
                     const struct loader *);
/* After the last file: bases of `like`, circles, required properties, single kinds. */
void scope_finish(struct scope *);

const struct unit_file *file_at(const struct scope *, uint32_t file);
const struct definition *definition_at(const struct scope *, uint32_t id);
const struct property *property_at(const struct scope *, uint32_t id);
const struct let *let_at(const struct scope *, uint32_t id);
const struct derived *derived_at(const struct scope *, uint32_t id);
const struct formula *formula_at(const struct scope *, uint32_t id);
const struct rule *rule_at(const struct scope *, uint32_t id);
const struct waiver *waiver_at(const struct scope *, uint32_t id);
uint32_t property_end(const struct scope *);
uint32_t definition_end(const struct scope *); /* one past the last id; ids start at 1; the same for the others */
uint32_t let_end(const struct scope *);
uint32_t derived_end(const struct scope *);
uint32_t formula_end(const struct scope *);
uint32_t rule_end(const struct scope *);
uint32_t waiver_end(const struct scope *);

/* 0 when there is none */
struct text names_of_kind(struct scope *, enum kind); /* "h13, p20 and 7 more", the recipe's own first */
uint32_t find_definition(const struct scope *, enum kind, atom);
uint32_t find_any_definition(const struct scope *, atom); /* first of the chain; see namesake */
uint32_t find_let(const struct scope *, atom);
uint32_t find_formula(const struct scope *, atom);
uint32_t find_derived(const struct scope *, enum kind, atom); /* the kind's own, else its family's */
uint32_t find_rule(const struct scope *, atom);
uint32_t find_property(const struct scope *, uint32_t definition, atom); /* its own or its base's */
uint32_t find_sole(const struct scope *, enum kind, uint32_t *how_many); /* the recipe's only definition of a kind */

uint32_t find_recipe(const struct scope *); /* the definition of what is made; 0: there is none, or more than one */
/* The name of what a kind, or its family, has for a purpose: a property of the schema, else a derived value; 0: nothing. */
atom name_for(const struct scope *, enum kind, enum purpose);
uint32_t find_property_for(const struct scope *, uint32_t definition, enum purpose);

/* Whether the name may be that of a definition whose head was not understood, so that its fault is told already.
 * KIND_NONE: of any kind. */
bool scope_lost(const struct scope *, enum kind, struct text name);

/* The name of a definition of that kind (KIND_NONE: any) nearest to a wrong one, or empty. */
struct text nearest_definition(const struct scope *, enum kind, struct text wrong);

struct span site_span(const struct scope *, struct site);
struct span definition_span(const struct scope *, uint32_t id);  /* kind and name, not the block */
struct span waiver_span(const struct scope *, uint32_t id);      /* without its notes */
struct text definition_words(const struct scope *, uint32_t id); /* "the alloy az31b-o", "the sheet" */
/* The text, word or date it states for a purpose; empty: none, or no definition. */
struct text stated_text(struct arena *, const struct scope *, uint32_t definition, enum purpose);
struct text kind_said(struct arena *, enum kind, enum language); /* in English as it is written: "hole-pitch" */

#endif
