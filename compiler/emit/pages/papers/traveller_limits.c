/* The limits of the traveller: what was held against what, how much is left, and why it matters where little is. */
#include "compiler/emit/pages/charts/chart.h"
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"

#include <math.h>

enum {
    LIMIT_X = 20,
    LIMIT_WIDTH = 130,
    VALUE_X = 152,
    VALUE_AXIS = 176,
    VALUE_WIDTH = 70,
    BOUND_X = 226,
    BOUND_WIDTH = 92,
    BAR_X = 322,
    BAR_WIDTH = 32,
    MARGIN_X = 359,
    MARGIN_WIDTH = 69,
    WORST_X = 431,
    WORST_WIDTH = 80,
    REASON_INDENT = 66,
    LIMIT_BASE = 12,
    MARK_SIDE = 11
};

static const struct column_head limit_heads[] = {{SAY_IN("head", "Limit"), LIMIT_X, LIMIT_WIDTH, ALIGN_LEFT},
                                                 {SAY_IN("head", "Value"), VALUE_X, VALUE_WIDTH, ALIGN_LEFT},
                                                 {SAY_IN("head", "Must be"), BOUND_X, BOUND_WIDTH, ALIGN_LEFT},
                                                 {SAY_IN("head", "Margin"), BAR_X, 80, ALIGN_LEFT},
                                                 {SAY_IN("head", "Worst"), WORST_X, WORST_WIDTH, ALIGN_LEFT}};

enum { LIMIT_COLUMNS = sizeof limit_heads / sizeof limit_heads[0] };

/* Without the last where it would be empty. */
static uint32_t limit_columns(const struct step_table *t)
{
    for (uint32_t i = 0; i < t->limits.count; i++)
        if (t->limits.at[i].worst_margin_text.len)
            return LIMIT_COLUMNS;
    return LIMIT_COLUMNS - 1;
}

/* ---- marks -------------------------------------------------------------------------------------------------------- */

/* Drawn, not set: no font need have them, and each differs from the others in shape, so that a copy tells them apart. */
static void draw_mark(struct picture *p, enum verdict verdict, double x, double y)
{
    static const char check[] = "M 2.6 5.8 L 4.7 8 L 8.6 3.2", query[] =
                                                                   "M 3.7 4 C 3.7 1.5 7.3 1.5 7.3 4 C 7.3 5.6 5.5 "
                                                                   "5.3 5.5 7 M 5.5 8.9 L 5.5 9";
    static const struct {
        const char *ground, *line;
        bool dark;  /* ground black, line white */
        double dot; /* the ground is a round dot of this width, the end of a line of no length: the shortest way to say
                       what stands in most rows */
    } marks[VERDICT_COUNT] = {
        [VERDICT_FAILS] = {"R 0 0 11 11 0", "M 3 3 L 8 8 M 8 3 L 3 8", true, 0},
        [VERDICT_NOT_EVALUATED] = {"R 0.5 0.5 10 10 0", query, false, 0},
        [VERDICT_NOT_DECIDED] = {"O 5.5 5.5 5.2", query, false, 0},
        [VERDICT_NOMINAL_ONLY] = {"M 5.5 0 L 11 10.4 L 0 10.4 Z", "M 5.5 3.6 L 5.5 7 M 5.5 8.8 L 5.5 8.9", false, 0},
        [VERDICT_WAIVED] = {NULL, "M 2 10.5 L 2 1 L 9.5 3.6 L 2 6.2", false, 0},
        [VERDICT_HOLDS] = {NULL, check, false, 0},
        [VERDICT_PROVED] = {"M 5.5 5.5 L 5.5 5.5", check, true, 10.8},
        [VERDICT_NOT_APPLICABLE] = {NULL, "M 3 5.5 L 8 5.5", false, 0}};
    struct outline ground = outline_new(p), line = outline_new(p);
    bool dark = marks[verdict].dark;
    if (marks[verdict].ground) {
        outline_read(&ground, marks[verdict].ground, x, y, 1);
        if (marks[verdict].dot > 0)
            picture_shape(p, ground, (struct paint){.line = INK_BLACK, .width = marks[verdict].dot, .round = true});
        else
            picture_shape(
                p, ground,
                (struct paint){.fill = dark ? INK_BLACK : INK_WHITE, .line = INK_BLACK, .width = dark ? 0 : 0.7});
    }
    outline_read(&line, marks[verdict].line, x, y, 1);
    picture_shape(p, line,
                  (struct paint){.line = dark ? INK_WHITE : INK_BLACK,
                                 .width = dark || !marks[verdict].ground ? 1.4 : 1,
                                 .round = true});
}

