/* What is seen of strokewright-pages.so. */
#include "compiler/emit/pages/pages.h"

#include "compiler/emit/pages/charts/chart.h"
#include "compiler/emit/pages/charts/window.h"
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/emit/pages/report/report.h"
#include "compiler/text/said.h"

#include <setjmp.h>

struct job { /* all that must be released, whatever happens */
    struct arena arena;
    struct faces faces;
    struct typesetter typesetter;
    struct pdf pdf;
    struct stream made[PAGE_COUNT], labels;
    const struct step_table *table;
    const struct pages_request *request;
};

static const char *print_paper(struct job *j, enum page page, struct paper *paper, const struct pdf_facts *facts)
{
    pdf_begin(&j->pdf, &j->arena, paper->width, paper->height, facts);
    paper_print(paper, &j->pdf);
    const char *fault = pdf_finish(&j->pdf);
    j->made[page] = j->pdf.bytes;
    j->pdf.bytes = (struct stream){0};
    pdf_release(&j->pdf);
    return fault;
}

static const char *make_paper(struct job *j, enum page page, const char *kind,
                              const char *(*fill)(struct job *, struct paper *))
{
    const struct step_table *t = j->table;
    struct paper paper;
    struct pdf_facts facts = {
        .title = t->title, .author = t->author, .date = t->date, .language = language_table[t->language].code};
    facts.subject = SAID(&j->arena, t->language, "{kind}, part {part}, revision {revision}, status {status}",
                         {"kind", said(t->language, kind)}, {"part", t->part}, {"revision", t->revision},
                         {"status", said_text(t->language, "word", t->status)});
    facts.creator = arena_format(&j->arena, "Strokewright %.*s", TEXT_ARGS(t->version));
    paper_begin(&paper, &j->typesetter, t, j->request->paper);
    const char *fault = fill(j, &paper);
    return fault ? fault : print_paper(j, page, &paper, &facts);
}

enum { MOVES_MOST = 12 }; /* sizes whose growth is drawn on the traveller; the tool sheet draws all */

static const char *fill_traveller(struct job *j, struct paper *p)
{
    (void)j;
    traveller_head(p);
    traveller_waivers(p);
    traveller_cautions(p);
    traveller_setup(p);
    traveller_chosen(p);
    traveller_steps(p);
    traveller_sizes(p);
    if (p->table->sizes.count <= MOVES_MOST)
        traveller_moves(p);
    traveller_limits(p);
    traveller_revisions(p);
    traveller_charts(p); /* fill what the limits leave of a page; the flow mostly takes one of its own */
    return traveller_flow(p);
}

static const char *fill_tool_sheet(struct job *j, struct paper *p)
{
    (void)j;
    sheets_tool(p);
    return NULL;
}

static const char *steps_fill_inspection(struct job *j, struct paper *p)
{
    (void)j;
    sheets_inspection(p);
    return NULL;
}

static const char *make_traveller(struct job *j, enum page page)
{
    return make_paper(j, page, SAY("Shop traveller"), fill_traveller);
}

static const char *make_tool_sheet(struct job *j, enum page page)
{
    return make_paper(j, page, SAY("Tool sheet"), fill_tool_sheet);
}

static const char *make_inspection(struct job *j, enum page page)
{
    return make_paper(j, page, SAY("Inspection sheet"), steps_fill_inspection);
}

static const struct type type_foot = {.size = 7.2};

/* The picture with a line below it that says of which recipe it is, as at the foot of the papers. */
static const struct picture *with_foot(struct job *j, const struct picture *picture)
{
    const struct step_table *t = j->table;
    struct text first = {t->fingerprint.at, t->fingerprint.len < 12 ? t->fingerprint.len : 12};
    struct text foot =
        SAID(&j->arena, t->language, "{part}, rev. {revision}, {date}, {status}, fingerprint {fingerprint}",
             {"part", t->part}, {"revision", t->revision}, {"date", t->date},
             {"status", said_text(t->language, "word", t->status)}, {"fingerprint", first});
    const struct typeset *words = typesetter_set(&j->typesetter, foot, type_foot, picture->width - 8);
    struct picture *whole = picture_new(&j->arena);
    whole->width = picture->width;
    whole->height = picture->height + words->height + 8;
    picture_place(whole, picture, 0, 0, 1);
    picture_rule(whole, 4, picture->height + 2, picture->width - 4, picture->height + 2, 0.5, INK_RULE);
    picture_text(whole, words, 4, picture->height + 4, INK_BLACK);
    return whole;
}

