/* Tracks over an axis: temperatures, forces. */
#include "compiler/emit/pages/charts/chart.h"

#include "compiler/text/said.h"
#include "runtime/base/number.h"

#include <math.h>

double chart_step(double range, int count)
{
    double rough = range / count, power = pow(10, floor(log10(rough))), share = rough / power;
    if (!(range > 0) || !isfinite(range))
        return 1;
    return power * (share <= 1 ? 1 : share <= 2 ? 2 : share <= 5 ? 5 : 10);
}

double chart_first_tick(double from, double step)
{
    return ceil(from / step - 1e-9) * step;
}

bool chart_is_tick(double at, double to, double step)
{
    return at <= to + step * 1e-6;
}

struct text chart_number(struct arena *a, enum language language, double value, double step)
{
    int decimals = step >= 1 ? 0 : (int)ceil(-log10(step) - 1e-9);
    struct text t = number_fixed(a, fabs(value) < step * 1e-6 ? 0 : value, decimals);
    char *out = arena_copy(a, t), *point = memchr(out, '.', t.len);
    if (point && language_table[language].comma)
        *point = ',';
    return *out == '-' ? arena_format(a, "\xE2\x88\x92%s", out + 1) : (struct text){out, t.len};
}

/* ---- the plane ---------------------------------------------------------------------------------------------------- */

enum { LEFT = 46, TOP = 30, HEIGHT = 176, GAP = 20, PANELS_MOST = 4, UNDER = 30 };

struct panel { /* a stretch across with a scale of its own */
    double from, to, left, width;
    double weight; /* of its width among all */
    bool at_press; /* some of it happens in the tools */
};

struct plane {
    struct typesetter *typesetter;
    struct picture *picture;
    const struct chart *chart;
    enum language language;
    struct panel panel[PANELS_MOST];
    int panels;
    double low, high, step; /* up */
};

static double across(const struct panel *p, double at)
{
    return p->left + (at - p->from) / (p->to - p->from) * p->width;
}

static double up(const struct plane *p, double value)
{
    return TOP + HEIGHT * (1 - (value - p->low) / (p->high - p->low));
}

static const struct panel *panel_at(const struct plane *p, double at)
{
    int i = p->panels - 1;
    while (i > 0 && at < p->panel[i].from)
        i--;
    return &p->panel[i];
}

/* ---- scales ------------------------------------------------------------------------------------------------------- */

static void widen(double *low, double *high, double value)
{
    *low = fmin(*low, value);
    *high = fmax(*high, value);
}

/* What the press gives is often twenty times what the stroke needs: it would press the need flat on the axis. */
static bool far_above(const struct chart *c, const struct track *t)
{
    const double far = 4;
    double most = 0, least = INFINITY;
    for (uint32_t i = 0; i < c->tracks.count; i++)
        for (uint32_t k = 0; k < c->tracks.at[i].points.count && c->tracks.at[i].sort == TRACK_FORCE; k++)
            most = fmax(most, c->tracks.at[i].points.at[k].value);
    for (uint32_t k = 0; k < t->points.count; k++)
        least = fmin(least, t->points.at[k].value);
    return t->sort == TRACK_CAPACITY && most > 0 && least > far * most;
}

static void scale_up(struct plane *p)
{
    double low = INFINITY, high = -INFINITY;
    for (uint32_t i = 0; i < p->chart->tracks.count; i++) {
        const struct track *t = &p->chart->tracks.at[i];
        if (far_above(p->chart, t))
            continue;
        for (uint32_t k = 0; k < t->points.count; k++)
            widen(&low, &high, t->points.at[k].value);
        for (uint32_t k = 0; k < t->low.count; k++) {
            widen(&low, &high, t->low.at[k].value);
            widen(&low, &high, t->high.at[k].value);
        }
    }
    for (uint32_t i = 0; i < p->chart->goals.count; i++) {
        widen(&low, &high, p->chart->goals.at[i].low);
        widen(&low, &high, p->chart->goals.at[i].high);
    }
    if (!(low <= high))
        low = 0, high = 1;
    widen(&low, &high, p->chart->kind == CHART_FORCE ? 0 : low);
    p->step = chart_step(high - low > 0 ? high - low : 1, 6);
    p->low = floor(low / p->step) * p->step;
    p->high = ceil(high / p->step + 0.05) * p->step;
}

