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
    uint32_t count;
    double scale;
};

/* Draws the steps in `count` stretches; the scale is the one at which the largest of them fits its column. */
static bool draw_stretches(struct paper *p, uint32_t count, struct stretches *s, struct text *why)
{
    double wide = count == 1 ? TEXT_SPAN : (TEXT_SPAN - STRETCH_GAP) / 2;
    s->count = count;
    s->scale = 1;
    for (uint32_t i = 0; i < count; i++) {
        s->picture[i] = flow_picture(p->typesetter, p->table, flow_part(p->table, i, count), why);
        if (!s->picture[i])
            return false;
        s->scale = fmin(s->scale, fmin(wide / s->picture[i]->width, room(p) / s->picture[i]->height));
    }
    return true;
}

/* The fewest stretches whose type can still be read: not set below 0.72 of its size. */
static bool choose_stretches(struct paper *p, struct stretches *s, struct text *why)
{
    const double legible = 0.72;
    uint32_t most = p->table->steps.count < STRETCHES_MOST ? p->table->steps.count : STRETCHES_MOST;
    struct stretches tried;
    for (uint32_t count = 1 + p->table->steps.count / STRETCH_MOST; count <= (most ? most : 1) && s->scale < legible;
         count++) {
        if (!draw_stretches(p, count, &tried, why))
            return false;
        if (tried.scale > s->scale)
            *s = tried;
    }
    return true;
}

const char *traveller_flow(struct paper *p)
{
    struct stretches s = {0};
    struct text why;
    if (!p->table->steps.count)
        return NULL;
    if (!choose_stretches(p, &s, &why))
        return why.at;
    uint32_t a_row = s.count == 1 ? 1 : 2;
    double column = (TEXT_SPAN - STRETCH_GAP) / 2;
    paper_section(p, SAY("Flow diagram"));
    for (uint32_t i = 0; i < s.count; i += a_row) {
        struct picture *picture = picture_new(p->arena);
        picture_open_figure(picture, flow_words(p->arena, p->table));
        for (uint32_t k = i; k < i + a_row && k < s.count; k++) {
            double wide = s.picture[k]->width * s.scale, x = (k - i) * (column + STRETCH_GAP);
            picture_place(picture, s.picture[k], s.count == 1 ? (TEXT_SPAN - wide) / 2 : x, 0, s.scale, 0);
            picture->height = fmax(picture->height, s.picture[k]->height * s.scale);
        }
        picture_close(picture);
        paper_add(p, picture, 10);
    }
    return NULL;
}