static const char *put_svg(struct job *j, enum page page, const struct picture *picture, struct text description)
{
    const struct step_table *t = j->table;
    struct text title = SAID(&j->arena, t->language, "{title}, {part} rev. {revision}", {"title", t->title},
                             {"part", t->part}, {"revision", t->revision});
    struct buffer b;
    buffer_init(&b, &j->arena);
    svg_write(&b, with_foot(j, picture), title, description);
    return stream_put(&j->made[page], b.at, b.count) ? NULL : "out of memory";
}

static const char *make_flow(struct job *j, enum page page)
{
    const struct step_table *t = j->table;
    struct text why;
    const struct picture *picture = flow_picture(&j->typesetter, t, flow_whole(t), &why);
    return picture ? put_svg(j, page, picture, flow_text(&j->arena, t)) : why.at;
}

static const char *make_dot(struct job *j, enum page page)
{
    return flow_dot(&j->arena, j->table, &j->made[page]) ? NULL : "Graphviz could not write the flow diagram";
}

enum { FLOW_SCREEN = 12 }; /* steps below each other; more stand in stretches beside each other */

static const char *make_report(struct job *j, enum page page)
{
    const struct step_table *t = j->table;
    struct text why;
    struct buffer b;
    struct report r = {.out = &b, .arena = &j->arena, .typesetter = &j->typesetter, .table = t};
    r.flows = t->steps.count < STRETCHES_MOST * FLOW_SCREEN ? 1 + t->steps.count / FLOW_SCREEN : STRETCHES_MOST;
    for (uint32_t i = 0; i < r.flows; i++) {
        r.flow[i] = flow_picture(&j->typesetter, t, flow_part(t, i, r.flows), &why);
        if (!r.flow[i])
            return why.at;
    }
    r.flow_text = arena_text(&j->arena, flow_text(&j->arena, t)).at;
    buffer_init(&b, &j->arena);
    report_write(&r);
    return stream_put(&j->made[page], b.at, b.count) ? NULL : "out of memory";
}

/* ---- charts ------------------------------------------------------------------------------------------------------- */

#define CHART_WIDTH TEXT_SPAN

/* All charts of a kind, one below the other, each under its title. */
static const char *make_charts(struct job *j, enum page page)
{
    enum chart_kind kind = page == PAGE_FORCE_SVG ? CHART_FORCE : CHART_TEMPERATURE;
    struct picture *all = picture_new(&j->arena);
    struct buffer words;
    buffer_init(&words, &j->arena);
    for (uint32_t i = 0; i < j->table->charts.count; i++) {
        const struct chart *c = &j->table->charts.at[i];
        if (c->kind != kind || !chart_has_curve(c))
            continue;
        const struct picture *picture = chart_of_tracks(&j->typesetter, j->table->language, c, CHART_WIDTH);
        const struct typeset *title = typesetter_set(&j->typesetter, c->title, type_section, CHART_WIDTH);
        picture_text(all, title, 0, all->height, INK_BLACK);
        picture_place(all, picture, 0, all->height + title->height + 8, 1);
        all->height += title->height + picture->height + 20;
        buffer_put(&words, chart_text(&j->arena, j->table->language, c));
    }
    if (all->height == 0) {
        struct text none =
            said(j->table->language, "The recipe has no heating and no stroke: there is nothing to draw.");
        const struct typeset *w = typesetter_set(&j->typesetter, none, type_body, CHART_WIDTH);
        picture_text(all, w, 0, 0, INK_BLACK);
        all->height = w->height;
    }
    all->width = CHART_WIDTH;
    return put_svg(j, page, all, buffer_text(&words));
}

