/* Waivers: that each says until when, by whom and why, and names a limit and something the limit speaks of. */
#include "compiler/model/typing.h"

static struct span span_of_name(const struct scope *s, const struct waiver *w, uint32_t index)
{
    const struct tree *t = file_at(s, w->site.file)->tree;
    return node_span(t, node_nth(t, w->site.node, index));
}

/* ---- what must be said ------------------------------------------------------------------------------------------- */

static void check_said(struct scope *s, const struct waiver *w)
{
    const struct {
        bool said;
        enum fault fault;
        const char *lacks, *help;
    } rows[] = {
        {w->until.len, FAULT_missing_until, "this waiver does not say until when",
         "add 'until 2026-12-31' in front of the notes; on that day it still holds, on the next it does not"},
        {w->by.len, FAULT_missing_by, "this waiver does not say who waives",
         "add 'by \"process engineering\"': the role that answers for it, not a person"},
        {w->why.len, FAULT_missing_because, "this waiver does not say why",
         "add 'because \"...\"': why the parts are good all the same, or how they are sorted"},
    };
    for (int i = 0; i < 3; i++)
        if (!rows[i].said)
            report_help(s->diagnostics,
                        report(s->diagnostics, rows[i].fault, span_of_name(s, w, 0), "%s", rows[i].lacks), "%s",
                        rows[i].help);
}

/* ---- the limit --------------------------------------------------------------------------------------------------- */

static struct text nearest_limit(struct scope *s, struct text wrong)
{
    ARRAY(struct text) names = {0};
    for (uint32_t id = 1; id < rule_end(s) && names.count < NEAREST_LIMIT; id++)
        if (rule_at(s, id)->what == NODE_LIMIT)
            *ARRAY_PUSH(s->arena, &names) = atom_text(&s->names, rule_at(s, id)->name);
    return names.count ? nearest(wrong, names.at, names.count) : TEXT("");
}

static void report_unknown_limit(struct scope *s, const struct waiver *w, bool is_caution)
{
    struct text name = atom_text(&s->names, w->limit);
    struct span at = span_of_name(s, w, 0);
    struct diagnostic *d =
        is_caution
            ? report(s->diagnostics, FAULT_unknown_limit, at, "'%.*s' is a caution, not a limit", TEXT_ARGS(name))
            : report(s->diagnostics, FAULT_unknown_limit, at, "there is no limit '%.*s'", TEXT_ARGS(name));
    struct text near = is_caution || !report_kept(s->diagnostics, d) ? TEXT("") : nearest_limit(s, name);
    if (is_caution) {
        report_help(s->diagnostics, d, "a caution cannot be waived: it is printed wherever it applies");
    } else if (text_is(name, "requirement") || text_is(name, "this-requirement")) {
        report_help(s->diagnostics, d,
                    "a requirement has no name; write it as 'limit NAME {' with value and bound, and waive that");
    } else if (near.len) {
        report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
        report_edit(s->diagnostics, d, at, near);
    } else {
        report_help(s->diagnostics, d,
                    "'strokewright check --limits' shows the limits by the names they are waived by");
    }
}

/* ---- the subject ------------------------------------------------------------------------------------------------- */

static struct text name_of_subject(const struct scope *s, const struct definition *d)
{
    return d->name ? atom_text(&s->names, d->name) : text_of(kind_table[d->kind].name);
}

static bool speaks_of(const struct scope *s, const struct rule *r, atom subject)
{
    for (uint32_t id = find_any_definition(s, subject); id >= s->first_definition; id = definition_at(s, id)->namesake)
        if (kind_is(definition_at(s, id)->kind, r->each))
            return true;
    enum kind kind = kind_named(atom_text(&s->names, subject)); /* what has no name goes by its kind's */
    return kind != KIND_NONE && kind_is(kind, r->each) && s->kind_count[kind] &&
           !definition_at(s, s->kind_first[kind])->name;
}