static double last_of_tracks(const struct chart *c, double from)
{
    double last = from;
    for (uint32_t i = 0; i < c->tracks.count; i++) {
        const struct track *t = &c->tracks.at[i];
        for (uint32_t k = 0; k < t->points.count && t->sort != TRACK_TOOL; k++)
            last = fmax(last, t->points.at[k].at);
        for (uint32_t k = 0; k < t->high.count && t->sort != TRACK_TOOL; k++)
            last = fmax(last, t->high.at[k].at);
    }
    return last;
}

/* Stretches far longer or shorter than those before get a scale of their own: one for an oven's minutes and a stroke's
 * tenths of a second would leave nothing to see of the stroke. */
static void part_spans(struct plane *p)
{
    const double far = 15;
    double longest = 0;
    for (uint32_t i = 0; i < p->chart->spans.count; i++) {
        const struct chart_span *s = &p->chart->spans.at[i];
        double length = s->to - s->from;
        struct panel *last = p->panels ? &p->panel[p->panels - 1] : NULL;
        bool apart = last && (length > far * (last->to - last->from) || length * far < longest ||
                              s->beside_press == last->at_press);
        if (!last || (apart && p->panels < PANELS_MOST)) {
            last = &p->panel[p->panels++];
            *last = (struct panel){.from = s->from};
            longest = 0;
        }
        last->to = s->to;
        last->weight += 1;
        last->at_press = last->at_press || !s->beside_press;
        longest = fmax(longest, length);
    }
}

static void scale_across(struct plane *p, double width)
{
    double room = width - LEFT - 12, left = LEFT, weights = 0, whole = last_of_tracks(p->chart, 0);
    part_spans(p);
    if (!p->panels)
        p->panel[p->panels++] = (struct panel){.to = whole > 0 ? whole : 1, .weight = 1, .at_press = true};
    p->panel[p->panels - 1].to = fmax(p->panel[p->panels - 1].to, whole);
    for (int i = 0; i < p->panels; i++)
        weights += sqrt(p->panel[i].weight);
    for (int i = 0; i < p->panels; i++) {
        struct panel *panel = &p->panel[i];
        panel->left = left;
        panel->width = (room - GAP * (p->panels - 1)) * sqrt(panel->weight) / weights;
        left += panel->width + GAP;
    }
}

/* ---- axes --------------------------------------------------------------------------------------------------------- */

static const struct type number_type = {.size = 7.2}, name_type = {.size = 7.2, .bold = true};

static void draw_levels(struct plane *p)
{
    for (int k = 0; k < TICKS_MOST && chart_is_tick(p->low + k * p->step, p->high, p->step); k++) {
        double value = p->low + k * p->step;
        const struct typeset *w = typesetter_set(
            p->typesetter, chart_number(p->typesetter->arena, p->language, value, p->step), number_type, 0);
        picture_text(p->picture, w, LEFT - 5 - w->width, up(p, value) - w->height / 2, INK_BLACK);
        for (int i = 0; i < p->panels; i++)
            picture_rule(p->picture, p->panel[i].left, up(p, value), p->panel[i].left + p->panel[i].width, up(p, value),
                         0.35, INK_RULE);
    }
}

static void draw_places(struct plane *p, const struct panel *panel)
{
    double step = chart_step(panel->to - panel->from, panel->width > 220   ? 6
                                                      : panel->width > 130 ? 4
                                                                           : 2),
           bottom = TOP + HEIGHT;
    double first = chart_first_tick(panel->from, step);
    for (int k = 0; k < TICKS_MOST && chart_is_tick(first + k * step, panel->to, step); k++) {
        double at = first + k * step;
        const struct typeset *w =
            typesetter_set(p->typesetter, chart_number(p->typesetter->arena, p->language, at, step), number_type, 0);
        picture_rule(p->picture, across(panel, at), bottom, across(panel, at), bottom + 3, 0.6, INK_BLACK);
        picture_text(p->picture, w, across(panel, at) - w->width / 2, bottom + 4, INK_BLACK);
    }
    picture_rule(p->picture, panel->left, bottom, panel->left + panel->width, bottom, 0.9, INK_BLACK);
    picture_rule(p->picture, panel->left, TOP, panel->left, bottom, 0.9, INK_BLACK);
}

