/* What the files of this folder share. */
#ifndef COMPILER_TABLE_PARTS_H
#define COMPILER_TABLE_PARTS_H

#include "compiler/table/steps.h"

/* ---- values, beyond those of steps.h ------------------------------------------------------------------------------ */

/* A property or derived value of a definition by name; 0 when it has no value, not even a standard. */
uint32_t quantity_of(struct steps *, uint32_t definition, const char *name);
uint32_t reference_for(struct steps *, uint32_t definition, enum purpose); /* definition, or 0 */
struct text text_for(struct steps *, uint32_t definition, enum purpose);   /* empty when there is none */
bool has_tool_size(const struct steps *, uint32_t definition); /* it is of a kind whose sizes a tool makes */
struct shown shown_part(struct steps *, uint32_t feature);     /* its size and wanted band */
/* In the digits that an operator can use, rounded to its safe side (typeset.h); its number for programs is whole. */
struct shown shown_for_use(struct steps *, uint32_t quantity);
/* Finds to which side each value is rounded: what others are held against, or somebody waits for, to its safe side. */
void steps_find_sides(struct steps *);
enum toward side_of(const struct steps *, uint32_t quantity);

/* ---- words, in the table's language ------------------------------------------------------------------------------- */

struct text steps_said(struct steps *, const char *english); /* a SAY() */
/* A text of the library; what a recipe says stays as written. */
struct text library_text(struct steps *, uint32_t file, struct text);
struct text label_of(struct steps *, uint32_t quantity);   /* of a property or derived value */
struct text title_of(struct steps *, uint32_t definition); /* its title, else its name in words */
struct text word_said(struct steps *, struct text);        /* one of the schema's words */
struct text yes_or_no(struct steps *, bool);
struct text quantity_said(struct steps *, const struct quantity *); /* "die: temperature"; in English its path */
struct text property_of_said(struct steps *, struct text path, uint32_t property);
struct text reason_said(struct steps *, const struct reason *); /* in the table's spelling */
struct text capitalised(struct arena *, struct text words);     /* a copy; only the first letter changes */

/* ---- parts of the table ------------------------------------------------------------------------------------------- */

void steps_fill_rows(struct steps *, struct step_table *);
void steps_fill_setup(struct steps *, struct step_table *);
void steps_fill_sizes(struct steps *, struct step_table *);
void steps_fill_budgets(struct steps *, struct step_table *);
void steps_fill_chosen(struct steps *, struct step_table *);
void steps_fill_limits(struct steps *, struct step_table *);
void steps_fill_waivers(struct steps *, struct step_table *);
void steps_fill_cautions(struct steps *, struct step_table *);
void steps_fill_revisions(struct steps *, struct step_table *);
void steps_fill_tool_facts(struct steps *, struct step_table *);
void steps_fill_inspection(struct steps *, struct step_table *);
void steps_fill_charts(struct steps *, struct step_table *);

#endif
