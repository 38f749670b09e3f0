/* Folds rows of values that were lost or gained for one reason into one row. */
#include "compiler/review/compare/compare.h"

#include "runtime/base/intern.h"

enum { FEWEST = 4, NAMED = 3 }; /* least number of values that are folded; number of them that are named */

#define NO_VALUE "not evaluated: "

struct group {
    uint32_t count, told;
    uint32_t row; /* in the folded comparison, from 1; 0: not met yet */
    struct text names;
};

struct folding {
    struct arena *arena;
    struct names_table reasons;
    ARRAY(struct group) groups; /* by the number of the reason */
};

static bool has_none(struct text t)
{
    return t.len > sizeof NO_VALUE - 1 && memcmp(t.at, NO_VALUE, sizeof NO_VALUE - 1) == 0;
}

/* Returns the group of a row whose value exists on one side only; NULL for any other row. */
static struct group *group_of(struct folding *f, const struct compare_row *r)
{
    if (r->section != COMPARE_VALUE || r->how != COMPARE_CHANGED || has_none(r->before) == has_none(r->after))
        return NULL;
    bool lost = has_none(r->after);
    struct text reason = lost ? r->after : r->before;
    atom known = intern(&f->reasons, arena_format(f->arena, "%c%.*s", lost ? '-' : '+', TEXT_ARGS(reason)));
    while (f->groups.count <= known)
        *ARRAY_PUSH(f->arena, &f->groups) = (struct group){.names = TEXT("")};
    return &f->groups.at[known];
}

static void finish_row(struct folding *f, struct compare_row *row, const struct group *g)
{
    bool lost = has_none(row->after);
    row->subject = arena_format(f->arena, "%u values", g->count);
    row->label = TEXT("");
    *(lost ? &row->before : &row->after) =
        arena_format(f->arena, "evaluated: %.*s and %u more", TEXT_ARGS(g->names), g->count - g->told);
}

static void push_row(struct folding *f, struct comparison *out, const struct compare_row *r)
{
    *ARRAY_PUSH(f->arena, &out->rows) = *r;
    out->count[r->section]++;
}

static void fold_row(struct folding *f, struct comparison *out, const struct compare_row *r)
{
    struct group *g = group_of(f, r);
    if (!g || g->count < FEWEST) {
        push_row(f, out, r);
        return;
    }
    if (!g->row) {
        push_row(f, out, r);
        g->row = out->rows.count;
    }
    if (g->told < NAMED) {
        g->names =
            arena_format(f->arena, "%.*s%s%.*s", TEXT_ARGS(g->names), g->told ? ", " : "", TEXT_ARGS(r->subject));
        g->told++;
    }
}

const struct comparison *compare_folded(struct arena *a, const struct comparison *c)
{
    struct folding f = {.arena = a};
    struct comparison *out = ARENA_NEW(a, struct comparison);
    intern_init(&f.reasons, a, NULL);
    *out = *c;
    out->rows.at = NULL;
    out->rows.count = out->rows.room = 0;
    memset(out->count, 0, sizeof out->count);
    for (uint32_t i = 0; i < c->rows.count; i++) {
        struct group *g = group_of(&f, &c->rows.at[i]);
        if (g)
            g->count++;
    }
    for (uint32_t i = 0; i < c->rows.count; i++)
        fold_row(&f, out, &c->rows.at[i]);
    for (uint32_t i = 0; i < f.groups.count && f.groups.at && out->rows.at; i++)
        if (f.groups.at[i].row)
            finish_row(&f, &out->rows.at[f.groups.at[i].row - 1], &f.groups.at[i]);
    return out;
}
