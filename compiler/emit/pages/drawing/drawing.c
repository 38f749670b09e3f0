#include "compiler/emit/pages/drawing/drawing.h"

#include "runtime/base/number.h"

const struct colour ink_table[INK_COUNT] = {
    [INK_NONE] = {0, 0, 0},        [INK_BLACK] = {0, 0, 0},      [INK_GREY] = {86, 86, 86},
    [INK_RULE] = {168, 168, 168},  [INK_TINT] = {240, 240, 240}, [INK_BAND] = {214, 214, 214},
    [INK_WHITE] = {255, 255, 255}, [INK_RED] = {155, 36, 35},    [INK_ORANGE] = {236, 124, 38},
    [INK_YELLOW] = {249, 168, 0},  [INK_GREEN] = {35, 127, 82},  [INK_BLUE] = {0, 83, 135},
};

/* ---- outlines ----------------------------------------------------------------------------------------------------- */

static struct segment *add_segment(struct outline *o, enum verb verb, double x, double y)
{
    struct segment *s = ARRAY_PUSH(o->arena, &o->segments);
    *s = (struct segment){verb, {x}, {y}};
    return s;
}

void outline_move(struct outline *o, double x, double y)
{
    add_segment(o, VERB_MOVE, x, y);
}

void outline_line(struct outline *o, double x, double y)
{
    add_segment(o, VERB_LINE, x, y);
}

void outline_curve(struct outline *o, const double x[3], const double y[3])
{
    struct segment *s = add_segment(o, VERB_CURVE, 0, 0);
    memcpy(s->x, x, sizeof s->x);
    memcpy(s->y, y, sizeof s->y);
}

void outline_close(struct outline *o)
{
    add_segment(o, VERB_CLOSE, 0, 0);
}

/* A quarter of a circle from the point (x0, y0), which lies on one of its axes, to (x1, y1) on the other; (cx, cy) is
 * the corner that is rounded off. 0.5523 makes the curve differ from the arc by less than 0.03 % of the radius. */
static void add_corner(struct outline *o, double x0, double y0, double cx, double cy, double x1, double y1)
{
    const double k = 0.5523;
    outline_curve(o, (const double[]){x0 + k * (cx - x0), x1 + k * (cx - x1), x1},
                  (const double[]){y0 + k * (cy - y0), y1 + k * (cy - y1), y1});
}

void outline_box(struct outline *o, double x, double y, double w, double h, double r)
{
    double limit = (w < h ? w : h) / 2, right = x + w, bottom = y + h;
    r = r < limit ? r : limit;
    outline_move(o, x + r, y);
    outline_line(o, right - r, y);
    if (r > 0)
        add_corner(o, right - r, y, right, y, right, y + r);
    outline_line(o, right, bottom - r);
    if (r > 0)
        add_corner(o, right, bottom - r, right, bottom, right - r, bottom);
    outline_line(o, x + r, bottom);
    if (r > 0)
        add_corner(o, x + r, bottom, x, bottom, x, bottom - r);
    outline_line(o, x, y + r);
    if (r > 0)
        add_corner(o, x, y + r, x, y, x + r, y);
    outline_close(o);
}

void outline_circle(struct outline *o, double x, double y, double r)
{
    outline_box(o, x - r, y - r, 2 * r, 2 * r, r);
}

/* Numbers of a path as this file's own tables write them: blanks between, a minus, a point. */
static double next_number(const char **at)
{
    const char *from;
    double value = 0;
    while (**at == ' ')
        ++*at;
    for (from = *at; **at && **at != ' ' && (**at < 'A' || **at > 'Z');)
        ++*at;
    (void)number_read((struct text){from, (uint32_t)(*at - from)}, &value);
    return value;
}

static void read_curve(struct outline *o, const char **at, double x, double y, double scale)
{
    double xs[3], ys[3];
    for (int i = 0; i < 3; i++) {
        xs[i] = x + scale * next_number(at);
        ys[i] = y + scale * next_number(at);
    }
    outline_curve(o, xs, ys);
}

static void read_ready_made(struct outline *o, const char **at, bool circle, double x, double y, double scale)
{
    double px = x + scale * next_number(at), py = y + scale * next_number(at), a = scale * next_number(at);
    if (circle) {
        outline_circle(o, px, py, a);
        return;
    }
    double h = scale * next_number(at);
    outline_box(o, px, py, a, h, scale * next_number(at));
}

