/* Diagnostics of limits that do not hold, after judging, proving and waiving. */
#include "compiler/judge/parts.h"
#include "compiler/model/holes.h"
#include "runtime/base/buffer.h"

#include <math.h>

enum { MOST_BROKEN = 6 }; /* inputs named in a message; the step table has all */

struct span place_of_result(const struct lowering *l, const struct limit_result *r)
{
    const struct rule *rule = rule_at(l->scope, r->rule);
    if (rule->site.file >= l->scope->first_file) { /* the recipe's own: point at what the engineer wrote */
        const struct tree *t = file_at(l->scope, rule->site.file)->tree;
        uint32_t node = node_child(t, rule->site.node); /* a requirement's condition, a limit's name */
        return r->subject ? definition_span(l->scope, r->subject) : node_span(t, node);
    }
    if (r->subject)
        return definition_span(l->scope, r->subject);
    uint32_t recipe = find_recipe(l->scope);
    return recipe ? definition_span(l->scope, recipe) : (struct span){0};
}

static void report_failed(const struct lowering *l, const struct limit_result *r)
{
    struct diagnostics *g = l->scope->diagnostics;
    const struct rule *rule = rule_at(l->scope, r->rule);
    struct text value = measured_words(l, r);
    struct diagnostic *d =
        report(g, rule->what == NODE_REQUIRE ? FAULT_requirement_fails : FAULT_limit_fails, place_of_result(l, r),
               "%.*s does not hold%s%.*s%.*s", TEXT_ARGS(rule_words(l, r->rule, r->subject)), value.len ? ": " : "",
               TEXT_ARGS(value), TEXT_ARGS(hair_words(l, r)));
    struct text because = note_text(l, rule->site, TOKEN_BECAUSE), remedy = note_text(l, rule->site, TOKEN_REMEDY);
    if (because.len)
        report_here(g, d, "%.*s", TEXT_ARGS(because));
    if (remedy.len)
        report_help(g, d, "%.*s", TEXT_ARGS(remedy));
}

static bool is_open(const struct limit_result *r, bool released)
{
    const struct reason *why = r->verdict == VERDICT_NOT_EVALUATED ? r->why_not : NULL;
    return why && (!why->reported || released);
}

static bool waits_for(const struct limit_result *r, const struct reason *reason, bool released)
{
    for (const struct reason *why = r->why_not; why && is_open(r, released); why = why->next)
        if (reason_same(why, reason))
            return true;
    return false;
}

enum { MOST_WAITING = 6 }; /* limits named at their places; the table of limits has all */

/* All limits that wait for one thing are one message: it is mended in one place. */
static void report_open(struct limits *m, uint32_t first, const struct reason *reason, bool released)
{
    const struct lowering *l = m->lowering;
    struct diagnostics *g = l->scope->diagnostics;
    const struct limit_result *r = &m->results.at[first];
    uint32_t count = 0, named = 0;
    for (uint32_t i = first; i < m->results.count; i++)
        count += waits_for(&m->results.at[i], reason, released);
    struct text words = rule_words(l, r->rule, r->subject);
    struct text which = count == 1 ? arena_format(l->arena, "%.*s is", TEXT_ARGS(words))
                                   : arena_format(l->arena, "%u limits are", count);
    struct diagnostic *d = report(g, released ? FAULT_released_open : FAULT_limit_not_evaluated, place_of_result(l, r),
                                  "%.*s not evaluated: %.*s", TEXT_ARGS(which),
                                  TEXT_ARGS(reason_one_words(l->arena, l->scope, reason, SPELL_ASCII)));
    if (count > 1)
        report_here(g, d, "%.*s", TEXT_ARGS(words));
    for (uint32_t i = first + 1; i < m->results.count && named < MOST_WAITING; i++) {
        const struct limit_result *other = &m->results.at[i];
        if (!waits_for(other, reason, released))
            continue;
        report_label(g, d, place_of_result(l, other), "%.*s", TEXT_ARGS(rule_words(l, other->rule, other->subject)));
        named++;
    }
    report_help(g, d, "%s",
                released ? "a released recipe has no open limit: state what is missing, waive it, or go back to trial"
                         : "state what is missing; until then nobody knows whether it holds");
}

static bool was_told(const struct limits *m, uint32_t before, const struct reason *reason, bool released)
{
    for (uint32_t i = 0; i < before; i++)
        if (waits_for(&m->results.at[i], reason, released))
            return true;
    return false;
}

/* ---- values left open --------------------------------------------------------------------------------------------- */

