#include "compiler/review/compare/compare.h"

#include "compiler/review/compare/parts.h"

#include <stdlib.h>

const char *const compare_how_names[COMPARE_HOW_COUNT] = {"added", "removed", "changed", "renamed", "moved"};
const char *const compare_section_names[COMPARE_SECTION_COUNT] = {"stated",   "verdicts", "cautions", "tool-sizes",
                                                                  "settings", "margins",  "values"};
const char *const compare_section_titles[COMPARE_SECTION_COUNT] = {
    [COMPARE_STATED] = "What was changed",        [COMPARE_VERDICT] = "Verdicts that follow",
    [COMPARE_CAUTION] = "Cautions that follow",   [COMPARE_SIZE] = "Tool sizes that follow: make at 20 degC",
    [COMPARE_SET] = "Settings that follow",       [COMPARE_MARGIN] = "Limits with the same verdict and another margin",
    [COMPARE_VALUE] = "Other values that follow",
};

/* ---- sides --------------------------------------------------------------------------------------------------------- */

static struct text head_of(struct matcher *m, const struct side *side, enum purpose purpose)
{
    return stated_text(m->arena, side->scope, find_recipe(side->scope), purpose);
}

static struct text first_fault(struct matcher *m, const struct side *side)
{
    const struct diagnostics *g = &side->recipe->diagnostics;
    for (uint32_t i = 0; i < g->all.count; i++) {
        const struct diagnostic *d = g->all.at[i];
        if (d->severity != SEVERITY_ERROR)
            continue;
        const char *slug = fault_table[d->fault].slug;
        if (!d->span.file)
            return arena_format(m->arena, "%.*s [%s]", TEXT_ARGS(d->message), slug);
        struct sources *sources = side->scope->sources;
        return arena_format(m->arena, "%.*s:%u: %.*s [%s]", TEXT_ARGS(source_at(sources, d->span.file)->path),
                            place_of(sources, d->span.file, d->span.lo).line, TEXT_ARGS(d->message), slug);
    }
    return TEXT("");
}

static void begin_side(struct matcher *m, struct side *side, struct strokewright_recipe *r, struct compare_side *out)
{
    side->recipe = r;
    side->scope = &r->scope;
    *out = (struct compare_side){
        .path = source_at(&r->sources, r->sources.first)->path,
        .title = head_of(m, side, FOR_title),
        .part = head_of(m, side, FOR_part),
        .revision = head_of(m, side, FOR_revision),
        .date = head_of(m, side, FOR_date),
        .status = head_of(m, side, FOR_status),
        .evaluated = recipe_has_values(r),
        .errors = r->diagnostics.errors,
        .warnings = r->diagnostics.warnings,
        .fault = first_fault(m, side),
    };
}

/* ---- notes ----------------------------------------------------------------------------------------------------------- */

static struct text *add_note(struct matcher *m)
{
    return ARRAY_PUSH(m->arena, &m->out->notes);
}

static void note_broken(struct matcher *m, const struct compare_side *side, const char *which)
{
    if (!side->evaluated)
        *add_note(m) = arena_format(m->arena, "The %s recipe is too faulty to give values: %u error%s, the first %.*s",
                                    which, side->errors, side->errors == 1 ? "" : "s", TEXT_ARGS(side->fault));
}

struct cause { /* a file that the recipe uses, and what it says otherwise */
    const struct compare_row *first;
    uint32_t count;
};

static struct cause *cause_of(struct cause *causes, uint32_t count, struct text file)
{
    for (uint32_t i = 0; i < count; i++)
        if (text_same(causes[i].first->file, file))
            return &causes[i];
    return NULL;
}

/* Groups the statements that differ by the used file they stand in; *own counts those of the recipe's own file. */
static uint32_t find_causes(struct matcher *m, struct cause *causes, uint32_t *own)
{
    struct text names[] = {compare_path_shown(&m->old, m->old.scope->sources->first),
                           compare_path_shown(&m->new, m->new.scope->sources->first)};
    uint32_t count = 0;
    *own = 0;
    for (uint32_t i = 0; i < m->out->rows.count; i++) {
        const struct compare_row *r = &m->out->rows.at[i];
        bool stated = r->section == COMPARE_STATED && r->file.len;
        bool in_own = stated && (text_same(r->file, names[0]) || text_same(r->file, names[1]));
        struct cause *known = stated ? cause_of(causes, count, r->file) : NULL;
        *own += in_own && !r->aside;
        if (known)
            known->count++;
        else if (stated && !in_own)
            causes[count++] = (struct cause){r, 1};
    }
    return count;
}

/* Which of the files that the recipe uses say something else: they are the cause, where its own does not. */
static void note_cause(struct matcher *m)
{
    struct cause *causes = ARENA_ARRAY(m->arena, m->out->rows.count, struct cause);
    uint32_t own, count = find_causes(m, causes, &own);
    struct text files = TEXT("");
    for (uint32_t i = 0; i < count; i++) {
        const struct compare_row *r = causes[i].first;
        struct text more =
            causes[i].count > 1 ? arena_format(m->arena, ", and %u more", causes[i].count - 1) : TEXT("");
        files = arena_format(m->arena, "%.*s%s%.*s (%.*s%s%.*s%.*s)", TEXT_ARGS(files), files.len ? ", " : "",
                             TEXT_ARGS(r->file), TEXT_ARGS(r->subject), r->what.len ? ", " : "", TEXT_ARGS(r->what),
                             TEXT_ARGS(more));
    }
    if (files.len)
        *add_note(m) = arena_format(m->arena, "%s in %.*s",
                                    own ? "Statements that differ stand also"
                                        : "The recipe's own file says the same on both sides; the cause is",
                                    TEXT_ARGS(files));
}

