/* Revision discipline between two states of one recipe: who changes what it means gives it another name. */
#include "compiler/review/compare/compare.h"

/* Something a holder of the paper would do otherwise: what is stated in the recipe's own file, and whatever follows from
 * anything. What a shop file says otherwise and nothing here hangs on is no change of this recipe. */
static bool counts(const struct comparison *c, const struct compare_row *r)
{
    if (r->section != COMPARE_STATED)
        return true;
    struct text path = r->how == COMPARE_REMOVED ? c->old.path : c->new.path;
    bool own = r->file.len <= path.len && memcmp(path.at + path.len - r->file.len, r->file.at, r->file.len) == 0;
    return own && !r->aside;
}

static struct span place_of_revision(struct strokewright_recipe *r)
{
    struct scope *s = &r->scope;
    uint32_t recipe = find_recipe(s), property = recipe ? find_property_for(s, recipe, FOR_revision) : 0;
    return property ? site_span(s, property_at(s, property)->site) : (struct span){0};
}

static void report_unchanged(struct strokewright_recipe *new, const struct comparison *c, struct text against,
                             const struct compare_row *first, uint32_t count)
{
    struct diagnostics *g = &new->diagnostics;
    struct diagnostic *d = report(g, FAULT_revision_unchanged, place_of_revision(new),
                                  "the recipe means something else than %.*s, and its revision is still %.*s",
                                  TEXT_ARGS(against), TEXT_ARGS(c->new.revision));
    struct text was = first->before.len ? first->before : TEXT("not stated"),
                is = first->after.len ? first->after : TEXT("not stated");
    report_here(g, d, "%.*s%s%.*s: %.*s -> %.*s%s", TEXT_ARGS(first->subject), first->what.len ? ", " : "",
                TEXT_ARGS(first->what), TEXT_ARGS(was), TEXT_ARGS(is), count > 1 ? ", and more" : "");
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

static const struct compare_row *first_that_counts(const struct comparison *c, uint32_t *count)
{
    const struct compare_row *first = NULL;
    *count = 0;
    for (uint32_t i = 0; i < c->rows.count; i++) {
        if (!counts(c, &c->rows.at[i]))
            continue;
        first = first ? first : &c->rows.at[i];
        ++*count;
    }
    return first;
}

/* What follows is worked out only where nothing but it can decide: a file that is used was changed. */
static enum against_answer judge_unchanged(struct arena *arena, struct strokewright_recipe *old,
                                           struct strokewright_recipe *new, struct text against, bool proved)
{
    uint32_t count;
    if (text_same(fingerprint_of_own(arena, &old->scope), fingerprint_of_own(arena, &new->scope)))
        return AGAINST_JUDGED;
    const struct comparison *c = compare_statements(arena, old, new);
    if (!c || only_asides(c))
        return c ? AGAINST_JUDGED : AGAINST_NO_MEMORY;
    const struct compare_row *first = first_that_counts(c, &count);
    if (!first && !proved)
        return AGAINST_NEEDS_PROOF;
    if (!first) {
        c = compare_recipes(arena, old, new);
        first = c ? first_that_counts(c, &count) : NULL;
    }
    if (first)
        report_unchanged(new, c, against, first, count);
    return c ? AGAINST_JUDGED : AGAINST_NO_MEMORY;
}

static void report_back(struct strokewright_recipe *new, struct text was, struct text is, struct text against)
{
    struct diagnostic *d = report(&new->diagnostics, FAULT_revision_goes_back, place_of_revision(new),
                                  "the revision goes back: it is %.*s, and was %.*s %.*s", TEXT_ARGS(is),
                                  TEXT_ARGS(was), TEXT_ARGS(against));
    report_help(&new->diagnostics, d, "a revision only goes forward: to return to former values, give the next one");
}

static struct text revision_of(struct strokewright_recipe *r)
{
    struct scope *s = &r->scope;
    uint32_t recipe = find_recipe(s), property = recipe ? find_property_for(s, recipe, FOR_revision) : 0;
    const struct property *p = property ? property_at(s, property) : NULL;
    const struct tree *t = p ? file_at(s, p->site.file)->tree : NULL;
    return t && p->value && node_kind(t, p->value) == NODE_TEXT ? text_piece(s->arena, t, p->value, 0) : TEXT("");
}

enum against_answer compare_against(struct arena *arena, struct strokewright_recipe *old,
                                    struct strokewright_recipe *new, struct text against, bool proved)
{
    jmp_buf exhausted;
    enum against_answer volatile answer = AGAINST_JUDGED;
    struct text was = revision_of(old), is = revision_of(new);
    if (!was.len || !is.len)
        return answer;
    if (text_same(was, is))
        answer = judge_unchanged(arena, old, new, against, proved);
    if (answer != AGAINST_JUDGED)
        return answer;
    new->arena.exhausted = &exhausted;
    if (setjmp(exhausted))
        answer = AGAINST_NO_MEMORY;
    else {
        if (revision_order(was, is) == 1)
            report_back(new, was, is, against);
        diagnostics_sort(&new->diagnostics);
    }
    new->arena.exhausted = NULL;
    new->state = new->diagnostics.errors ? STROKEWRIGHT_FAULTY : STROKEWRIGHT_GOOD;
    return answer;
}