static struct text axis_name(struct plane *p, struct text name, struct text unit)
{
    return SAID(p->typesetter->arena, p->language, "{quantity} in {unit}", {"quantity", name}, {"unit", unit});
}

static void draw_axes(struct plane *p)
{
    const struct chart *c = p->chart;
    draw_levels(p);
    for (int i = 0; i < p->panels; i++)
        draw_places(p, &p->panel[i]);
    const struct typeset *w = typesetter_set(p->typesetter, axis_name(p, c->across, c->across_unit), name_type, 0);
    const struct typeset *v = typesetter_set(p->typesetter, axis_name(p, c->up, c->up_unit), name_type, 0);
    picture_text(p->picture, w, LEFT, TOP + HEIGHT + 15, INK_BLACK);
    picture_text(p->picture, v, 0, 0, INK_BLACK);
    if (p->panels < 2)
        return;
    w = typesetter_set(p->typesetter, said(p->language, "each stretch has a scale of its own"), number_type, 0);
    picture_text(p->picture, w, p->picture->width - 12 - w->width, TOP + HEIGHT + 15, INK_BLACK);
}

/* ---- tracks ------------------------------------------------------------------------------------------------------- */

static void trace_points(struct plane *p, struct outline *o, const struct chart_point *at, uint32_t count, bool move)
{
    const struct panel *panel = panel_at(p, at[0].at / 2 + at[count - 1].at / 2);
    for (uint32_t i = 0; i < count; i++) {
        double x = across(panel, fmin(at[i].at, panel->to)), y = up(p, at[i].value);
        if (move && i == 0)
            outline_move(o, x, y);
        else
            outline_line(o, x, y);
    }
}

static void draw_band(struct plane *p, const struct track *t)
{
    if (t->low.count < 2)
        return;
    struct outline o = outline_new(p->picture);
    struct chart_point *back = ARENA_ARRAY(p->typesetter->arena, t->high.count, struct chart_point);
    for (uint32_t i = 0; i < t->high.count; i++)
        back[i] = t->high.at[t->high.count - 1 - i];
    trace_points(p, &o, t->low.at, t->low.count, true);
    trace_points(p, &o, back, t->high.count, false);
    outline_close(&o);
    picture_shape(p->picture, o, (struct paint){.fill = INK_BAND, .line = INK_RULE, .width = 0.35, .round = true});
}

static void draw_line(struct plane *p, const struct track *t)
{
    if (t->points.count < 2)
        return;
    struct outline o = outline_new(p->picture);
    bool heavy = t->sort == TRACK_BLANK || t->sort == TRACK_FORCE;
    trace_points(p, &o, t->points.at, t->points.count, true);
    picture_shape(p->picture, o,
                  (struct paint){.line = INK_BLACK,
                                 .width = heavy ? 1.8 : 0.9,
                                 .dash = !heavy         ? 5
                                         : t->ends_only ? 2.6
                                                        : 0,
                                 .round = heavy && !t->ends_only});
    for (uint32_t i = 0; i < t->points.count && t->ends_only; i++) {
        const struct panel *panel = panel_at(p, t->points.at[i].at);
        struct outline dot = outline_new(p->picture);
        outline_circle(&dot, across(panel, t->points.at[i].at), up(p, t->points.at[i].value), heavy ? 2 : 1.5);
        picture_shape(p->picture, dot, (struct paint){.fill = INK_BLACK});
    }
}

/* While the piece cools beside the press the tools do not touch it. */
static bool shows_tools(const struct plane *p, int panel)
{
    return panel == 0 || panel + 1 < p->panels || p->panel[panel].at_press;
}

