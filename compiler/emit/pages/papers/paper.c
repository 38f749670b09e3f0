#include "compiler/emit/pages/papers/paper.h"

#include "compiler/text/said.h"

#include <math.h>

enum { TOP_FIRST = 34, TOP = 64, FOOT = 48, TALL_ROW = 72 };

const struct type type_title = {.size = 21, .bold = true};
const struct type type_section = {.size = 12.5, .bold = true};
const struct type type_value = {.size = 13, .bold = true};
const struct type type_strong = {.size = 9, .bold = true};
const struct type type_body = {.size = 8.3};
const struct type type_small = {.size = 7.2};
const struct type type_label = {.size = 7, .bold = true, .tracking = 0.2};

/* ---- type --------------------------------------------------------------------------------------------------------- */

/* In the language of the paper. */
static struct text paper_said(struct paper *p, const char *english)
{
    return said(p->table->language, english);
}

/* Words of any type on one line, smaller where they would be wider than `most`. */
static const struct typeset *paper_fitting(struct paper *p, struct text t, struct type type, double most)
{
    return most > 0 ? typesetter_set_fitting(p->typesetter, t, type, most) : typesetter_set(p->typesetter, t, type, 0);
}

const struct typeset *paper_label(struct paper *p, const char *english, double most)
{
    return paper_fitting(p, print_text_capitals(p->arena, paper_said(p, english)), type_label, most);
}

const struct typeset *paper_label_lines(struct paper *p, const char *english, double width, enum align align)
{
    struct type type = type_label;
    type.align = align;
    return typesetter_set(p->typesetter, print_text_capitals(p->arena, said(p->table->language, english)), type, width);
}

struct text paper_status(struct paper *p)
{
    return print_text_capitals(p->arena, said_text(p->table->language, "word", p->table->status));
}

struct text paper_fingerprint(struct paper *p)
{
    struct text whole = p->table->fingerprint;
    return (struct text){whole.at, whole.len < 12 ? whole.len : 12};
}

const struct typeset *paper_body(struct paper *p, struct text t, double width)
{
    return typesetter_set(p->typesetter, t, type_body, width);
}

static struct reach draw_in_words(struct paper *p, struct picture *picture, struct text words, double left,
                                  double width, double baseline, struct type type)
{
    const struct typeset *w = typesetter_set(p->typesetter, words, type, 0);
    if (w->width > width) {
        type.size = fmax(7, type.size * 0.66);
        w = typesetter_set(p->typesetter, words, type, width);
    }
    picture_text_on(picture, w, left, baseline, INK_BLACK);
    return (struct reach){left + w->width, baseline - w->baseline + w->height};
}

struct reach paper_draw_figure(struct paper *p, struct picture *picture, struct text print, double left, double axis,
                               double width, double baseline, struct type type)
{
    struct figure f = print_text_figure(print_text(p->arena, print));
    struct type small = {.size = type.size < 12 ? type_small.size : type.size * 0.64};
    if (!f.number.len)
        return draw_in_words(p, picture, f.unit, left, width, baseline, type);
    const struct typeset *number = typesetter_set(p->typesetter, f.number, type, 0);
    bool mark = text_is(f.unit, "°") || text_is(f.unit, "′") || text_is(f.unit, "″"); /* of an angle: close by */
    const struct typeset *unit = typesetter_set(p->typesetter, f.unit, mark ? type : small, 0);
    double gap = f.unit.len && !mark ? type.size * 0.22 : 0, needed = number->width + gap + unit->width;
    if (needed > width && type.size > 7) {
        type.size = fmax(7, type.size * 0.8);
        return paper_draw_figure(p, picture, print, left, axis, width, baseline, type);
    }
    double x = fmax(left, fmin(axis - number->axis, left + width - needed));
    picture_text_on(picture, number, x, baseline, INK_BLACK);
    picture_text_on(picture, unit, x + number->width + gap, baseline, INK_BLACK);
    return (struct reach){x + needed, baseline - number->baseline + number->height};
}

/* ---- blocks ------------------------------------------------------------------------------------------------------- */

void paper_begin(struct paper *p, struct typesetter *t, const struct step_table *table, enum paper_format format)
{
    const struct paper_size *size = &paper_sizes[format];
    *p = (struct paper){
        .typesetter = t, .arena = t->arena, .table = table, .width = size->width, .height = size->height};
    p->margin = (p->width - TEXT_SPAN) / 2;
}

struct block *paper_add(struct paper *p, const struct picture *picture, double before)
{
    struct block *b = ARRAY_PUSH(p->arena, &p->blocks);
    *b = (struct block){.picture = picture, .before = before};
    return b;
}

