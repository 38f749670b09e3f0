#include "compiler/emit/pages/charts/window.h"

#include "compiler/emit/pages/charts/chart.h"
#include "compiler/text/said.h"

#include <math.h>

enum { LEFT = 52, TOP = 22, RIGHT = 26, LINES_DRAWN = 9, TAG = 7 };

static const struct type number_type = {.size = 7.2}, name_type = {.size = 7.2, .bold = true},
                         title_type = {.size = 11, .bold = true};
static const double margin_low = -0.25, margin_high = 0.75; /* shares shown over one unknown */

struct place {
    double x, y;
};

struct view {
    struct typesetter *typesetter;
    enum language language;
    struct picture *picture;
    const struct window_map *map;
    double top, width, height; /* of the plane */
    double low[2], high[2];
    ARRAY(struct place) tags;
};

static double across(const struct view *v, double x)
{
    return LEFT + (x - v->low[0]) / (v->high[0] - v->low[0]) * v->width;
}

static double up(const struct view *v, double y)
{
    return v->top + v->height * (1 - (y - v->low[1]) / (v->high[1] - v->low[1]));
}

/* ---- axes -------------------------------------------------------------------------------------------------------- */

static void draw_axis(struct view *v, int k, bool percent)
{
    double step = chart_step(v->high[k] - v->low[k], k ? 6 : 8), first = chart_first_tick(v->low[k], step);
    for (int i = 0; i < TICKS_MOST && chart_is_tick(first + i * step, v->high[k], step); i++) {
        double at = first + i * step, factor = percent ? 100 : 1;
        struct text number = chart_number(v->typesetter->arena, v->language, at * factor, step * factor);
        const struct typeset *w = typesetter_set(v->typesetter, number, number_type, 0);
        if (k == 0) {
            picture_rule(v->picture, across(v, at), v->top + v->height, across(v, at), v->top + v->height + 3, 0.6,
                         INK_BLACK);
            picture_text(v->picture, w, across(v, at) - w->width / 2, v->top + v->height + 4, INK_BLACK);
        } else {
            picture_rule(v->picture, LEFT - 3, up(v, at), LEFT, up(v, at), 0.6, INK_BLACK);
            picture_text(v->picture, w, LEFT - 5 - w->width, up(v, at) - w->height / 2, INK_BLACK);
            if (percent)
                picture_rule(v->picture, LEFT, up(v, at), LEFT + v->width, up(v, at), 0.35, INK_RULE);
        }
    }
}

static struct text axis_name(struct view *v, const struct window_axis *axis)
{
    struct arena *a = v->typesetter->arena;
    struct text name =
        axis->held.len ? arena_format(a, "%.*s (%.*s)", TEXT_ARGS(axis->name), TEXT_ARGS(axis->held)) : axis->name;
    return axis->unit.len ? SAID(a, v->language, "{quantity} in {unit}", {"quantity", name}, {"unit", axis->print_unit})
                          : name;
}

static void draw_frame(struct view *v)
{
    picture_rule(v->picture, LEFT, v->top, LEFT, v->top + v->height, 0.9, INK_BLACK);
    picture_rule(v->picture, LEFT, v->top + v->height, LEFT + v->width, v->top + v->height, 0.9, INK_BLACK);
}

static void name_axes(struct view *v, struct text upright)
{
    const struct typeset *w = typesetter_set(v->typesetter, axis_name(v, &v->map->axis[0]), name_type, 0);
    picture_text(v->picture, w, LEFT + v->width - w->width, v->top + v->height + 16, INK_BLACK);
    picture_text(v->picture, typesetter_set(v->typesetter, upright, name_type, 0), 0, v->top - 16, INK_BLACK);
}

/* ---- letters ----------------------------------------------------------------------------------------------------- */

static void draw_tag(struct view *v, char letter, double x, double y)
{
    struct outline ring = outline_new(v->picture);
    char *text = ARENA_ARRAY(v->typesetter->arena, 1, char);
    *text = letter;
    const struct typeset *w = typesetter_set(v->typesetter, (struct text){text, 1}, name_type, 0);
    outline_circle(&ring, x, y, TAG - 0.8);
    picture_shape(v->picture, ring, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 0.7});
    picture_text(v->picture, w, x - w->width / 2, y - w->height / 2, INK_BLACK);
    *ARRAY_PUSH(v->typesetter->arena, &v->tags) = (struct place){x, y};
}

