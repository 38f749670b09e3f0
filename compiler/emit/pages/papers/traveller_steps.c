/* The step table of the traveller: what to do at the left, what to set, check and write down at the right. */
#include "compiler/emit/pages/papers/traveller.h"

#include "compiler/text/said.h"

#include <math.h>

enum {
    WHAT_X = 32,
    WHAT_WIDTH = 166,
    LABEL_X = 210,
    LABEL_WIDTH = 80,
    SET_X = 294,
    SET_AXIS = 328,
    SET_WIDTH = 74,
    ALLOWED_X = 375,
    ALLOWED_WIDTH = 58,
    TAKEN_X = 436,
    TAKEN_WIDTH = 44,
    INITIALS_X = 485,
    INITIALS_WIDTH = 25,
    FIELD_HEIGHT = 16,
    NOTE_INDENT = 37,
    SETTINGS_MOST = 330 /* points of height: a step with more goes on below, and a page may end in between */
};

static const struct column_head heads[] = {{SAY_IN("head", "Step"), 2, 28, ALIGN_LEFT},
                                           {SAY_IN("head", "What to do"), WHAT_X, WHAT_WIDTH, ALIGN_LEFT},
                                           {SAY_IN("head", "Setting"), LABEL_X, LABEL_WIDTH, ALIGN_LEFT},
                                           {SAY_IN("head", "Set"), SET_X + 8, SET_WIDTH, ALIGN_LEFT},
                                           {SAY_IN("head", "Allowed"), ALLOWED_X, ALLOWED_WIDTH, ALIGN_LEFT},
                                           {SAY_IN("head", "Taken"), TAKEN_X, TAKEN_WIDTH, ALIGN_CENTRE},
                                           {SAY_IN("head", "By"), INITIALS_X, INITIALS_WIDTH, ALIGN_CENTRE}};
enum { COLUMNS = sizeof heads / sizeof heads[0] };

/* ---- left: what to do --------------------------------------------------------------------------------------------- */

/* A small picture of the step's symbol in the flow diagram. */
static void draw_symbol(struct picture *p, enum step_shape shape, double x, double y)
{
    static const char *const outlines[] = {
        [SHAPE_PROCESS] = "R 0 0 18 10 0",
        [SHAPE_PREPARATION] = "M 3 0 L 15 0 L 18 5 L 15 10 L 3 10 L 0 5 Z",
        [SHAPE_MANUAL] = "M 0 0 L 18 0 L 15 10 L 3 10 Z",
        [SHAPE_DECISION] = "M 9 0 L 18 5 L 9 10 L 0 5 Z",
        [SHAPE_DELAY] = "M 0 0 L 13 0 C 15.8 0 18 2.2 18 5 C 18 7.8 15.8 10 13 10 L 0 10 Z",
    };
    struct outline o = outline_new(p);
    outline_read(&o, outlines[shape], x, y, 1);
    picture_shape(p, o, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 0.7, .round = true});
}

static double draw_note(struct paper *p, struct picture *picture, const char *label, struct text words, double y)
{
    if (!words.len)
        return y;
    const struct typeset *w = typesetter_set(p->typesetter, words, type_small, WHAT_WIDTH - NOTE_INDENT);
    const struct typeset *l = typesetter_set(p->typesetter, said_in(p->table->language, "note", label),
                                             (struct type){.size = 7.2, .bold = true}, NOTE_INDENT - 3);
    picture_text(picture, l, WHAT_X, y, INK_BLACK);
    picture_text(picture, w, WHAT_X + NOTE_INDENT, y, INK_BLACK);
    return y + fmax(l->height, w->height) + 3;
}

static double draw_beside(struct paper *p, struct picture *picture, double y)
{
    const struct typeset *w =
        typesetter_set(p->typesetter, said(p->table->language, "beside the press"), type_small, 0);
    struct outline o = outline_new(picture);
    outline_box(&o, WHAT_X, y, w->width + 8, w->height + 2, 2);
    picture_shape(picture, o, (struct paint){.fill = INK_TINT, .line = INK_GREY, .width = 0.4});
    picture_text(picture, w, WHAT_X + 4, y + 1, INK_BLACK);
    return y + w->height + 6;
}

