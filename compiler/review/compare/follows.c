/* Compares what follows: verdicts, cautions, tool sizes, and every other derived value. */
#include "compiler/review/compare/parts.h"
#include "runtime/compare.h"

#include <math.h>

static uint64_t pair_key(uint32_t rule, uint32_t subject)
{
    return map_key(rule, subject);
}

/* Returns 0 for 0, the subject of a rule about no definition. */
static uint32_t match_subject(struct matcher *m, uint32_t old)
{
    return old ? compare_match_id(m, ITEM_DEFINITION, old) : 0;
}

static struct text subject_words(struct matcher *m, const struct side *side, uint32_t rule, uint32_t subject)
{
    const struct rule *r = rule_at(side->scope, rule);
    struct text name = r->name ? atom_text(&side->scope->names, r->name) : TEXT("requirement");
    const struct tree *t = file_at(side->scope, r->site.file)->tree;
    if (!r->name && node_child(t, r->site.node))
        name = compare_words_of(m, side, (struct site){r->site.file, node_child(t, r->site.node)});
    if (!subject)
        return name;
    return arena_format(m->arena, "%.*s of %.*s", TEXT_ARGS(name),
                        TEXT_ARGS(compare_definition_name(side->scope, subject)));
}

/* ---- verdicts and margins ------------------------------------------------------------------------------------------- */

static const struct limit_result *result_at(const struct side *side, uint32_t i)
{
    return &side->recipe->limits.results.at[i];
}

/* "0.40 mm, at least 2.41 mm" */
static struct text value_and_bound(struct matcher *m, const struct side *side, const struct limit_result *r)
{
    if (isnan(r->value_si))
        return TEXT("");
    struct text bound = bound_words(side->recipe->lowering, r, SPELL_ASCII);
    return arena_format(m->arena, "%.*s%s%.*s", TEXT_ARGS(limit_value_words(side->recipe->lowering, r, SPELL_ASCII)),
                        bound.len ? ", " : "", TEXT_ARGS(bound));
}

/* "1.097, at worst 1.020, within 1.05 .. 1.20"; where the bound moves too, it is told on both sides. */
static struct text with_worst(struct matcher *m, const struct side *side, const struct limit_result *r)
{
    struct limit_result worst = *r;
    const struct lowering *l = side->recipe->lowering;
    worst.value_si = r->worst.value_si;
    worst.low_si = r->worst.low_si;
    worst.high_si = r->worst.high_si;
    struct text stated = value_and_bound(m, side, r), then = value_and_bound(m, side, &worst);
    struct text bound = bound_words(l, r, SPELL_ASCII);
    if (!then.len || !stated.len)
        return stated;
    if (!bound.len || !text_same(bound, bound_words(l, &worst, SPELL_ASCII)))
        return arena_format(m->arena, "%.*s; at worst %.*s", TEXT_ARGS(stated), TEXT_ARGS(then));
    return arena_format(m->arena, "%.*s, at worst %.*s", TEXT_ARGS(limit_value_words(l, r, SPELL_ASCII)),
                        TEXT_ARGS(then));
}

static struct text judged_words(struct matcher *m, const struct side *side, const struct limit_result *r)
{
    if (r->verdict == VERDICT_NOT_EVALUATED)
        return why_not_words(side->recipe->lowering, r);
    return r->verdict == VERDICT_NOMINAL_ONLY ? with_worst(m, side, r) : value_and_bound(m, side, r);
}

static struct text told_verdict(struct matcher *m, const struct side *side, const struct limit_result *r)
{
    struct text judged = judged_words(m, side, r);
    return arena_format(m->arena, "%s%s%.*s", verdict_table[r->verdict].word, judged.len ? ": " : "",
                        TEXT_ARGS(judged));
}

/* A smaller verdict is a worse one. Rows that got worse come first, the worst of them at the top. */
static double verdict_weight(const struct limit_result *a, const struct limit_result *b)
{
    int was = a ? (int)a->verdict : VERDICT_COUNT, is = b ? (int)b->verdict : VERDICT_COUNT;
    return is < was ? 2.0 * VERDICT_COUNT - is : (double)(VERDICT_COUNT - was);
}

