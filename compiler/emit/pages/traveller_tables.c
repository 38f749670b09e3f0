/* Tool sizes and limits of the traveller. */
#include "compiler/emit/pages/traveller.h"

#include "compiler/said.h"

#include <math.h>

/* ---- tool sizes --------------------------------------------------------------------------------------------------- */

enum { SIZE_FEATURE, SIZE_PART, SIZE_MAKE, SIZE_HOT, SIZE_RELEASED, SIZE_FINISHED, SIZE_KELVIN, SIZE_COLUMNS };

static const struct column_head size_heads[SIZE_COLUMNS] = {
    [SIZE_FEATURE] = {{SAY_IN("head", "Feature"), NULL}, 2, 100, ALIGN_LEFT},
    [SIZE_PART] = {{SAY_IN("head", "Part"), SAY_IN("head", "at 20 °C")}, 108, 62, ALIGN_LEFT},
    [SIZE_MAKE] = {{SAY_IN("head", "Make the tool"), SAY_IN("head", "at 20 °C")}, 174, 84, ALIGN_LEFT},
    [SIZE_HOT] = {{SAY_IN("head", "Tool"), SAY_IN("head", "hot")}, 264, 56, ALIGN_LEFT},
    [SIZE_RELEASED] = {{SAY_IN("head", "Part"), SAY_IN("head", "on release")}, 326, 58, ALIGN_LEFT},
    [SIZE_FINISHED] = {{SAY_IN("head", "Part expected"), SAY_IN("head", "at 20 °C")}, 390, 66, ALIGN_LEFT},
    [SIZE_KELVIN] = {{SAY_IN("head", "Per"), SAY_IN("head", "kelvin")}, 464, 47, ALIGN_LEFT},
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
    const struct words *w = set_words(p->typesetter, below, (struct type){.size = 6.8}, h->width);
    picture_open(picture, "TD");
    struct reach r = draw_figure(p, picture, s->print, h->x, h->x + axis_for(type.size), h->width, 14, type);
    double y = fmax(18.5, r.bottom);
    picture_words(picture, w, h->x, y, INK_BLACK);
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
    struct text name = capital(p->arena, s->title);
    struct text of = arena_format(p->arena, "%.*s%s%.*s%s%.*s", TEXT_ARGS(s->side), s->side.len ? ", " : "",
                                  TEXT_ARGS(s->tool_title), s->material.len ? ", " : "", TEXT_ARGS(s->material));
    const struct words *w = set_words(p->typesetter, name, type_strong, h->width);
    const struct words *small = set_words(p->typesetter, of, (struct type){.size = 6.8}, h->width);
    picture_open(picture, "TD");
    picture_words_on(picture, w, h->x, 14, INK_BLACK);
    double y = 14 - w->baseline + w->height + 1;
    picture_words(picture, small, h->x, y, INK_GREY);
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
    draw_figure(p, picture, s->per_kelvin.print, size_heads[SIZE_KELVIN].x, size_heads[SIZE_KELVIN].x + 10,
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
    const struct picture *heading = table_heading(p, size_heads, SIZE_COLUMNS);
    uint32_t first = paper_table(p, heading);
    for (uint32_t i = 0; i < t->sizes.count; i++)
        paper_add(p, size_picture(p, &t->sizes.at[i]), 0);
    paper_table_end(p, first);
}

/* ---- limits ------------------------------------------------------------------------------------------------------- */

enum {
    LIMIT_X = 20,
    LIMIT_WIDTH = 152,
    VALUE_X = 178,
    VALUE_AXIS = 199,
    VALUE_WIDTH = 74,
    BOUND_X = 256,
    BOUND_WIDTH = 146,
    BAR_X = 408,
    BAR_WIDTH = 52,
    MARGIN_X = 466,
    MARGIN_WIDTH = 45,
    REASON_INDENT = 52,
    LIMIT_BASE = 12
};

static const struct column_head limit_heads[] = {{{SAY_IN("head", "Limit"), NULL}, LIMIT_X, LIMIT_WIDTH, ALIGN_LEFT},
                                                 {{SAY_IN("head", "Value"), NULL}, VALUE_X, VALUE_WIDTH, ALIGN_LEFT},
                                                 {{SAY_IN("head", "Must be"), NULL}, BOUND_X, BOUND_WIDTH, ALIGN_LEFT},
                                                 {{SAY_IN("head", "Margin"), NULL}, BAR_X, 100, ALIGN_LEFT}};

/* Drawn, not set: no font need have them, and they differ in shape as well as in weight. */
static void draw_mark(struct picture *p, enum verdict verdict, double x, double y)
{
    static const struct {
        const char *line;
        bool filled;
    } marks[] = {
        [VERDICT_FAILS] = {"M 3 3 L 8 8 M 8 3 L 3 8", true},
        [VERDICT_NOMINAL_ONLY] = {"M 2 6 L 4.5 8.5 L 9.5 2", false},
        [VERDICT_NOT_DECIDED] = {"M 3.7 4 C 3.7 1.5 7.3 1.5 7.3 4 C 7.3 5.6 5.5 5.3 5.5 7 M 5.5 8.9 L 5.5 9", false},
        [VERDICT_WAIVED] = {"M 2 6 L 9 6", false},
        [VERDICT_PROVED] = {"M 2 6 L 4.5 8.5 L 9.5 2", false},
        [VERDICT_HOLDS] = {"M 2 6 L 4.5 8.5 L 9.5 2", false},
        [VERDICT_NOT_EVALUATED] = {"M 3.7 4 C 3.7 1.5 7.3 1.5 7.3 4 C 7.3 5.6 5.5 5.3 5.5 7 M 5.5 8.9 L 5.5 9", false},
        [VERDICT_NOT_APPLICABLE] = {"M 3 5.5 L 8 5.5", false}};
    struct outline o = outline_new(p);
    bool filled = marks[verdict].filled;
    if (filled)
        picture_box(p, x, y, 11, 11, (struct paint){.fill = INK_BLACK});
    if (verdict == VERDICT_NOT_EVALUATED)
        picture_box(p, x + 0.5, y + 0.5, 10, 10, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 0.6});
    outline_read(&o, marks[verdict].line, x, y, 1);
    picture_shape(p, o,
                  (struct paint){.line = filled ? INK_WHITE : INK_BLACK,
                                 .width = verdict == VERDICT_NOT_EVALUATED ? 1 : 1.5,
                                 .round = true});
}

