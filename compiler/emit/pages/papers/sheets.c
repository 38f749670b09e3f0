/* Sheets of their own: what the toolroom makes, and what the inspector measures. */
#include "compiler/emit/pages/charts/chart.h"
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"

#include <math.h>

enum { BASE = 16, FIELD_HEIGHT = 17 };

static void add_told(struct paper *p, struct text told)
{
    paper_add(p, paper_small(p, told), 5)->with_next = true;
}

static double draw_below(struct paper *p, struct picture *picture, struct text words, double x, double y, double width)
{
    const struct typeset *w = typesetter_set(p->typesetter, words, (struct type){.size = 7.2}, width);
    picture_text(picture, w, x, y, INK_BLACK);
    return y + w->height;
}

static struct picture *new_row(struct paper *p)
{
    struct picture *picture = picture_new(p->arena);
    picture_open(picture, "TR");
    return picture;
}

/* A cell to be written on. */
static void draw_field_of(struct picture *picture, const struct column_head *h)
{
    picture_open(picture, "TD");
    picture_close(picture);
    paper_draw_field(picture, h->x, 5, h->width, FIELD_HEIGHT);
}

static void finish_row(struct picture *picture, double height)
{
    picture_close(picture);
    picture->height = height;
    picture_rule(picture, 0, height, TEXT_SPAN, height, 0.5, INK_RULE);
}

/* ---- tool sheet --------------------------------------------------------------------------------------------------- */

enum { TOOL_FEATURE, TOOL_MAKE, TOOL_BAND, TOOL_HOT, TOOL_MEASURED, TOOL_BY, TOOL_COLUMNS };

static const struct column_head tool_heads[TOOL_COLUMNS] = {
    [TOOL_FEATURE] = {SAY_IN("head", "Feature"), 2, 148, ALIGN_LEFT},
    [TOOL_MAKE] = {SAY_IN("head", "Make at 20 °C"), 156, 96, ALIGN_LEFT},
    [TOOL_BAND] = {SAY_IN("head", "Machining band"), 256, 66, ALIGN_LEFT},
    [TOOL_HOT] = {SAY_IN("head", "Working size, hot"), 326, 76, ALIGN_LEFT},
    [TOOL_MEASURED] = {SAY_IN("head", "Measured at 20 °C"), 408, 66, ALIGN_CENTRE},
    [TOOL_BY] = {SAY_IN("head", "By"), 480, 31, ALIGN_CENTRE},
};

static double draw_tool_name(struct paper *p, struct picture *picture, const struct tool_size *s)
{
    const struct column_head *h = &tool_heads[TOOL_FEATURE];
    struct arena *a = p->arena;
    struct text of =
        s->side.len ? arena_format(a, "%.*s, %.*s", TEXT_ARGS(s->side), TEXT_ARGS(s->tool_title)) : s->tool_title;
    const struct typeset *w = typesetter_set(p->typesetter, print_text_capital(a, s->title), type_strong, h->width);
    picture_open(picture, "TD");
    picture_text_on(picture, w, h->x, BASE, INK_BLACK);
    double y = BASE - w->baseline + w->height + 1;
    y = draw_below(p, picture, of, h->x, y, h->width);
    y = draw_below(p, picture, s->material, h->x, y, h->width);
    picture_close(picture);
    return y;
}

static const struct picture *tool_row(struct paper *p, const struct tool_size *s)
{
    struct picture *picture = new_row(p);
    double y = draw_tool_name(p, picture, s), x = tool_heads[TOOL_MAKE].x;
    picture_open(picture, "TD");
    paper_draw_figure(p, picture, s->cold.print, x, x + 38, tool_heads[TOOL_MAKE].width, BASE, type_value);
    picture_close(picture);
    picture_open(picture, "TD");
    const struct typeset *band =
        typesetter_set(p->typesetter, s->cold.print_band, type_strong, tool_heads[TOOL_BAND].width);
    picture_text_on(picture, band, tool_heads[TOOL_BAND].x, BASE, INK_BLACK);
    picture_close(picture);
    x = tool_heads[TOOL_HOT].x;
    picture_open(picture, "TD");
    paper_draw_figure(p, picture, s->hot.print, x, x + 24, tool_heads[TOOL_HOT].width, BASE, type_body);
    if (s->tool_temperature.print.len)
        draw_below(p, picture,
                   SAID(p->arena, p->table->language, "at {temperature}", {"temperature", s->tool_temperature.print}),
                   x, BASE + 5, tool_heads[TOOL_HOT].width);
    picture_close(picture);
    draw_field_of(picture, &tool_heads[TOOL_MEASURED]);
    draw_field_of(picture, &tool_heads[TOOL_BY]);
    finish_row(picture, fmax(y, 28) + 5);
    return picture;
}