/* How far from other letters and from the edges: where a letter is best read. */
static double room_at(const struct view *v, double x, double y)
{
    double room = fmin(fmin(x - LEFT, LEFT + v->width - x), fmin(y - v->top, v->top + v->height - y)) * 2;
    for (uint32_t i = 0; i < v->tags.count; i++)
        room = fmin(room, hypot(x - v->tags.at[i].x, y - v->tags.at[i].y));
    return room;
}

/* ---- two unknowns ------------------------------------------------------------------------------------------------ */

static void draw_cells(struct view *v, enum window_state state, enum ink ink)
{
    struct outline o = outline_new(v->picture);
    for (uint32_t i = 0; i < v->map->cells.count; i++) {
        const struct window_cell *c = &v->map->cells.at[i];
        if (c->state != state)
            continue;
        double x = across(v, c->low[0]), y = up(v, c->high[1]);
        outline_box(&o, x, y, across(v, c->high[0]) - x, up(v, c->low[1]) - y, 0);
    }
    if (o.segments.count) /* the line closes the seams between cells */
        picture_shape(v->picture, o, (struct paint){.fill = ink, .line = ink, .width = 0.4});
}

struct crossing {
    double x[2], y[2];
    int count;
};

/* Where the margin passes zero between two neighbours of the lattice. */
static void cross(const struct view *v, struct crossing *c, const double *at, const double *other, double here,
                  double there)
{
    if (c->count >= 2 || isnan(here) || isnan(there) || (here < 0) == (there < 0))
        return;
    double share = here / (here - there);
    c->x[c->count] = across(v, at[0] + share * (other[0] - at[0]));
    c->y[c->count++] = up(v, at[1] + share * (other[1] - at[1]));
}

static void cross_triangle(struct view *v, struct outline *o, const double at[3][2], const double margin[3],
                           struct place *best, double *room)
{
    struct crossing c = {.count = 0};
    for (int i = 0; i < 3; i++)
        cross(v, &c, at[i], at[(i + 1) % 3], margin[i], margin[(i + 1) % 3]);
    if (c.count < 2)
        return;
    outline_move(o, c.x[0], c.y[0]);
    outline_line(o, c.x[1], c.y[1]);
    double here = room_at(v, c.x[0], c.y[0]);
    if (here > *room) {
        *room = here;
        *best = (struct place){c.x[0], c.y[0]};
    }
}

/* The line along which a margin is gone: every square of the lattice is cut into two triangles, in which it is told as
 * if it were even. True when the line runs through the map. */
static bool draw_boundary(struct view *v, const double *margins, struct place *tag, double *room)
{
    const struct window_axis *x = &v->map->axis[0], *y = &v->map->axis[1];
    struct outline o = outline_new(v->picture);
    for (uint32_t i = 0; i + 1 < x->count; i++)
        for (uint32_t k = 0; k + 1 < y->count; k++) {
            const double corner[4][2] = {
                {x->at[i], y->at[k]}, {x->at[i + 1], y->at[k]}, {x->at[i + 1], y->at[k + 1]}, {x->at[i], y->at[k + 1]}};
            const double *w = &margins[i * y->count + k], *next = w + y->count;
            const double margin[4] = {w[0], next[0], next[1], w[1]};
            for (int half = 0; half < 2; half++) {
                int second = half ? 2 : 1, third = half ? 3 : 2;
                const double at[3][2] = {{corner[0][0], corner[0][1]},
                                         {corner[second][0], corner[second][1]},
                                         {corner[third][0], corner[third][1]}};
                cross_triangle(v, &o, at, (double[3]){margin[0], margin[second], margin[third]}, tag, room);
            }
        }
    if (!o.segments.count)
        return false;
    picture_shape(v->picture, o, (struct paint){.line = INK_BLACK, .width = 1.1, .round = true});
    return true;
}

