#include "compiler/review/discipline/discipline.h"

void discipline_shared_init(struct discipline_shared *s, struct arena *a)
{
    *s = (struct discipline_shared){.arena = a};
    sources_init(&s->sources, a, NULL);
}

/* The same place in a copy of its file. */
static struct span copy_place(struct discipline_shared *s, const struct sources *from, struct span span)
{
    const struct source *file = source_at(from, span.file);
    for (uint32_t i = 0; i < s->sources.files.count; i++)
        if (text_same(s->sources.files.at[i]->path, file->path))
            return (struct span){s->sources.first + i, span.lo, span.hi};
    uint32_t copy = source_add(&s->sources, arena_text(s->arena, file->path), arena_text(s->arena, file->bytes));
    return (struct span){copy, span.lo, span.hi};
}

static struct discipline_file *file_of(struct discipline_shared *s, const struct discipline_move *m,
                                       const struct discipline_cause *cause)
{
    struct text path = source_at(&m->recipe->sources, cause->span.file)->path;
    for (uint32_t i = 0; i < s->files.count; i++)
        if (text_same(s->files.at[i].path, path))
            return &s->files.at[i];
    struct discipline_file *f = ARRAY_PUSH(s->arena, &s->files);
    *f = (struct discipline_file){.path = arena_text(s->arena, path), .words = arena_text(s->arena, cause->words)};
    f->span = copy_place(s, &m->recipe->sources, cause->span);
    return f;
}

void discipline_shared_add(struct discipline_shared *s, const struct discipline_move *m)
{
    for (uint32_t i = 0; i < m->causes.count; i++) {
        struct discipline_file *f = file_of(s, m, &m->causes.at[i]);
        f->recipes++;
        f->asking += m->asks;
        if (f->labels.count < DISCIPLINE_LABELS)
            *ARRAY_PUSH(s->arena, &f->labels) =
                (struct label){copy_place(s, &m->recipe->sources, m->revision), arena_text(s->arena, m->words)};
    }
}

static struct diagnostic *report_file(struct diagnostics *g, const struct discipline_file *f, struct text against)
{
    struct text moved = f->recipes == 1 ? TEXT("a recipe") : arena_format(g->arena, "%u recipes", f->recipes);
    if (!f->asking)
        return report(g, FAULT_shared_change, f->span,
                      "%.*s says something else than %.*s; it moves %.*s, and nothing that stands on a paper",
                      TEXT_ARGS(f->path), TEXT_ARGS(against), TEXT_ARGS(moved));
    struct text asking =
        f->asking == 1 ? TEXT("one keeps its revision") : arena_format(g->arena, "%u keep their revision", f->asking);
    return report(g, FAULT_revision_unchanged, f->span, "%.*s says something else than %.*s; it moves %.*s, and %.*s",
                  TEXT_ARGS(f->path), TEXT_ARGS(against), TEXT_ARGS(moved), TEXT_ARGS(asking));
}

void discipline_shared_report(const struct discipline_shared *s, struct diagnostics *g, struct text against)
{
    for (uint32_t i = 0; i < s->files.count; i++) {
        const struct discipline_file *f = &s->files.at[i];
        struct diagnostic *d = report_file(g, f, against);
        report_here(g, d, "%.*s", TEXT_ARGS(f->words));
        for (uint32_t k = 0; k < f->labels.count; k++)
            report_label(g, d, f->labels.at[k].span, "%.*s", TEXT_ARGS(f->labels.at[k].text));
        uint32_t more = f->recipes - f->labels.count;
        struct text rest = more ? arena_format(g->arena, "%u more recipes are moved", more) : TEXT("");
        if (f->asking)
            report_help(g, d, "%.*s%sgive each recipe the next revision, and a change block that says what was changed",
                        TEXT_ARGS(rest), more ? "; " : "");
        else if (more)
            report_help(g, d, "%.*s", TEXT_ARGS(rest));
    }
}