void paper_section(struct paper *p, const char *english)
{
    struct text title = paper_said(p, english);
    struct picture *picture = picture_new(p->arena);
    const struct typeset *w = typesetter_set(p->typesetter, title, type_section, 0);
    picture_box(picture, 0, 0, 22, 2.4, (struct paint){.fill = INK_BLACK});
    picture_open(picture, "H2");
    picture_text(picture, w, 0, 6, INK_BLACK);
    picture_close(picture);
    picture->height = 6 + w->height;
    struct block *b = paper_add(p, picture, 20);
    b->entry = title;
    b->with_next = true;
}

uint32_t paper_table(struct paper *p, const struct picture *heading)
{
    struct block *b = paper_add(p, heading, 6);
    b->heading = heading;
    b->with_next = true;
    return p->blocks.count;
}

void paper_table_end(struct paper *p, uint32_t first)
{
    uint32_t count = p->blocks.count - first;
    for (uint32_t i = first; i < p->blocks.count; i++) {
        p->blocks.at[i].heading = p->blocks.at[first - 1].heading;
        p->blocks.at[i].shows = p->blocks.at[first - 1].shows;
    }
    if (count < 3)
        return;
    if (p->blocks.at[first].picture->height < TALL_ROW)
        p->blocks.at[first].with_next = true;
    if (p->blocks.at[p->blocks.count - 1].picture->height < TALL_ROW)
        p->blocks.at[p->blocks.count - 2].with_next = true;
}

/* ---- filling pages ------------------------------------------------------------------------------------------------ */

double paper_room(const struct paper *p, bool first_page)
{
    return p->height - FOOT - (first_page ? TOP_FIRST : TOP);
}

struct placed {
    uint32_t block, page;
    double y, scale;
    bool again;       /* the heading stands above it again */
    bool continued;   /* it goes on with a section, which is named above it */
    uint32_t section; /* the block that began it */
};

struct filling {
    ARRAY(struct placed) placed;
    uint32_t page;
    double y;
    uint32_t section; /* the block that began it; 0: none yet, for the first block is the head */
};

enum { CONTINUED = 15 }; /* height of the line that says which section goes on */

/* Of the heading that stands above a row on the top of a page. */
static double heading_height(const struct block *b)
{
    return b->heading && b->heading != b->picture ? b->heading->height : 0;
}

/* Of all that stands above a block on the top of a page. */
static double height_above(const struct block *b)
{
    return heading_height(b) + (b->entry.len ? 0 : CONTINUED);
}

/* One that is taller than a whole page is shown smaller: nothing may be lost. */
static double scale_of(const struct paper *p, const struct block *b)
{
    double room = paper_room(p, false) - height_above(b);
    return b->picture->height > room ? room / b->picture->height : 1;
}

static double height_of(const struct paper *p, const struct block *b)
{
    return b->picture->height * scale_of(p, b);
}

/* Height of the blocks from i on that no page end may part. */
static double run_height(const struct paper *p, uint32_t i)
{
    double height = height_of(p, &p->blocks.at[i]);
    for (; i + 1 < p->blocks.count && p->blocks.at[i].with_next; i++)
        height += p->blocks.at[i + 1].before + height_of(p, &p->blocks.at[i + 1]);
    return height;
}

static void start_page(struct filling *f)
{
    f->page++;
    f->y = f->page == 1 ? TOP_FIRST : TOP;
}

static bool at_top(const struct filling *f)
{
    return f->y <= (f->page == 1 ? TOP_FIRST : TOP);
}

static bool fits(const struct paper *p, const struct filling *f, double height)
{
    return f->y + height <= p->height - FOOT + 0.01;
}

static void place_block(struct paper *p, struct filling *f, uint32_t i, bool whole_run)
{
    const struct block *b = &p->blocks.at[i];
    double needed = whole_run ? run_height(p, i) : height_of(p, b);
    if (needed + height_above(b) > paper_room(p, false))
        needed = height_of(p, b);
    if (!at_top(f) && (b->new_page || !fits(p, f, b->before + needed)))
        start_page(f);
    if (b->entry.len)
        f->section = i;
    bool top = at_top(f), further = top && f->page > 1;
    struct placed placed = {.block = i, .page = f->page, .scale = scale_of(p, b), .section = f->section};
    placed.again = further && heading_height(b) > 0;
    placed.continued = further && f->section && f->section != i;
    f->y += top ? 0 : b->before;
    f->y += (placed.continued ? CONTINUED : 0) + (placed.again ? heading_height(b) : 0);
    placed.y = f->y;
    *ARRAY_PUSH(p->arena, &f->placed) = placed;
    f->y += height_of(p, b);
}