/* Of a limit that closes a part of the map with no line of its own: the middle of the largest piece. */
static bool middle_of_closed(const struct view *v, uint32_t line, struct place *tag)
{
    double most = 0;
    for (uint32_t i = 0; i < v->map->cells.count; i++) {
        const struct window_cell *c = &v->map->cells.at[i];
        double x = across(v, c->low[0]), y = up(v, c->high[1]),
               area = (across(v, c->high[0]) - x) * (up(v, c->low[1]) - y);
        if (c->state == WINDOW_PROVED || c->line != line || area <= most)
            continue;
        most = area;
        *tag = (struct place){(x + across(v, c->high[0])) / 2, (y + up(v, c->low[1])) / 2};
    }
    return most > 4.0 * TAG * TAG;
}

static void draw_lines(struct view *v)
{
    struct place at[26] = {{0, 0}};
    bool tagged[26] = {false};
    for (uint32_t i = 0; i < v->map->lines.count; i++) {
        const struct window_line *line = &v->map->lines.at[i];
        int letter = line->letter - 'A';
        if (!line->letter)
            continue;
        double room = -INFINITY;
        bool drawn = draw_boundary(v, line->worst, &at[letter], &room);
        drawn = (line->above && draw_boundary(v, line->above, &at[letter], &room)) || drawn;
        tagged[letter] = drawn || middle_of_closed(v, i, &at[letter]);
        if (tagged[letter]) /* its place is taken for the next, and drawn over all lines at last */
            *ARRAY_PUSH(v->typesetter->arena, &v->tags) = at[letter];
    }
    for (int i = 0; i < 26; i++)
        if (tagged[i])
            draw_tag(v, (char)('A' + i), at[i].x, at[i].y);
}

static void draw_dot(struct view *v, double x, double y)
{
    struct outline ring = outline_new(v->picture), dot = outline_new(v->picture);
    outline_circle(&ring, x, y, 5.2);
    picture_shape(v->picture, ring, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 1});
    outline_circle(&dot, x, y, 2.6);
    picture_shape(v->picture, dot, (struct paint){.fill = INK_BLACK});
}

static void draw_region(struct view *v)
{
    const struct window_axis *x = &v->map->axis[0], *y = &v->map->axis[1];
    v->height = 0.72 * v->width;
    for (int k = 0; k < 2; k++) {
        v->low[k] = v->map->axis[k].low;
        v->high[k] = v->map->axis[k].high;
    }
    picture_box(v->picture, LEFT, v->top, v->width, v->height, (struct paint){.fill = INK_WHITE});
    draw_cells(v, WINDOW_PROVED, INK_BAND);
    draw_cells(v, WINDOW_OPEN, INK_TINT);
    draw_frame(v);
    picture_rule(v->picture, LEFT, v->top, LEFT + v->width, v->top, 0.35, INK_RULE);
    picture_rule(v->picture, LEFT + v->width, v->top, LEFT + v->width, v->top + v->height, 0.35, INK_RULE);
    draw_axis(v, 0, false);
    draw_axis(v, 1, false);
    draw_lines(v);
    if (!isnan(x->chosen))
        draw_dot(v, across(v, x->chosen), up(v, y->chosen));
    name_axes(v, axis_name(v, y));
}

/* ---- one unknown ------------------------------------------------------------------------------------------------- */

static void draw_stretches(struct view *v)
{
    for (uint32_t i = 0; i < v->map->cells.count; i++) {
        const struct window_cell *c = &v->map->cells.at[i];
        if (c->state == WINDOW_PROVED)
            picture_box(v->picture, across(v, c->low[0]), v->top, across(v, c->high[0]) - across(v, c->low[0]),
                        v->height, (struct paint){.fill = INK_BAND, .line = INK_BAND, .width = 0.3});
    }
}