static void tell_verdict(struct matcher *m, const struct limit_result *a, const struct limit_result *b)
{
    struct compare_row *r = compare_add_row(m, COMPARE_VERDICT,
                                            !a   ? COMPARE_ADDED
                                            : !b ? COMPARE_REMOVED
                                                 : COMPARE_CHANGED);
    const struct limit_result *now = b ? b : a;
    const struct side *side = b ? &m->new : &m->old;
    r->subject = subject_words(m, side, now->rule, now->subject);
    r->before = a ? told_verdict(m, &m->old, a) : TEXT("");
    r->after = b ? told_verdict(m, &m->new, b) : TEXT("");
    r->weight = verdict_weight(a, b);
    bool judged = a && b && a->verdict != VERDICT_NOT_APPLICABLE && b->verdict != VERDICT_NOT_APPLICABLE;
    r->worse = b && (a ? judged && b->verdict < a->verdict : b->verdict < VERDICT_WAIVED); /* worst first in the enum */
    if (judged)
        r->change = r->worse                       ? TEXT("worse")
                    : b->verdict == VERDICT_WAIVED ? TEXT("by a waiver") /* the process is no better */
                                                   : TEXT("better");
    if (b && b->verdict == VERDICT_FAILS)
        r->label = note_text(side->recipe->lowering, rule_at(side->scope, b->rule)->site, TOKEN_BECAUSE);
}

/* What is left up to the bound, over the tolerances where that is known: a share of it, of temperatures kelvins, for
 * their zero says nothing. */
static double share_left(const struct limit_result *r)
{
    double worst = worst_margin_of(r);
    return isnan(worst) ? margin_of(r) : worst;
}

/* Both sides in the unit of the new one: a change of scale alone moves nothing. */
static struct text margin_words(struct matcher *m, const struct limit_result *r, struct unit unit)
{
    double share = share_left(r), left = isnan(r->worst.least) ? margin_si(r) : r->worst.least;
    struct unit step = unit_of_difference(unit);
    if (isfinite(share))
        return arena_format(m->arena, "%.*s %%", TEXT_ARGS(typeset_number(m->arena, share * 100, 0)));
    if (!r->unit.point || !isfinite(left))
        return TEXT("");
    return typeset_quantity(m->arena, left, &step, SPELL_ASCII);
}

static bool same_or_none(double a, double b)
{
    return (isnan(a) && isnan(b)) || same_value(a, b);
}

/* Adds a row for a limit with the same verdict when its shown value, bound or margin moved. */
static void tell_margin(struct matcher *m, const struct limit_result *a, const struct limit_result *b)
{
    struct text left = margin_words(m, a, b->unit), now = margin_words(m, b, b->unit);
    bool unmoved = same_or_none(a->value_si, b->value_si) && same_or_none(a->low_si, b->low_si) &&
                   same_or_none(a->high_si, b->high_si);
    if (unmoved && text_same(left, now))
        return;
    struct text was = judged_words(m, &m->old, a), is = judged_words(m, &m->new, b);
    if (text_same(was, is) && text_same(left, now))
        return;
    double before = share_left(a), after = share_left(b);
    struct compare_row *r = compare_add_row(m, COMPARE_MARGIN, COMPARE_CHANGED);
    r->subject = subject_words(m, &m->new, b->rule, b->subject);
    r->before = was;
    r->after = is;
    r->before_value = before;
    r->after_value = after;
    r->worse = b->verdict != VERDICT_NOT_APPLICABLE && after < 0.1 && after < before;
    if (left.len && now.len)
        r->change =
            text_same(left, now) ? now : arena_format(m->arena, "%.*s -> %.*s", TEXT_ARGS(left), TEXT_ARGS(now));
    r->weight = isfinite(before) && isfinite(after) ? fabs(after - before)
                                                    : compare_change_weight(a->value_si, b->value_si, &b->unit) / 100;
}

