/* The first page's top: what it is, how far it may be trusted, what was waived and chosen. */
#include "compiler/emit/pages/papers/traveller.h"

#include "compiler/emit/pages/drawing/qr.h"
#include "compiler/text/said.h"

#include <math.h>

enum { FACT_SIZE = 13, FACT_BASE = 24, QR_SIDE = 88, HEAD_GAP = 14 };

#define HEAD_SPAN (TEXT_SPAN - QR_SIDE - HEAD_GAP) /* beside the code */

/* ---- identity ----------------------------------------------------------------------------------------------------- */

/* A long title is set smaller, so that it takes no more than two lines, or three of smaller type. */
static const struct typeset *set_title(struct paper *p)
{
    static const struct {
        double size, lines;
    } tries[] = {{21, 2}, {17, 2}, {14, 2}, {11.5, 3}, {9, 3}};
    const struct typeset *w = NULL;
    for (size_t i = 0; i < sizeof tries / sizeof tries[0]; i++) {
        w = typesetter_set(p->typesetter, p->table->title, (struct type){.size = tries[i].size, .bold = true},
                           HEAD_SPAN);
        if (w->height <= tries[i].size * 1.35 * tries[i].lines)
            break;
    }
    return w;
}

/* All facts stand on one baseline; one that is too long for its place is set smaller, then broken. */
static double draw_fact(struct paper *p, struct picture *picture, const char *label, struct text value, double x,
                        double y, double width)
{
    struct type type = {.size = FACT_SIZE, .bold = true};
    const struct typeset *w = typesetter_set(p->typesetter, value, type, 0);
    picture_text(picture, paper_label(p, label, 0), x, y, INK_GREY);
    while (w->width > width && type.size > 8) {
        type.size -= 1.5;
        w = typesetter_set(p->typesetter, value, type, type.size > 8 ? 0 : width);
    }
    picture_text_on(picture, w, x, y + FACT_BASE, INK_BLACK);
    return y + FACT_BASE - w->baseline + w->height;
}

/* White on black: how far the recipe may be trusted is seen first. */
static void draw_status_fact(struct paper *p, struct picture *picture, double x, double y)
{
    const struct typeset *w =
        typesetter_set(p->typesetter, paper_status(p), (struct type){.size = 11, .bold = true, .tracking = 0.8}, 0);
    bool released = text_is(p->table->status, "released");
    struct outline o = outline_new(picture);
    picture_text(picture, paper_label(p, SAY("Status"), 0), x, y, INK_GREY);
    outline_box(&o, x, y + FACT_BASE - 14, w->width + 12, 19, 2);
    picture_shape(picture, o, (struct paint){.fill = released ? INK_WHITE : INK_BLACK, .line = INK_BLACK, .width = 1});
    picture_text_on(picture, w, x + 6, y + FACT_BASE - 0.5, released ? INK_BLACK : INK_WHITE);
}

/* What a reader with a camera gets: the recipe's name, part and revision, and the whole fingerprint. */
static struct text code_of(struct paper *p)
{
    const struct step_table *t = p->table;
    return arena_format(p->arena, "%.*s %.*s %.*s\n%.*s", TEXT_ARGS(t->name), TEXT_ARGS(t->part),
                        TEXT_ARGS(t->revision), TEXT_ARGS(print_text_capitals(p->arena, t->fingerprint)));
}

static struct text code_words(struct paper *p)
{
    const struct step_table *t = p->table;
    return SAID(p->arena, t->language, "QR code: {name}, part {part}, revision {revision}, fingerprint {fingerprint}",
                {"name", t->name}, {"part", t->part}, {"revision", t->revision}, {"fingerprint", t->fingerprint});
}