/* A margin beyond the plane leaves it at its edge. */
static void draw_margin_line(struct view *v, const struct window_line *line, struct place *tag, double *room)
{
    const struct window_axis *axis = &v->map->axis[0];
    struct outline o = outline_new(v->picture);
    bool drawing = false;
    for (uint32_t i = 0; i < axis->count; i++) {
        double margin = line->worst[i], before = i ? line->worst[i - 1] : NAN;
        bool inside = !isnan(margin) && margin >= margin_low && margin <= margin_high;
        if (inside && !drawing && !isnan(before)) {
            double edge = before < margin_low ? margin_low : margin_high, share = (edge - before) / (margin - before);
            outline_move(&o, across(v, axis->at[i - 1] + share * (axis->at[i] - axis->at[i - 1])), up(v, edge));
            outline_line(&o, across(v, axis->at[i]), up(v, margin));
        } else if (inside && !drawing) {
            outline_move(&o, across(v, axis->at[i]), up(v, margin));
        } else if (inside) {
            outline_line(&o, across(v, axis->at[i]), up(v, margin));
        } else if (drawing && !isnan(margin)) {
            double edge = margin < margin_low ? margin_low : margin_high, share = (edge - before) / (margin - before);
            outline_line(&o, across(v, axis->at[i - 1] + share * (axis->at[i] - axis->at[i - 1])), up(v, edge));
        }
        drawing = inside;
        double here = inside ? room_at(v, across(v, axis->at[i]), up(v, margin)) : -INFINITY;
        if (here > *room) {
            *room = here;
            *tag = (struct place){across(v, axis->at[i]), up(v, margin)};
        }
    }
    if (o.segments.count)
        picture_shape(v->picture, o, (struct paint){.line = INK_BLACK, .width = 1.1, .round = true});
}

static void draw_margins(struct view *v, const char *letter)
{
    struct place at[LINES_DRAWN + 26] = {{0, 0}};
    double room[LINES_DRAWN + 26];
    char drawn[LINES_DRAWN + 26];
    uint32_t count = 0;
    for (uint32_t i = 0; i < v->map->lines.count; i++) {
        if (!letter[i])
            continue;
        room[count] = -INFINITY;
        drawn[count] = letter[i];
        draw_margin_line(v, &v->map->lines.at[i], &at[count], &room[count]);
        if (isfinite(room[count]))
            *ARRAY_PUSH(v->typesetter->arena, &v->tags) = at[count];
        count++;
    }
    for (uint32_t i = 0; i < count; i++)
        if (isfinite(room[i]))
            draw_tag(v, drawn[i], at[i].x, at[i].y);
}

static void draw_chosen(struct view *v)
{
    const struct window_axis *axis = &v->map->axis[0];
    if (isnan(axis->chosen))
        return;
    double x = across(v, axis->chosen);
    struct outline o = outline_new(v->picture);
    outline_move(&o, x, v->top);
    outline_line(&o, x, v->top + v->height);
    picture_shape(v->picture, o, (struct paint){.line = INK_BLACK, .width = 1, .dash = 4});
    const struct typeset *w = typesetter_set(v->typesetter, said(v->language, "chosen"), name_type, 0);
    picture_text(v->picture, w, fmin(x - w->width / 2, LEFT + v->width + RIGHT - w->width), v->top - 12, INK_BLACK);
}

static void draw_curves(struct view *v, const char *letter)
{
    v->height = 0.55 * v->width;
    v->low[0] = v->map->axis[0].low;
    v->high[0] = v->map->axis[0].high;
    v->low[1] = margin_low;
    v->high[1] = margin_high;
    picture_box(v->picture, LEFT, v->top, v->width, v->height, (struct paint){.fill = INK_WHITE});
    draw_stretches(v);
    draw_axis(v, 0, false);
    draw_axis(v, 1, true);
    draw_frame(v);
    picture_rule(v->picture, LEFT, up(v, 0), LEFT + v->width, up(v, 0), 1.6, INK_BLACK);
    draw_chosen(v);
    draw_margins(v, letter);
    name_axes(v, said(v->language, "margin left, percent of the bound"));
}

/* ---- the key ----------------------------------------------------------------------------------------------------- */