static void compare_results(struct matcher *m)
{
    struct map known;
    map_init(&known, m->arena);
    uint32_t count = m->new.recipe->limits.results.count;
    bool *met = ARENA_ARRAY(m->arena, count, bool);
    for (uint32_t i = 0; i < count; i++)
        map_set(&known, pair_key(result_at(&m->new, i)->rule, result_at(&m->new, i)->subject), i + 1);
    for (uint32_t i = 0; i < m->old.recipe->limits.results.count; i++) {
        const struct limit_result *a = result_at(&m->old, i);
        uint32_t rule = compare_match_id(m, ITEM_RULE, a->rule), subject = match_subject(m, a->subject);
        uint32_t found = rule && (subject || !a->subject) ? map_get(&known, pair_key(rule, subject)) : 0;
        const struct limit_result *b = found ? result_at(&m->new, found - 1) : NULL;
        if (found)
            met[found - 1] = true;
        /* A limit that held and was removed with its subject is not reported. */
        if (b ? b->verdict != a->verdict : a->verdict == VERDICT_FAILS)
            tell_verdict(m, a, b);
        else if (b)
            tell_margin(m, a, b);
    }
    for (uint32_t i = 0; i < count; i++)
        if (!met[i] && result_at(&m->new, i)->verdict != VERDICT_NOT_APPLICABLE)
            tell_verdict(m, NULL, result_at(&m->new, i));
}

/* ---- cautions --------------------------------------------------------------------------------------------------------- */

static struct text caution_words(struct matcher *m, struct side *side, const struct lowered_caution *c)
{
    const struct rule *r = rule_at(side->scope, c->rule);
    const struct tree *t = file_at(side->scope, r->site.file)->tree;
    struct steps *s = &side->recipe->steps;
    if (value_of(s->values, c->when) == 0)
        return TEXT("");
    uint32_t signal = rule_line(t, r->site.node, "signal"), text = rule_line(t, r->site.node, "text");
    struct text word = signal ? node_text(t, signal) : TEXT("caution");
    struct text said = text ? filled_text(s, (struct site){r->site.file, text}, c->subject) : TEXT("");
    return arena_format(m->arena, "%.*s: %.*s", TEXT_ARGS(word), TEXT_ARGS(said));
}

static void tell_caution(struct matcher *m, const struct lowered_caution *a, const struct lowered_caution *b)
{
    struct text was = a ? caution_words(m, &m->old, a) : TEXT(""), is = b ? caution_words(m, &m->new, b) : TEXT("");
    if (text_same(was, is))
        return;
    struct compare_row *r = compare_add_row(m, COMPARE_CAUTION,
                                            !was.len  ? COMPARE_ADDED
                                            : !is.len ? COMPARE_REMOVED
                                                      : COMPARE_CHANGED);
    r->subject = b ? subject_words(m, &m->new, b->rule, b->subject) : subject_words(m, &m->old, a->rule, a->subject);
    r->before = was;
    r->after = is;
    r->weight = COMPARE_HOW_COUNT - r->how;
}

static void compare_cautions(struct matcher *m)
{
    struct map known;
    map_init(&known, m->arena);
    const struct lowering *old = m->old.recipe->lowering, *new = m->new.recipe->lowering;
    bool *met = ARENA_ARRAY(m->arena, new->cautions.count, bool);
    for (uint32_t i = 0; i < new->cautions.count; i++)
        map_set(&known, pair_key(new->cautions.at[i].rule, new->cautions.at[i].subject), i + 1);
    for (uint32_t i = 0; i < old->cautions.count; i++) {
        const struct lowered_caution *a = &old->cautions.at[i];
        uint32_t rule = compare_match_id(m, ITEM_RULE, a->rule), subject = match_subject(m, a->subject);
        uint32_t found = rule && (subject || !a->subject) ? map_get(&known, pair_key(rule, subject)) : 0;
        if (found)
            met[found - 1] = true;
        tell_caution(m, a, found ? &new->cautions.at[found - 1] : NULL);
    }
    for (uint32_t i = 0; i < new->cautions.count; i++)
        if (!met[i])
            tell_caution(m, NULL, &new->cautions.at[i]);
}

