/* Charts with a row for each thing: tool sizes, margins. */
#include "compiler/emit/pages/charts/chart.h"

#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"
#include "compiler/text/unit.h"

#include <math.h>

static const struct type small_type = {.size = 7.2}, strong_type = {.size = 8.3, .bold = true};

/* ---- sizes: who grows and who shrinks ----------------------------------------------------------------------------- */

enum { NAME_WIDTH = 112, SIZES_WIDTH = 142, AXIS_PAD = 8, SIZE_ROW = 46, LANE = 13 };

static double in_millimetres(const struct shown *s)
{
    struct unit unit;
    struct unit_error error;
    if (text_is(s->unit, "mm")) /* nearly always, and reading a unit is dear */
        return 1;
    return s->unit.len && unit_read(s->unit, &unit, &error) == UNIT_OK ? unit.factor * 1000 : 1;
}

struct lane { /* one of a size's two moves */
    struct text amount, sizes;
    double from, to; /* mm from the drawing's size */
    bool tool;
};

struct size_move { /* mm from the drawing's size */
    double cold, hot, released, finished, low, high;
};

static struct size_move move_of(const struct tool_size *s)
{
    double mm = in_millimetres(&s->part), zero = s->part.value * mm;
    struct size_move m = {.cold = s->cold.value * in_millimetres(&s->cold) - zero,
                          .hot = s->hot.value * in_millimetres(&s->hot) - zero,
                          .released = s->released.value * in_millimetres(&s->released) - zero,
                          .finished = s->finished.value * in_millimetres(&s->finished) - zero,
                          .low = s->part.low * mm - zero,
                          .high = s->part.high * mm - zero};
    return m;
}

static void include(struct size_scale *s, double value)
{
    if (isfinite(value)) {
        s->low = fmin(s->low, value);
        s->high = fmax(s->high, value);
    }
}

/* The largest whole factor of the 1-2-5 row at which all differences fit. */
struct size_scale chart_size_scale(const struct step_table *t, double width)
{
    struct size_scale s = {0};
    const double room = width - NAME_WIDTH - SIZES_WIDTH - 3 * AXIS_PAD, millimetre = 72 / 25.4;
    for (uint32_t i = 0; i < t->sizes.count; i++) {
        struct size_move m = move_of(&t->sizes.at[i]);
        const double all[] = {m.cold, m.hot, m.released, m.finished, m.low, m.high};
        for (size_t k = 0; k < sizeof all / sizeof all[0]; k++)
            include(&s, all[k]);
    }
    double range = s.high - s.low > 1e-6 ? s.high - s.low : 1, most = room / range / millimetre;
    double power = pow(10, floor(log10(most))), share = most / power;
    s.factor = power * (share >= 5 ? 5 : share >= 2 ? 2 : 1);
    s.points = s.factor * millimetre;
    return s;
}

static double place(const struct size_scale *s, double mm)
{
    return NAME_WIDTH + AXIS_PAD + (mm - s->low) * s->points;
}

static void put_words(struct typesetter *t, struct picture *p, struct text text, double x, double y)
{
    picture_text(p, typesetter_set(t, text, small_type, 0), x, y, INK_BLACK);
}

const struct picture *chart_size_heading(struct typesetter *t, const struct step_table *table,
                                         const struct size_scale *s, double width)
{
    struct picture *p = picture_new(t->arena);
    struct text factor = chart_number(t->arena, table->language, s->factor, 1);
    struct text told =
        SAID(t->arena, table->language,
             "Differences from the drawing's size, {factor} times as large as they are. The tool grows from "
             "cold to hot, the part shrinks from hot to cold; grey is the band of the drawing.",
             {"factor", factor});
    const struct typeset *w = typesetter_set(t, told, small_type, width);
    double step = chart_step(s->high - s->low, 5), base = w->height + 14;
    picture_text(p, w, 0, 0, INK_BLACK);
    double first = chart_first_tick(s->low, step);
    for (int k = 0; k < TICKS_MOST && chart_is_tick(first + k * step, s->high, step); k++) {
        double mm = first + k * step;
        const struct typeset *n = typesetter_set(t, chart_number(t->arena, table->language, mm, step), small_type, 0);
        picture_text(p, n, place(s, mm) - n->width / 2, base - n->height - 3, INK_BLACK);
        picture_rule(p, place(s, mm), base - 3, place(s, mm), base, 0.6, INK_BLACK);
    }
    put_words(t, p, TEXT("mm"), place(s, s->high) + 8, base - 10);
    picture_rule(p, place(s, s->low), base, place(s, s->high), base, 0.9, INK_BLACK);
    p->height = base + 2;
    p->width = width;
    return p;
}

