/* The flow diagram drawn: symbols after ISO 5807:1985 where Graphviz put them, and the lines between them. */
#include "compiler/emit/pages/flow/flow.h"

#include <math.h>

enum { LANE_STEP = 13, CONNECTOR_ROOM = 18, MARGIN = 6 };

static const struct type connector_type = {.size = 8, .bold = true};
static const struct paint line_paint = {.line = INK_BLACK, .width = 0.8, .round = true};

/* ---- symbols ------------------------------------------------------------------------------------------------------ */

static void add_corners(struct outline *o, const double (*points)[2], uint32_t count)
{
    outline_move(o, points[0][0], points[0][1]);
    for (uint32_t i = 1; i < count; i++)
        outline_line(o, points[i][0], points[i][1]);
    outline_close(o);
}

static void add_half_round(struct outline *o, double left, double top, double right, double bottom)
{
    double r = (bottom - top) / 2, k = 0.5523 * r, middle = top + r, bend = right - r;
    outline_move(o, left, top);
    outline_line(o, bend, top);
    outline_curve(o, (double[]){bend + k, right, right}, (double[]){top, middle - k, middle});
    outline_curve(o, (double[]){right, bend + k, bend}, (double[]){middle + k, bottom, bottom});
    outline_line(o, left, bottom);
    outline_close(o);
}

static struct outline symbol_outline(struct picture *p, const struct flow_node *n)
{
    struct outline o = outline_new(p);
    double left = n->x - n->width / 2, right = left + n->width, top = n->y - n->height / 2, bottom = top + n->height;
    double slant = n->height * 0.3;
    switch (n->symbol) {
    case SYMBOL_DECISION:
        add_corners(&o, (const double[][2]){{n->x, top}, {right, n->y}, {n->x, bottom}, {left, n->y}}, 4);
        break;
    case SYMBOL_PREPARATION:
        add_corners(&o,
                    (const double[][2]){{left + slant, top},
                                        {right - slant, top},
                                        {right, n->y},
                                        {right - slant, bottom},
                                        {left + slant, bottom},
                                        {left, n->y}},
                    6);
        break;
    case SYMBOL_MANUAL:
        add_corners(&o, (const double[][2]){{left, top}, {right, top}, {right - slant, bottom}, {left + slant, bottom}},
                    4);
        break;
    case SYMBOL_DELAY:
        add_half_round(&o, left, top, right, bottom);
        break;
    case SYMBOL_TERMINATOR:
    case SYMBOL_CONNECTOR:
        outline_box(&o, left, top, n->width, n->height, n->height / 2);
        break;
    default:
        outline_box(&o, left, top, n->width, n->height, 0);
    }
    return o;
}

/* Where a line meets a symbol's side at half its height. */
static double side_of(const struct flow_node *n, int direction)
{
    double inset = n->symbol == SYMBOL_MANUAL ? n->height * 0.15 : 0;
    return n->x + direction * (n->width / 2 - inset);
}

/* An annotation: the bracket of ISO 5807 9.2.4, open to the right. */
static void draw_note(struct picture *p, const struct flow_node *n)
{
    double left = n->x - n->width / 2 + 2, half = n->height / 2 - 4;
    struct outline o = outline_new(p);
    outline_move(&o, left + 4, n->y - half);
    outline_line(&o, left, n->y - half);
    outline_line(&o, left, n->y + half);
    outline_line(&o, left + 4, n->y + half);
    picture_shape(p, o, (struct paint){.line = INK_BLACK, .width = 0.6});
    picture_text(p, n->what_words, left + 6, n->y - n->what_words->height / 2, INK_BLACK);
}

static void draw_centred(struct picture *p, const struct typeset *w, double x, double *y, enum ink ink)
{
    if (!w)
        return;
    picture_text(p, w, x - w->width / 2, *y, ink);
    *y += w->height + 1;
}

static double words_height(const struct flow_node *n)
{
    return n->what_words->height + (n->number_words ? n->number_words->height + 1 : 0) +
           (n->detail_words ? n->detail_words->height + 1 : 0);
}

