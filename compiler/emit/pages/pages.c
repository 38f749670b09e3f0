/* The one entry point of strokewright-pages.so. */
#include "compiler/emit/pages/pages.h"

#include "compiler/emit/pages/traveller.h"

struct job { /* all that must be released, whatever happens */
    struct arena arena;
    struct typesetter typesetter;
    struct pdf pdf;
    struct stream dot;
    struct buffer svg;
    const struct step_table *table;
};

static const char *make_traveller(struct job *j)
{
    const struct step_table *t = j->table;
    struct paper paper = {.typesetter = &j->typesetter, .arena = &j->arena, .table = t};
    struct pdf_facts facts = {.title = t->title, .author = t->author, .date = t->date};
    facts.subject = arena_format(&j->arena, "Shop traveller, part %.*s, revision %.*s, status %.*s", TEXT_ARGS(t->part),
                                 TEXT_ARGS(t->revision), TEXT_ARGS(t->status));
    facts.creator = arena_format(&j->arena, "Strokewright %.*s", TEXT_ARGS(t->version));
    traveller_head(&paper);
    traveller_cautions(&paper);
    traveller_setup(&paper);
    traveller_steps(&paper);
    traveller_sizes(&paper);
    traveller_limits(&paper);
    const char *fault = traveller_flow(&paper);
    if (fault)
        return fault;
    pdf_begin(&j->pdf, &j->arena, PAPER_WIDTH, PAPER_HEIGHT, &facts);
    paper_print(&paper, &j->pdf);
    return pdf_finish(&j->pdf);
}

static struct text describe(struct arena *a, const struct step_table *t)
{
    struct buffer b;
    buffer_init(&b, a);
    buffer_put(&b, TEXT("Flow diagram of the steps: "));
    for (uint32_t i = 0; i < t->steps.count; i++) {
        const struct step_row *s = &t->steps.at[i];
        buffer_printf(&b, "%s%u %.*s%s", i ? "; " : "", s->number, TEXT_ARGS(s->what),
                      s->beside_press ? " (beside the press)" : "");
        if (s->shape == SHAPE_DECISION && s->rework)
            buffer_printf(&b, " (accept, rework from step %u, or scrap)", s->rework);
        else if (s->shape == SHAPE_DECISION)
            buffer_put(&b, TEXT(" (accept or scrap)"));
    }
    buffer_putc(&b, '.');
    return buffer_text(&b);
}

static const char *make_flow(struct job *j)
{
    const struct step_table *t = j->table;
    struct text why;
    const struct picture *picture = flow_picture(&j->typesetter, t, flow_whole(t), &why);
    if (!picture)
        return why.at;
    struct text title = arena_format(&j->arena, "%.*s, %.*s rev. %.*s", TEXT_ARGS(t->title), TEXT_ARGS(t->part),
                                     TEXT_ARGS(t->revision));
    buffer_init(&j->svg, &j->arena);
    svg_write(&j->svg, picture, title, describe(&j->arena, t));
    return flow_dot(&j->arena, t, &j->dot) ? NULL : "Graphviz could not write the flow diagram";
}

static const char *make_all(struct job *j)
{
    typesetter_begin(&j->typesetter, &j->arena);
    const char *fault = make_flow(j);
    return fault ? fault : make_traveller(j);
}

/* The arena's jump lands here: whatever ran out of memory, all is released below. */
static const char *run(struct job *j)
{
    jmp_buf exhausted;
    arena_init(&j->arena, &exhausted);
    return setjmp(exhausted) ? "out of memory" : make_all(j);
}

__attribute__((visibility("default"))) bool strokewright_pages(const struct step_table *table,
                                                               struct buffer out[PAGE_COUNT], struct text *why)
{
    struct job j = {.table = table};
    const char *fault = run(&j);
    if (!fault) {
        /* The caller's arena may jump out from here, so each is copied by itself and the rest is released first. */
        typesetter_end(&j.typesetter);
        buffer_put(&out[PAGE_TRAVELLER], (struct text){j.pdf.bytes.at, (uint32_t)j.pdf.bytes.count});
        buffer_put(&out[PAGE_FLOW_SVG], buffer_text(&j.svg));
        buffer_put(&out[PAGE_FLOW_DOT], (struct text){j.dot.at, (uint32_t)j.dot.count});
    } else {
        *why = text_of(fault);
    }
    pdf_release(&j.pdf);
    typesetter_end(&j.typesetter);
    stream_free(&j.dot);
    arena_free(&j.arena);
    return !fault;
}