static void fill_pages(struct paper *p, struct filling *f)
{
    start_page(f);
    for (uint32_t i = 0; i < p->blocks.count; i++) {
        place_block(p, f, i, i == 0 || !p->blocks.at[i - 1].with_next);
        while (p->blocks.at[i].fills && fits(p, f, height_of(p, &p->blocks.at[i])))
            place_block(p, f, i, false);
    }
}

/* ---- head, foot, status ------------------------------------------------------------------------------------------- */

/* Down the right margin of both halves of the page, one letter below the other, unless the recipe is released: large
 * enough to be seen across a room, and never where something is read or written. */
static void draw_status(struct paper *p, struct picture *page)
{
    const struct type type = {.size = 22, .bold = true, .shapes = true};
    const double most = 28, half = p->height / 2, fold = 20;
    struct text status = paper_status(p);
    if (text_is(p->table->status, "released") || !status.len)
        return;
    double step = fmin(most, (half - TOP - fold) / (double)g_utf8_strlen(status.at, status.len));
    for (int side = 0; side < 2; side++) {
        double y = half / 2 + fold + side * (half - fold) - step * (double)g_utf8_strlen(status.at, status.len) / 2;
        for (const char *at = status.at; at < status.at + status.len; at = g_utf8_next_char(at), y += step) {
            struct text letter = {at, (uint32_t)(g_utf8_next_char(at) - at)};
            const struct typeset *w = typesetter_set(p->typesetter, letter, type, 0);
            picture_text(page, w, p->width - p->margin / 2 - w->width / 2, y, INK_GREY);
        }
    }
}

/* White on black at the head of every page: what a copy of a copy still shows. */
static double draw_status_mark(struct paper *p, struct picture *page)
{
    const struct typeset *w =
        typesetter_set(p->typesetter, paper_status(p), (struct type){.size = 8.5, .bold = true, .tracking = 0.6}, 0);
    bool released = text_is(p->table->status, "released");
    double x = (p->width - w->width) / 2;
    picture_box(page, x - 6, 31, w->width + 12, 14,
                (struct paint){.fill = released ? INK_WHITE : INK_BLACK, .line = INK_BLACK, .width = 0.8});
    picture_text(page, w, x, 38 - w->height / 2, released ? INK_BLACK : INK_WHITE);
    return w->width + 12;
}

/* Smaller before anything of it is left away: revision and fingerprint stand at its end. */
static const struct typeset *set_line(struct paper *p, struct text t, struct type type, double most)
{
    const struct typeset *w = paper_fitting(p, t, type, most);
    return w->width <= most ? w : typesetter_set_short(p->typesetter, t, type, most);
}

static void draw_head(struct paper *p, struct picture *page)
{
    const struct step_table *t = p->table;
    double room = (TEXT_SPAN - draw_status_mark(p, page)) / 2 - 10;
    struct text name =
        SAID(p->arena, t->language, "{part}, rev. {revision}", {"part", t->part}, {"revision", t->revision});
    const struct typeset *left = set_line(p, name, type_strong, room);
    const struct typeset *right = typesetter_set_short(p->typesetter, t->title, type_small, room);
    picture_text_on(page, left, p->margin, 42, INK_BLACK);
    picture_text_on(page, right, p->width - p->margin - right->width, 42, INK_BLACK);
    picture_rule(page, p->margin, 48, p->width - p->margin, 48, 1.2, INK_BLACK);
}

static void draw_foot(struct paper *p, struct picture *page, uint32_t number, uint32_t count)
{
    const struct step_table *t = p->table;
    struct text left =
        SAID(p->arena, t->language, "{part}, rev. {revision}, {date}, {status}, fingerprint {fingerprint}",
             {"part", t->part}, {"revision", t->revision}, {"date", t->date}, {"status", paper_status(p)},
             {"fingerprint", paper_fingerprint(p)});
    struct text right =
        SAID(p->arena, t->language, "page {page} of {pages}", {"page", arena_format(p->arena, "%u", number)},
             {"pages", arena_format(p->arena, "%u", count)});
    const struct typeset *words = typesetter_set(p->typesetter, right, type_small, 0);
    double y = p->height - FOOT + 14;
    picture_rule(page, p->margin, y, p->width - p->margin, y, 0.5, INK_RULE);
    picture_text_on(page, set_line(p, left, type_small, TEXT_SPAN * 0.8), p->margin, y + 11, INK_BLACK);
    picture_text_on(page, words, p->width - p->margin - words->width, y + 11, INK_BLACK);
}

/* Where the sheet is folded, so that it goes into a sleeve of half its size with the head outside. */
static void draw_fold(struct paper *p, struct picture *page)
{
    picture_rule(page, 10, p->height / 2, 22, p->height / 2, 0.6, INK_GREY);
    picture_rule(page, p->width - 22, p->height / 2, p->width - 10, p->height / 2, 0.6, INK_GREY);
}