/* ---- values ------------------------------------------------------------------------------------------------------------ */

/* Shows both sides in the unit of the new one, so that a change of units alone is no difference. */
static struct text value_words(struct matcher *m, struct side *side, uint32_t quantity, double si, struct text why,
                               const struct unit *unit)
{
    if (why.len)
        return arena_format(m->arena, "not evaluated: %.*s", TEXT_ARGS(why));
    if (unit && !isnan(si))
        return typeset_quantity(m->arena, si, unit, SPELL_ASCII);
    return shown_value(&side->recipe->steps, quantity).text;
}

static void tell_value(struct matcher *m, enum compare_section section, uint32_t a, uint32_t b, struct text subject)
{
    const struct quantity *q = &m->new.recipe->lowering->quantities.at[b];
    struct steps *x = &m->old.recipe->steps, *y = &m->new.recipe->steps;
    struct text why_old = quantity_why_not(x, a), why_new = quantity_why_not(y, b);
    double before = quantity_si(x, a), after = quantity_si(y, b);
    if (same_value(before, after) || (why_old.len && why_new.len) ||
        (!why_old.len && !why_new.len && q->value.tag == LOW_FUNCTION))
        return;
    const struct unit *unit = q->shown_as_quantity ? &q->unit : NULL;
    struct text was = value_words(m, &m->old, a, before, why_old, unit);
    struct text is = value_words(m, &m->new, b, after, why_new, unit);
    if (text_same(was, is))
        return;
    struct compare_row *r = compare_add_row(m, section, COMPARE_CHANGED);
    const struct lowering *l = m->new.recipe->lowering;
    r->subject = subject;
    q = &l->quantities.at[b];
    r->label = q->entry ? text_of(q->entry->label) : note_text(l, q->site, TOKEN_LABEL);
    r->before = was;
    r->after = is;
    if (!unit) {
        r->weight = 1;
        return;
    }
    compare_fill_numbers(m, r, before, after, q);
}

/* Compares a size that the toolroom makes, rounded as finely as its band. */
static void tell_size(struct matcher *m, uint32_t old, uint32_t new)
{
    struct steps *s = &m->old.recipe->steps, *t = &m->new.recipe->steps;
    uint32_t a = quantity_for(s, old, FOR_size_to_make), b = quantity_for(t, new, FOR_size_to_make);
    struct shown x = shown_with_band(s, a, quantity_si(s, quantity_for(s, old, FOR_machining_band)));
    struct shown y = shown_with_band(t, b, quantity_si(t, quantity_for(t, new, FOR_machining_band)));
    if ((!a && !b) || (text_same(x.text, y.text) && text_same(x.band, y.band)))
        return;
    double before = quantity_si(s, a), after = quantity_si(t, b);
    struct unit unit = m->new.recipe->lowering->quantities.at[b ? b : 1].unit;
    struct text band = same_value(before, after) ? y.band : TEXT("");
    if (same_value(before, after) && text_same(x.band, y.band))
        return;
    struct compare_row *r = compare_add_row(m, COMPARE_SIZE, COMPARE_CHANGED);
    r->subject = compare_definition_name(m->new.scope, new);
    r->label = TEXT("make at 20 degC");
    r->before = band.len ? arena_format(m->arena, "%.*s %.*s", TEXT_ARGS(x.text), TEXT_ARGS(x.band)) : x.text;
    r->after = band.len ? arena_format(m->arena, "%.*s %.*s", TEXT_ARGS(y.text), TEXT_ARGS(y.band)) : y.text;
    struct change change =
        b ? compare_change_words(m->arena, before, after, &unit) : (struct change){TEXT(""), NAN, INFINITY};
    r->change = change.words;
    r->percent = change.percent;
    r->weight = change.weight;
    r->before_value = x.value;
    r->after_value = y.value;
    r->unit = y.unit;
}