/* How much of the bound is left, full at the left. */
static void draw_bar(struct picture *p, double margin, double y)
{
    if (isnan(margin))
        return;
    double share = fmin(fmax(margin, 0), 1);
    picture_box(p, BAR_X, y, BAR_WIDTH * share, 5, (struct paint){.fill = INK_BLACK});
    picture_box(p, BAR_X, y, BAR_WIDTH, 5, (struct paint){.line = INK_BLACK, .width = 0.5});
}

static double draw_reason(struct paper *p, struct picture *picture, const char *label, struct text words, double y)
{
    if (!words.len)
        return y;
    const struct words *w = set_words(p->typesetter, words, type_small, TEXT_SPAN - LIMIT_X - REASON_INDENT);
    picture_open(picture, "TD");
    picture_words_on(picture,
                     set_within(p, said_in(p->table->language, "note", label), (struct type){.size = 7.2, .bold = true},
                                REASON_INDENT - 3),
                     LIMIT_X, y + w->baseline, INK_BLACK);
    picture_words(picture, w, LIMIT_X + REASON_INDENT, y, INK_BLACK);
    picture_close(picture);
    return y + w->height + 2;
}

static double draw_numbers(struct paper *p, struct picture *picture, const struct limit_row *l)
{
    const struct words *bound = set_words(p->typesetter, l->bound, (struct type){.size = 8}, BOUND_WIDTH);
    const struct words *margin = set_words(p->typesetter, l->margin_text, (struct type){.size = 8}, MARGIN_WIDTH);
    picture_open(picture, "TD");
    struct reach value = draw_figure(p, picture, l->value, VALUE_X, VALUE_AXIS, VALUE_WIDTH, LIMIT_BASE,
                                     (struct type){.size = 8.6, .bold = true});
    picture_words_on(picture, bound, BOUND_X, LIMIT_BASE, INK_BLACK);
    picture_words_on(picture, margin, isnan(l->margin) ? BAR_X : MARGIN_X, LIMIT_BASE, INK_BLACK);
    draw_bar(picture, l->margin, LIMIT_BASE - 5.5);
    picture_close(picture);
    return fmax(value.bottom, LIMIT_BASE - bound->baseline + fmax(bound->height, margin->height));
}