/* The middle of a shape is where its words look centred: a delay's round end weighs less than its square one. */
static void draw_node(struct picture *p, const struct flow_node *n)
{
    double x = n->symbol == SYMBOL_DELAY ? n->x - n->height / 10 : n->x, y = n->y - words_height(n) / 2;
    if (n->symbol == SYMBOL_NOTE) {
        draw_note(p, n);
        return;
    }
    picture_shape(
        p, symbol_outline(p, n),
        (struct paint){.fill = n->beside ? INK_TINT : INK_WHITE, .line = INK_BLACK, .width = 0.9, .round = true});
    draw_centred(p, n->number_words, x, &y, INK_GREY);
    draw_centred(p, n->what_words, x, &y, INK_BLACK);
    draw_centred(p, n->detail_words, x, &y, INK_BLACK);
}

/* ---- lines -------------------------------------------------------------------------------------------------------- */

/* The head of an arrow whose tip is at (x, y), pointing along (dx, dy), one of which is 0 and the other 1 or -1. */
static void draw_head(struct picture *p, double x, double y, double dx, double dy)
{
    const double length = 5.5, half = 2.3;
    double bx = x - length * dx, by = y - length * dy;
    struct outline o = outline_new(p);
    add_corners(&o, (const double[][2]){{x, y}, {bx + half * dy, by + half * dx}, {bx - half * dy, by - half * dx}}, 3);
    picture_shape(p, o, (struct paint){.fill = INK_BLACK});
}

static void draw_down(struct picture *p, const struct flow_node *a, const struct flow_node *b)
{
    double from = a->y + a->height / 2, to = b->y - b->height / 2, middle = (from + to) / 2;
    struct outline o = outline_new(p);
    outline_move(&o, a->x, from);
    if (fabs(a->x - b->x) > 0.1) {
        outline_line(&o, a->x, middle);
        outline_line(&o, b->x, middle);
    }
    outline_line(&o, b->x, to - 4);
    picture_shape(p, o, line_paint);
    draw_head(p, b->x, to, 0, 1);
}

static void draw_right(struct picture *p, const struct flow_node *a, const struct flow_node *b, bool note)
{
    double from = side_of(a, 1), to = side_of(b, -1) + (note ? 2 : 0);
    struct outline o = outline_new(p);
    outline_move(&o, from, a->y);
    outline_line(&o, note ? to : to - 4, b->y);
    picture_shape(p, o, note ? (struct paint){.line = INK_BLACK, .width = 0.6, .dash = 2.5} : line_paint);
    if (!note)
        draw_head(p, to, b->y, 1, 0);
}

static void draw_label(struct picture *p, const struct flow *f, const struct flow_edge *e)
{
    const struct typeset *w = e->label_words;
    if (!w || e->from == NO_NODE)
        return;
    const struct flow_node *n = &f->nodes.at[e->from];
    double right = n->x + n->width / 2, left = n->x - n->width / 2;
    if (e->relation == FLOW_NEXT)
        picture_text(p, w, n->x + 4, n->y + n->height / 2 + 3, INK_BLACK);
    else if (e->relation == FLOW_ASIDE)
        picture_text(p, w, right + 3, n->y - w->height - 1.5, INK_BLACK);
    else if (e->relation == FLOW_BACK)
        picture_text(p, w, left - 3 - w->width, n->y - w->height - 1.5, INK_BLACK);
}

/* ---- rework: lanes at the left ------------------------------------------------------------------------------------ */

static double left_edge(const struct flow *f)
{
    double left = INFINITY;
    for (uint32_t i = 0; i < f->nodes.count; i++)
        left = fmin(left, f->nodes.at[i].x - f->nodes.at[i].width / 2);
    return left;
}

static double end_height(const struct flow *f, uint32_t node, double otherwise)
{
    return node == NO_NODE ? otherwise : f->nodes.at[node].y;
}