/* ---- order ------------------------------------------------------------------------------------------------------------- */

static int by_importance(const void *a, const void *b)
{
    const struct compare_row *x = a, *y = b;
    if (x->section != y->section)
        return (int)x->section - (int)y->section;
    if (x->weight != y->weight && x->section != COMPARE_STATED)
        return x->weight < y->weight ? 1 : -1;
    return (x->order > y->order) - (x->order < y->order);
}

static bool is_unsettled(const struct strokewright_recipe *r)
{
    for (uint32_t i = 0; i < r->diagnostics.all.count; i++)
        if (r->diagnostics.all.at[i]->fault == FAULT_conflict_marker)
            return true;
    return false;
}

static struct comparison *compare(struct matcher *m, struct strokewright_recipe *old, struct strokewright_recipe *new,
                                  bool follow)
{
    struct comparison *out = m->out;
    begin_side(m, &m->old, old, &out->old);
    begin_side(m, &m->new, new, &out->new);
    m->evaluated = old->evaluated && new->evaluated;
    bool settled = !is_unsettled(old) && !is_unsettled(new);
    if (settled) {
        compare_match_items(m);
        compare_stated(m);
    }
    if (out->old.evaluated && out->new.evaluated &&follow)
        compare_follows(m);
    if (out->rows.count)
        qsort(out->rows.at, out->rows.count, sizeof *out->rows.at, by_importance);
    for (uint32_t i = 0; i < out->rows.count; i++)
        out->count[out->rows.at[i].section]++;
    note_broken(m, &out->old, "old");
    note_broken(m, &out->new, "new");
    note_cause(m);
    if (!settled)
        *add_note(m) = TEXT("Of two versions that are not merged nobody knows which holds, so nothing was compared");
    /* A recipe without values is the same only when its fingerprint is. */
    out->same = !out->rows.count && (m->evaluated || text_same(recipe_fingerprint(old), recipe_fingerprint(new)));
    return out;
}

static const struct comparison *compare_in(struct arena *arena, struct strokewright_recipe *old,
                                           struct strokewright_recipe *new, bool follow)
{
    jmp_buf exhausted;
    struct comparison *volatile out = NULL;
    arena->exhausted = old->arena.exhausted = new->arena.exhausted = &exhausted;
    if (!setjmp(exhausted)) {
        struct matcher *m = ARENA_NEW(arena, struct matcher);
        m->arena = arena;
        m->out = ARENA_NEW(arena, struct comparison);
        m->out->arena = arena;
        old->steps.spelling = new->steps.spelling = SPELL_ASCII;
        out = compare(m, old, new, follow);
    }
    arena->exhausted = old->arena.exhausted = new->arena.exhausted = NULL;
    return out;
}

const struct comparison *compare_recipes(struct arena *arena, struct strokewright_recipe *old,
                                         struct strokewright_recipe *new)
{
    return compare_in(arena, old, new, true);
}

const struct comparison *compare_statements(struct arena *arena, struct strokewright_recipe *old,
                                            struct strokewright_recipe *new)
{
    return compare_in(arena, old, new, false);
}

/* ---- summary ------------------------------------------------------------------------------------------------------------ */

static struct text counted(struct arena *a, uint32_t n, const char *one, const char *many)
{
    return n ? arena_format(a, "%u %s", n, n == 1 ? one : many) : TEXT("");
}

struct text compare_summary(struct arena *a, const struct comparison *c)
{
    if (c->same)
        return TEXT("Both mean the same.");
    uint32_t worse = 0, moved = c->count[COMPARE_SET] + c->count[COMPARE_MARGIN] + c->count[COMPARE_VALUE];
    for (uint32_t i = 0; i < c->rows.count; i++)
        worse += c->rows.at[i].section == COMPARE_VERDICT && c->rows.at[i].worse;
    struct text parts[] = {
        counted(a, c->count[COMPARE_STATED], "statement differs", "statements differ"),
        counted(a, c->count[COMPARE_VERDICT], "verdict follows", "verdicts follow"),
        counted(a, worse, "for the worse", "for the worse"),
        counted(a, c->count[COMPARE_CAUTION], "caution follows", "cautions follow"),
        counted(a, c->count[COMPARE_SIZE], "tool size follows", "tool sizes follow"),
        counted(a, moved, "other value follows", "other values follow"),
    };
    struct text out = TEXT("");
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        if (parts[i].len)
            out = arena_format(a, "%.*s%s%.*s", TEXT_ARGS(out), out.len ? ", " : "", TEXT_ARGS(parts[i]));
    if (!out.len)
        return TEXT("The two differ, and nothing that could be read of them does.");
    return arena_format(a, "%.*s.", TEXT_ARGS(out));
}

static bool ends_with(struct text path, struct text file)
{
    return file.len <= path.len && memcmp(path.at + path.len - file.len, file.at, file.len) == 0;
}

struct text compare_place(struct arena *a, const struct comparison *c, const struct compare_row *r)
{
    bool old = r->how == COMPARE_REMOVED;
    if (!r->line)
        return TEXT("");
    if (ends_with(old ? c->old.path : c->new.path, r->file))
        return arena_format(a, "%sline %u", old ? "old " : "", r->line);
    return arena_format(a, "%.*s:%u", TEXT_ARGS(r->file), r->line);
}