static void draw_entry(struct picture *page, uint32_t block, const struct typeset *w, double x, double y)
{
    picture_open(page, "TOCI");
    picture_open_link(page, block, w->text);
    picture_text_on(page, w, x, y, INK_GREY);
    picture_close(page);
    picture_close(page);
}

/* What stands where, above the head of the first page, in one line or two; each name leads there. Gives how many lines it
 * takes, and draws them when there is a page. */
static int draw_contents_from(struct paper *p, struct picture *page, const struct filling *f, double y)
{
    const double size = LEAST_SIZE, line = 9;
    double x = p->margin;
    int lines = 1;
    for (uint32_t i = 0; i < f->placed.count; i++) {
        const struct placed *placed = &f->placed.at[i];
        struct text entry = p->blocks.at[placed->block].entry;
        if (!entry.len)
            continue;
        struct text words = SAID(p->arena, p->table->language, "{section} {page}", {"section", entry},
                                 {"page", arena_format(p->arena, "%u", placed->page)});
        const struct typeset *w = typesetter_set(p->typesetter, words, (struct type){.size = size}, 0);
        if (x > p->margin && x + w->width > p->margin + TEXT_SPAN) {
            x = p->margin;
            y += line;
            lines++;
        }
        if (page)
            draw_entry(page, placed->block, w, x, y);
        x += w->width + size;
    }
    return lines;
}

static void draw_contents(struct paper *p, struct picture *page, const struct filling *f)
{
    int lines = draw_contents_from(p, NULL, f, 0);
    picture_open(page, "TOC");
    draw_contents_from(p, page, f, lines > 1 ? 13 : 22);
    picture_close(page);
}

/* ---- printing ----------------------------------------------------------------------------------------------------- */

static void draw_continued(struct paper *p, struct picture *page, const struct placed *placed)
{
    struct text words =
        SAID(p->arena, p->table->language, "{section}, continued", {"section", p->blocks.at[placed->section].entry});
    picture_open_artifact(page);
    picture_text(page, typesetter_set_short(p->typesetter, words, type_strong, TEXT_SPAN), p->margin, TOP - 4,
                 INK_BLACK);
    picture_close(page);
}

static void draw_placed(struct paper *p, struct picture *page, struct pdf *pdf, const struct placed *placed)
{
    const struct block *b = &p->blocks.at[placed->block];
    if (placed->continued)
        draw_continued(p, page, placed);
    if (b->entry.len)
        pdf_entry(pdf, b->entry, placed->y);
    if (placed->again)
        picture_place(page, b->heading, p->margin, placed->y - b->heading->height, 1);
    if (b->entry.len)
        picture_open_place(page, placed->block);
    picture_place(page, b->picture, p->margin, placed->y, placed->scale);
    if (b->entry.len)
        picture_close(page);
}

/* A table that goes on is tagged as a table on each of its pages, and so is a figure. */
static void turn_table(struct picture *page, const struct block **at, const struct block *to)
{
    if ((*at ? (*at)->heading : NULL) == (to ? to->heading : NULL))
        return;
    if (*at && (*at)->heading)
        picture_close(page);
    if (to && to->heading && to->shows.len)
        picture_open_figure(page, to->shows);
    else if (to && to->heading)
        picture_open(page, "Table");
    *at = to;
}

static void draw_top(struct paper *p, struct picture *page, const struct filling *f, uint32_t number)
{
    if (number == 1 && f->page > 1)
        draw_contents(p, page, f);
    if (number == 1)
        return;
    picture_open_artifact(page);
    draw_head(p, page);
    picture_close(page);
}

static void draw_bottom(struct paper *p, struct picture *page, uint32_t number, uint32_t count)
{
    picture_open_artifact(page);
    draw_foot(p, page, number, count);
    draw_fold(p, page);
    draw_status(p, page);
    picture_close(page);
}

void paper_print(struct paper *p, struct pdf *pdf)
{
    struct filling f = {0};
    fill_pages(p, &f);
    uint32_t next = 0;
    for (uint32_t number = 1; number <= f.page; number++) {
        struct picture *page = picture_new(p->arena);
        const struct block *table = NULL;
        draw_top(p, page, &f, number);
        for (; next < f.placed.count && f.placed.at[next].page == number; next++) {
            turn_table(page, &table, &p->blocks.at[f.placed.at[next].block]);
            draw_placed(p, page, pdf, &f.placed.at[next]);
        }
        turn_table(page, &table, NULL);
        draw_bottom(p, page, number, f.page);
        pdf_page(pdf, page);
    }
}
