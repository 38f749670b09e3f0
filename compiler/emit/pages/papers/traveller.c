/* Cautions of the traveller, and what its tables share. */
#include "compiler/emit/pages/papers/traveller.h"

#include "compiler/emit/pages/drawing/signs.h"
#include "compiler/text/said.h"

#include <math.h>

/* ---- shared ------------------------------------------------------------------------------------------------------- */

void paper_draw_field(struct picture *p, double x, double y, double width, double height)
{
    picture_box(p, x, y, width, height, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 0.6});
}

struct picture *paper_small(struct paper *p, struct text text)
{
    struct picture *picture = picture_new(p->arena);
    const struct typeset *w = typesetter_set(p->typesetter, text, type_small, TEXT_SPAN);
    picture_open(picture, "P");
    picture_text(picture, w, 0, 0, INK_BLACK);
    picture_close(picture);
    picture->height = w->height;
    return picture;
}

static const struct typeset *set_head(struct paper *p, const struct column_head *h)
{
    struct type type = type_label;
    struct text words = print_text_capitals(p->arena, said_in(p->table->language, "head", h->label));
    type.align = h->align;
    return typesetter_set(p->typesetter, words, type, h->width);
}

/* A label that is too wide for its column stands in lines, one below the other. */
struct picture *paper_table_heading(struct paper *p, const struct column_head *heads, uint32_t count)
{
    struct picture *picture = picture_new(p->arena);
    const struct typeset **words = ARENA_ARRAY(p->arena, count, const struct typeset *);
    double height = 20;
    for (uint32_t i = 0; i < count; i++) {
        words[i] = set_head(p, &heads[i]);
        height = fmax(height, words[i]->height + 6);
    }
    picture->height = height + 4;
    picture_box(picture, 0, 0, TEXT_SPAN, height, (struct paint){.fill = INK_TINT});
    picture_open(picture, "TR");
    for (uint32_t i = 0; i < count; i++) {
        picture_open(picture, "TH");
        picture_text(picture, words[i], heads[i].x, (height - words[i]->height) / 2, INK_BLACK);
        picture_close(picture);
    }
    picture_close(picture);
    picture_rule(picture, 0, height, TEXT_SPAN, height, 0.9, INK_BLACK);
    return picture;
}

/* ---- cautions ----------------------------------------------------------------------------------------------------- */

static const struct signal_row {
    const char *word;
    enum ink ground, ink;
} signal_table[] = {{"DANGER", INK_RED, INK_WHITE},
                    {"WARNING", INK_ORANGE, INK_BLACK},
                    {"CAUTION", INK_YELLOW, INK_BLACK},
                    {"NOTICE", INK_BLUE, INK_WHITE}};

/* A word that is none of the four is set like the gravest. */
static const struct signal_row *signal_of(struct text word)
{
    for (size_t i = 0; i < sizeof signal_table / sizeof signal_table[0]; i++)
        if (text_is(word, signal_table[i].word))
            return &signal_table[i];
    return &signal_table[0];
}

enum { SIGN_SIDE = 30, SIGNAL_X = 40, SIGNAL_WIDTH = 84, CAUTION_X = 134 };

/* The safety alert symbol of a signal panel, ISO 3864-2: a triangle in the word's colour, its mark in the ground's. */
static void draw_alert(struct picture *picture, double x, double y, const struct signal_row *s)
{
    struct outline triangle = outline_new(picture), mark = outline_new(picture);
    outline_read(&triangle, "M 5.5 0.6 L 10.6 9.6 L 0.4 9.6 Z", x, y, 1);
    picture_shape(picture, triangle, (struct paint){.fill = s->ink, .line = s->ink, .width = 0.8, .round = true});
    outline_read(&mark, "M 4.8 3 L 6.2 3 L 5.9 6.6 L 5.1 6.6 Z O 5.5 8 0.75", x, y, 1);
    picture_shape(picture, mark, (struct paint){.fill = s->ground});
}

