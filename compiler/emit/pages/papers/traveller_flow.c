/* The flow diagram on the traveller: in one piece where it fits a page, else in stretches side by side, joined by
 * connectors A, B, C ... */
#include "compiler/emit/pages/papers/traveller.h"

#include "compiler/text/said.h"

#include <math.h>

#define STRETCH_GAP 18.0

enum {
    STRETCH_MOST = 20 /* steps of one line each that stand below each other on a page: more are not tried */
};

static double room(const struct paper *p)
{
    return paper_room(p, false) - 34; /* below the heading of the section */
}

struct stretches {
    const struct picture *picture[STRETCHES_MOST];
    uint32_t count, columns; /* columns: side by side on a page */
    double scale;
};

static double column_width(uint32_t columns)
{
    return (TEXT_SPAN - (columns - 1) * STRETCH_GAP) / columns;
}

/* Draws the steps in `count` stretches; the scale is the one at which the largest of them fits its column. */
static bool draw_stretches(struct paper *p, uint32_t count, uint32_t columns, struct stretches *s, struct text *why)
{
    *s = (struct stretches){.count = count, .columns = columns, .scale = 1};
    for (uint32_t i = 0; i < count; i++) {
        const struct picture *picture = flow_picture(p->typesetter, p->table, flow_part(p->table, i, count), why);
        if (!picture)
            return false;
        s->picture[i] = picture;
        s->scale = fmin(s->scale, fmin(column_width(columns) / picture->width, room(p) / picture->height));
    }
    return true;
}

/* The fewest stretches, in two columns or else in one, whose type is not set below 7 points; if there are none, those with
 * the largest type. */
static bool choose_stretches(struct paper *p, struct stretches *s, struct text *why)
{
    const double legible = 0.973;
    uint32_t steps = p->table->steps.count, least = 1 + steps / STRETCH_MOST;
    uint32_t most = steps < STRETCHES_MOST ? steps : STRETCHES_MOST;
    for (uint32_t columns = least > 1 ? 2 : 1, tries = 0; tries < 2; columns = 3 - columns, tries++)
        for (uint32_t count = columns > least ? columns : least; count <= most && s->scale < legible; count++) {
            struct stretches tried;
            if (!draw_stretches(p, count, columns, &tried, why))
                return false;
            if (tried.scale > s->scale)
                *s = tried;
        }
    return true;
}

/* One page's stretches, from the first on. */
static const struct picture *stretches_picture(struct paper *p, const struct stretches *s, uint32_t first)
{
    struct picture *picture = picture_new(p->arena);
    double column = column_width(s->columns);
    picture_open_figure(picture, flow_text(p->arena, p->table));
    for (uint32_t i = first; i < first + s->columns && i < s->count; i++) {
        double width = s->picture[i]->width * s->scale, x = (i - first) * (column + STRETCH_GAP);
        picture_place(picture, s->picture[i], s->columns == 1 ? (column - width) / 2 : x, 0, s->scale);
        picture->height = fmax(picture->height, s->picture[i]->height * s->scale);
    }
    picture_close(picture);
    return picture;
}

const char *traveller_flow(struct paper *p)
{
    struct stretches s = {0};
    struct text why;
    if (!p->table->steps.count)
        return NULL;
    if (!choose_stretches(p, &s, &why))
        return why.at;
    paper_section(p, SAY("Flow diagram"));
    for (uint32_t i = 0; i < s.count; i += s.columns)
        paper_add(p, stretches_picture(p, &s, i), 10);
    return NULL;
}