static double draw_code(struct paper *p, struct picture *picture)
{
    const struct picture *code = qr_picture(p->arena, code_of(p), QR_SIDE);
    const struct typeset *w =
        typesetter_set(p->typesetter, paper_fingerprint(p), (struct type){.size = 8.6, .bold = true}, 0);
    double x = TEXT_SPAN - QR_SIDE, y = QR_SIDE - 4;
    if (code) {
        picture_open_figure(picture, code_words(p));
        picture_place(picture, code, x, -6, 1);
        picture_close(picture);
    }
    picture_text(picture, paper_label(p, SAY("Fingerprint"), 0), x + 8, y, INK_GREY);
    picture_text(picture, w, x + 8, y + 9, INK_BLACK);
    return y + 9 + w->height;
}

static void draw_fields(struct paper *p, struct picture *picture, double y, const struct paper_field *fields,
                        uint32_t count)
{
    for (uint32_t i = 0; i < count; i++) {
        picture_text(picture, paper_label(p, fields[i].label, fields[i].width), fields[i].x, y, INK_GREY);
        picture_rule(picture, fields[i].x, y + 26, fields[i].x + fields[i].width, y + 26, 0.6, INK_BLACK);
    }
}

/* Who answers for the recipe, in the space the code leaves beside it. */
static double draw_author(struct paper *p, struct picture *picture, double y)
{
    const struct typeset *label = paper_label(p, SAY("Author"), 0);
    if (!p->table->author.len)
        return y;
    double x = label->width + 8;
    const struct typeset *w =
        typesetter_set(p->typesetter, p->table->author, (struct type){.size = 8.6, .bold = true}, HEAD_SPAN - x);
    picture_text_on(picture, label, 0, y + w->baseline, INK_GREY);
    picture_text(picture, w, x, y, INK_BLACK);
    return y + w->height;
}

void paper_head(struct paper *p, const char *kind, const struct paper_field *fields, uint32_t count)
{
    const struct step_table *t = p->table;
    struct picture *picture = picture_new(p->arena);
    const struct typeset *title = set_title(p);
    picture_text(picture, paper_label(p, kind, 0), 0, 0, INK_GREY);
    picture_open(picture, "H1");
    picture_text(picture, title, 0, 12, INK_BLACK);
    picture_close(picture);
    double y = 12 + title->height + 5, bottom;
    picture_rule(picture, 0, y, HEAD_SPAN, y, 1.6, INK_BLACK);
    y += 9;
    bottom = fmax(y + 30, draw_fact(p, picture, SAY("Part"), t->part, 0, y, 134));
    bottom = fmax(bottom, draw_fact(p, picture, SAY("Revision"), t->revision, 146, y, 60));
    bottom = fmax(bottom, draw_fact(p, picture, SAY("Date"), t->date, 216, y, 86));
    draw_status_fact(p, picture, 314, y);
    bottom = draw_author(p, picture, bottom + 5);
    y = fmax(bottom, draw_code(p, picture)) + 8;
    picture_rule(picture, 0, y, TEXT_SPAN, y, 0.5, INK_RULE);
    draw_fields(p, picture, y + 7, fields, count);
    picture->height = y + 36;
    paper_add(p, picture, 0);
}

void traveller_head(struct paper *p)
{
    static const struct paper_field fields[] = {{SAY("Order"), 0, 120},
                                                {SAY("Pieces"), 130, 66},
                                                {SAY("Press"), 206, 92},
                                                {SAY("Set up by"), 308, 110},
                                                {SAY("Date"), 428, 83}};
    paper_head(p, SAY("Shop traveller"), fields, sizeof fields / sizeof fields[0]);
}

/* ---- waivers and choices ------------------------------------------------------------------------------------------ */

enum { NOTE_X = 152 };

