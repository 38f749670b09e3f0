/* The revision history: what the change blocks say must agree with the recipe's own revision and date. */
#include "compiler/table/parts.h"

#include <stdlib.h>

/* ---- the order of revisions --------------------------------------------------------------------------------------- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static char upper(char c)
{
    return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
}

static bool is_letter(char c)
{
    return upper(c) >= 'A' && upper(c) <= 'Z';
}

/* The next run of digits or of letters; what stands between runs only parts them. */
static struct text next_run(struct text *rest)
{
    while (rest->len && !is_digit(*rest->at) && !is_letter(*rest->at))
        rest->at++, rest->len--;
    struct text run = {rest->at, 0};
    bool digits = rest->len && is_digit(*rest->at);
    while (run.len < rest->len && (digits ? is_digit(run.at[run.len]) : is_letter(run.at[run.len])))
        run.len++;
    if (digits)
        while (run.len > 1 && *run.at == '0')
            run.at++, run.len--, rest->at++, rest->len--;
    rest->at += run.len;
    rest->len -= run.len;
    return run;
}

/* Of two runs of one sort: 9 before 10, Z before AA. */
static int order_of_runs(struct text a, struct text b)
{
    for (uint32_t i = 0; a.len == b.len && i < a.len; i++)
        if (upper(a.at[i]) != upper(b.at[i]))
            return upper(a.at[i]) < upper(b.at[i]) ? -1 : 1;
    return (a.len > b.len) - (a.len < b.len);
}

int revision_order(struct text a, struct text b)
{
    enum { CODE = 2 }; /* longer runs of letters are words, and words have no order */
    for (;;) {
        struct text x = next_run(&a), y = next_run(&b);
        if (!x.len || !y.len)
            return (x.len > 0) - (y.len > 0);
        int order = order_of_runs(x, y);
        if (is_digit(*x.at) != is_digit(*y.at) || (order && !is_digit(*x.at) && (x.len > CODE || y.len > CODE)))
            return REVISIONS_UNRELATED;
        if (order)
            return order;
    }
}

/* ---- change blocks ------------------------------------------------------------------------------------------------- */

struct entry {
    struct text revision, date;
    struct span span;
    uint32_t order;
};

static const struct property *line_for(struct scope *s, uint32_t definition, enum purpose purpose)
{
    uint32_t id = find_property_for(s, definition, purpose);
    return id ? property_at(s, id) : NULL;
}

static struct text said_by(struct scope *s, const struct property *p, enum node_kind kind)
{
    const struct tree *t = p ? file_at(s, p->site.file)->tree : NULL;
    if (!t || !p->value || node_kind(t, p->value) != kind)
        return TEXT("");
    return kind == NODE_TEXT ? text_piece(s->arena, t, p->value, 0) : node_text(t, p->value);
}

static bool read_entry(struct scope *s, uint32_t definition, struct entry *e)
{
    const struct property *revision = line_for(s, definition, FOR_revision);
    e->revision = said_by(s, revision, NODE_TEXT);
    e->date = said_by(s, line_for(s, definition, FOR_date), NODE_DATE);
    e->span = revision ? site_span(s, revision->site) : definition_span(s, definition);
    return e->revision.len && e->date.len;
}

static int by_date(const void *a, const void *b)
{
    const struct entry *x = a, *y = b;
    int c = text_order(x->date, y->date);
    return c ? c : (x->order > y->order) - (x->order < y->order);
}

/* In the order of their dates revisions must not go back. */
static void check_dates(struct scope *s, const struct entry *entries, uint32_t count)
{
    for (uint32_t i = 1; i < count; i++) {
        const struct entry *before = &entries[i - 1], *e = &entries[i];
        if (revision_order(before->revision, e->revision) != 1 || text_same(before->date, e->date))
            continue;
        struct diagnostic *d =
            report(s->diagnostics, FAULT_change_dates, e->span, "revision %.*s is dated %.*s, after revision %.*s",
                   TEXT_ARGS(e->revision), TEXT_ARGS(e->date), TEXT_ARGS(before->revision));
        report_label(s->diagnostics, d, before->span, "dated %.*s", TEXT_ARGS(before->date));
        report_help(s->diagnostics, d, "correct one of the dates, or the revision");
    }
}

static void check_own(struct scope *s, const struct entry *own, const struct entry *entries, uint32_t count)
{
    const struct entry *later = NULL, *same = NULL;
    for (uint32_t i = 0; i < count; i++) {
        if (revision_order(entries[i].revision, own->revision) == 1)
            later = &entries[i];
        if (text_same(entries[i].revision, own->revision))
            same = &entries[i];
    }
    struct diagnostics *g = s->diagnostics;
    if (later) {
        struct diagnostic *d = report(g, FAULT_revision_goes_back, own->span,
                                      "the recipe is revision %.*s, and its changes go on to revision %.*s",
                                      TEXT_ARGS(own->revision), TEXT_ARGS(later->revision));
        report_label(g, d, later->span, "revision %.*s", TEXT_ARGS(later->revision));
        report_help(g, d,
                    "a revision only goes forward: give the recipe the last one, or a new one with a change block");
    } else if (!same) {
        struct diagnostic *d = report(g, FAULT_revision_unlisted, own->span,
                                      "no change block says why there is a revision %.*s", TEXT_ARGS(own->revision));
        report_help(g, d, "add 'change { revision = \"%.*s\" date = %.*s reason = \"...\" }', each on its line",
                    TEXT_ARGS(own->revision), TEXT_ARGS(own->date.len ? own->date : TEXT("2026-11-02")));
    } else if (own->date.len && text_order(own->date, same->date) < 0) {
        struct diagnostic *d =
            report(g, FAULT_change_dates, own->span,
                   "the recipe is dated %.*s, before the change that made its revision", TEXT_ARGS(own->date));
        report_label(g, d, same->span, "dated %.*s", TEXT_ARGS(same->date));
        report_help(g, d, "both dates are the day the revision was made");
    }
}

void changes_check(struct scope *s)
{
    uint32_t recipe = find_recipe(s), count = 0;
    struct entry *entries = ARENA_ARRAY(s->arena, definition_end(s) - s->first_definition, struct entry), own;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (kind_table[definition_at(s, id)->kind].flags & KIND_HISTORY && read_entry(s, id, &entries[count])) {
            entries[count].order = count;
            count++;
        }
    if (!count)
        return;
    qsort(entries, count, sizeof *entries, by_date);
    check_dates(s, entries, count);
    if (recipe && (read_entry(s, recipe, &own) || own.revision.len))
        check_own(s, &own, entries, count);
}

/* ---- the history on paper ------------------------------------------------------------------------------------------ */

/* In front of those that are no newer; of one day, the later block comes first. */
static void insert_revision(struct step_table *t, struct arena *a, struct revision_row row)
{
    uint32_t at = 0;
    while (at < t->revisions.count && text_order(t->revisions.at[at].date, row.date) > 0)
        at++;
    ARRAY_PUSH(a, &t->revisions);
    memmove(&t->revisions.at[at + 1], &t->revisions.at[at], (t->revisions.count - 1 - at) * sizeof row);
    t->revisions.at[at] = row;
}

void steps_fill_revisions(struct steps *s, struct step_table *t)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++)
        if (kind_table[definition_at(scope, id)->kind].flags & KIND_HISTORY)
            insert_revision(t, s->lowering->arena,
                            (struct revision_row){text_for(s, id, FOR_revision), text_for(s, id, FOR_date),
                                                  text_for(s, id, FOR_reason)});
}