static const char *make_moves(struct job *j, enum page page)
{
    return put_svg(j, page, chart_of_sizes(&j->typesetter, j->table, CHART_WIDTH),
                   chart_sizes_text(&j->arena, j->table));
}

static const char *make_margins(struct job *j, enum page page)
{
    return put_svg(j, page, chart_of_margins(&j->typesetter, j->table, CHART_WIDTH),
                   chart_margins_text(&j->arena, j->table));
}

static const char *make_window(struct job *j, enum page page)
{
    const struct window_map *m = j->request->window;
    enum language language = j->request->language;
    struct buffer b;
    buffer_init(&b, &j->arena);
    svg_write(&b, window_picture(&j->typesetter, language, m, CHART_WIDTH), m->title,
              window_text(&j->arena, language, m));
    return stream_put(&j->made[page], b.at, b.count) ? NULL : "out of memory";
}

static const char *make_graph(struct job *j, enum page page)
{
    bool good = flow_graph_svg(&j->typesetter, j->request->graph.at, &j->labels, &j->made[page]);
    return good ? NULL : "Graphviz could not draw the graph";
}

static const char *(*const makers[PAGE_COUNT])(struct job *, enum page) = {
    [PAGE_TRAVELLER] = make_traveller, [PAGE_TOOL_SHEET] = make_tool_sheet, [PAGE_INSPECTION] = make_inspection,
    [PAGE_FLOW_SVG] = make_flow,       [PAGE_FLOW_DOT] = make_dot,          [PAGE_TEMPERATURES_SVG] = make_charts,
    [PAGE_FORCE_SVG] = make_charts,    [PAGE_MOVES_SVG] = make_moves,       [PAGE_MARGINS_SVG] = make_margins,
    [PAGE_REPORT] = make_report,       [PAGE_WINDOW_SVG] = make_window,     [PAGE_GRAPH_SVG] = make_graph,
};

static const char *make_all(struct job *j)
{
    faces_begin(&j->faces);
    const char *fault = j->faces.fault;
    typesetter_begin(&j->typesetter, &j->arena, &j->faces);
    for (enum page page = PAGE_NONE + 1; page < PAGE_COUNT && !fault; page++)
        if (j->request->wanted >> page & 1)
            fault = makers[page](j, page);
    return fault;
}

/* The arena's jump lands here: whatever ran out of memory, all is released below. */
static const char *make_within_memory(struct job *j)
{
    jmp_buf exhausted;
    arena_init(&j->arena, &exhausted);
    return setjmp(exhausted) ? "out of memory" : make_all(j);
}

static void release(struct job *j)
{
    pdf_release(&j->pdf);
    typesetter_end(&j->typesetter);
    faces_end(&j->faces);
    for (int i = 0; i < PAGE_COUNT; i++)
        stream_free(&j->made[i]);
    stream_free(&j->labels);
    arena_free(&j->arena);
}

/* The caller's arena may jump out when it is exhausted, so all the libraries' own memory is given back before. */
static void hand_over(struct job *j, struct buffer out[PAGE_COUNT], struct text *why)
{
    typesetter_end(&j->typesetter);
    faces_end(&j->faces);
    *why = typesetter_unknown(&j->typesetter, out[PAGE_TRAVELLER].arena);
    for (int i = 0; i < PAGE_COUNT; i++)
        if (j->made[i].count)
            buffer_put(&out[i], (struct text){j->made[i].at, (uint32_t)j->made[i].count});
}

__attribute__((visibility("default"))) bool strokewright_pages(const struct step_table *table,
                                                               const struct pages_request *request,
                                                               struct buffer out[PAGE_COUNT], struct text *why)
{
    struct job j = {.table = table, .request = request};
    const char *fault = make_within_memory(&j);
    if (fault)
        *why = text_of(fault);
    else
        hand_over(&j, out, why);
    release(&j);
    return !fault;
}
