/* Revision discipline between two states of one recipe: who changes what it means gives it another name. */
#include "compiler/review/discipline/discipline.h"

/* Whether it is a statement of the recipe's own file that says how the part is made. */
static bool is_own_statement(const struct comparison *c, const struct compare_row *r)
{
    struct text path = r->how == COMPARE_REMOVED ? c->old.path : c->new.path;
    bool own = r->file.len <= path.len && memcmp(path.at + path.len - r->file.len, r->file.at, r->file.len) == 0;
    return r->section == COMPARE_STATED && own && !r->aside;
}

static struct span place_of_revision(struct strokewright_recipe *r)
{
    const struct scope *s = &r->scope;
    uint32_t recipe = find_recipe(s), property = recipe ? find_property_for(s, recipe, FOR_revision) : 0;
    return property ? site_span(s, property_at(s, property)->site) : (struct span){0};
}

/* "sheet, thickness: 0.50 mm -> 0.60 mm" */
static struct text row_words(struct arena *a, const struct compare_row *r)
{
    struct text was = r->before.len ? r->before : TEXT("not stated"), is = r->after.len ? r->after : TEXT("not stated");
    return arena_format(a, "%.*s%s%.*s: %.*s -> %.*s", TEXT_ARGS(r->subject), r->what.len ? ", " : "",
                        TEXT_ARGS(r->what), TEXT_ARGS(was), TEXT_ARGS(is));
}

static void report_unchanged(struct strokewright_recipe *new, const struct comparison *c, struct text against,
                             const struct compare_row *first, uint32_t count)
{
    struct diagnostics *g = &new->diagnostics;
    struct diagnostic *d = report(g, FAULT_revision_unchanged, place_of_revision(new),
                                  "the recipe means something else than %.*s, and its revision is still %.*s",
                                  TEXT_ARGS(against), TEXT_ARGS(c->new.revision));
    report_here(g, d, "%.*s%s", TEXT_ARGS(row_words(c->arena, first)), count > 1 ? ", and more" : "");
    report_help(g, d, "give it the next revision, and a change block that says what was changed and why");
}

/* That it went from draft to trial moves a caution, and is no change of the part. */
static bool only_asides(const struct comparison *c)
{
    for (uint32_t i = 0; i < c->rows.count; i++)
        if (c->rows.at[i].section == COMPARE_STATED && !c->rows.at[i].aside)
            return false;
    return true;
}

static const struct compare_row *first_own(const struct comparison *c, uint32_t *count)
{
    const struct compare_row *first = NULL;
    *count = 0;
    for (uint32_t i = 0; i < c->rows.count; i++)
        if (is_own_statement(c, &c->rows.at[i])) {
            first = first ? first : &c->rows.at[i];
            ++*count;
        }
    return first;
}

/* ---- what files that are used move ----------------------------------------------------------------------------------- */

bool discipline_read_asks(struct text list, uint32_t *asks, struct text *wrong)
{
    static const struct {
        const char *word;
        uint32_t sections;
    } rows[] = {{"sizes", 1 << COMPARE_SIZE},
                {"settings", 1 << COMPARE_SET},
                {"limits", 1 << COMPARE_VERDICT | 1 << COMPARE_MARGIN},
                {"verdicts", 1 << COMPARE_VERDICT},
                {"cautions", 1 << COMPARE_CAUTION},
                {"values", 1 << COMPARE_VALUE}};
    enum { COUNT = sizeof rows / sizeof rows[0] };
    *asks = 0;
    for (uint32_t from = 0, to; from <= list.len; from = to + 1) {
        const char *comma = from < list.len ? memchr(list.at + from, ',', list.len - from) : NULL;
        int i = 0;
        to = comma ? (uint32_t)(comma - list.at) : list.len;
        *wrong = (struct text){list.at + from, to - from};
        while (i < COUNT && !text_is(*wrong, rows[i].word))
            i++;
        if (i == COUNT)
            return false;
        *asks |= rows[i].sections;
    }
    return true;
}

static bool is_told(const struct discipline_move *m, const struct compare_row *r)
{
    for (uint32_t i = 0; i < m->causes.count; i++)
        if (m->causes.at[i].span.file == r->span.file)
            return true;
    return false;
}

/* The first changed statement of each file; of what was removed nothing is left to point at but the file. */
static void add_causes(struct discipline_move *m, struct arena *a, const struct comparison *c)
{
    for (uint32_t i = 0; i < c->rows.count; i++) {
        const struct compare_row *r = &c->rows.at[i];
        bool placed = r->section == COMPARE_STATED && r->how != COMPARE_REMOVED && r->span.file &&
                      r->span.file != m->recipe->sources.first;
        if (placed && !is_told(m, r))
            *ARRAY_PUSH(a, &m->causes) = (struct discipline_cause){r->span, row_words(a, r)};
    }
}

