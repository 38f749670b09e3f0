/* Cards: groups of labels and values, each with a box to tick but where it follows from the others. */
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"

#include <math.h>

/* ---- set-up card -------------------------------------------------------------------------------------------------- */

enum { GROUP_LABEL = 84, TICK = 9 };

struct card { /* rows of one reader, group by group */
    struct setup_row *rows;
    uint32_t count;
};

#define GROUP_GAP 26.0
#define GROUP_SPAN ((TEXT_SPAN - GROUP_GAP) / 2)

static double draw_setup_row(struct paper *p, struct picture *picture, const struct setup_row *s, double x, double y)
{
    double wide = GROUP_SPAN - GROUP_LABEL - TICK - 8;
    bool number =
        print_text_figure(print_text(p->arena, s->shown.print)).number.len && !text_same(s->shown.text, s->shown.band);
    const struct typeset *label = typesetter_set(p->typesetter, s->label, type_small, GROUP_LABEL - 6);
    const struct typeset *words = number ? NULL : typesetter_set(p->typesetter, s->shown.print, type_strong, wide);
    double height = fmax(fmax(label->height, words ? words->height : 10) + 7, 17), base = y + 11.5;
    picture_text_on(picture, label, x, base, INK_GREY);
    if (words) {
        picture_text_on(picture, words, x + GROUP_LABEL, base, INK_BLACK);
    } else {
        double right = paper_draw_figure(p, picture, s->shown.print, x + GROUP_LABEL, x + GROUP_LABEL + 27, 80, base,
                                         (struct type){.size = 10.5, .bold = true})
                           .right;
        const struct typeset *band = typesetter_set(p->typesetter, s->shown.print_band, type_small, 0);
        picture_text_on(picture, band, fmax(right + 5, x + GROUP_LABEL + 62), base, INK_BLACK);
    }
    if (!s->expected)
        paper_draw_field(picture, x + GROUP_SPAN - TICK, y + 3.5, TICK, TICK);
    picture_rule(picture, x, y + height, x + GROUP_SPAN, y + height, 0.35, INK_RULE);
    return y + height;
}

/* Rows first to end of one group; title is empty where the group goes on beside itself. */
static double draw_group(struct paper *p, const struct card *c, struct picture *picture, uint32_t first, uint32_t end,
                         struct text title, double x)
{
    const struct typeset *w = typesetter_set(p->typesetter, title, type_strong, GROUP_SPAN);
    double y = w->height + 2;
    picture_text(picture, w, x, 0, INK_BLACK);
    picture_rule(picture, x, y, x + GROUP_SPAN, y, 0.9, INK_BLACK);
    for (uint32_t i = first; i < end; i++)
        y = draw_setup_row(p, picture, &c->rows[i], x, y);
    return y;
}

enum { GROUP_ROWS = 8 }; /* a longer group is set in two halves side by side */

static uint32_t group_end(const struct card *c, uint32_t first)
{
    uint32_t end = first;
    while (end < c->count && text_same(c->rows[end].group, c->rows[first].group))
        end++;
    return end;
}

static void add_in_halves(struct paper *p, const struct card *c, uint32_t first, uint32_t end)
{
    struct picture *picture = picture_new(p->arena);
    uint32_t half = first + (end - first + 1) / 2;
    double left = draw_group(p, c, picture, first, half, c->rows[first].group, 0), right = 0;
    if (half < end)
        right = draw_group(p, c, picture, half, end, TEXT(""), GROUP_SPAN + GROUP_GAP);
    picture->height = fmax(left, right);
    paper_add(p, picture, 12);
}

static void add_pair(struct paper *p, const struct card *c, uint32_t first, uint32_t second, uint32_t end)
{
    struct picture *picture = picture_new(p->arena);
    double left = draw_group(p, c, picture, first, second, c->rows[first].group, 0);
    double right = draw_group(p, c, picture, second, end, c->rows[second].group, GROUP_SPAN + GROUP_GAP);
    picture->height = fmax(left, right);
    paper_add(p, picture, 12);
}

/* Two groups side by side are one block; one that is long or has no partner stands beside itself. */
static uint32_t add_groups(struct paper *p, const struct card *c, uint32_t first)
{
    uint32_t end = group_end(c, first), next = group_end(c, end);
    if (end - first <= GROUP_ROWS && next > end && next - end <= GROUP_ROWS) {
        add_pair(p, c, first, end, next);
        return next;
    }
    for (uint32_t from = first; from < end; from += 2 * GROUP_ROWS)
        add_in_halves(p, c, from, from + 2 * GROUP_ROWS < end ? from + 2 * GROUP_ROWS : end);
    return end;
}

void traveller_card(struct paper *p, const char *title, const struct setup_row *rows, uint32_t count,
                    enum setup_reader reader)
{
    struct card c = {ARENA_ARRAY(p->arena, count + 1, struct setup_row), 0};
    for (uint32_t i = 0; i < count; i++)
        if (rows[i].reader == reader)
            c.rows[c.count++] = rows[i];
    if (!c.count)
        return;
    paper_section(p, title);
    for (uint32_t i = 0; i < c.count;)
        i = add_groups(p, &c, i);
}

void traveller_setup(struct paper *p)
{
    traveller_card(p, SAY("Set-up card"), p->table->setup.at, p->table->setup.count, SETUP_AT_PRESS);
}
