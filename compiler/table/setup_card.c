/* The set-up card: what is set at the press, what to expect, and the standard values taken. */
#include "compiler/table/parts.h"

#include <math.h>

static void add_setup(struct steps *s, struct step_table *t, struct text group, struct text label, struct shown shown)
{
    if (shown.text.len)
        *ARRAY_PUSH(s->lowering->arena, &t->setup) = (struct setup_row){.group = group, .label = label, .shown = shown};
}

static enum setup_reader reader_of(enum kind kind)
{
    enum setup_reader own = kind_table[kind].standards;
    return own == SETUP_AT_PRESS ? kind_table[kind_table[kind].family].standards : own;
}

/* The heading of a kind's rows, or of a definition's. */
static struct text group_words(struct steps *s, const char *group)
{
    return capitalised(s->lowering->arena, said_in(s->spelling.language, "name", group));
}

static struct text group_of(struct steps *s, uint32_t definition)
{
    const char *group = kind_table[definition_at(s->lowering->scope, definition)->kind].group;
    return group ? group_words(s, group) : capitalised(s->lowering->arena, title_of(s, definition));
}

/* What is set, and what else stands on the card; a family's properties before a kind's own. */
static void add_setup_of(struct steps *s, struct step_table *t, uint32_t definition, struct text group)
{
    enum kind kind = definition_at(s->lowering->scope, definition)->kind;
    for (uint32_t i = 0; i < property_count; i++) {
        const struct property_entry *p = &property_table[i];
        if (!kind_is(kind, p->kind) || (p->role != ROLE_SET && !serves(p, FOR_set_up)))
            continue;
        uint32_t q = quantity_of(s, definition, p->name);
        if (q)
            add_setup(s, t, group, steps_said(s, p->label), shown_for_use(s, q));
    }
}

/* A value that follows; what cannot be worked out is left out. */
static void add_expected(struct steps *s, struct step_table *t, uint32_t quantity, struct text group,
                         enum setup_reader reader)
{
    if (isnan(quantity_si(s, quantity)))
        return;
    *ARRAY_PUSH(s->lowering->arena, &t->setup) = (struct setup_row){.reader = reader,
                                                                    .expected = true,
                                                                    .group = group,
                                                                    .label = label_of(s, quantity),
                                                                    .shown = shown_for_use(s, quantity)};
}

static void add_expected_of(struct steps *s, struct step_table *t, uint32_t definition, struct text group)
{
    const struct lowering *l = s->lowering;
    enum kind kind = definition_at(l->scope, definition)->kind;
    for (uint32_t id = 1; id < derived_end(l->scope); id++) {
        const struct derived *d = derived_at(l->scope, id);
        if (has_purpose(d->uses, FOR_set_up) && kind_is(kind, d->kind) && find_derived(l->scope, kind, d->name) == id)
            add_expected(s, t, lowering_derived(l, id, definition), group, SETUP_AT_PRESS);
    }
}

/* blank.mass, in the group "blank" */
static bool let_is_in(const struct scope *scope, const struct let *let, const char *group)
{
    struct text name = atom_text(&scope->names, let->name);
    uint32_t len = (uint32_t)strlen(group);
    return name.len > len && name.at[len] == '.' && memcmp(name.at, group, len) == 0;
}

static void add_lets_of(struct steps *s, struct step_table *t, const char *group)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = 1; id < let_end(scope); id++) {
        const struct let *let = let_at(scope, id);
        bool set_up = has_purpose(let->uses, FOR_set_up), planning = has_purpose(let->uses, FOR_planning);
        if ((set_up || planning) && let_is_in(scope, let, group))
            add_expected(s, t, lowering_let(s->lowering, id), group_words(s, group),
                         set_up ? SETUP_AT_PRESS : SETUP_IN_PLANNING);
    }
}

/* Nothing that changes a result goes unsaid: what the recipe left to the standard is listed, each property once. */
static void add_standards(struct steps *s, struct step_table *t)
{
    const struct lowering *l = s->lowering;
    bool *told = ARENA_ARRAY(l->arena, property_count, bool);
    for (uint32_t i = 1; i < l->quantities.count; i++) {
        const struct quantity *q = &l->quantities.at[i];
        bool told_already = !q->entry || told[q->entry - property_table];
        if (q->sort != QUANTITY_STANDARD || told_already || (q->value.tag != LOW_NODE && q->value.tag != LOW_WORD))
            continue;
        told[q->entry - property_table] = true;
        struct text label =
            kind_table[q->entry->kind].flags & KIND_IN_LABEL
                ? steps_said(s, q->entry->label)
                : said_filled(l->arena, steps_said(s, SAY("{kind}: {label}")),
                              SAID_PARTS({"kind", kind_said(l->arena, q->entry->kind, s->spelling.language)},
                                         {"label", steps_said(s, q->entry->label)}));
        uint32_t before = t->setup.count;
        add_setup(s, t, steps_said(s, SAY("Not stated, taken as standard")), label, shown_value(s, i));
        if (t->setup.count > before)
            t->setup.at[before].reader = reader_of(q->entry->kind);
    }
}

static void add_setup_of_steps(struct steps *s, struct step_table *t)
{
    for (uint32_t i = 0; i < t->steps.count; i++) {
        add_setup_of(s, t, s->lowering->scope->steps.at[i], t->steps.at[i].what);
        add_expected_of(s, t, s->lowering->scope->steps.at[i], t->steps.at[i].what);
    }
}

static void add_setup_of_kind(struct steps *s, struct step_table *t, enum kind kind)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++)
        if (definition_at(scope, id)->kind == kind) {
            add_setup_of(s, t, id, group_of(s, id));
            add_expected_of(s, t, id, group_of(s, id));
        }
    if (kind_table[kind].group && s->lowering->scope->kind_count[kind])
        add_lets_of(s, t, kind_table[kind].group);
}

void steps_fill_setup(struct steps *s, struct step_table *t)
{
    for (enum kind kind = KIND_NONE + 1; kind < KIND_COUNT; kind++)
        if (!(kind_table[kind].flags & KIND_STEP))
            add_setup_of_kind(s, t, kind);
    add_setup_of_steps(s, t);
    add_standards(s, t);
}