static const struct typeset *set_number(struct paper *p, uint32_t number)
{
    struct text t = arena_format(p->arena, "%u", number);
    return typesetter_set(p->typesetter, t,
                          (struct type){.size = number < 100    ? 13
                                                : number < 1000 ? 11.5
                                                                : 9,
                                        .bold = true},
                          0);
}

static double draw_what(struct paper *p, struct picture *picture, const struct step_row *s)
{
    const struct typeset *n = set_number(p, s->number);
    const struct typeset *what =
        typesetter_set(p->typesetter, s->what, (struct type){.size = 9.5, .bold = true}, WHAT_WIDTH);
    double y = 6;
    picture_open(picture, "TD");
    picture_text_on(picture, n, 2, y + 11.5, INK_BLACK);
    picture_close(picture);
    draw_symbol(picture, s->shape, 2, y + 18);
    picture_open(picture, "TD");
    picture_text_on(picture, what, WHAT_X, y + 11.5, INK_BLACK);
    y += 11.5 - what->baseline + what->height + 3;
    if (s->beside_press)
        y = draw_beside(p, picture, y);
    if (s->instruction.len) {
        const struct typeset *w = paper_body(p, s->instruction, WHAT_WIDTH);
        picture_text(picture, w, WHAT_X, y, INK_BLACK);
        y += w->height + 4;
    }
    y = draw_note(p, picture, SAY_IN("note", "Check"), s->check, y);
    y = draw_note(p, picture, SAY_IN("note", "If out"), s->reaction, y);
    if (s->rework)
        y = draw_note(p, picture, SAY_IN("note", "Rework"),
                      SAID(p->arena, p->table->language, "from step {number} on",
                           {"number", arena_format(p->arena, "%u", s->rework)}),
                      y);
    picture_close(picture);
    return fmax(y, 36);
}

/* ---- right: settings ---------------------------------------------------------------------------------------------- */

/* What is computed is told in small type: it is there to compare with, not to be set or written down. */
static double draw_expected(struct paper *p, struct picture *picture, const struct setting *s, double y)
{
    const struct typeset *label = typesetter_set(p->typesetter, s->label, type_small, LABEL_WIDTH);
    const struct typeset *band = typesetter_set(p->typesetter, s->shown.print_band, type_small, TEXT_SPAN - ALLOWED_X);
    bool range = text_same(s->shown.text, s->shown.band);
    double base = y + 1 + label->baseline, wide = range || !s->shown.band.len ? TEXT_SPAN - SET_X : SET_WIDTH;
    picture_text_on(picture, label, LABEL_X, base, INK_GREY);
    double bottom = paper_draw_figure(p, picture, s->shown.print, SET_X, SET_AXIS, wide, base, type_small).bottom;
    if (!range)
        picture_text_on(picture, band, ALLOWED_X, base, INK_BLACK);
    return fmax(bottom, y + 1 + fmax(label->height, band->height)) + 2.5;
}

/* The lines of a label or band stand around the middle of the row. */
static double draw_beside_value(struct picture *picture, const struct typeset *w, double x, double base)
{
    double raise = w->height > 14 ? 3 : 0;
    picture_text(picture, w, x, base - w->baseline - raise, INK_BLACK);
    return base - w->baseline - raise + w->height;
}