static void draw_arrow(struct picture *p, double from, double to, double y, double line, double dash)
{
    struct outline head = outline_new(p), shaft = outline_new(p);
    double way = to < from ? -1 : 1, length = fmin(6, fabs(to - from));
    outline_move(&shaft, from, y);
    outline_line(&shaft, to - way * length * 0.8, y);
    picture_shape(p, shaft, (struct paint){.line = INK_BLACK, .width = line, .dash = dash});
    outline_move(&head, to, y);
    outline_line(&head, to - way * length, y - 3.2);
    outline_line(&head, to - way * length, y + 3.2);
    outline_close(&head);
    picture_shape(p, head, (struct paint){.fill = INK_BLACK});
    struct outline dot = outline_new(p);
    outline_circle(&dot, from, y, 2);
    picture_shape(p, dot, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 0.9});
}

/* One move: its amount at the left, the arrow to scale, both sizes at the right. */
static void draw_move(struct typesetter *t, struct picture *p, const struct size_scale *s, const struct lane *lane,
                      double y)
{
    const struct typeset *amount = typesetter_set_fitting(t, lane->amount, small_type, NAME_WIDTH - 4);
    const struct typeset *sizes = typesetter_set_fitting(t, lane->sizes, small_type, SIZES_WIDTH);
    picture_text(p, amount, 0, y - amount->height / 2, INK_BLACK);
    picture_text(p, sizes, p->width - SIZES_WIDTH, y - sizes->height / 2, INK_BLACK);
    if (isfinite(lane->from) && isfinite(lane->to))
        draw_arrow(p, place(s, lane->from), place(s, lane->to), y, lane->tool ? 1.1 : 1.8, lane->tool ? 4 : 0);
}

const struct picture *chart_size_row(struct typesetter *t, const struct step_table *table, uint32_t size,
                                     const struct size_scale *s, double width)
{
    struct picture *p = picture_new(t->arena);
    enum language l = table->language;
    const struct tool_size *row = &table->sizes.at[size];
    struct size_move m = move_of(row);
    const struct typeset *name =
        typesetter_set(t, print_text_capital(t->arena, row->title), strong_type, NAME_WIDTH - 8);
    double y = 5 + name->height + 8;
    const struct lane tool = {
        SAID(t->arena, l, "tool grows {size}", {"size", row->grows.print}),
        SAID(t->arena, l, "cold {cold}, hot {hot}", {"cold", row->cold.print}, {"hot", row->hot.print}), m.cold, m.hot,
        true};
    const struct lane part = {
        SAID(t->arena, l, "part shrinks {size}", {"size", row->shrinks.print}),
        SAID(t->arena, l, "released {hot}, cold {cold}", {"hot", row->released.print}, {"cold", row->finished.print}),
        m.released, m.finished, false};
    p->height = fmax(SIZE_ROW, y + LANE + 10);
    p->width = width;
    picture_text(p, name, 0, 5, INK_BLACK);
    if (isfinite(m.low) && isfinite(m.high))
        picture_box(p, place(s, m.low), 2, (m.high - m.low) * s->points, p->height - 4,
                    (struct paint){.fill = INK_BAND});
    picture_rule(p, place(s, 0), 0, place(s, 0), p->height, 0.5, INK_BLACK);
    draw_move(t, p, s, &tool, y);
    draw_move(t, p, s, &part, y + LANE);
    picture_rule(p, 0, p->height, width, p->height, 0.4, INK_RULE);
    return p;
}

const struct picture *chart_of_sizes(struct typesetter *t, const struct step_table *table, double width)
{
    struct picture *p = picture_new(t->arena);
    struct size_scale s = chart_size_scale(table, width);
    const struct picture *heading = chart_size_heading(t, table, &s, width);
    picture_place(p, heading, 0, 0, 1);
    double y = heading->height;
    for (uint32_t i = 0; i < table->sizes.count; i++) {
        const struct picture *row = chart_size_row(t, table, i, &s, width);
        picture_place(p, row, 0, y, 1);
        y += row->height;
    }
    p->width = width;
    p->height = y;
    return p;
}

