/* Head, cautions and set-up card of the traveller, and what its tables share. */
#include "compiler/emit/pages/traveller.h"

#include "compiler/emit/pages/signs.h"
#include "compiler/said.h"

#include <math.h>

/* ---- shared ------------------------------------------------------------------------------------------------------- */

struct text capital(struct arena *a, struct text words)
{
    struct text all = in_capitals(a, words);
    uint32_t first = words.len && words.at[0] == '\xC3' ? 2 : 1;
    char *at = (char *)all.at; /* the copy just made */
    if (words.len > first)
        memcpy(at + first, words.at + first, words.len - first);
    return all;
}

void draw_field(struct picture *p, double x, double y, double width, double height)
{
    picture_box(p, x, y, width, height, (struct paint){.fill = INK_WHITE, .line = INK_BLACK, .width = 0.6});
}

struct picture *table_heading(struct paper *p, const struct column_head *heads, uint32_t count)
{
    struct picture *picture = picture_new(p->arena);
    picture->height = 24;
    picture_box(picture, 0, 0, TEXT_SPAN, 20, (struct paint){.fill = INK_TINT});
    picture_open(picture, "TR");
    for (uint32_t i = 0; i < count; i++) {
        const struct column_head *h = &heads[i];
        picture_open(picture, "TH");
        for (int line = 0; line < 2 && h->line[line]; line++) {
            const struct words *w = set_within(
                p, in_capitals(p->arena, said_in(p->table->language, "head", h->line[line])), type_label, h->width);
            double shift = h->align == ALIGN_LEFT ? 0 : (h->width - w->width) * (h->align == ALIGN_CENTRE ? 0.5 : 1);
            picture_words_on(picture, w, h->x + shift, h->line[1] ? 8.5 + 8 * line : 12.5, INK_BLACK);
        }
        picture_close(picture);
    }
    picture_close(picture);
    picture_rule(picture, 0, 20, TEXT_SPAN, 20, 0.9, INK_BLACK);
    return picture;
}

/* ---- head --------------------------------------------------------------------------------------------------------- */

enum { FACT_SIZE = 13, FACT_BASE = 24 };

/* A long title is set smaller, so that it takes no more than three lines. */
static const struct words *set_title(struct paper *p)
{
    static const double sizes[] = {21, 17, 14, 11};
    const struct words *w = NULL;
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        w = set_words(p->typesetter, p->table->title, (struct type){.size = sizes[i], .bold = true}, TEXT_SPAN);
        if (w->height <= sizes[i] * 2.7)
            break;
    }
    return w;
}

/* All facts stand on one baseline; one that is too long for its place is set smaller, then broken. */
static double draw_fact(struct paper *p, struct picture *picture, const char *label, struct text value, double x,
                        double y, double width)
{
    struct type type = {.size = FACT_SIZE, .bold = true};
    const struct words *w = set_words(p->typesetter, value, type, 0);
    picture_words(picture, set_label(p, label, width), x, y, INK_GREY);
    while (w->width > width && type.size > 8) {
        type.size -= 1.5;
        w = set_words(p->typesetter, value, type, type.size > 8 ? 0 : width);
    }
    picture_words_on(picture, w, x, y + FACT_BASE, INK_BLACK);
    return y + FACT_BASE - w->baseline + w->height;
}

/* White on black: how far the recipe may be trusted is seen first. */
static void draw_status_fact(struct paper *p, struct picture *picture, double x, double y)
{
    struct text status = in_capitals(p->arena, said_text(p->table->language, "word", p->table->status));
    const struct words *w = set_within(p, status, (struct type){.size = 11, .bold = true, .tracking = 0.8}, 70);
    bool released = text_is(p->table->status, "released");
    struct outline o = outline_new(picture);
    picture_words(picture, set_label(p, SAY("Status"), 80), x, y, INK_GREY);
    outline_box(&o, x, y + FACT_BASE - 14, w->width + 12, 19, 2);
    picture_shape(picture, o, (struct paint){.fill = released ? INK_WHITE : INK_BLACK, .line = INK_BLACK, .width = 1});
    picture_words_on(picture, w, x + 6, y + FACT_BASE - 0.5, released ? INK_BLACK : INK_WHITE);
}

static void draw_order_fields(struct paper *p, struct picture *picture, double y)
{
    static const struct {
        const char *label;
        double x, width;
    } fields[] = {{SAY("Order"), 0, 120},
                  {SAY("Pieces"), 130, 66},
                  {SAY("Press"), 206, 92},
                  {SAY("Set up by"), 308, 110},
                  {SAY("Date"), 428, 83}};
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        picture_words(picture, set_label(p, fields[i].label, fields[i].width), fields[i].x, y, INK_GREY);
        picture_rule(picture, fields[i].x, y + 26, fields[i].x + fields[i].width, y + 26, 0.6, INK_BLACK);
    }
}