static bool has_size(const struct side *side, uint32_t definition)
{
    return name_for(side->scope, definition_at(side->scope, definition)->kind, FOR_size_to_make) != 0;
}

static void compare_derived(struct matcher *m, uint32_t old, const struct quantity *q)
{
    const struct lowering *l = m->new.recipe->lowering;
    uint32_t definition = compare_match_id(m, ITEM_DEFINITION, q->definition);
    if (!definition || !compare_is_own(&m->new, ITEM_DEFINITION, definition))
        return;
    enum kind kind = definition_at(m->new.scope, definition)->kind;
    struct text name = atom_text(&m->old.scope->names, q->name);
    atom known = interned(&m->new.scope->names, name);
    uint32_t derived = known ? find_derived(m->new.scope, kind, known) : 0;
    bool size = known && known == name_for(m->new.scope, kind, FOR_size_to_make);
    if (derived && !size) {
        uint32_t new = lowering_derived(l, derived, definition);
        tell_value(m, COMPARE_VALUE, old, new, l->quantities.at[new].path);
    }
}

/* Compares the values of a property that both sides state by the same expression. */
static void compare_stated_value(struct matcher *m, uint32_t old, const struct quantity *q)
{
    uint32_t definition = compare_match_id(m, ITEM_DEFINITION, q->definition);
    atom name = interned(&m->new.scope->names, atom_text(&m->old.scope->names, q->name));
    const struct lowering *l = m->new.recipe->lowering;
    uint32_t new = definition &&name ? lowering_property(l, definition, name) : 0;
    if (!new || !compare_is_own(&m->new, ITEM_DEFINITION, definition) || l->quantities.at[new].sort != QUANTITY_STATED)
        return;
    struct site a = q->site, b = l->quantities.at[new].site;
    const struct tree *s = file_at(m->old.scope, a.file)->tree, *t = file_at(m->new.scope, b.file)->tree;
    if (!compare_same_part(m, (struct site){a.file, node_value(s, a.node)},
                           (struct site){b.file, node_value(t, b.node)}))
        return;
    tell_value(m, q->entry->role == ROLE_SET ? COMPARE_SET : COMPARE_VALUE, old, new, l->quantities.at[new].path);
}

static void compare_let(struct matcher *m, uint32_t old, const struct quantity *q)
{
    uint32_t let = find_let(m->old.scope, q->name), other = let ? compare_match_id(m, ITEM_LET, let) : 0;
    if (!other || (compare_is_own(&m->old, ITEM_LET, let) && compare_is_plain_let(&m->old, let) &&
                   compare_is_plain_let(&m->new, other)))
        return;
    uint32_t new = lowering_let(m->new.recipe->lowering, other);
    tell_value(m, COMPARE_VALUE, old, new, m->new.recipe->lowering->quantities.at[new].path);
}

void compare_follows(struct matcher *m)
{
    const struct lowering *l = m->old.recipe->lowering;
    compare_results(m);
    compare_cautions(m);
    for (uint32_t id = m->old.scope->first_definition; id < definition_end(m->old.scope); id++) {
        uint32_t new = compare_match_id(m, ITEM_DEFINITION, id);
        if (new &&has_size(&m->old, id))
            tell_size(m, id, new);
    }
    for (uint32_t i = 1, count = l->quantities.count; i < count; i++) {
        const struct quantity q = l->quantities.at[i];
        bool own = q.definition && compare_is_own(&m->old, ITEM_DEFINITION, q.definition);
        if (q.sort == QUANTITY_DERIVED && own)
            compare_derived(m, i, &q);
        else if (q.sort == QUANTITY_STATED && own && q.value.tag == LOW_NODE && q.shown_as_quantity)
            compare_stated_value(m, i, &q);
        else if (q.sort == QUANTITY_LET)
            compare_let(m, i, &q);
    }
}