/* What the marks mean: those that stand below, in a line or two. */
static void add_key(struct paper *p)
{
    struct picture *picture = picture_new(p->arena);
    double x = 0, y = 0;
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_NOT_APPLICABLE; v++) {
        bool stands = false;
        for (uint32_t i = 0; i < p->table->limits.count && !stands; i++)
            stands = p->table->limits.at[i].verdict == v;
        if (!stands)
            continue;
        const struct typeset *w =
            typesetter_set(p->typesetter, said_in(p->table->language, "verdict", verdict_table[v].word), type_small, 0);
        if (x + MARK_SIDE + 5 + w->width > TEXT_SPAN) {
            x = 0;
            y += 16;
        }
        draw_mark(picture, v, x, y);
        picture_text(picture, w, x + MARK_SIDE + 4, y + MARK_SIDE / 2.0 - w->height / 2, INK_BLACK);
        x += MARK_SIDE + 4 + w->width + 18;
    }
    picture->height = y + MARK_SIDE + 1;
    paper_add(p, picture, 6)->with_next = true;
}

/* ---- rows --------------------------------------------------------------------------------------------------------- */

static double draw_reason(struct paper *p, struct picture *picture, const char *label, struct text words, double y)
{
    if (!words.len)
        return y;
    const struct typeset *w = typesetter_set(p->typesetter, words, type_small, TEXT_SPAN - LIMIT_X - REASON_INDENT);
    picture_open(picture, "TR");
    picture_open_cell(picture, limit_columns(p->table));
    const struct typeset *l = typesetter_set(p->typesetter, said_in(p->table->language, "note", label),
                                             (struct type){.size = 7.2, .bold = true}, REASON_INDENT - 3);
    picture_text(picture, l, LIMIT_X, y, INK_BLACK);
    picture_text(picture, w, LIMIT_X + REASON_INDENT, y, INK_BLACK);
    picture_close(picture);
    picture_close(picture);
    return y + fmax(l->height, w->height) + 2;
}

static void draw_cell(struct picture *picture, const struct typeset *w, double x)
{
    picture_open(picture, "TD");
    picture_text_on(picture, w, x, LIMIT_BASE, INK_BLACK);
    picture_close(picture);
}

static double draw_numbers(struct paper *p, struct picture *picture, const struct limit_row *l)
{
    const struct typeset *bound = typesetter_set(p->typesetter, l->bound, type_small, BOUND_WIDTH);
    const struct typeset *margin = typesetter_set(p->typesetter, l->margin_text, type_small, MARGIN_WIDTH);
    const struct typeset *worst = typesetter_set(p->typesetter, l->worst_margin_text, type_small, WORST_WIDTH);
    picture_open(picture, "TD");
    struct reach value = paper_draw_figure(p, picture, l->value, VALUE_X, VALUE_AXIS, VALUE_WIDTH, LIMIT_BASE,
                                           (struct type){.size = 8.6, .bold = true});
    picture_close(picture);
    draw_cell(picture, bound, BOUND_X);
    draw_cell(picture, margin, isnan(l->margin) ? BAR_X : MARGIN_X);
    if (limit_columns(p->table) == LIMIT_COLUMNS)
        draw_cell(picture, worst, WORST_X);
    chart_draw_margin(picture, l, BAR_X, LIMIT_BASE - 5.5, BAR_WIDTH, 5);
    return fmax(value.bottom, LIMIT_BASE - bound->baseline + fmax(bound->height, fmax(margin->height, worst->height)));
}

static struct text breaking_words(struct paper *p, const struct limit_row *l)
{
    struct buffer b;
    buffer_init(&b, p->arena);
    for (uint32_t i = 0; i < l->breaking.count; i++)
        buffer_printf(&b, "%s%.*s = %.*s", i ? ", " : "", TEXT_ARGS(l->breaking.at[i].words),
                      TEXT_ARGS(l->breaking.at[i].text));
    return buffer_text(&b);
}

