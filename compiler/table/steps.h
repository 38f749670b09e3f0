/* Steps: from values and verdicts to the step table.
 *
 * In: a lowering, its evaluation and limits. Out: compiler/table/step_table.h, everything the shop's papers show, as text
 * and number. */
#ifndef COMPILER_TABLE_STEPS_H
#define COMPILER_TABLE_STEPS_H

#include "compiler/judge/solve.h"
#include "compiler/table/step_table.h"

struct steps {
    const struct lowering *lowering;
    struct limits *limits;
    const struct evaluation *values;
    const struct solutions *solutions; /* NULL: nothing was to be found */
    enum toward *sides;                /* by quantity, to which it is rounded where it is read */
    uint32_t sided;                    /* quantities that have one */
    struct spelling spelling;          /* of the texts of the table being made */
};

void steps_check(struct scope *);   /* order and numbers of the steps */
void changes_check(struct scope *); /* change blocks against one another and the recipe's revision and date */
/* -1, 0 or 1 as revision a comes before b, is the same or comes after: A before B, Z before AA, 9 before 10, B before B.1;
 * REVISIONS_UNRELATED when nothing says, as of 3 and C. */
int revision_order(struct text a, struct text b);
enum { REVISIONS_UNRELATED = 2 };
/* The parts that were demanded. Fixed texts, the library's among them, in the language of the spelling; what the recipe says
 * stays as written. The fingerprint is the caller's to put in. */
struct step_table *steps_table(struct steps *, const struct demand *, struct spelling, struct text file,
                               struct text version);

/* Of it the limits and what was chosen, and nothing else: for `check`, which runs on every commit. */
struct step_table *steps_limits_table(struct steps *, struct spelling);

/* ---- shared by the files of this stage ---------------------------------------------------------------------------------- */
struct shown shown_value(struct steps *, uint32_t quantity);
/* The same in the digits that an operator can use, on its safe side (typeset.h); its number for programs is whole. */
/* What others are held against, or somebody waits for, is rounded to its safe side. */
void steps_find_sides(struct steps *);
enum toward side_of(const struct steps *, uint32_t quantity);
struct shown shown_for_use(struct steps *, uint32_t quantity);
struct shown shown_with_band(struct steps *, uint32_t quantity, double half_width_si);
struct shown shown_part(struct steps *, uint32_t feature); /* its size and wanted band */
struct shown shown_words(struct steps *, struct text);
struct text filled_text(struct steps *, struct site text, uint32_t subject); /* { } filled in */
/* A property of a definition by name; 0 quantity when not even a standard. */
uint32_t quantity_of(struct steps *, uint32_t definition, const char *name);
double quantity_si(struct steps *, uint32_t quantity, struct text *why);
/* The property of a definition that is for something; 0 when its kind has none, or it is not stated. */
uint32_t quantity_for(struct steps *, uint32_t definition, enum purpose);
uint32_t reference_for(struct steps *, uint32_t definition, enum purpose); /* definition, or 0 */
struct text text_for(struct steps *, uint32_t definition, enum purpose);   /* empty when there is none */
bool has_tool_size(const struct steps *, uint32_t definition);
/* The label of a property or derived value, in the table's language. */
struct text label_of(struct steps *, uint32_t quantity);
struct text title_of(struct steps *, uint32_t definition); /* its title, else its name in words */
/* A text of the library or of a table in C, in the table's language. */
struct text word_said(struct steps *, struct text); /* of one of the schema's words */
struct text kind_said(struct steps *, enum kind);
struct text quantity_said(struct steps *,
                          const struct quantity *); /* for people: "die: temperature"; in English its path */
struct text property_of_said(struct steps *, struct text path, uint32_t property);
struct text reason_said(struct steps *, struct text english); /* why something could not be worked out */
struct text steps_said(struct steps *, const char *english);
struct text yes_or_no(struct steps *, bool);
struct text library_text(struct steps *, uint32_t file, const char *context,
                         struct text);                                /* said when the file is ours */
struct text in_words(struct arena *, struct text name, bool capital); /* "still-air" as "still air" */
struct text capitalised(struct arena *, struct text words);           /* a copy; only the first letter changes */
void fill_steps(struct steps *, struct step_table *);
void fill_setup(struct steps *, struct step_table *);
void fill_sizes(struct steps *, struct step_table *);
void fill_budgets(struct steps *, struct step_table *);
void fill_chosen(struct steps *, struct step_table *);
void fill_limits(struct steps *, struct step_table *);
void fill_waivers(struct steps *, struct step_table *);
void fill_cautions(struct steps *, struct step_table *);
void fill_revisions(struct steps *, struct step_table *);
void fill_values(struct steps *, struct step_table *);
void fill_tool_facts(struct steps *, struct step_table *);
void fill_inspection(struct steps *, struct step_table *);
void fill_charts(struct steps *, struct step_table *);

#endif