static const struct picture *limit_picture(struct paper *p, const struct limit_row *l)
{
    struct picture *picture = picture_new(p->arena);
    bool fails = l->verdict == VERDICT_FAILS;
    struct text name = capital(p->arena, l->title), subject = l->of;
    struct text whole =
        arena_format(p->arena, "%.*s%s%.*s", TEXT_ARGS(name), subject.len ? ": " : "", TEXT_ARGS(subject));
    const struct words *w = set_words(p->typesetter, whole, (struct type){.size = 8.3, .bold = fails}, LIMIT_WIDTH);
    picture_open(picture, "TR");
    picture_open(picture, "TD");
    draw_mark(picture, l->verdict, 2, LIMIT_BASE - 9);
    picture_words_on(picture, w, LIMIT_X, LIMIT_BASE, INK_BLACK);
    picture_close(picture);
    double y = fmax(LIMIT_BASE - w->baseline + w->height, draw_numbers(p, picture, l));
    if (l->verdict == VERDICT_NOT_EVALUATED)
        y = draw_reason(p, picture, SAY_IN("note", "Not known"), l->why_not, y + 1);
    if (fails) {
        y = draw_reason(p, picture, SAY_IN("note", "Because"), l->because, y + 2);
        y = draw_reason(p, picture, SAY_IN("note", "Remedy"), l->remedy, y);
    }
    picture_close(picture);
    picture->height = y + 2;
    picture_rule(picture, 0, picture->height, TEXT_SPAN, picture->height, 0.4, INK_RULE);
    return picture;
}

/* One that is told already, of another subject. */
static bool named_before(const struct step_table *t, uint32_t limit)
{
    for (uint32_t i = 0; i < limit; i++)
        if (t->limits.at[i].verdict == VERDICT_NOT_APPLICABLE &&
            text_same(t->limits.at[i].name, t->limits.at[limit].name))
            return true;
    return false;
}

static struct picture *small_words(struct paper *p, struct text text)
{
    struct picture *picture = picture_new(p->arena);
    const struct words *w = set_words(p->typesetter, text, type_small, TEXT_SPAN);
    picture_words(picture, w, 0, 0, INK_BLACK);
    picture->height = w->height;
    return picture;
}

static void add_idle_limits(struct paper *p, uint32_t first)
{
    struct text list = TEXT("");
    for (uint32_t i = 0; i < p->table->limits.count; i++) {
        const struct limit_row *l = &p->table->limits.at[i];
        if (l->verdict != VERDICT_NOT_APPLICABLE || named_before(p->table, i))
            continue;
        list = list.len ? SAID(p->arena, p->table->language, "{list}, {next}", {"list", list}, {"next", l->title})
                        : l->title;
    }
    if (!list.len)
        return;
    struct text words = SAID(p->arena, p->table->language, "Do not apply here: {list}.", {"list", list});
    if (p->blocks.count > first)
        p->blocks.at[p->blocks.count - 1].with_next = true;
    paper_add(p, small_words(p, words), 6);
}

void traveller_limits(struct paper *p)
{
    const struct step_table *t = p->table;
    if (!t->limits.count)
        return;
    paper_section(p, SAY("Limits"));
    if (t->limits_note.len) {
        paper_add(p, small_words(p, t->limits_note), 5);
        p->blocks.at[p->blocks.count - 1].with_next = true;
    }
    const struct picture *heading = table_heading(p, limit_heads, sizeof limit_heads / sizeof limit_heads[0]);
    uint32_t first = paper_table(p, heading);
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_NOT_APPLICABLE; v++)
        for (uint32_t i = 0; i < t->limits.count; i++)
            if (t->limits.at[i].verdict == v)
                paper_add(p, limit_picture(p, &t->limits.at[i]), 0);
    paper_table_end(p, first);
    add_idle_limits(p, first);
}
