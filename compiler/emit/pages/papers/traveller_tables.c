/* Tool sizes of the traveller: the table, and how tool and part grow and shrink. */
#include "compiler/emit/pages/charts/chart.h"
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"

#include <math.h>

/* ---- tool sizes --------------------------------------------------------------------------------------------------- */

enum { SIZE_FEATURE, SIZE_PART, SIZE_MAKE, SIZE_HOT, SIZE_RELEASED, SIZE_FINISHED, SIZE_KELVIN, SIZE_COLUMNS };

static const struct column_head size_heads[SIZE_COLUMNS] = {
    [SIZE_FEATURE] = {SAY_IN("head", "Feature"), 2, 100, ALIGN_LEFT},
    [SIZE_PART] = {SAY_IN("head", "Part at 20 °C"), 108, 62, ALIGN_LEFT},
    [SIZE_MAKE] = {SAY_IN("head", "Make the tool at 20 °C"), 174, 84, ALIGN_LEFT},
    [SIZE_HOT] = {SAY_IN("head", "Tool hot"), 264, 56, ALIGN_LEFT},
    [SIZE_RELEASED] = {SAY_IN("head", "Part on release"), 326, 58, ALIGN_LEFT},
    [SIZE_FINISHED] = {SAY_IN("head", "Part expected at 20 °C"), 390, 66, ALIGN_LEFT},
    [SIZE_KELVIN] = {SAY_IN("head", "Per kelvin"), 464, 47, ALIGN_LEFT},
};

/* The axis leaves room for three figures of this size in front of the point. */
static double axis_for(double size)
{
    return size * 0.636 * 3 + (size > 10 ? size * 0.18 : 0); /* bold figures of DejaVu Sans are a little wider */
}

static double draw_size(struct paper *p, struct picture *picture, int column, const struct shown *s, struct text below,
                        struct type type)
{
    const struct column_head *h = &size_heads[column];
    const struct typeset *w = typesetter_set(p->typesetter, below, type_small, h->width);
    picture_open(picture, "TD");
    struct reach r = paper_draw_figure(p, picture, s->print, h->x, h->x + axis_for(type.size), h->width, 14, type);
    double y = fmax(18.5, r.bottom);
    picture_text(picture, w, h->x, y, INK_BLACK);
    picture_close(picture);
    return y + w->height;
}

static struct text at_temperature(struct paper *p, const struct shown *s)
{
    return s->print.len ? SAID(p->arena, p->table->language, "at {temperature}", {"temperature", s->print}) : TEXT("");
}

static double draw_feature(struct paper *p, struct picture *picture, const struct tool_size *s)
{
    const struct column_head *h = &size_heads[SIZE_FEATURE];
    struct text name = print_text_capital(p->arena, s->title);
    struct text of = arena_format(p->arena, "%.*s%s%.*s%s%.*s", TEXT_ARGS(s->side), s->side.len ? ", " : "",
                                  TEXT_ARGS(s->tool_title), s->material.len ? ", " : "", TEXT_ARGS(s->material));
    const struct typeset *w = typesetter_set(p->typesetter, name, type_strong, h->width);
    const struct typeset *small = typesetter_set(p->typesetter, of, (struct type){.size = 7.2}, h->width);
    picture_open(picture, "TD");
    picture_text_on(picture, w, h->x, 14, INK_BLACK);
    double y = 14 - w->baseline + w->height + 1;
    picture_text(picture, small, h->x, y, INK_GREY);
    picture_close(picture);
    return y + small->height;
}

static const struct picture *size_picture(struct paper *p, const struct tool_size *s)
{
    const struct type plain = {.size = 8.3}, make = {.size = 11.5, .bold = true}, small = {.size = 7.2};
    struct picture *picture = picture_new(p->arena);
    picture_open(picture, "TR");
    double y = draw_feature(p, picture, s);
    y = fmax(y, draw_size(p, picture, SIZE_PART, &s->part, s->part.print_band, plain));
    y = fmax(y, draw_size(p, picture, SIZE_MAKE, &s->cold, s->cold.print_band, make));
    y = fmax(y, draw_size(p, picture, SIZE_HOT, &s->hot, at_temperature(p, &s->tool_temperature), plain));
    y = fmax(y, draw_size(p, picture, SIZE_RELEASED, &s->released, at_temperature(p, &s->release_temperature), plain));
    y = fmax(y, draw_size(p, picture, SIZE_FINISHED, &s->finished, s->finished.print_band, plain));
    picture_open(picture, "TD");
    paper_draw_figure(p, picture, s->per_kelvin.print, size_heads[SIZE_KELVIN].x, size_heads[SIZE_KELVIN].x + 10,
                      size_heads[SIZE_KELVIN].width, 14, small);
    picture_close(picture);
    picture_close(picture);
    picture->height = y + 5;
    picture_rule(picture, 0, picture->height, TEXT_SPAN, picture->height, 0.4, INK_RULE);
    return picture;
}

void traveller_sizes(struct paper *p)
{
    const struct step_table *t = p->table;
    if (!t->sizes.count)
        return;
    paper_section(p, SAY("Tool sizes"));
    const struct picture *heading = paper_table_heading(p, size_heads, SIZE_COLUMNS);
    uint32_t first = paper_table(p, heading);
    for (uint32_t i = 0; i < t->sizes.count; i++)
        paper_add(p, size_picture(p, &t->sizes.at[i]), 0);
    paper_table_end(p, first);
}

enum { TOGETHER_MOST = 6 }; /* sizes whose chart is not parted by a page's end */

void traveller_moves(struct paper *p)
{
    const struct step_table *t = p->table;
    if (!t->sizes.count)
        return;
    struct size_scale scale = chart_size_scale(t, TEXT_SPAN);
    paper_section(p, SAY("Who grows and who shrinks"));
    uint32_t first = paper_table(p, chart_size_heading(p->typesetter, t, &scale, TEXT_SPAN));
    p->blocks.at[first - 1].shows = chart_sizes_text(p->arena, t);
    for (uint32_t i = 0; i < t->sizes.count; i++)
        paper_add(p, chart_size_row(p->typesetter, t, i, &scale, TEXT_SPAN), 0)->with_next =
            t->sizes.count <= TOGETHER_MOST && i + 1 < t->sizes.count;
    paper_table_end(p, first);
}