void traveller_head(struct paper *p)
{
    const struct step_table *t = p->table;
    struct picture *picture = picture_new(p->arena);
    struct text print = {t->fingerprint.at, t->fingerprint.len < 12 ? t->fingerprint.len : 12};
    const struct words *title = set_title(p), *kind = set_label(p, SAY("Shop traveller"), 0);
    picture_words(picture, kind, 0, 0, INK_GREY);
    picture_open(picture, "H1");
    picture_words(picture, title, 0, 12, INK_BLACK);
    picture_close(picture);
    double y = 12 + title->height + 5;
    picture_rule(picture, 0, y, TEXT_SPAN, y, 1.6, INK_BLACK);
    y += 9;
    double bottom = y + 30;
    bottom = fmax(bottom, draw_fact(p, picture, SAY("Part"), t->part, 0, y, 150));
    bottom = fmax(bottom, draw_fact(p, picture, SAY("Revision"), t->revision, 164, y, 52));
    bottom = fmax(bottom, draw_fact(p, picture, SAY("Date"), t->date, 226, y, 90));
    bottom = fmax(bottom, draw_fact(p, picture, SAY("Fingerprint"), print, 412, y, TEXT_SPAN - 412));
    draw_status_fact(p, picture, 326, y);
    y = bottom + 8;
    picture_rule(picture, 0, y, TEXT_SPAN, y, 0.5, INK_RULE);
    draw_order_fields(p, picture, y + 7);
    picture->height = y + 36;
    paper_add(p, picture, 0);
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

enum { SIGN_SIDE = 30, SIGNAL_X = 40, SIGNAL_WIDTH = 62, CAUTION_X = 114 };

static void draw_signal(struct paper *p, struct picture *picture, const struct caution_row *c)
{
    const struct signal_row *s = signal_of(c->signal);
    const struct words *w =
        set_within(p, c->word, (struct type){.size = 8.5, .bold = true, .tracking = 0.4}, SIGNAL_WIDTH - 6);
    struct outline o = outline_new(picture);
    outline_box(&o, SIGNAL_X, 7, SIGNAL_WIDTH, 15, 2);
    picture_shape(picture, o, (struct paint){.fill = s->ground, .line = INK_BLACK, .width = 0.5});
    picture_words(picture, w, SIGNAL_X + (SIGNAL_WIDTH - w->width) / 2, 14.5 - w->height / 2, s->ink);
    if (!c->sign.len)
        return;
    struct text number = arena_format(p->arena, "ISO 7010-%.*s", TEXT_ARGS(c->sign));
    const struct words *sign = set_words(p->typesetter, number, (struct type){.size = 5.8}, 0);
    picture_words(picture, sign, SIGNAL_X + (SIGNAL_WIDTH - sign->width) / 2, 24, INK_GREY);
}

static const struct picture *caution_picture(struct paper *p, const struct caution_row *c)
{
    struct picture *picture = picture_new(p->arena);
    const struct words *w = set_words(p->typesetter, c->text, (struct type){.size = 8.6}, TEXT_SPAN - CAUTION_X);
    const struct picture *sign = sign_picture(p->typesetter, c->sign, SIGN_SIDE);
    picture->height = fmax(w->height + 12, SIGN_SIDE + 9);
    picture_rule(picture, 0, 0, TEXT_SPAN, 0, 0.4, INK_RULE);
    if (sign)
        picture_place(picture, sign, 0, 4.5, 1, 0);
    draw_signal(p, picture, c);
    picture_open(picture, "P");
    picture_words(picture, w, CAUTION_X, fmax(6, (picture->height - w->height) / 2), INK_BLACK);
    picture_close(picture);
    return picture;
}

/* Who decides stands last, in a frame, whether the recipe's library says it or not. */
static const struct picture *decider_picture(struct paper *p, struct text words)
{
    struct picture *picture = picture_new(p->arena);
    const struct words *w = set_words(p->typesetter, words, (struct type){.size = 8.6, .bold = true}, TEXT_SPAN - 24);
    picture->height = w->height + 16;
    picture_box(picture, 0.5, 0, TEXT_SPAN - 1, picture->height, (struct paint){.line = INK_BLACK, .width = 1});
    picture_words(picture, w, 12, 8, INK_BLACK);
    return picture;
}

void traveller_cautions(struct paper *p)
{
    struct text decider =
        paper_said(p, SAY("Local codes, the documents of the press and of the materials, and licensed or competent "
                          "persons decide; where they differ from this sheet, they hold."));
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

/* ---- set-up card -------------------------------------------------------------------------------------------------- */

enum { GROUP_LABEL = 84, TICK = 9 };

#define GROUP_GAP 26.0
#define GROUP_SPAN ((TEXT_SPAN - GROUP_GAP) / 2)

static double draw_setup_row(struct paper *p, struct picture *picture, const struct setup_row *s, double x, double y)
{
    double wide = GROUP_SPAN - GROUP_LABEL - TICK - 8;
    bool number =
        figure_of(print_text(p->arena, s->shown.print)).number.len && !text_same(s->shown.text, s->shown.band);
    const struct words *label = set_words(p->typesetter, s->label, type_small, GROUP_LABEL - 6);
    const struct words *words = number ? NULL : set_words(p->typesetter, s->shown.print, type_strong, wide);
    double height = fmax(fmax(label->height, words ? words->height : 10) + 7, 17), base = y + 11.5;
    picture_words_on(picture, label, x, base, INK_GREY);
    if (words) {
        picture_words_on(picture, words, x + GROUP_LABEL, base, INK_BLACK);
    } else {
        double right = draw_figure(p, picture, s->shown.print, x + GROUP_LABEL, x + GROUP_LABEL + 27, 80, base,
                                   (struct type){.size = 10.5, .bold = true})
                           .right;
        const struct words *band = set_words(p->typesetter, s->shown.print_band, type_small, 0);
        picture_words_on(picture, band, fmax(right + 5, x + GROUP_LABEL + 62), base, INK_BLACK);
    }
    draw_field(picture, x + GROUP_SPAN - TICK, y + 3.5, TICK, TICK);
    picture_rule(picture, x, y + height, x + GROUP_SPAN, y + height, 0.35, INK_RULE);
    return y + height;
}

/* Rows first to end of one group; title is empty where the group goes on beside itself. */
static double draw_group(struct paper *p, struct picture *picture, uint32_t first, uint32_t end, struct text title,
                         double x)
{
    const struct words *w = set_words(p->typesetter, title, type_strong, GROUP_SPAN);
    double y = w->height + 2;
    picture_words(picture, w, x, 0, INK_BLACK);
    picture_rule(picture, x, y, x + GROUP_SPAN, y, 0.9, INK_BLACK);
    for (uint32_t i = first; i < end; i++)
        y = draw_setup_row(p, picture, &p->table->setup.at[i], x, y);
    return y;
}

enum { GROUP_ROWS = 8 }; /* a longer group is set in two halves side by side */

static uint32_t group_end(const struct step_table *t, uint32_t first)
{
    uint32_t end = first;
    while (end < t->setup.count && text_same(t->setup.at[end].group, t->setup.at[first].group))
        end++;
    return end;
}

static void add_in_halves(struct paper *p, uint32_t first, uint32_t end)
{
    struct picture *picture = picture_new(p->arena);
    uint32_t half = first + (end - first + 1) / 2;
    double left = draw_group(p, picture, first, half, p->table->setup.at[first].group, 0), right = 0;
    if (half < end)
        right = draw_group(p, picture, half, end, TEXT(""), GROUP_SPAN + GROUP_GAP);
    picture->height = fmax(left, right);
    paper_add(p, picture, 12);
}

static void add_pair(struct paper *p, uint32_t first, uint32_t second, uint32_t end)
{
    struct picture *picture = picture_new(p->arena);
    const struct setup_row *rows = p->table->setup.at;
    picture->height = fmax(draw_group(p, picture, first, second, rows[first].group, 0),
                           draw_group(p, picture, second, end, rows[second].group, GROUP_SPAN + GROUP_GAP));
    paper_add(p, picture, 12);
}

/* Two groups side by side are one block; one that is long or has no partner stands beside itself. */
static uint32_t add_groups(struct paper *p, uint32_t first)
{
    uint32_t end = group_end(p->table, first), next = group_end(p->table, end);
    if (end - first <= GROUP_ROWS && next > end && next - end <= GROUP_ROWS) {
        add_pair(p, first, end, next);
        return next;
    }
    for (uint32_t from = first; from < end; from += 2 * GROUP_ROWS)
        add_in_halves(p, from, from + 2 * GROUP_ROWS < end ? from + 2 * GROUP_ROWS : end);
    return end;
}

void traveller_setup(struct paper *p)
{
    if (!p->table->setup.count)
        return;
    paper_section(p, SAY("Set-up card"));
    for (uint32_t i = 0; i < p->table->setup.count;)
        i = add_groups(p, i);
}