static void add_removed_cause(struct discipline_move *m, struct arena *a, const struct comparison *c)
{
    for (uint32_t i = 0; i < c->rows.count && !m->causes.count; i++) {
        const struct compare_row *r = &c->rows.at[i];
        const struct sources *s = &m->recipe->sources;
        for (uint32_t k = 1; k < s->files.count && r->section == COMPARE_STATED; k++) {
            struct text path = s->files.at[k]->path;
            if (path.len >= r->file.len && memcmp(path.at + path.len - r->file.len, r->file.at, r->file.len) == 0)
                *ARRAY_PUSH(a, &m->causes) = (struct discipline_cause){{s->first + k, 0, 0}, row_words(a, r)};
        }
    }
}

/* The row that counts most: of those that ask for a revision the first, else the first of all that follows. */
static const struct compare_row *first_moved(const struct comparison *c, uint32_t asks, uint32_t *count)
{
    const struct compare_row *first = NULL;
    *count = 0;
    for (uint32_t i = 0; i < c->rows.count; i++) {
        const struct compare_row *r = &c->rows.at[i];
        if (r->section == COMPARE_STATED)
            continue;
        ++*count;
        bool better = first && asks & 1u << r->section && !(asks & 1u << first->section);
        first = !first || better ? r : first;
    }
    return first;
}

static void fill_move(struct discipline_move *m, struct strokewright_recipe *new, const struct comparison *c,
                      const struct discipline_request *request)
{
    uint32_t count;
    const struct compare_row *first = first_moved(c, request->asks, &count);
    if (!first)
        return;
    m->recipe = new;
    m->revision = place_of_revision(new);
    m->asks = request->asks & 1u << first->section;
    struct text words = row_words(c->arena, first);
    struct text more = count > 1 ? arena_format(c->arena, ", and %u more", count - 1) : TEXT("");
    m->words = arena_format(request->arena, "%s revision %.*s: %.*s%.*s", m->asks ? "still" : "may stay",
                            TEXT_ARGS(c->new.revision), TEXT_ARGS(words), TEXT_ARGS(more));
    add_causes(m, request->arena, c);
    add_removed_cause(m, request->arena, c);
}

/* ---- judging ---------------------------------------------------------------------------------------------------------- */

/* What follows is worked out only where nothing but it can decide: a file that is used was changed. */
static enum discipline_answer judge_unchanged(struct arena *arena, struct strokewright_recipe *old,
                                              struct strokewright_recipe *new, const struct discipline_request *request,
                                              struct discipline_move *move)
{
    uint32_t count;
    if (text_same(fingerprint_of_own(arena, &old->scope), fingerprint_of_own(arena, &new->scope)))
        return DISCIPLINE_JUDGED;
    const struct comparison *c = compare_statements(arena, old, new);
    if (!c || only_asides(c))
        return c ? DISCIPLINE_JUDGED : DISCIPLINE_NO_MEMORY;
    const struct compare_row *first = first_own(c, &count);
    if (first)
        report_unchanged(new, c, request->against, first, count);
    else if (!request->proved)
        return DISCIPLINE_NEEDS_PROOF;
    else if ((c = compare_recipes(arena, old, new)))
        fill_move(move, new, c, request);
    return c ? DISCIPLINE_JUDGED : DISCIPLINE_NO_MEMORY;
}

static void report_back(struct strokewright_recipe *new, struct text was, struct text is, struct text against)
{
    struct diagnostic *d = report(&new->diagnostics, FAULT_revision_goes_back, place_of_revision(new),
                                  "the revision goes back: it is %.*s, and was %.*s %.*s", TEXT_ARGS(is),
                                  TEXT_ARGS(was), TEXT_ARGS(against));
    report_help(&new->diagnostics, d, "a revision only goes forward: to return to former values, give the next one");
}

static struct text revision_of(struct arena *arena, const struct strokewright_recipe *r)
{
    return stated_text(arena, &r->scope, find_recipe(&r->scope), FOR_revision);
}

enum discipline_answer discipline_check(struct arena *arena, struct strokewright_recipe *old,
                                        struct strokewright_recipe *new, const struct discipline_request *request,
                                        struct discipline_move *move)
{
    jmp_buf exhausted;
    enum discipline_answer volatile answer = DISCIPLINE_JUDGED;
    struct text was = revision_of(arena, old), is = revision_of(arena, new);
    *move = (struct discipline_move){0};
    if (!was.len || !is.len)
        return answer;
    if (text_same(was, is))
        answer = judge_unchanged(arena, old, new, request, move);
    if (answer != DISCIPLINE_JUDGED)
        return answer;
    new->arena.exhausted = &exhausted;
    if (setjmp(exhausted))
        answer = DISCIPLINE_NO_MEMORY;
    else {
        if (revision_order(was, is) == 1)
            report_back(new, was, is, request->against);
        diagnostics_sort(&new->diagnostics);
    }
    new->arena.exhausted = NULL;
    new->state = new->diagnostics.errors ? STROKEWRIGHT_FAULTY : STROKEWRIGHT_GOOD;
    return answer;
}