void outline_read(struct outline *o, const char *at, double x, double y, double scale)
{
    while (*at) {
        char letter = *at++;
        if (letter == 'Z')
            outline_close(o);
        else if (letter == 'C')
            read_curve(o, &at, x, y, scale);
        else if (letter == 'O' || letter == 'R')
            read_ready_made(o, &at, letter == 'O', x, y, scale);
        else if (letter == 'M' || letter == 'L') {
            double px = x + scale * next_number(&at), py = y + scale * next_number(&at);
            add_segment(o, letter == 'M' ? VERB_MOVE : VERB_LINE, px, py);
        }
    }
}

/* ---- pictures ----------------------------------------------------------------------------------------------------- */

struct picture *picture_new(struct arena *arena)
{
    struct picture *p = ARENA_NEW(arena, struct picture);
    p->arena = arena;
    return p;
}

struct outline outline_new(struct picture *p)
{
    return (struct outline){.arena = p->arena};
}

static struct item *add_item(struct picture *p, enum item_kind kind)
{
    struct item *item = ARRAY_PUSH(p->arena, &p->items);
    item->kind = kind;
    item->scale = 1;
    return item;
}

void picture_shape(struct picture *p, struct outline outline, struct paint paint)
{
    struct item *item = add_item(p, ITEM_SHAPE);
    item->outline = outline;
    item->paint = paint;
}

/* Of so many segments, never more: rules and boxes are most of what is drawn, and need not have room to grow. */
static struct outline outline_exact(struct picture *p, uint32_t segments)
{
    struct outline o = outline_new(p);
    o.segments.at = ARENA_ARRAY(p->arena, segments, struct segment);
    o.segments.room = segments;
    return o;
}

void picture_box(struct picture *p, double x, double y, double w, double h, struct paint paint)
{
    struct outline o = outline_exact(p, 6);
    outline_box(&o, x, y, w, h, 0);
    picture_shape(p, o, paint);
}

void picture_rule(struct picture *p, double x0, double y0, double x1, double y1, double width, enum ink ink)
{
    struct outline o = outline_exact(p, 2);
    outline_move(&o, x0, y0);
    outline_line(&o, x1, y1);
    picture_shape(p, o, (struct paint){.line = ink, .width = width});
}

void picture_text(struct picture *p, const struct typeset *w, double x, double y, enum ink ink)
{
    struct item *item = add_item(p, ITEM_TEXT);
    item->words = w;
    item->x = x;
    item->y = y;
    item->ink = ink;
}

void picture_text_on(struct picture *p, const struct typeset *w, double x, double baseline, enum ink ink)
{
    picture_text(p, w, x, baseline - w->baseline, ink);
}

void picture_place(struct picture *p, const struct picture *child, double x, double y, double scale)
{
    struct item *item = add_item(p, ITEM_PICTURE);
    item->picture = child;
    item->x = x;
    item->y = y;
    item->scale = scale;
}

static struct item *open_tag(struct picture *p, const char *tag)
{
    struct item *item = add_item(p, ITEM_OPEN);
    item->tag = tag;
    return item;
}

void picture_open(struct picture *p, const char *tag)
{
    open_tag(p, tag);
}

void picture_open_artifact(struct picture *p)
{
    open_tag(p, TAG_ARTIFACT);
}

void picture_open_figure(struct picture *p, struct text shows)
{
    open_tag(p, TAG_FIGURE)->told = shows;
}

void picture_open_cell(struct picture *p, uint32_t columns)
{
    open_tag(p, "TD")->columns = columns;
}

void picture_open_place(struct picture *p, uint32_t place)
{
    open_tag(p, TAG_PLACE)->attributes = arena_format(p->arena, "name='s%u'", place).at;
}

void picture_open_link(struct picture *p, uint32_t place, struct text told)
{
    struct item *item = open_tag(p, "Link");
    item->attributes = arena_format(p->arena, "dest='s%u'", place).at;
    item->told = told;
}

void picture_close(struct picture *p)
{
    add_item(p, ITEM_CLOSE);
}
