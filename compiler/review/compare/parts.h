/* Matching: which item of one recipe is which of the other. Shared by the files of this folder.
 *
 * An item is anything a recipe's own files state: a definition, let, derived value, formula, rule or waiver. Items are
 * matched by name, then by content, so that a name that was only changed is found. Numbers of items go from 1, the same
 * number on both sides means nothing; `match` is the number on the other side. */
#ifndef COMPILER_REVIEW_COMPARE_PARTS_H
#define COMPILER_REVIEW_COMPARE_PARTS_H

#include "compiler/review/compare/compare.h"

enum item_sort { ITEM_DEFINITION, ITEM_LET, ITEM_DERIVED, ITEM_FORMULA, ITEM_RULE, ITEM_WAIVE };

struct item {
    enum item_sort sort;
    uint32_t kind; /* enum kind of a definition or derived value, enum node_kind of a rule */
    uint32_t id;   /* in the scope; of a waiver 0 */
    struct site site;
    struct text name; /* empty: none */
    uint32_t match;   /* on the other side; 0: none */
    uint32_t next;    /* item with the same key that came later, or 0 */
};

struct side {
    struct strokewright_recipe *recipe;
    struct scope *scope;
    ARRAY(struct item) items;
    struct map by_id;     /* (sort, id) to item */
    atom *property_atoms; /* by row of property_table; 0: a name this recipe never uses */
};

struct matcher {
    struct arena *arena;
    struct side old, new;
    struct names_table names; /* of both sides, so that names compare as numbers */
    struct comparison *out;
    bool evaluated; /* both sides have values for what they state */
};

void compare_match_items(struct matcher *); /* fills both sides */
uint32_t compare_item_of(const struct side *, enum item_sort, uint32_t id);
/* The id on the new side of what has this id on the old; the library's ids are the same. 0: there is none. */
uint32_t compare_match_id(const struct matcher *, enum item_sort, uint32_t old_id);
bool compare_is_own(const struct side *, enum item_sort, uint32_t id); /* stated by the recipe, not by the library */

/* same.c: whether two parts of trees mean the same, with matched names for equal. */
bool compare_same_part(struct matcher *, struct site old, struct site new);
/* Of one part: equal parts have equal hashes; a name that has no match counts as any other. */
uint64_t compare_hash_part(struct matcher *, const struct side *, struct site);

/* words.c */
struct text compare_words_of(struct matcher *, const struct side *, struct site); /* as written, on one line */
struct text compare_item_words(struct matcher *, const struct side *, const struct item *); /* "corner rim" */
struct text compare_definition_name(const struct scope *, uint32_t definition); /* its name, else its kind's */
struct change {
    struct text words;
    double percent, weight;
};
/* From SI to SI, in the unit. */
double compare_change_weight(double before, double after, const struct unit *);
struct change compare_change_words(struct arena *, double before, double after, const struct unit *);
/* The numbers of a row and how far they moved, in the unit of the quantity. */
void compare_fill_numbers(struct matcher *, struct compare_row *, double before, double after, const struct quantity *);
void compare_table_words(struct matcher *, struct site old, struct site new, struct text *before, struct text *after);
struct compare_row *compare_add_row(struct matcher *, enum compare_section, enum compare_how);
struct text compare_path_shown(const struct side *, uint32_t file);
void compare_place_row(struct matcher *, struct compare_row *, const struct side *, struct site);

void compare_stated(struct matcher *);                        /* stated.c */
bool compare_is_plain_let(const struct side *, uint32_t let); /* a number with its unit, told among what is stated */
void compare_follows(struct matcher *);                       /* follows.c; both sides evaluated */

#endif