static double draw_set(struct paper *p, struct picture *picture, const struct setting *s, double y)
{
    const double line = 20.5, base = y + 14;
    const struct type large = {.size = 10.5, .bold = true};
    const struct typeset *label = typesetter_set(p->typesetter, s->label, (struct type){.size = 8}, LABEL_WIDTH);
    const struct typeset *band =
        typesetter_set(p->typesetter, s->shown.print_band, (struct type){.size = 8}, ALLOWED_WIDTH);
    bool range = text_same(s->shown.text, s->shown.band);
    double both = ALLOWED_X + ALLOWED_WIDTH - SET_X, bottom = draw_beside_value(picture, label, LABEL_X, base);
    if (range) {
        const struct typeset *w = typesetter_set(p->typesetter, s->shown.print, large, 0);
        w = w->width > both ? typesetter_set(p->typesetter, s->shown.print, type_strong, both) : w;
        picture_text_on(picture, w, SET_X + 4, base, INK_BLACK);
        bottom = fmax(bottom, base - w->baseline + w->height);
    } else {
        bottom = fmax(bottom, draw_beside_value(picture, band, ALLOWED_X, base));
        bottom = fmax(bottom, paper_draw_figure(p, picture, s->shown.print, SET_X, SET_AXIS,
                                                band->width > 0 ? SET_WIDTH : both, base, type_value)
                                  .bottom);
    }
    paper_draw_field(picture, TAKEN_X, y + 2, TAKEN_WIDTH, FIELD_HEIGHT);
    return fmax(y + line, bottom + 2.5);
}

static double draw_setting(struct paper *p, struct picture *picture, const struct setting *s, bool first_expected,
                           double y)
{
    if (s->role != SETTING_EXPECT)
        return draw_set(p, picture, s, y);
    if (first_expected) {
        picture_text(picture, paper_label(p, SAY("Expected"), 0), LABEL_X, y + 3, INK_GREY);
        y += 13;
    }
    return draw_expected(p, picture, s, y);
}

/* From *next on, as many as stand in one block; *next is then the first that does not. */
static double draw_settings(struct paper *p, struct picture *picture, const struct step_row *s, uint32_t *next)
{
    double y = 4;
    bool expected = false;
    picture_open_cell(picture, COLUMNS - 2);
    for (; *next < s->settings.count && y < SETTINGS_MOST; (*next)++) {
        const struct setting *set = &s->settings.at[*next];
        y = draw_setting(p, picture, set, !expected, y);
        expected = expected || set->role == SETTING_EXPECT;
    }
    picture_close(picture);
    return y + 2;
}

/* ---- rows --------------------------------------------------------------------------------------------------------- */

static double draw_continued(struct paper *p, struct picture *picture, const struct step_row *s)
{
    struct text number = arena_format(p->arena, "%u", s->number);
    struct text told = SAID(p->arena, p->table->language, "{section}, continued", {"section", number});
    const struct typeset *w = typesetter_set(p->typesetter, told, type_strong, WHAT_X + WHAT_WIDTH - 2);
    picture_open_cell(picture, 2);
    picture_text(picture, w, 2, 6, INK_BLACK);
    picture_close(picture);
    return 6 + w->height;
}

/* Settings in the order set, check, expected, as they come; a step is one block, or several when it sets very much. */
static void add_step(struct paper *p, const struct step_row *s)
{
    uint32_t next = 0;
    do {
        struct picture *picture = picture_new(p->arena);
        picture_open(picture, "TR");
        double left = next ? draw_continued(p, picture, s) : draw_what(p, picture, s);
        if (!next)
            paper_draw_field(picture, INITIALS_X, 6, INITIALS_WIDTH, FIELD_HEIGHT);
        picture->height = fmax(left, draw_settings(p, picture, s, &next)) + 5;
        picture_close(picture);
        picture_rule(picture, 0, picture->height, TEXT_SPAN, picture->height, 0.5,
                     next == s->settings.count ? INK_BLACK : INK_RULE);
        paper_add(p, picture, 0);
    } while (next < s->settings.count);
}

void traveller_steps(struct paper *p)
{
    const struct step_table *t = p->table;
    if (!t->steps.count)
        return;
    paper_section(p, SAY("Steps"));
    const struct picture *heading = paper_table_heading(p, heads, COLUMNS);
    uint32_t first = paper_table(p, heading);
    for (uint32_t i = 0; i < t->steps.count; i++)
        add_step(p, &t->steps.at[i]);
    paper_table_end(p, first);
}