/* The recipe's definitions that the limit speaks of, at most NEAREST_LIMIT. */
static struct text nearest_subject(struct scope *s, const struct rule *r, struct text wrong, uint32_t *count)
{
    ARRAY(struct text) names = {0};
    for (uint32_t id = s->first_definition; id < definition_end(s) && names.count < NEAREST_LIMIT; id++)
        if (kind_is(definition_at(s, id)->kind, r->each))
            *ARRAY_PUSH(s->arena, &names) = name_of_subject(s, definition_at(s, id));
    *count = names.count;
    if (names.count == 1)
        return names.at[0];
    return names.count ? nearest(wrong, names.at, names.count) : TEXT("");
}

static void report_subject(struct scope *s, const struct waiver *w, const struct rule *r)
{
    struct text limit = atom_text(&s->names, w->limit), subject = atom_text(&s->names, w->subject);
    struct span at = span_of_name(s, w, 1);
    struct diagnostics *g = s->diagnostics;
    if (!r->each) {
        struct diagnostic *d =
            report(g, FAULT_waiver_subject, at, "%.*s speaks of the process as a whole, not of '%.*s'",
                   TEXT_ARGS(limit), TEXT_ARGS(subject));
        report_help(g, d, "leave out 'for %.*s'", TEXT_ARGS(subject));
        return;
    }
    const char *kind = kind_table[r->each].name;
    uint32_t known = find_any_definition(s, w->subject), count = 0;
    struct diagnostic *d =
        known >= s->first_definition
            ? report(g, FAULT_waiver_subject, at, "%.*s speaks of each %s, and '%.*s' is a %s", TEXT_ARGS(limit), kind,
                     TEXT_ARGS(subject), kind_table[definition_at(s, known)->kind].name)
            : report(g, FAULT_waiver_subject, at, "%.*s speaks of each %s, and there is no %s '%.*s'", TEXT_ARGS(limit),
                     kind, kind, TEXT_ARGS(subject));
    struct text near = report_kept(g, d) ? nearest_subject(s, r, subject, &count) : TEXT("");
    if (known >= s->first_definition)
        report_label(g, d, definition_span(s, known), "defined here");
    if (near.len)
        report_help(g, d, count == 1 ? "there is one: '%.*s'" : "did you mean '%.*s'?", TEXT_ARGS(near));
    else if (count)
        report_help(g, d, "name one of them, or leave out 'for %.*s' to waive it for all", TEXT_ARGS(subject));
    else
        report_help(g, d, "the recipe has no %s: delete the waiver", kind);
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

/* One result, one waiver: of two nobody could say which one holds. */
static void check_waived_once(struct scope *s, struct map *known, uint32_t id)
{
    const struct waiver *w = waiver_at(s, id);
    uint64_t of_all = map_key(w->rule, 0), of_some = map_key(UINT32_MAX, w->rule), own = map_key(w->rule, w->subject);
    uint32_t first = map_get(known, own);
    if (!first)
        first = map_get(known, w->subject ? of_all : of_some);
    if (!first) {
        map_set(known, own, id);
        if (w->subject)
            map_set(known, of_some, id);
        return;
    }
    struct diagnostic *d =
        report(s->diagnostics, FAULT_waived_twice, span_of_name(s, w, 0), "%.*s is waived twice%s%.*s",
               TEXT_ARGS(atom_text(&s->names, w->limit)), w->subject ? " for " : "",
               TEXT_ARGS(w->subject ? atom_text(&s->names, w->subject) : TEXT("")));
    report_label(s->diagnostics, d, waiver_span(s, first), "%s",
                 waiver_at(s, first)->subject ? "first here" : "first here, for all that it speaks of");
    report_help(s->diagnostics, d, "keep one of the two; a waiver is renewed by changing its date and its reason");
}

void check_waivers(struct scope *s)
{
    struct map known;
    map_init(&known, s->arena);
    for (uint32_t id = s->first_waiver; id < waiver_end(s); id++) {
        struct waiver *w = &s->waivers.at[id - s->first_waiver];
        uint32_t rule = find_rule(s, w->limit);
        check_said(s, w);
        if (!rule || rule_at(s, rule)->what != NODE_LIMIT) {
            report_unknown_limit(s, w, rule);
            continue;
        }
        w->rule = rule;
        if (w->subject && !(rule_at(s, rule)->each && speaks_of(s, rule_at(s, rule), w->subject)))
            report_subject(s, w, rule_at(s, rule));
        else
            check_waived_once(s, &known, id);
    }
}