/* ---- margins ------------------------------------------------------------------------------------------------------ */

void chart_draw_margin(struct picture *p, const struct limit_row *l, double x, double y, double width, double height)
{
    const double edge = 0.25; /* half the line of the frame */
    bool worst_known = l->worst_margin_text.len;
    double stated = fmin(fmax(l->margin, 0), 1);
    double black = worst_known ? fmin(fmax(l->worst_margin, 0), 1) : stated;
    if (isnan(l->margin))
        return;
    picture_box(p, x, y, width, height, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 2 * edge});
    if (stated > black)
        picture_box(p, x + width * black, y + edge, fmin(width * stated, width - edge) - width * black,
                    height - 2 * edge, (struct paint){.fill = INK_RULE});
    if (black > 0)
        picture_box(p, x, y, width * black, height, (struct paint){.fill = INK_BLACK});
    if (worst_known)
        picture_rule(p, x + width * stated, y - 1.5, x + width * stated, y + height + 1.5, 1, INK_BLACK);
    if (l->margin < 0 ||
        (worst_known && l->worst_margin < 0)) { /* what is beyond the bound is told by an arrow out of the box */
        struct outline o = outline_new(p);
        outline_move(&o, x - 6, y + height / 2);
        outline_line(&o, x - 1, y - 1);
        outline_line(&o, x - 1, y + height + 1);
        outline_close(&o);
        picture_shape(p, o, (struct paint){.fill = INK_BLACK});
    }
}

static struct text limit_words(struct arena *a, const struct limit_row *l)
{
    return arena_format(a, "%.*s%s%.*s", TEXT_ARGS(l->title), l->of.len ? ": " : "", TEXT_ARGS(l->of));
}

enum { LIMIT_ROW = 15, LIMIT_NAME = 162, LIMIT_VERDICT = 58, LIMIT_BAR = 70 };

static double draw_margin_row(struct typesetter *t, struct picture *p, const struct step_table *table,
                              const struct limit_row *l, double y)
{
    struct text verdict = said_in(table->language, "verdict", verdict_table[l->verdict].word);
    struct text worst = l->worst_margin_text.len
                            ? SAID(t->arena, table->language, "worst {margin}", {"margin", l->worst_margin_text})
                            : TEXT("");
    double x = LIMIT_NAME + LIMIT_VERDICT + 4;
    picture_text(p,
                 typesetter_set_short(t, print_text_capital(t->arena, limit_words(t->arena, l)),
                                      (struct type){.size = 7.6}, LIMIT_NAME - 6),
                 0, y + 2, INK_BLACK);
    picture_text(p,
                 typesetter_set_short(t, verdict, (struct type){.size = 7.2, .bold = l->verdict == VERDICT_FAILS},
                                      LIMIT_VERDICT),
                 LIMIT_NAME, y + 3, INK_BLACK);
    chart_draw_margin(p, l, x, y + 4, LIMIT_BAR, 6);
    picture_text(p, typesetter_set(t, l->margin_text, small_type, 0), isnan(l->margin) ? x : x + LIMIT_BAR + 6, y + 3,
                 INK_BLACK);
    picture_text(p, typesetter_set(t, worst, small_type, 0), x + LIMIT_BAR + 88, y + 3, INK_BLACK);
    return y + LIMIT_ROW;
}

struct text chart_margin_key(enum language language)
{
    return said(language, "Margin: the share of the bound that is left, none at the left end. Black: the "
                          "worst case inside the tolerances, or the stated values where that is not "
                          "worked out; grey up to the mark: the stated values.");
}

const struct picture *chart_of_margins(struct typesetter *t, const struct step_table *table, double width)
{
    struct picture *p = picture_new(t->arena);
    const struct typeset *w = typesetter_set(t, chart_margin_key(table->language), small_type, width);
    double y = w->height + 8;
    picture_text(p, w, 0, 0, INK_BLACK);
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_NOT_APPLICABLE; v++)
        for (uint32_t i = 0; i < table->limits.count; i++)
            if (table->limits.at[i].verdict == v)
                y = draw_margin_row(t, p, table, &table->limits.at[i], y);
    p->width = width;
    p->height = y + 4;
    return p;
}