/* A tool's temperature does not change over a piece's way. */
static void draw_tool(struct plane *p, const struct track *t, bool band)
{
    for (int i = 0; i < p->panels && t->points.count; i++) {
        const struct panel *panel = &p->panel[i];
        double y = up(p, t->points.at[0].value), right = panel->left + panel->width;
        struct outline o = outline_new(p->picture);
        if (!shows_tools(p, i))
            continue;
        if (band && t->low.count)
            picture_box(p->picture, panel->left, up(p, t->high.at[0].value), panel->width,
                        up(p, t->low.at[0].value) - up(p, t->high.at[0].value), (struct paint){.fill = INK_TINT});
        outline_move(&o, panel->left, y);
        outline_line(&o, right, y);
        if (!band)
            picture_shape(p->picture, o, (struct paint){.line = INK_BLACK, .width = 0.8, .dash = 5});
    }
}

/* ---- names -------------------------------------------------------------------------------------------------------- */

static void draw_name(struct plane *p, struct text name, double x, double y, double right)
{
    const struct typeset *w = typesetter_set_short(p->typesetter, name, number_type, fmax(right - x, 30));
    picture_box(p->picture, x - 1, y, w->width + 2, w->height, (struct paint){.fill = INK_WHITE});
    picture_text(p->picture, w, x, y, INK_BLACK);
}

/* Tools of one temperature have one line and one letter: at its end, and in the key. */
static struct text names_of_tools(struct plane *p, uint32_t first)
{
    const struct chart *c = p->chart;
    const struct track *t = &c->tracks.at[first];
    struct text names = t->label;
    for (uint32_t k = 0; k < c->tracks.count; k++) {
        const struct track *u = &c->tracks.at[k];
        bool same =
            k != first && u->sort == TRACK_TOOL && u->points.count && u->points.at[0].value == t->points.at[0].value;
        if (same && k < first)
            return TEXT("");
        if (same)
            names = arena_format(p->typesetter->arena, "%.*s, %.*s", TEXT_ARGS(names), TEXT_ARGS(u->label));
    }
    return names;
}

static void letter_tools(struct plane *p, struct buffer *key)
{
    char letter = 'A';
    for (uint32_t i = 0; i < p->chart->tracks.count && letter <= 'Z'; i++) {
        const struct track *t = &p->chart->tracks.at[i];
        struct text names = t->sort == TRACK_TOOL && t->points.count ? names_of_tools(p, i) : TEXT("");
        if (!names.len)
            continue;
        const struct typeset *w = typesetter_set(p->typesetter, (struct text){&letter, 1}, name_type, 0);
        for (int k = 0; k < p->panels; k++)
            if (shows_tools(p, k))
                picture_text(p->picture, w, p->panel[k].left + p->panel[k].width + 3,
                             up(p, t->points.at[0].value) - w->height / 2, INK_BLACK);
        buffer_printf(key, "%s%c %.*s", key->count ? "; " : "", letter++, TEXT_ARGS(names));
    }
}

/* A line that lies beyond the scale: an arrow to where it would be, and the least it comes to. */
static void name_far(struct plane *p, const struct track *t, const struct panel *panel)
{
    double least = INFINITY, x = panel->left + 10, top = TOP + 4;
    for (uint32_t k = 0; k < t->points.count; k++)
        least = fmin(least, t->points.at[k].value);
    struct text words =
        SAID(p->typesetter->arena, p->language, "{what} {value} {unit} or more, beyond this scale", {"what", t->label},
             {"value", chart_number(p->typesetter->arena, p->language, least, 1)}, {"unit", p->chart->up_unit});
    struct outline o = outline_new(p->picture);
    outline_read(&o, "M 0 6 L 3 0 L 6 6 Z", x - 3, top, 1);
    picture_shape(p->picture, o, (struct paint){.fill = INK_BLACK});
    picture_rule(p->picture, x, top + 5, x, top + 12, 0.9, INK_BLACK);
    draw_name(p, words, x + 8, top + 2, panel->left + panel->width);
}