void sheets_tool(struct paper *p)
{
    static const struct paper_field fields[] = {{SAY("Tool number"), 0, 120},
                                                {SAY("Made by"), 130, 110},
                                                {SAY("Measured by"), 250, 110},
                                                {SAY("Date"), 370, 66},
                                                {SAY("Hardness"), 446, 65}};
    const struct step_table *t = p->table;
    paper_head(p, SAY("Tool sheet"), fields, sizeof fields / sizeof fields[0]);
    paper_section(p, SAY("Sizes to make"));
    add_told(p, said(t->language,
                     "All sizes are at 20 °C, the reference temperature of ISO 1: let tool and gauge come to it "
                     "before measuring. The machining band is the toolroom's share of the part's band."));
    if (!t->sizes.count)
        paper_add(p, paper_small(p, said(t->language, "The recipe states no size that a tool sets.")), 6);
    if (t->sizes.count) {
        uint32_t first = paper_table(p, paper_table_heading(p, tool_heads, TOOL_COLUMNS));
        for (uint32_t i = 0; i < t->sizes.count; i++)
            paper_add(p, tool_row(p, &t->sizes.at[i]), 0);
        paper_table_end(p, first);
    }
    traveller_card(p, SAY("Radii, clearances, materials"), t->tool_facts.at, t->tool_facts.count, SETUP_IN_TOOLROOM);
    traveller_card(p, SAY("Standards taken"), t->setup.at, t->setup.count, SETUP_IN_TOOLROOM);
    traveller_moves(p);
}

/* ---- inspection sheet --------------------------------------------------------------------------------------------- */

enum { IN_FEATURE, IN_SIZE, IN_LOW, IN_HIGH, IN_CORRECTION, IN_FIRST, IN_LAST, IN_BY, IN_COLUMNS };

static const struct column_head inspection_heads[IN_COLUMNS] = {
    [IN_FEATURE] = {SAY_IN("head", "Feature"), 2, 112, ALIGN_LEFT},
    [IN_SIZE] = {SAY_IN("head", "Size at 20 °C"), 118, 66, ALIGN_LEFT},
    [IN_LOW] = {SAY_IN("head", "Not below"), 186, 62, ALIGN_LEFT},
    [IN_HIGH] = {SAY_IN("head", "Not above"), 250, 62, ALIGN_LEFT},
    [IN_CORRECTION] = {SAY_IN("head", "Add to the reading"), 314, 54, ALIGN_LEFT},
    [IN_FIRST] = {SAY_IN("head", "First piece"), 374, 52, ALIGN_CENTRE},
    [IN_LAST] = {SAY_IN("head", "Last piece"), 430, 52, ALIGN_CENTRE},
    [IN_BY] = {SAY_IN("head", "By"), 486, 25, ALIGN_CENTRE},
};

static void draw_cell(struct paper *p, struct picture *picture, int column, struct text print, struct type type)
{
    const struct column_head *h = &inspection_heads[column];
    picture_open(picture, "TD");
    if (print.len)
        paper_draw_figure(p, picture, print, h->x, h->x + type.size * 2.1, h->width, BASE, type);
    else
        picture_text_on(picture, typesetter_set(p->typesetter, TEXT("\xE2\x80\x93"), type, 0), h->x, BASE, INK_BLACK);
    picture_close(picture);
}

static const struct picture *inspection_row(struct paper *p, const struct inspected *row)
{
    const struct type limit = {.size = 9.6, .bold = true};
    const struct column_head *h = inspection_heads;
    struct picture *picture = new_row(p);
    const struct typeset *w = typesetter_set(p->typesetter, row->title, type_strong, h[IN_FEATURE].width);
    picture_open(picture, "TD");
    picture_text_on(picture, w, h[IN_FEATURE].x, BASE, INK_BLACK);
    picture_close(picture);
    draw_cell(p, picture, IN_SIZE, row->part.print, type_body);
    draw_cell(p, picture, IN_LOW, row->low, limit);
    draw_cell(p, picture, IN_HIGH, row->high, limit);
    draw_cell(p, picture, IN_CORRECTION, row->correction.print, type_body);
    draw_field_of(picture, &h[IN_FIRST]);
    draw_field_of(picture, &h[IN_LAST]);
    draw_field_of(picture, &h[IN_BY]);
    picture_close(picture);
    picture_open(picture, "TR");
    double y = 25, x = h[IN_SIZE].x;
    enum language l = p->table->language;
    picture_open_cell(picture, IN_COLUMNS);
    y = draw_below(p, picture, SAID(p->arena, l, "Measure {plan}.", {"plan", row->plan}), x, y, TEXT_SPAN - x);
    if (row->reaction.len)
        y = draw_below(p, picture, SAID(p->arena, l, "If out: {reaction}", {"reaction", row->reaction}), x, y + 1,
                       TEXT_SPAN - x);
    picture_close(picture);
    finish_row(picture, fmax(y, BASE - w->baseline + w->height) + 5);
    return picture;
}

