#include "compiler/emit/pages/pdf.h"

#include "compiler/emit/pages/batches.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

/* ---- file --------------------------------------------------------------------------------------------------------- */

static cairo_status_t take_bytes(void *closure, const unsigned char *at, unsigned int count)
{
    return stream_put(closure, at, count) ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_NO_MEMORY;
}

/* Cairo would put the time of the run where it cannot read the date. */
static struct text date_of(struct arena *a, struct text date)
{
    static const char form[] = "0000-00-00";
    bool good = date.len == sizeof form - 1;
    for (uint32_t i = 0; good && i < date.len; i++)
        good = form[i] == '-' ? date.at[i] == '-' : date.at[i] >= '0' && date.at[i] <= '9';
    return good ? arena_format(a, "%.*sT00:00:00Z", TEXT_ARGS(date)) : TEXT("1970-01-01T00:00:00Z");
}

static void put_facts(struct pdf *p, const struct pdf_facts *f)
{
    struct text date = date_of(p->arena, f->date);
    const struct {
        cairo_pdf_metadata_t what;
        struct text text;
    } facts[] = {{CAIRO_PDF_METADATA_TITLE, f->title},     {CAIRO_PDF_METADATA_AUTHOR, f->author},
                 {CAIRO_PDF_METADATA_SUBJECT, f->subject}, {CAIRO_PDF_METADATA_CREATOR, f->creator},
                 {CAIRO_PDF_METADATA_CREATE_DATE, date},   {CAIRO_PDF_METADATA_MOD_DATE, date}};
    for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++)
        if (facts[i].text.len)
            cairo_pdf_surface_set_metadata(p->surface, facts[i].what, print_text(p->arena, facts[i].text).at);
}

void pdf_begin(struct pdf *p, struct arena *arena, double width, double height, const struct pdf_facts *facts)
{
    p->arena = arena;
    p->width = width;
    p->height = height;
    p->surface = cairo_pdf_surface_create_for_stream(take_bytes, &p->bytes, width, height);
    p->cairo = cairo_create(p->surface);
    put_facts(p, facts);
    cairo_tag_begin(p->cairo, "Document", NULL);
}

void pdf_entry(struct pdf *p, struct text title, double y)
{
    struct text place = arena_format(p->arena, "page=%u pos=[0 %d]", p->pages + 1, (int)y);
    cairo_pdf_surface_add_outline(p->surface, CAIRO_PDF_OUTLINE_ROOT, print_text(p->arena, title).at, place.at,
                                  CAIRO_PDF_OUTLINE_FLAG_OPEN);
}