static void name_forces(struct plane *p)
{
    for (uint32_t i = 0; i < p->chart->tracks.count; i++) {
        const struct track *t = &p->chart->tracks.at[i];
        const struct panel *panel = &p->panel[0];
        if (!t->points.count || (t->sort != TRACK_FORCE && t->sort != TRACK_CAPACITY))
            continue;
        if (far_above(p->chart, t)) {
            name_far(p, t, panel);
            continue;
        }
        draw_name(p, t->label, panel->left + 5, up(p, t->points.at[0].value) - 13, panel->left + panel->width);
    }
}

/* Its number and what it is, or its number alone where that does not fit; of a further stretch of the same step what it
 * is. */
static const struct typeset *name_of_span(struct plane *p, const struct chart_span *s, bool further, double room)
{
    struct arena *a = p->typesetter->arena;
    struct text whole = further ? s->label : arena_format(a, "%u  %.*s", s->step, TEXT_ARGS(s->label));
    const struct typeset *w = typesetter_set(p->typesetter, whole, name_type, 0);
    if (w->width <= room || further)
        return w;
    return typesetter_set(p->typesetter, arena_format(a, "%u", s->step), name_type, 0);
}

enum {
    NAMES = 12,
    RAISED = 10
}; /* above the plane; one that does not fit its stretch stands higher, behind those before */

static void place_span_name(struct plane *p, const struct typeset *w, double x, double right, double *taken)
{
    if (w->width <= right - x - 4) {
        picture_text(p->picture, w, x + 3, TOP - NAMES, INK_BLACK);
        return;
    }
    double at = fmin(fmax(x + 3, *taken), p->picture->width - w->width);
    picture_rule(p->picture, x, TOP - NAMES - RAISED + 2, x, TOP - 8, 0.5, INK_GREY);
    picture_text(p->picture, w, at, TOP - NAMES - RAISED, INK_BLACK);
    *taken = at + w->width + 6;
}

/* Above the plane: which step is going on. */
static void name_spans(struct plane *p)
{
    double taken = 0;
    for (uint32_t i = 0; i < p->chart->spans.count; i++) {
        const struct chart_span *s = &p->chart->spans.at[i];
        const struct panel *panel = panel_at(p, s->from / 2 + s->to / 2);
        double x = across(panel, s->from), right = across(panel, s->to);
        const struct typeset *w = name_of_span(p, s, i > 0 && s->step == p->chart->spans.at[i - 1].step, right - x - 4);
        picture_rule(p->picture, x, TOP - 8, x, TOP + HEIGHT, 0.5, INK_GREY);
        picture_rule(p->picture, right, TOP - 8, right, TOP + HEIGHT, 0.5, INK_GREY);
        place_span_name(p, w, x, right, &taken);
    }
}

static void draw_goals(struct plane *p)
{
    for (uint32_t i = 0; i < p->chart->goals.count; i++) {
        const struct chart_goal *g = &p->chart->goals.at[i];
        const struct panel *panel = panel_at(p, g->at - 1e-6);
        double x = across(panel, g->at), low = up(p, g->low), high = up(p, g->high);
        picture_rule(p->picture, x, low, x, high, 2.4, INK_BLACK);
        picture_rule(p->picture, x - 4, low, x + 4, low, 1.2, INK_BLACK);
        picture_rule(p->picture, x - 4, high, x + 4, high, 1.2, INK_BLACK);
        const struct typeset *w = typesetter_set(p->typesetter, g->label, number_type, 0);
        double room = x - panel->left - 7, least = 40;
        if (w->width > room && room > least) /* in lines, rather than across the edge of its stretch */
            w = typesetter_set_balanced(p->typesetter, g->label, number_type, room);
        double foot = TOP + HEIGHT - 6 - w->height, left = fmax(x - w->width - 3, LEFT + 4);
        picture_rule(p->picture, x, low, x, foot + w->height, 0.6, INK_BLACK);
        picture_box(p->picture, left - 1, foot, w->width + 2, w->height, (struct paint){.fill = INK_WHITE});
        picture_text(p->picture, w, left, foot, INK_BLACK);
    }
}