/* A name at the left, what is to be known of it at the right; with `mark` it begins with white words on black. */
static void add_note(struct paper *p, struct text name, struct text mark, struct text head, struct text body)
{
    struct picture *picture = picture_new(p->arena);
    const struct typeset *n = typesetter_set(p->typesetter, name, type_strong, NOTE_X - 12);
    const struct typeset *w =
        typesetter_set(p->typesetter, mark, (struct type){.size = 8, .bold = true, .tracking = 0.4}, 0);
    double x = NOTE_X + (mark.len ? w->width + 16 : 0), y = 5;
    const struct typeset *h = typesetter_set(p->typesetter, head, type_strong, TEXT_SPAN - x);
    const struct typeset *b = typesetter_set(p->typesetter, body, type_body, TEXT_SPAN - NOTE_X);
    picture_rule(picture, 0, 0, TEXT_SPAN, 0, 0.4, INK_RULE);
    picture_open(picture, "P");
    picture_text(picture, n, 0, y, INK_BLACK);
    if (mark.len) {
        picture_box(picture, NOTE_X, y - 1, w->width + 10, w->height + 2, (struct paint){.fill = INK_BLACK});
        picture_text(picture, w, NOTE_X + 5, y, INK_WHITE);
    }
    picture_text(picture, h, x, y, INK_BLACK);
    y += h->height + 2;
    picture_text(picture, b, NOTE_X, y, INK_BLACK);
    picture_close(picture);
    picture->height = fmax(5 + n->height, body.len ? y + b->height : y) + 5;
    paper_add(p, picture, p->blocks.at[p->blocks.count - 1].with_next ? 6 : 0); /* behind a heading */
}

/* What was changed, and why: the newest first. */
void traveller_revisions(struct paper *p)
{
    const struct step_table *t = p->table;
    if (t->revisions.count)
        paper_section(p, SAY("Revisions"));
    for (uint32_t i = 0; i < t->revisions.count; i++) {
        const struct revision_row *r = &t->revisions.at[i];
        add_note(p, r->revision, TEXT(""), r->date, r->reason);
    }
}

void traveller_waivers(struct paper *p)
{
    const struct step_table *t = p->table;
    if (!t->waivers.count)
        return;
    paper_section(p, SAY("Waived limits"));
    if (t->judged_on.len) {
        struct text told =
            SAID(p->arena, t->language, "Held against {date}. After a waiver has run out, its limit counts again.",
                 {"date", t->judged_on});
        paper_add(p, paper_small(p, told), 5);
        p->blocks.at[p->blocks.count - 1].with_next = true;
    }
    for (uint32_t i = 0; i < t->waivers.count; i++) {
        const struct waiver_row *w = &t->waivers.at[i];
        struct text head = SAID(p->arena, t->language, "until {date}, by {who}", {"date", w->until}, {"who", w->by});
        add_note(p, print_text_capital(p->arena, w->words),
                 w->expired ? print_text_capitals(p->arena, said(t->language, "run out")) : TEXT(""), head, w->because);
    }
}

static struct text choice_words(struct paper *p, const struct chosen_row *c)
{
    enum language l = p->table->language;
    struct buffer b;
    buffer_init(&b, p->arena);
    if (c->feasible.len)
        buffer_put(&b, SAID(p->arena, l, "Possible: {range}.", {"range", c->feasible}));
    if (c->binds_low.len)
        buffer_printf(&b, " %.*s",
                      TEXT_ARGS(SAID(p->arena, l, "Lower would break: {limit}.", {"limit", c->binds_low})));
    if (c->binds_high.len)
        buffer_printf(&b, " %.*s",
                      TEXT_ARGS(SAID(p->arena, l, "Higher would break: {limit}.", {"limit", c->binds_high})));
    return buffer_text(&b);
}

void traveller_chosen(struct paper *p)
{
    const struct step_table *t = p->table;
    if (!t->chosen.count)
        return;
    paper_section(p, SAY("Chosen by the program"));
    for (uint32_t i = 0; i < t->chosen.count; i++) {
        const struct chosen_row *c = &t->chosen.at[i];
        struct text value = c->shown.print.len ? c->shown.print : c->shown.text;
        add_note(p, print_text_capital(p->arena, c->words), TEXT(""), value, choice_words(p, c));
    }
}