static double draw_reasons(struct paper *p, struct picture *picture, const struct limit_row *l, double y)
{
    enum verdict v = l->verdict == VERDICT_WAIVED ? l->waived : l->verdict;
    if (l->verdict >= VERDICT_HOLDS)
        return y;
    y += 2;
    if (l->verdict == VERDICT_WAIVED) {
        y = draw_reason(p, picture, SAY_IN("note", "Waived"), l->waiver, y);
        y = draw_reason(p, picture, SAY_IN("note", "Else"),
                        said_in(p->table->language, "verdict", verdict_table[v].word), y);
    }
    if (v == VERDICT_NOT_EVALUATED || v == VERDICT_NOT_DECIDED)
        y = draw_reason(p, picture, SAY_IN("note", "Not known"), l->why_not, y);
    if (v == VERDICT_NOMINAL_ONLY)
        y = draw_reason(p, picture, SAY_IN("note", "Breaks at"), breaking_words(p, l), y);
    if (v == VERDICT_FAILS || v == VERDICT_NOMINAL_ONLY) {
        y = draw_reason(p, picture, SAY_IN("note", "Because"), l->because, y);
        y = draw_reason(p, picture, SAY_IN("note", "Remedy"), l->remedy, y);
    }
    return y;
}

static const struct picture *limit_picture(struct paper *p, const struct limit_row *l)
{
    struct picture *picture = picture_new(p->arena);
    struct text name = print_text_capital(p->arena, l->title);
    struct text whole =
        l->of.len ? SAID(p->arena, p->table->language, "{limit}: {subject}", {"limit", name}, {"subject", l->of})
                  : name;
    const struct typeset *w = typesetter_set(
        p->typesetter, whole, (struct type){.size = 8.3, .bold = l->verdict == VERDICT_FAILS}, LIMIT_WIDTH);
    picture_open(picture, "TR");
    picture_open(picture, "TD");
    draw_mark(picture, l->verdict, 2, LIMIT_BASE - 9);
    picture_text_on(picture, w, LIMIT_X, LIMIT_BASE, INK_BLACK);
    picture_close(picture);
    double y = fmax(LIMIT_BASE - w->baseline + w->height, draw_numbers(p, picture, l));
    picture_close(picture);
    y = draw_reasons(p, picture, l, y);
    picture->height = y + 2;
    picture_rule(picture, 0, picture->height, TEXT_SPAN, picture->height, 0.4, INK_RULE);
    return picture;
}

/* ---- the section -------------------------------------------------------------------------------------------------- */

/* One that is told already, of another subject. */
static bool named_before(const struct step_table *t, uint32_t limit)
{
    for (uint32_t i = 0; i < limit; i++)
        if (t->limits.at[i].verdict == VERDICT_NOT_APPLICABLE &&
            text_same(t->limits.at[i].name, t->limits.at[limit].name))
            return true;
    return false;
}

static void add_idle_limits(struct paper *p, uint32_t first)
{
    struct text names = TEXT("");
    for (uint32_t i = 0; i < p->table->limits.count; i++) {
        const struct limit_row *l = &p->table->limits.at[i];
        if (l->verdict != VERDICT_NOT_APPLICABLE || named_before(p->table, i))
            continue;
        names = names.len ? SAID(p->arena, p->table->language, "{list}, {next}", {"list", names}, {"next", l->title})
                          : l->title;
    }
    if (!names.len)
        return;
    if (p->blocks.count > first)
        p->blocks.at[p->blocks.count - 1].with_next = true;
    struct text told = SAID(p->arena, p->table->language, "Do not apply here: {list}.", {"list", names});
    paper_add(p, paper_small(p, told), 6);
}

/* Those to be looked at first stand first. */
static void add_limits(struct paper *p)
{
    const struct step_table *t = p->table;
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_NOT_APPLICABLE; v++)
        for (uint32_t i = 0; i < t->limits.count; i++)
            if (t->limits.at[i].verdict == v)
                paper_add(p, limit_picture(p, &t->limits.at[i]), 0);
}

void traveller_limits(struct paper *p)
{
    const struct step_table *t = p->table;
    if (!t->limits.count)
        return;
    paper_section(p, SAY("Limits"));
    if (t->limits_note.len) {
        paper_add(p, paper_small(p, t->limits_note), 5);
        p->blocks.at[p->blocks.count - 1].with_next = true;
    }
    paper_add(p, paper_small(p, chart_margin_key(t->language)), 3)->with_next = true;
    add_key(p);
    uint32_t first = paper_table(p, paper_table_heading(p, limit_heads, limit_columns(t)));
    add_limits(p);
    paper_table_end(p, first);
    add_idle_limits(p, first);
}