static void draw_signal(struct paper *p, struct picture *picture, const struct caution_row *c)
{
    const struct signal_row *s = signal_of(c->signal);
    struct outline o = outline_new(picture);
    bool alert = s->ground != INK_BLUE; /* a notice warns of no injury, so it has no alert symbol */
    double gap = alert ? 13 : 0;
    const struct typeset *w =
        typesetter_set_fitting(p->typesetter, c->word.len ? c->word : c->signal,
                               (struct type){.size = 8.5, .bold = true, .tracking = 0.4}, SIGNAL_WIDTH - 6 - gap);
    double left = SIGNAL_X + (SIGNAL_WIDTH - gap - w->width) / 2;
    outline_box(&o, SIGNAL_X, 7, SIGNAL_WIDTH, 15, 2);
    picture_shape(picture, o, (struct paint){.fill = s->ground, .line = INK_BLACK, .width = 0.5});
    if (alert)
        draw_alert(picture, left, 9.2, s);
    picture_text(picture, w, left + gap, 14.5 - w->height / 2, s->ink);
    if (!c->sign.len)
        return;
    struct text number = arena_format(p->arena, "ISO 7010-%.*s", TEXT_ARGS(c->sign));
    const struct typeset *sign = typesetter_set(p->typesetter, number, (struct type){.size = 7}, 0);
    picture_text(picture, sign, SIGNAL_X + (SIGNAL_WIDTH - sign->width) / 2, 24, INK_GREY);
}

/* The first sign stands at the left; what is to be worn at the right, behind the text. Gives the width that the text loses. */
static double draw_signs(struct paper *p, struct picture *picture, struct text numbers)
{
    const struct picture *sign = sign_picture(p->typesetter, sign_next(&numbers), SIGN_SIDE);
    double lost = 0;
    if (sign)
        picture_place(picture, sign, 0, 4.5, 1);
    while (numbers.len) {
        sign = sign_picture(p->typesetter, sign_next(&numbers), SIGN_SIDE);
        if (!sign)
            continue;
        lost += SIGN_SIDE + 6;
        picture_place(picture, sign, TEXT_SPAN - lost + 6, 4.5, 1);
    }
    return lost;
}

static const struct picture *caution_picture(struct paper *p, const struct caution_row *c)
{
    struct picture *picture = picture_new(p->arena);
    double lost = draw_signs(p, picture, c->sign);
    const struct typeset *w =
        typesetter_set(p->typesetter, c->text, (struct type){.size = 8.6}, TEXT_SPAN - CAUTION_X - lost);
    picture->height = fmax(w->height + 12, SIGN_SIDE + 9);
    picture_rule(picture, 0, 0, TEXT_SPAN, 0, 0.4, INK_RULE);
    draw_signal(p, picture, c);
    picture_open(picture, "P");
    picture_text(picture, w, CAUTION_X, fmax(6, (picture->height - w->height) / 2), INK_BLACK);
    picture_close(picture);
    return picture;
}

/* Who decides stands last, in a frame, whether the recipe's library says it or not. */
static const struct picture *decider_picture(struct paper *p, struct text words)
{
    struct picture *picture = picture_new(p->arena);
    const struct typeset *w =
        typesetter_set(p->typesetter, words, (struct type){.size = 8.6, .bold = true}, TEXT_SPAN - 24);
    picture->height = w->height + 16;
    picture_box(picture, 0.5, 0, TEXT_SPAN - 1, picture->height, (struct paint){.line = INK_BLACK, .width = 1});
    picture_text(picture, w, 12, 8, INK_BLACK);
    return picture;
}

void traveller_cautions(struct paper *p)
{
    struct text decider =
        said(p->table->language, "Local codes, the documents of the press and of the materials, and licensed or "
                                 "competent persons decide; where they differ from this sheet, they hold.");
    uint32_t first, count = p->table->cautions.count;
    paper_section(p, SAY("Cautions"));
    first = p->blocks.count;
    for (uint32_t i = 0; i < count; i++) {
        const struct caution_row *c = &p->table->cautions.at[i];
        if (text_is(c->name, "who-decides"))
            decider = c->text;
        else
            paper_add(p, caution_picture(p, c), p->blocks.count == first ? 6 : 0);
    }
    if (p->blocks.count > first)
        p->blocks.at[p->blocks.count - 1].with_next = true;
    paper_add(p, decider_picture(p, decider), 6);
}
