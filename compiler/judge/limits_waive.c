/* Waivers held against the day: what they cover is set apart, and each says how it came out. */
#include "compiler/judge/parts.h"

bool is_open_verdict(enum verdict v)
{
    return v < VERDICT_WAIVED;
}

/* ---- what a waiver covers ---------------------------------------------------------------------------------------- */

struct waiving {
    struct limits *limits;
    struct map by_result; /* (rule, subject's name) to the waiver in force */
    uint32_t *covered;    /* by waiver: how many open results */
    uint32_t *first;      /* the first of them */
};

bool waiver_in_force(const struct limits *m, const struct waiver *w)
{
    return m->today.len && text_order(m->today, w->until) <= 0;
}

/* The name a definition is waived by: its own, or its kind's where it has none. */
static atom name_to_waive(const struct scope *s, uint32_t definition)
{
    const struct definition *d = definition_at(s, definition);
    return d->name ? d->name : interned(&s->names, text_of(kind_table[d->kind].name));
}

bool is_waivable(const struct limits *m, const struct limit_result *r)
{
    const struct scope *s = m->lowering->scope;
    for (uint32_t id = s->first_waiver; id < waiver_end(s); id++) {
        const struct waiver *w = waiver_at(s, id);
        bool meant = w->rule == r->rule && (!w->subject || (r->subject && w->subject == name_to_waive(s, r->subject)));
        if (meant && waiver_in_force(m, w))
            return true;
    }
    return false;
}

static void cover(struct waiving *g, struct limit_result *r, uint32_t index)
{
    const struct scope *s = g->limits->lowering->scope;
    uint32_t waiver = map_get(&g->by_result, map_key(r->rule, 0));
    if (!waiver && r->subject)
        waiver = map_get(&g->by_result, map_key(r->rule, name_to_waive(s, r->subject)));
    if (!waiver)
        return;
    r->waived = r->verdict;
    r->verdict = VERDICT_WAIVED;
    r->waiver = waiver;
    if (g->covered[waiver - s->first_waiver]++ == 0)
        g->first[waiver - s->first_waiver] = index;
}

/* ---- how a waiver came out --------------------------------------------------------------------------------------- */

static struct text waived_words(struct scope *s, const struct waiver *w)
{
    struct text limit = atom_text(&s->names, w->limit), subject = atom_text(&s->names, w->subject);
    return w->subject ? arena_format(s->arena, "%.*s for %.*s", TEXT_ARGS(limit), TEXT_ARGS(subject)) : limit;
}

static void report_expired(struct limits *m, const struct waiver *w, struct text from)
{
    struct scope *s = m->lowering->scope;
    const struct tree *t = file_at(s, w->site.file)->tree;
    struct span at = node_span(t, node_find(t, w->site.node, NODE_DATE));
    struct text words = waived_words(s, w);
    struct diagnostic *d;
    if (m->today.len) {
        d = report(s->diagnostics, FAULT_waiver_expired, at,
                   "the waiver of %.*s ran out on %.*s: it is held against %.*s%s%.*s", TEXT_ARGS(words),
                   TEXT_ARGS(w->until), TEXT_ARGS(m->today), from.len ? ", the day given by " : "", TEXT_ARGS(from));
        report_help(s->diagnostics, d,
                    "mend what the limit complains of and delete the waiver, or have it renewed by who answers for it");
    } else {
        d = report(s->diagnostics, FAULT_waiver_expired, at,
                   "whether the waiver of %.*s still holds cannot be told: no date was given", TEXT_ARGS(words));
        report_help(s->diagnostics, d, "give the day that waivers are to be held against");
    }
    report_here(s->diagnostics, d, "by %.*s: %.*s", TEXT_ARGS(w->by), TEXT_ARGS(w->why));
}

static void report_idle(struct limits *m, uint32_t id)
{
    struct scope *s = m->lowering->scope;
    const struct waiver *w = waiver_at(s, id);
    struct diagnostic *d = report(s->diagnostics, FAULT_waiver_covers_nothing, waiver_span(s, id),
                                  "the waiver of %.*s covers nothing: the limit is kept, or does not apply",
                                  TEXT_ARGS(waived_words(s, w)));
    report_help(s->diagnostics, d, "delete it, so that the limit speaks up when it is broken again");
}

/* One result in the sentence itself, several each at its place. */
static void report_in_force(struct limits *m, uint32_t id, uint32_t first, uint32_t count)
{
    const struct lowering *l = m->lowering;
    const struct waiver *w = waiver_at(l->scope, id);
    struct diagnostics *g = l->scope->diagnostics;
    const struct limit_result *r = &m->results.at[first];
    struct span at = waiver_span(l->scope, id);
    struct diagnostic *d;
    if (count == 1) {
        d = report(g, FAULT_limit_waived, at, "%.*s is waived until %.*s: %.*s",
                   TEXT_ARGS(rule_words(l, r->rule, r->subject)), TEXT_ARGS(w->until),
                   TEXT_ARGS(open_words(l, r, r->waived)));
    } else {
        d = report(g, FAULT_limit_waived, at, "%.*s is waived until %.*s; %u results would be open without it",
                   TEXT_ARGS(rule_words(l, r->rule, 0)), TEXT_ARGS(w->until), count);
        for (uint32_t i = first; i < m->results.count && m->results.at[i].rule == r->rule; i++)
            if (m->results.at[i].waiver == id)
                report_label(g, d, place_of_result(l, &m->results.at[i]), "%.*s: %.*s",
                             TEXT_ARGS(definition_words(l->scope, m->results.at[i].subject)),
                             TEXT_ARGS(open_words(l, &m->results.at[i], m->results.at[i].waived)));
    }
    report_here(g, d, "by %.*s: %.*s", TEXT_ARGS(w->by), TEXT_ARGS(w->why));
}

void limits_waive(struct limits *m, struct text today_from)
{
    struct scope *s = m->lowering->scope;
    uint32_t count = waiver_end(s) - s->first_waiver;
    struct arena *a = m->lowering->arena;
    struct waiving g = {m, {0}, ARENA_ARRAY(a, count, uint32_t), ARENA_ARRAY(a, count, uint32_t)};
    map_init(&g.by_result, a);
    for (uint32_t id = s->first_waiver; id < waiver_end(s); id++)
        if (waiver_in_force(m, waiver_at(s, id)))
            map_set(&g.by_result, map_key(waiver_at(s, id)->rule, waiver_at(s, id)->subject), id);
    for (uint32_t i = 0; count && i < m->results.count; i++)
        if (is_open_verdict(m->results.at[i].verdict))
            cover(&g, &m->results.at[i], i);
    for (uint32_t i = 0; i < count; i++) {
        uint32_t id = s->first_waiver + i;
        const struct waiver *w = waiver_at(s, id);
        if (!waiver_in_force(m, w))
            report_expired(m, w, today_from);
        else if (!g.covered[i])
            report_idle(m, id);
        else
            report_in_force(m, id, g.first[i], g.covered[i]);
    }
}