/* Where the piece's way or the stroke ends, and at what. */
static void mark_end(struct plane *p)
{
    const struct chart_point *end = NULL;
    for (uint32_t i = 0; i < p->chart->tracks.count; i++) {
        const struct track *t = &p->chart->tracks.at[i];
        bool drawn = (t->sort == TRACK_BLANK || t->sort == TRACK_FORCE) && t->points.count > 1;
        if (drawn && (!end || t->points.at[t->points.count - 1].at >= end->at))
            end = &t->points.at[t->points.count - 1];
    }
    if (!end)
        return;
    const struct panel *panel = panel_at(p, end->at - 1e-6);
    double x = across(panel, fmin(end->at, panel->to)), y = up(p, end->value);
    struct outline dot = outline_new(p->picture);
    struct text value = chart_number(p->typesetter->arena, p->language, end->value, p->step / 10);
    const struct typeset *w = typesetter_set(
        p->typesetter, arena_format(p->typesetter->arena, "%.*s %.*s", TEXT_ARGS(value), TEXT_ARGS(p->chart->up_unit)),
        name_type, 0);
    bool beside = x + 5 + w->width < p->picture->width - 4;
    double left = beside ? x + 5 : x - w->width - 5, top = fmax(y - w->height - 4, TOP + 1);
    outline_circle(&dot, x, y, 2.4);
    picture_shape(p->picture, dot, (struct paint){.fill = INK_BLACK});
    picture_box(p->picture, left - 1, top, w->width + 2, w->height, (struct paint){.fill = INK_WHITE});
    picture_text(p->picture, w, left, top, INK_BLACK);
}

/* A curve to draw, that goes over some stretch. */
bool chart_has_curve(const struct chart *c)
{
    for (uint32_t i = 0; i < c->tracks.count; i++) {
        const struct track *t = &c->tracks.at[i];
        if ((t->sort == TRACK_BLANK || t->sort == TRACK_FORCE) && t->points.count > 1 &&
            t->points.at[t->points.count - 1].at > t->points.at[0].at)
            return true;
    }
    return false;
}

/* ---- the whole ---------------------------------------------------------------------------------------------------- */

static void draw_key(struct plane *p, struct text tools, double width)
{
    struct arena *a = p->typesetter->arena;
    struct text told =
        p->chart->kind == CHART_FORCE
            ? said(p->language,
                   "Points are computed, the dashed lines between them are not. Grey: what it can be inside "
                   "the tolerances.")
            : SAID(a, p->language,
                   "Heavy line: the piece at the stated values; grey: what it can be inside the tolerances; short "
                   "dashes: "
                   "only the ends are computed. Long dashes: {tools}. Loading, approach and return of the ram are left "
                   "out.",
                   {"tools", tools});
    const struct typeset *w = typesetter_set(p->typesetter, told, (struct type){.size = 7.2}, width);
    picture_text(p->picture, w, 0, TOP + HEIGHT + UNDER + 6, INK_BLACK);
    p->picture->height = TOP + HEIGHT + UNDER + 6 + w->height;
}

/* All bands first, then all lines: none is hidden. */
static void draw_tracks(struct plane *p, bool bands)
{
    for (int tools = 1; tools >= 0; tools--)
        for (uint32_t i = 0; i < p->chart->tracks.count; i++) {
            const struct track *t = &p->chart->tracks.at[i];
            if (tools != (t->sort == TRACK_TOOL) || far_above(p->chart, t))
                continue;
            if (tools)
                draw_tool(p, t, bands);
            else if (bands)
                draw_band(p, t);
            else
                draw_line(p, t);
        }
}

const struct picture *chart_of_tracks(struct typesetter *t, enum language language, const struct chart *c, double width)
{
    struct plane p = {.typesetter = t, .picture = picture_new(t->arena), .chart = c, .language = language};
    struct buffer tools;
    p.picture->width = width;
    buffer_init(&tools, t->arena);
    scale_up(&p);
    scale_across(&p, width);
    draw_tracks(&p, true);
    draw_axes(&p);
    name_spans(&p);
    letter_tools(&p, &tools);
    draw_tracks(&p, false);
    name_forces(&p);
    draw_goals(&p);
    mark_end(&p);
    draw_key(&p, buffer_text(&tools), width);
    return p.picture;
}