/* The limits that wait for it, each once, and a note at their places. */
static struct text waiting_words(struct limits *m, struct diagnostic *d, const struct reason *reason, bool released)
{
    const struct lowering *l = m->lowering;
    uint32_t count = 0;
    for (uint32_t i = 0; i < m->results.count; i++) {
        const struct limit_result *r = &m->results.at[i];
        if (!waits_for(r, reason, released) || count++ >= MOST_WAITING)
            continue;
        report_label(l->scope->diagnostics, d, place_of_result(l, r), "%.*s waits for it",
                     TEXT_ARGS(rule_words(l, r->rule, r->subject)));
    }
    return count > 1 ? arena_format(l->arena, "%u limits wait for it", count)
           : count   ? TEXT("a limit waits for it")
                     : TEXT("no limit waits for it");
}

static void report_hole(struct limits *m, uint32_t property, bool released)
{
    const struct lowering *l = m->lowering;
    struct diagnostics *g = l->scope->diagnostics;
    const struct property *p = property_at(l->scope, property);
    struct span at = node_span(file_at(l->scope, p->site.file)->tree, p->value);
    const struct reason reason = {.kind = REASON_hole, .definition = p->definition, .name = text_of(p->entry->name)};
    struct diagnostic *d = report(g, released ? FAULT_released_open : FAULT_left_open, at, "%.*s",
                                  TEXT_ARGS(reason_one_words(l->arena, l->scope, &reason, SPELL_ASCII)));
    struct text waiting = waiting_words(m, d, &reason, released);
    report_here(g, d, "%.*s", TEXT_ARGS(waiting));
    report_help(g, d, "%.*s", TEXT_ARGS(open_help(l->scope, l->arena, property)));
}

static void report_holes(struct limits *m, bool released)
{
    const struct scope *s = m->lowering->scope;
    for (uint32_t id = s->first_property; id < property_end(s); id++)
        if (property_is_open(s, id))
            report_hole(m, id, released);
}

/* Every reason once, at the first limit that has it. */
static void report_all_open(struct limits *m, bool released)
{
    report_holes(m, released);
    for (uint32_t i = 0; i < m->results.count; i++) {
        const struct limit_result *r = &m->results.at[i];
        for (const struct reason *why = is_open(r, released) ? r->why_not : NULL; why; why = why->next)
            if (why->kind != REASON_hole && !was_told(m, i, why, released))
                report_open(m, i, why, released);
    }
}

/* ---- over the tolerances ------------------------------------------------------------------------------------------ */

static struct text input_words(const struct lowering *l, const struct broken_input *b)
{
    struct unit unit = lowering_input_unit(l, &b->input);
    return arena_format(l->arena, "%.*s = %.*s%s", TEXT_ARGS(lowering_input_path(l, &b->input)),
                        TEXT_ARGS(typeset_quantity(l->arena, b->si, &unit, SPELL_ASCII)),
                        lowering_input_moves_curve(l, &b->input) ? " of its curve" : "");
}

/* "die.temperature = 196 degC and blank.contact = 1260 W/(m^2*K)" */
struct text combination_words(struct limits *m, const struct limit_result *r)
{
    struct buffer b;
    uint32_t count = r->worst.broken_count, shown = count > MOST_BROKEN ? MOST_BROKEN : count;
    buffer_init(&b, m->lowering->arena);
    for (uint32_t i = 0; i < shown; i++) {
        buffer_put(&b, i == 0 ? TEXT("") : i + 1 == count ? TEXT(" and ") : TEXT(", "));
        buffer_put(&b, input_words(m->lowering, &m->broken.at[r->worst.broken_first + i]));
    }
    if (shown < count)
        buffer_put(&b, arena_format(m->lowering->arena, " and %u more", count - shown));
    return buffer_text(&b);
}

void label_inputs(struct limits *m, struct diagnostic *d, const struct limit_result *r)
{
    const struct lowering *l = m->lowering;
    for (uint32_t i = 0; i < r->worst.broken_count && i < MOST_BROKEN; i++) {
        const struct input *in = &m->broken.at[r->worst.broken_first + i].input;
        struct site site = in->figure ? property_at(l->scope, in->figure)->site : l->quantities.at[in->quantity].site;
        if (site.file >= l->scope->first_file)
            report_label(l->scope->diagnostics, d, site_span(l->scope, site), "its tolerance counts here");
    }
}

