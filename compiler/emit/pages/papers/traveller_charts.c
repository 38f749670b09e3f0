/* Charts of the traveller. */
#include "compiler/emit/pages/charts/chart.h"
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"

static const struct picture *titled(struct paper *p, const struct chart *c)
{
    struct picture *picture = picture_new(p->arena);
    const struct typeset *w =
        typesetter_set(p->typesetter, c->title, (struct type){.size = 9.5, .bold = true}, TEXT_SPAN);
    const struct picture *chart = chart_of_tracks(p->typesetter, p->table->language, c, TEXT_SPAN);
    picture_open(picture, "H3");
    picture_text(picture, w, 0, 0, INK_BLACK);
    picture_close(picture);
    picture_open_figure(picture, chart_text(p->arena, p->table->language, c));
    picture_place(picture, chart, 0, w->height + 8, 1);
    picture_close(picture);
    picture->height = w->height + 8 + chart->height;
    return picture;
}

void traveller_charts(struct paper *p)
{
    const struct step_table *t = p->table;
    bool begun = false;
    for (uint32_t i = 0; i < t->charts.count; i++) {
        if (!chart_has_curve(&t->charts.at[i]))
            continue;
        if (!begun)
            paper_section(p, SAY("Charts"));
        paper_add(p, titled(p, &t->charts.at[i]), begun ? 18 : 8);
        begun = true;
    }
}