/* Over one unknown also those that come closest somewhere, behind those that close something. */
static const char *letters_of(struct arena *a, const struct window_map *m)
{
    char *letter = ARENA_ARRAY(a, m->lines.count + 1, char), next = 'A';
    for (uint32_t i = 0; i < m->lines.count; i++) {
        letter[i] = m->lines.at[i].letter;
        next = letter[i] >= next ? (char)(letter[i] + 1) : next;
    }
    for (uint32_t point = 0; m->axes == 1 && point < m->axis[0].count; point += 4) {
        uint32_t best = UINT32_MAX;
        for (uint32_t i = 0; i < m->lines.count; i++)
            if (!letter[i] && m->lines.at[i].worst[point] <= margin_high &&
                (best == UINT32_MAX || m->lines.at[i].worst[point] < m->lines.at[best].worst[point]))
                best = i;
        if (best != UINT32_MAX && next < 'A' + LINES_DRAWN)
            letter[best] = next++;
    }
    return letter;
}

static double draw_key(struct view *v, const char *letter, double y)
{
    double column = (LEFT + v->width + RIGHT) / 2, x = 0, tallest = 0;
    for (int c = 'A'; c <= 'Z'; c++)
        for (uint32_t i = 0; i < v->map->lines.count; i++) {
            if (letter[i] != c)
                continue;
            const struct typeset *w = typesetter_set(v->typesetter, v->map->lines.at[i].name, number_type, column - 26);
            draw_tag(v, (char)c, x + TAG, y + TAG);
            picture_text(v->picture, w, x + 2 * TAG + 5, y + TAG - 4.6, INK_BLACK);
            tallest = fmax(tallest, fmax(w->height, 2 * TAG));
            x = x > 0 ? 0 : column;
            if (x == 0) {
                y += tallest + 2;
                tallest = 0;
            }
        }
    return y + tallest + (tallest > 0 ? 2 : 0);
}

static struct text told(struct view *v)
{
    return v->map->axes == 1
               ? said(v->language,
                      "Grey: every limit is proved over the tolerances. Lines: the margin each limit keeps "
                      "in the worst case of the tolerances; below zero it is broken. Limits that are never "
                      "close are left out.")
               : said(v->language, "Dark: every limit is proved over the tolerances; pale: not decided; white: a limit "
                                   "is broken. Each line is where the limit of its letter has no margin left over the "
                                   "tolerances, told to first order. The dot is what was chosen.");
}

const struct picture *window_picture(struct typesetter *t, enum language language, const struct window_map *m,
                                     double width)
{
    struct view v = {.typesetter = t,
                     .language = language,
                     .picture = picture_new(t->arena),
                     .map = m,
                     .top = TOP,
                     .width = width - LEFT - RIGHT};
    const char *letter = letters_of(t->arena, m);
    const struct typeset *title = typesetter_set(t, m->title, title_type, width);
    picture_text(v.picture, title, 0, 0, INK_BLACK);
    v.top += title->height + 6;
    if (m->axes == 1)
        draw_curves(&v, letter);
    else
        draw_region(&v);
    double y = draw_key(&v, letter, v.top + v.height + 32);
    struct text words = told(&v);
    if (m->others.len)
        words = arena_format(t->arena, "%.*s %.*s.", TEXT_ARGS(words), TEXT_ARGS(m->others));
    const struct typeset *w = typesetter_set(t, words, number_type, width);
    picture_text(v.picture, w, 0, y + 4, INK_BLACK);
    v.picture->width = width;
    v.picture->height = y + 4 + w->height + 2;
    return v.picture;
}

struct text window_text(struct arena *a, enum language language, const struct window_map *m)
{
    struct buffer b;
    buffer_init(&b, a);
    for (uint32_t i = 0; i < m->lines.count; i++)
        if (m->lines.at[i].letter)
            buffer_printf(&b, "%s%.*s", b.count ? ", " : "", TEXT_ARGS(m->lines.at[i].name));
    return SAID(a, language, "Map of what {axes} may be; what closes it: {list}.",
                {"axes", m->axes == 1
                             ? m->axis[0].name
                             : arena_format(a, "%.*s, %.*s", TEXT_ARGS(m->axis[0].name), TEXT_ARGS(m->axis[1].name))},
                {"list", b.count ? buffer_text(&b) : TEXT("\xE2\x80\x93")});
}