/* ---- samples: an empty grid --------------------------------------------------------------------------------------- */

enum { SAMPLE_ROWS = 8, SAMPLE_FEATURES = 5, SAMPLE_NUMBER = 62, SAMPLE_BY = 40, SAMPLE_HEIGHT = 20 };

static uint32_t next_sampled(const struct step_table *t, uint32_t i)
{
    while (i < t->inspection.count && !t->inspection.at[i].step)
        i++;
    return i;
}

static void draw_head_cell(struct picture *picture, const struct typeset *w, double x, double y)
{
    picture_open(picture, "TH");
    picture_text(picture, w, x, y, INK_BLACK);
    picture_close(picture);
}

static const struct picture *sample_heading(struct paper *p, const uint32_t *features, uint32_t count, double wide)
{
    struct picture *picture = new_row(p);
    double height = 22;
    draw_head_cell(picture, paper_label_lines(p, SAY("Piece number"), SAMPLE_NUMBER - 4, ALIGN_LEFT), 2, 5);
    for (uint32_t i = 0; i < count; i++) {
        const struct inspected *row = &p->table->inspection.at[features[i]];
        const struct typeset *w =
            typesetter_set(p->typesetter, row->title, (struct type){.size = 7.2, .bold = true}, wide - 6);
        draw_head_cell(picture, w, SAMPLE_NUMBER + i * wide + 3, 4);
        height = fmax(height, w->height + 8);
    }
    struct text by = print_text_capitals(p->arena, said_in(p->table->language, "head", "By"));
    draw_head_cell(picture, typesetter_set(p->typesetter, by, type_label, 0), TEXT_SPAN - SAMPLE_BY + 3, 5);
    finish_row(picture, height);
    return picture;
}

static void draw_open_field(struct picture *picture, double x, double width)
{
    picture_open(picture, "TD");
    picture_close(picture);
    picture_box(picture, x, 0, width, SAMPLE_HEIGHT, (struct paint){.line = INK_BLACK, .width = 0.6});
}

static const struct picture *sample_row(struct paper *p, uint32_t count, double wide)
{
    struct picture *picture = new_row(p);
    draw_open_field(picture, 0, SAMPLE_NUMBER);
    for (uint32_t i = 0; i < count; i++)
        draw_open_field(picture, SAMPLE_NUMBER + i * wide, wide);
    draw_open_field(picture, TEXT_SPAN - SAMPLE_BY, SAMPLE_BY);
    picture_close(picture);
    picture->height = SAMPLE_HEIGHT;
    return picture;
}

static void add_samples(struct paper *p)
{
    const struct step_table *t = p->table;
    uint32_t before = p->blocks.count;
    for (uint32_t i = next_sampled(t, 0), grids = 0; i < t->inspection.count; grids++) {
        uint32_t features[SAMPLE_FEATURES], count = 0;
        for (; count < SAMPLE_FEATURES && i < t->inspection.count; i = next_sampled(t, i + 1))
            features[count++] = i;
        double wide = (TEXT_SPAN - SAMPLE_NUMBER - SAMPLE_BY) / count;
        if (!grids)
            paper_section(p, SAY("Samples"));
        uint32_t first = paper_table(p, sample_heading(p, features, count, wide));
        for (int row = 0; row < SAMPLE_ROWS; row++)
            paper_add(p, sample_row(p, count, wide), 0)->with_next = row + 1 < SAMPLE_ROWS;
        paper_table_end(p, first);
    }
    if (p->blocks.count > before)
        p->blocks.at[p->blocks.count - 1].fills = true;
}

void sheets_inspection(struct paper *p)
{
    static const struct paper_field fields[] = {{SAY("Order"), 0, 110},
                                                {SAY("Pieces"), 120, 60},
                                                {SAY("Gauges"), 190, 120},
                                                {SAY("Room temperature"), 320, 92},
                                                {SAY("Date"), 422, 89}};
    const struct step_table *t = p->table;
    paper_head(p, SAY("Inspection sheet"), fields, sizeof fields / sizeof fields[0]);
    paper_section(p, SAY("First and last piece"));
    add_told(
        p, SAID(p->arena, t->language,
                "The limits are at 20 °C, the reference temperature of ISO 1. A steel gauge in a room at {temperature} "
                "reads a little else on this alloy: add the correction to what it reads. Part and gauge must both "
                "have the temperature of the room.",
                {"temperature", t->shop_temperature.print}));
    if (!t->inspection.count)
        paper_add(p, paper_small(p, said(t->language, "The recipe states nothing to measure.")), 6);
    if (t->inspection.count) {
        uint32_t first = paper_table(p, paper_table_heading(p, inspection_heads, IN_COLUMNS));
        for (uint32_t i = 0; i < t->inspection.count; i++)
            paper_add(p, inspection_row(p, &t->inspection.at[i]), 0);
        paper_table_end(p, first);
    }
    add_samples(p);
}