/* Every lane that overlaps an earlier one moves out by a step. */
static double lane_of(const struct flow *f, const struct flow_edge *e)
{
    int lane = 0;
    double top = end_height(f, e->to, -INFINITY), bottom = end_height(f, e->from, INFINITY);
    for (const struct flow_edge *o = f->edges.at; o < e; o++)
        if (o->relation == FLOW_BACK && end_height(f, o->to, -INFINITY) <= bottom &&
            end_height(f, o->from, INFINITY) >= top)
            lane++;
    return left_edge(f) - f->lane - lane * LANE_STEP;
}

static void draw_connector(struct typesetter *t, struct picture *p, double x, double y, uint32_t number)
{
    const double height = 18;
    const struct typeset *w = typesetter_set(t, arena_format(p->arena, "%u", number), connector_type, 0);
    double width = fmax(height, w->width + 9);
    struct outline o = outline_new(p);
    outline_box(&o, x - width / 2, y - height / 2, width, height, height / 2);
    picture_shape(p, o, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 0.9});
    picture_text(p, w, x - w->width / 2, y - w->height / 2, INK_BLACK);
}

/* Out of a decision's left corner, up, and into the left side of the step; where the other end stands in another stretch,
 * a connector with the step's number takes its place. */
static void draw_back(struct typesetter *t, struct picture *p, const struct flow *f, const struct flow_edge *e)
{
    const struct flow_node *from = e->from == NO_NODE ? NULL : &f->nodes.at[e->from];
    const struct flow_node *to = e->to == NO_NODE ? NULL : &f->nodes.at[e->to];
    double lane = lane_of(f, e) - (from && to ? 0 : CONNECTOR_ROOM / 2);
    if (!from && !to)
        return;
    double start = from ? from->y : end_height(f, e->to, 0), end = to ? to->y : start;
    struct outline o = outline_new(p);
    outline_move(&o, from ? side_of(from, -1) : lane, start);
    outline_line(&o, lane, start);
    if (to) {
        outline_line(&o, lane, end);
        outline_line(&o, side_of(to, -1) - 4, end);
    }
    picture_shape(p, o, line_paint);
    if (to)
        draw_head(p, side_of(to, -1), end, 1, 0);
    if (!to || !from)
        draw_connector(t, p, lane, end, e->step_number);
}

/* ---- the whole ---------------------------------------------------------------------------------------------------- */

static void draw_edge(struct typesetter *t, struct picture *p, const struct flow *f, const struct flow_edge *e)
{
    if (e->relation == FLOW_BACK)
        draw_back(t, p, f, e);
    else if (e->relation == FLOW_NEXT)
        draw_down(p, &f->nodes.at[e->from], &f->nodes.at[e->to]);
    else
        draw_right(p, &f->nodes.at[e->from], &f->nodes.at[e->to], e->relation == FLOW_NOTE);
    draw_label(p, f, e);
}

struct picture *flow_draw(struct typesetter *t, const struct flow *f)
{
    struct picture *p = picture_new(t->arena), *framed = picture_new(t->arena);
    double left = left_edge(f), right = -INFINITY, top = INFINITY, bottom = -INFINITY;
    for (uint32_t i = 0; i < f->edges.count; i++) {
        draw_edge(t, p, f, &f->edges.at[i]);
        if (f->edges.at[i].relation == FLOW_BACK)
            left = fmin(left, lane_of(f, &f->edges.at[i]) - CONNECTOR_ROOM);
    }
    for (uint32_t i = 0; i < f->nodes.count; i++) {
        const struct flow_node *n = &f->nodes.at[i];
        draw_node(p, n);
        right = fmax(right, n->x + n->width / 2);
        top = fmin(top, n->y - n->height / 2);
        bottom = fmax(bottom, n->y + n->height / 2);
    }
    picture_place(framed, p, MARGIN - left, MARGIN - top, 1);
    framed->width = right - left + 2 * MARGIN;
    framed->height = bottom - top + 2 * MARGIN;
    return framed;
}
