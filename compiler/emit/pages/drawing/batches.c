#include "compiler/emit/pages/drawing/batches.h"

#include <math.h>

enum { ACROSS = 64, DOWN = 4 * 64, LOOK_BACK = 24 };

struct place placed_in(struct place p, double x, double y, double scale)
{
    return (struct place){p.x + x * p.scale, p.y + y * p.scale, p.scale * scale};
}

/* ---- zones -------------------------------------------------------------------------------------------------------- */

struct bounds {
    double left, top, right, bottom;
};

/* With the control points of curves, and `line` on every side. */
static struct bounds bounds_of(const struct outline *o, struct place place, double line)
{
    static const int points[] = {[VERB_MOVE] = 1, [VERB_LINE] = 1, [VERB_CURVE] = 3, [VERB_CLOSE] = 0};
    struct bounds b = {INFINITY, INFINITY, -INFINITY, -INFINITY};
    for (uint32_t i = 0; i < o->segments.count; i++) {
        const struct segment *s = &o->segments.at[i];
        for (int k = 0; k < points[s->verb]; k++) {
            b.left = fmin(b.left, s->x[k]);
            b.right = fmax(b.right, s->x[k]);
            b.top = fmin(b.top, s->y[k]);
            b.bottom = fmax(b.bottom, s->y[k]);
        }
    }
    return (struct bounds){place.x + b.left * place.scale - line, place.y + b.top * place.scale - line,
                           place.x + b.right * place.scale + line, place.y + b.bottom * place.scale + line};
}

/* The strip, of `count` in `whole`, in which this lies; what is off the page is in the last one before its edge. */
static int strip(double at, double whole, int count)
{
    double n = floor(at / whole * count);
    return n > 0 ? n < count - 1 ? (int)n : count - 1 : 0;
}

static void mark(uint64_t *bits, int first, int last)
{
    for (int i = first; i <= last; i++)
        bits[i / 64] |= UINT64_C(1) << i % 64;
}

static struct zones zones_of(const struct batches *b, struct bounds s)
{
    struct zones z = {0};
    mark(&z.across, strip(s.left, b->width, ACROSS), strip(s.right, b->width, ACROSS));
    mark(z.down, strip(s.top, b->height, DOWN), strip(s.bottom, b->height, DOWN));
    return z;
}

static bool may_touch(const struct zones *a, const struct zones *b)
{
    uint64_t down = 0;
    for (int i = 0; i < DOWN / 64; i++)
        down |= a->down[i] & b->down[i];
    return a->across & b->across && down;
}

static void add_zones(struct zones *to, const struct zones *z)
{
    to->across |= z->across;
    for (int i = 0; i < DOWN / 64; i++)
        to->down[i] |= z->down[i];
}

/* ---- batches ------------------------------------------------------------------------------------------------------ */

static bool same_paint(const struct paint *a, const struct paint *b)
{
    return a->fill == b->fill && a->line == b->line && a->width == b->width && a->dash == b->dash &&
           a->round == b->round;
}

/* The latest of the paint that no later one lies over. Lines may cross lines of their own paint; areas would cut holes
 * into each other where they run around in opposite directions. */
static struct batch *find_batch(struct batches *b, const struct paint *paint, const struct zones *z)
{
    for (uint32_t i = b->batches.count; i > 0 && i + LOOK_BACK > b->batches.count; i--) {
        struct batch *at = &b->batches.at[i - 1];
        bool touches = may_touch(&at->zones, z);
        if (same_paint(&at->paint, paint) && (!touches || paint->fill == INK_NONE))
            return at;
        if (touches)
            break;
    }
    return NULL;
}

static void add(struct batches *b, const struct outline *o, const struct paint *paint, struct place place)
{
    /* A sharp corner reaches further out than half the line's width. */
    double line = paint->line == INK_NONE ? 0 : paint->round ? paint->width / 2 : paint->width;
    struct zones z = zones_of(b, bounds_of(o, place, line));
    struct batch *to = find_batch(b, paint, &z);
    if (!to) {
        to = ARRAY_PUSH(b->arena, &b->batches);
        to->paint = *paint;
    }
    *ARRAY_PUSH(b->arena, &to->shapes) = (struct placed_shape){o, place};
    add_zones(&to->zones, &z);
}

bool outline_is_box(const struct outline *o)
{
    enum { CORNERS = 6 }; /* as outline_box() draws one: to all four, back to the first, closed */
    return o->segments.count == CORNERS && o->segments.at[CORNERS - 1].verb == VERB_CLOSE;
}

/* Boxes are short: their ground and their line are apart, so that neither changes the other's colour. */
void batches_add(struct batches *b, const struct outline *o, const struct paint *paint, struct place place)
{
    struct paint ground = {.fill = paint->fill}, line = *paint;
    line.width *= place.scale;
    line.dash *= place.scale;
    if (paint->line == INK_NONE) {
        add(b, o, &ground, place);
    } else if (paint->fill != INK_NONE && outline_is_box(o)) {
        line.fill = INK_NONE;
        add(b, o, &ground, place);
        add(b, o, &line, place);
    } else {
        add(b, o, &line, place);
    }
}