const char *pdf_finish(struct pdf *p)
{
    cairo_tag_end(p->cairo, "Document");
    cairo_status_t status = cairo_status(p->cairo);
    cairo_surface_finish(p->surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(p->surface);
    return status == CAIRO_STATUS_SUCCESS ? NULL : cairo_status_to_string(status);
}

void pdf_release(struct pdf *p)
{
    if (p->cairo)
        cairo_destroy(p->cairo);
    if (p->surface)
        cairo_surface_destroy(p->surface);
    stream_free(&p->bytes);
    *p = (struct pdf){0};
}

/* ---- pages -------------------------------------------------------------------------------------------------------- */

static void use_ink(cairo_t *c, enum ink ink)
{
    const struct colour *k = &ink_table[ink];
    cairo_set_source_rgb(c, k->red / 255.0, k->green / 255.0, k->blue / 255.0);
}

static void trace(cairo_t *c, const struct outline *o, struct place at)
{
    double x[3], y[3];
    for (uint32_t i = 0; i < o->segments.count; i++) {
        const struct segment *s = &o->segments.at[i];
        for (int k = 0; k < (s->verb == VERB_CURVE ? 3 : 1); k++) {
            x[k] = at.x + s->x[k] * at.scale;
            y[k] = at.y + s->y[k] * at.scale;
        }
        switch (s->verb) {
        case VERB_MOVE:
            cairo_move_to(c, x[0], y[0]);
            break;
        case VERB_LINE:
            cairo_line_to(c, x[0], y[0]);
            break;
        case VERB_CURVE:
            cairo_curve_to(c, x[0], y[0], x[1], y[1], x[2], y[2]);
            break;
        case VERB_CLOSE:
            cairo_close_path(c);
            break;
        }
    }
}

static void paint_path(cairo_t *c, const struct paint *paint)
{
    if (paint->fill != INK_NONE) {
        use_ink(c, paint->fill);
        cairo_fill_preserve(c);
    }
    if (paint->line != INK_NONE) {
        use_ink(c, paint->line);
        cairo_set_line_width(c, paint->width);
        cairo_set_line_cap(c, paint->round ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
        cairo_set_line_join(c, paint->round ? CAIRO_LINE_JOIN_ROUND : CAIRO_LINE_JOIN_MITER);
        cairo_set_dash(c, &paint->dash, paint->dash > 0, 0);
        cairo_stroke_preserve(c);
    }
    cairo_new_path(c);
}

static void draw_shape(cairo_t *c, const struct item *item)
{
    cairo_new_path(c);
    trace(c, &item->outline, (struct place){0, 0, 1});
    paint_path(c, &item->paint);
}

/* Letters that stand at the words' own places, as text that can be found and read aloud. */
static void show_letters(cairo_t *c, const struct letters *l)
{
    cairo_show_text_glyphs(c, l->text, l->bytes, l->glyphs, l->glyph_count, l->clusters, l->cluster_count,
                           l->backward ? CAIRO_TEXT_CLUSTER_FLAG_BACKWARD : 0);
}

static void draw_letters(cairo_t *c, const struct words *w)
{
    for (uint32_t i = 0; i < w->letters.count; i++) {
        const struct letters *l = &w->letters.at[i];
        cairo_set_font_face(c, l->face);
        cairo_set_font_size(c, w->type.size);
        if (w->type.shapes)
            cairo_glyph_path(c, l->glyphs, l->glyph_count);
        else
            show_letters(c, l);
    }
}

static void draw_boxes(cairo_t *c, const struct words *w)
{
    cairo_move_to(c, 0, 0);
    cairo_scale(c, w->type.size / FACE_SIZE, w->type.size / FACE_SIZE);
    if (w->type.shapes)
        pango_cairo_layout_path(c, w->boxes);
    else
        pango_cairo_show_layout(c, w->boxes);
}

static void draw_words(cairo_t *c, const struct item *item)
{
    use_ink(c, item->ink);
    cairo_save(c);
    cairo_translate(c, item->x, item->y);
    cairo_new_path(c);
    if (item->words->boxes)
        draw_boxes(c, item->words);
    else
        draw_letters(c, item->words);
    cairo_restore(c);
    if (item->words->type.shapes) {
        cairo_fill_preserve(c);
        use_ink(c, INK_RULE);
        cairo_set_line_width(c, 0.5);
        cairo_set_dash(c, NULL, 0, 0);
        cairo_stroke_preserve(c);
    }
    cairo_new_path(c);
}

/* ---- pictures ----------------------------------------------------------------------------------------------------- */

/* A figure is drawn as it was made, one thing over the other. Of all else on a page the words stand on top, so its shapes
 * are drawn first. */
static bool is_figure(const struct item *item)
{
    return item->kind == ITEM_OPEN && strcmp(item->tag, "Figure") == 0;
}

/* From the opening of a tag to what closes it. */
static uint32_t end_of(const struct picture *p, uint32_t open)
{
    uint32_t depth = 0, i = open;
    for (; i < p->items.count; i++) {
        depth += p->items.at[i].kind == ITEM_OPEN;
        depth -= p->items.at[i].kind == ITEM_CLOSE;
        if (!depth)
            break;
    }
    return i;
}

/* What lies askew is the status behind the text. */
static bool is_behind(const struct item *item)
{
    return item->kind == ITEM_PICTURE && item->angle != 0;
}

static void collect_shapes(struct batches *b, const struct picture *p, struct place at)
{
    for (uint32_t i = 0; i < p->items.count; i++) {
        const struct item *item = &p->items.at[i];
        if (is_figure(item))
            i = end_of(p, i);
        else if (item->kind == ITEM_SHAPE)
            batches_add(b, &item->outline, &item->paint, at);
        else if (item->kind == ITEM_PICTURE && !is_behind(item))
            collect_shapes(b, item->picture, placed_in(at, item->x, item->y, item->scale));
    }
}

/* A box alone is one short word of the file, among others it is four lines. */
static void draw_batch(cairo_t *c, const struct batch *b)
{
    cairo_new_path(c);
    for (uint32_t i = 0; i < b->shapes.count; i++) {
        const struct placed_shape *s = &b->shapes.at[i];
        if (outline_is_box(s->outline))
            paint_path(c, &b->paint);
        trace(c, s->outline, s->place);
        if (outline_is_box(s->outline))
            paint_path(c, &b->paint);
    }
    paint_path(c, &b->paint);
}

static void draw_picture(cairo_t *, const struct picture *, bool all);

static void draw_placed(cairo_t *c, const struct item *item, bool all)
{
    cairo_save(c);
    cairo_translate(c, item->x, item->y);
    cairo_rotate(c, item->angle);
    cairo_scale(c, item->scale, item->scale);
    draw_picture(c, item->picture, all);
    cairo_restore(c);
}

static void draw_behind(cairo_t *c, const struct picture *p)
{
    for (uint32_t i = 0; i < p->items.count; i++)
        if (is_behind(&p->items.at[i]))
            draw_placed(c, &p->items.at[i], true);
}

/* all: shapes too; else only those of figures. */
static void draw_picture(cairo_t *c, const struct picture *p, bool all)
{
    const char *tags[8] = {NULL}; /* nesting is the program's own and shallow */
    int depth = 0;
    uint32_t figure_end = 0;
    for (uint32_t i = 0; i < p->items.count; i++) {
        const struct item *item = &p->items.at[i];
        switch (item->kind) {
        case ITEM_SHAPE:
            if (all || i < figure_end)
                draw_shape(c, item);
            break;
        case ITEM_WORDS:
            draw_words(c, item);
            break;
        case ITEM_PICTURE:
            if (all || !is_behind(item))
                draw_placed(c, item, all || i < figure_end);
            break;
        case ITEM_OPEN:
            if (is_figure(item))
                figure_end = end_of(p, i);
            tags[depth++] = item->tag;
            cairo_tag_begin(c, item->tag, item->attributes);
            break;
        case ITEM_CLOSE:
            if (depth > 0)
                cairo_tag_end(c, tags[--depth]);
            break;
        }
    }
}

/* Cairo adds up the area that has been drawn on; once it is the whole page, that costs nothing any more. A box, for
 * cairo_paint() would forget all that was recorded before, the tag of the document too. */
static void draw_ground(cairo_t *c, double width, double height)
{
    cairo_set_source_rgb(c, 1, 1, 1);
    cairo_rectangle(c, 0, 0, width, height);
    cairo_fill(c);
}

void pdf_page(struct pdf *p, const struct picture *picture)
{
    struct batches shapes = {.arena = p->arena, .width = p->width, .height = p->height};
    collect_shapes(&shapes, picture, (struct place){0, 0, 1});
    draw_ground(p->cairo, p->width, p->height);
    draw_behind(p->cairo, picture);
    for (uint32_t i = 0; i < shapes.batches.count; i++)
        draw_batch(p->cairo, &shapes.batches.at[i]);
    draw_picture(p->cairo, picture, false);
    cairo_show_page(p->cairo);
    p->pages++;
}