static void report_nominal_only(struct limits *m, const struct limit_result *r, bool released)
{
    const struct lowering *l = m->lowering;
    struct text combination = combination_words(m, r), value = worst_words(l, r);
    struct diagnostic *d =
        report(l->scope->diagnostics, released ? FAULT_released_open : FAULT_limit_nominal_only, place_of_result(l, r),
               "%.*s holds at the stated values, but not over the tolerances: at worst %.*s",
               TEXT_ARGS(rule_words(l, r->rule, r->subject)), TEXT_ARGS(value.len ? value : TEXT("it does not")));
    if (combination.len)
        report_here(l->scope->diagnostics, d, "broken with %.*s", TEXT_ARGS(combination));
    label_inputs(m, d, r);
    struct text remedy = note_text(l, rule_at(l->scope, r->rule)->site, TOKEN_REMEDY);
    report_help(l->scope->diagnostics, d, "hold these tighter, or gain margin%s%.*s", remedy.len ? ": " : "",
                TEXT_ARGS(remedy));
}

static void report_undecided(struct limits *m, const struct limit_result *r, bool released)
{
    const struct lowering *l = m->lowering;
    struct diagnostics *g = l->scope->diagnostics;
    struct text combination = combination_words(m, r);
    struct diagnostic *d = report(g, released ? FAULT_released_open : FAULT_limit_not_decided, place_of_result(l, r),
                                  "%.*s holds at the stated values; over the tolerances it is not decided: %.*s",
                                  TEXT_ARGS(rule_words(l, r->rule, r->subject)), TEXT_ARGS(why_not_words(l, r)));
    if (combination.len)
        report_here(g, d, "so with %.*s", TEXT_ARGS(combination));
    label_inputs(m, d, r);
    report_help(g, d, "hold what it depends on tighter, so that everything it stands on has a value throughout");
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

struct text open_words(const struct lowering *l, const struct limit_result *r, enum verdict verdict)
{
    struct text value = verdict == VERDICT_NOMINAL_ONLY ? worst_words(l, r) : measured_words(l, r);
    switch (verdict) {
    case VERDICT_FAILS:
        return value.len ? value : TEXT("it does not hold");
    case VERDICT_NOMINAL_ONLY:
        return value.len ? arena_format(l->arena, "it holds at the stated values; at worst %.*s", TEXT_ARGS(value))
                         : TEXT("it holds at the stated values alone");
    case VERDICT_NOT_DECIDED:
        return arena_format(l->arena, "over the tolerances it is not decided: %.*s", TEXT_ARGS(why_not_words(l, r)));
    default:
        return arena_format(l->arena, "it is not evaluated%s%.*s", r->why_not ? ": " : "",
                            TEXT_ARGS(why_not_words(l, r)));
    }
}

/* A caution that names a remedy rests on something the recipe does not state. */
static void report_taken(const struct lowering *l, const struct evaluation *e, const struct lowered_caution *c)
{
    const struct rule *rule = rule_at(l->scope, c->rule);
    const struct tree *t = file_at(l->scope, rule->site.file)->tree;
    struct text remedy = note_text(l, rule->site, TOKEN_REMEDY);
    uint32_t text = rule_line(t, rule->site.node, "text");
    if (!remedy.len || !text || value_of(e, c->when) != 1)
        return;
    struct limit_result about = {.rule = c->rule, .subject = c->subject};
    struct diagnostic *d = report(l->scope->diagnostics, FAULT_taken_as, place_of_result(l, &about), "%.*s",
                                  TEXT_ARGS(text_piece(l->arena, t, text, 0)));
    report_help(l->scope->diagnostics, d, "%.*s", TEXT_ARGS(remedy));
}

void limits_report_taken(const struct limits *m, const struct evaluation *e)
{
    for (uint32_t i = 0; i < m->lowering->cautions.count; i++)
        report_taken(m->lowering, e, &m->lowering->cautions.at[i]);
}

void limits_report(struct limits *m, bool released)
{
    for (uint32_t i = 0; i < m->results.count; i++)
        if (m->results.at[i].verdict == VERDICT_FAILS)
            report_failed(m->lowering, &m->results.at[i]);
    report_all_open(m, released);
    for (uint32_t i = 0; i < m->results.count; i++) {
        const struct limit_result *r = &m->results.at[i];
        if (r->verdict == VERDICT_NOMINAL_ONLY)
            report_nominal_only(m, r, released);
        else if (r->verdict == VERDICT_NOT_DECIDED)
            report_undecided(m, r, released);
    }
}

void limits_ask(struct limits *m)
{
    for (uint32_t i = 0; i < m->results.count; i++) {
        struct limit_result *r = &m->results.at[i];
        const struct low parts[] = {r->value, r->low, r->high, r->condition};
        struct low missing = r->when;
        for (int k = 0; k < 4 && r->when.tag != LOW_MISSING; k++) /* else nobody knows whether the rest is wanted */
            missing = low_both_missing(m->lowering->arena, missing, parts[k]);
        r->verdict = VERDICT_NOT_EVALUATED;
        r->why_not = missing.why;
    }
    report_all_open(m, false);
}
