#include "compiler/emit/pages/drawing/pdf.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#define DOCUMENT "Document"

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
    p->access = (struct accessible){
        .arena = arena, .language = facts->language, .title = facts->title, .author = facts->author};
}

void pdf_entry(struct pdf *p, struct text title, double y)
{
    struct text place = arena_format(p->arena, "page=%u pos=[0 %d]", p->pages + 1, (int)y);
    cairo_pdf_surface_add_outline(p->surface, CAIRO_PDF_OUTLINE_ROOT, print_text(p->arena, title).at, place.at,
                                  CAIRO_PDF_OUTLINE_FLAG_OPEN);
}

const char *pdf_finish(struct pdf *p)
{
    if (p->pages)
        cairo_tag_end(p->cairo, DOCUMENT);
    cairo_status_t status = cairo_status(p->cairo);
    cairo_surface_finish(p->surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(p->surface);
    return status == CAIRO_STATUS_SUCCESS ? accessible_finish(&p->access, &p->bytes) : cairo_status_to_string(status);
}

void pdf_release(struct pdf *p)
{
    if (p->cairo)
        cairo_destroy(p->cairo);
    if (p->surface)
        cairo_surface_destroy(p->surface);
    accessible_release(&p->access);
    stream_free(&p->bytes);
    *p = (struct pdf){0};
}

/* ---- pages -------------------------------------------------------------------------------------------------------- */

struct place { /* of a picture on the page: moved, then scaled */
    double x, y, scale;
};

static struct place placed_in(struct place p, double x, double y, double scale)
{
    return (struct place){p.x + x * p.scale, p.y + y * p.scale, p.scale * scale};
}

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

/* ---- words -------------------------------------------------------------------------------------------------------- */

/* Writes one page. Letters of one face, size and ink that follow each other are gathered until something else is drawn, for
 * Cairo takes a cell of a table as fast as a word of it. */
struct writer {
    cairo_t *cairo;
    struct arena *arena;
    cairo_font_face_t *face;
    double size;
    enum ink ink;
    bool backward;
    struct accessible *access;
    uint32_t tagged; /* open tags that hold words and figures, or an artifact */
    bool paragraph;  /* one was begun for words outside of all tags */
    ARRAY(char) text;
    ARRAY(cairo_glyph_t) glyphs;
    ARRAY(cairo_text_cluster_t) clusters;
};

/* As text that can be found and read aloud. */
static void show_gathered(struct writer *p)
{
    if (!p->clusters.count)
        return;
    use_ink(p->cairo, p->ink);
    cairo_set_font_face(p->cairo, p->face);
    cairo_set_font_size(p->cairo, p->size);
    cairo_show_text_glyphs(p->cairo, p->text.at, (int)p->text.count, p->glyphs.at, (int)p->glyphs.count, p->clusters.at,
                           (int)p->clusters.count, p->backward ? CAIRO_TEXT_CLUSTER_FLAG_BACKWARD : 0);
    p->text.count = p->glyphs.count = p->clusters.count = 0;
}

static void take_up(struct writer *p, const struct letters *l, double size, enum ink ink)
{
    if (p->face == l->face && p->size == size && p->ink == ink && !p->backward && !l->backward)
        return;
    show_gathered(p);
    p->face = l->face;
    p->size = size;
    p->ink = ink;
    p->backward = l->backward;
}

static void gather(struct writer *p, const struct letters *l, double size, enum ink ink, struct place at)
{
    take_up(p, l, size, ink);
    for (int i = 0; i < l->bytes; i++)
        *ARRAY_PUSH(p->arena, &p->text) = l->text[i];
    for (int i = 0; i < l->cluster_count; i++)
        *ARRAY_PUSH(p->arena, &p->clusters) = l->clusters[i];
    for (int i = 0; i < l->glyph_count; i++) {
        const cairo_glyph_t *g = &l->glyphs[i];
        *ARRAY_PUSH(p->arena, &p->glyphs) = (cairo_glyph_t){g->index, at.x + g->x * at.scale, at.y + g->y * at.scale};
    }
}

/* With boxes for what no font has. */
static void show_boxes(struct writer *p, const struct item *item, struct place at)
{
    double scale = item->words->type.size / FACE_SIZE * at.scale;
    show_gathered(p);
    cairo_save(p->cairo);
    use_ink(p->cairo, item->ink);
    cairo_translate(p->cairo, at.x, at.y);
    cairo_scale(p->cairo, scale, scale);
    cairo_move_to(p->cairo, 0, 0);
    pango_cairo_show_layout(p->cairo, item->words->boxes);
    cairo_restore(p->cairo);
    cairo_new_path(p->cairo);
}

static void show_shapes(struct writer *p, const struct item *item, struct place at)
{
    const struct typeset *w = item->words;
    show_gathered(p);
    cairo_save(p->cairo);
    cairo_translate(p->cairo, at.x, at.y);
    cairo_new_path(p->cairo);
    for (uint32_t i = 0; i < w->letters.count; i++) {
        cairo_set_font_face(p->cairo, w->letters.at[i].face);
        cairo_set_font_size(p->cairo, w->type.size * at.scale);
        cairo_glyph_path(p->cairo, w->letters.at[i].glyphs, w->letters.at[i].glyph_count);
    }
    cairo_restore(p->cairo);
    paint_path(p->cairo, &(struct paint){.fill = item->ink});
}

static void draw_words(struct writer *p, const struct item *item, struct place place)
{
    const struct typeset *w = item->words;
    struct place at = placed_in(place, item->x, item->y, 1);
    if (w->boxes)
        show_boxes(p, item, at);
    else if (w->type.shapes)
        show_shapes(p, item, at);
    else
        for (uint32_t i = 0; i < w->letters.count; i++)
            gather(p, &w->letters.at[i], w->type.size * place.scale, item->ink, at);
}

/* ---- pictures ----------------------------------------------------------------------------------------------------- */

/* A figure is drawn as it was made, one thing over the other. Of all else on a page the words stand on top, so its shapes
 * are drawn first. */
static bool is_figure(const struct item *item)
{
    return item->kind == ITEM_OPEN && strcmp(item->tag, TAG_FIGURE) == 0;
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

static void draw_shape(cairo_t *c, const struct item *item, struct place at)
{
    struct paint paint = item->paint;
    paint.width *= at.scale;
    paint.dash *= at.scale;
    cairo_new_path(c);
    trace(c, &item->outline, at);
    paint_path(c, &paint);
}

static void draw_ground_shapes(cairo_t *c, const struct picture *p, struct place at)
{
    for (uint32_t i = 0; i < p->items.count; i++) {
        const struct item *item = &p->items.at[i];
        if (is_figure(item))
            i = end_of(p, i);
        else if (item->kind == ITEM_SHAPE)
            draw_shape(c, item, at);
        else if (item->kind == ITEM_PICTURE)
            draw_ground_shapes(c, item->picture, placed_in(at, item->x, item->y, item->scale));
    }
}

/* ---- tags --------------------------------------------------------------------------------------------------------- */

/* Made of other tags alone: what stands in them and in no tag of their inside is in none. */
static bool is_container(const char *tag)
{
    static const char *const containers[] = {"Table", "TR", "TOC", "TOCI", TAG_PLACE};
    for (size_t i = 0; i < sizeof containers / sizeof containers[0]; i++)
        if (strcmp(tag, containers[i]) == 0)
            return true;
    return false;
}

static void begin_tag(struct writer *writer, const struct accessible_tag *tag, const char *attributes)
{
    cairo_tag_begin(writer->cairo, tag->name, attributes);
    if (strcmp(tag->name, TAG_PLACE) != 0)
        *ARRAY_PUSH(writer->arena, &writer->access->tags) = *tag;
}

static void end_paragraph(struct writer *writer)
{
    show_gathered(writer);
    if (writer->paragraph)
        cairo_tag_end(writer->cairo, "P");
    writer->paragraph = false;
}

static void begin_paragraph(struct writer *writer)
{
    if (writer->tagged || writer->paragraph)
        return;
    show_gathered(writer);
    begin_tag(writer, &(struct accessible_tag){.name = "P"}, NULL);
    writer->paragraph = true;
}

static void open_tag(struct writer *writer, const struct item *item)
{
    end_paragraph(writer);
    writer->tagged += !is_container(item->tag);
    if (strcmp(item->tag, TAG_ARTIFACT) != 0)
        begin_tag(writer, &(struct accessible_tag){item->tag, item->told, item->columns}, item->attributes);
}

static void close_tag(struct writer *writer, const char *tag)
{
    end_paragraph(writer);
    writer->tagged -= !is_container(tag);
    if (strcmp(tag, TAG_ARTIFACT) != 0)
        cairo_tag_end(writer->cairo, tag);
}

/* figure: its shapes too, which are drawn among its words. */
static void draw_picture(struct writer *writer, const struct picture *p, struct place at, bool figure)
{
    const char *tags[8] = {NULL}; /* nesting is the program's own and shallow */
    int depth = 0;
    uint32_t figure_end = 0;
    for (uint32_t i = 0; i < p->items.count; i++) {
        const struct item *item = &p->items.at[i];
        switch (item->kind) {
        case ITEM_SHAPE:
            if (figure || i < figure_end) {
                show_gathered(writer);
                draw_shape(writer->cairo, item, at);
            }
            break;
        case ITEM_TEXT:
            begin_paragraph(writer);
            draw_words(writer, item, at);
            break;
        case ITEM_PICTURE:
            draw_picture(writer, item->picture, placed_in(at, item->x, item->y, item->scale), figure || i < figure_end);
            break;
        case ITEM_OPEN:
            if (is_figure(item))
                figure_end = end_of(p, i);
            tags[depth++] = item->tag;
            open_tag(writer, item);
            break;
        case ITEM_CLOSE:
            if (depth > 0)
                close_tag(writer, tags[--depth]);
            break;
        }
    }
}

/* Cairo adds up the area that has been drawn on; once it is the whole page, that costs nothing any more. What was recorded
 * of the page before may be forgotten, as nothing of it can be seen. */
static void draw_ground(cairo_t *c, double width, double height)
{
    cairo_set_source_rgb(c, 1, 1, 1);
    cairo_rectangle(c, 0, 0, width, height);
    cairo_fill(c);
}

void pdf_page(struct pdf *p, const struct picture *picture)
{
    struct writer writer = {.cairo = p->cairo, .arena = p->arena, .access = &p->access};
    const struct place whole = {0, 0, 1};
    draw_ground(p->cairo, p->width, p->height);
    if (!p->pages)
        begin_tag(&writer, &(struct accessible_tag){.name = DOCUMENT}, NULL);
    draw_ground_shapes(p->cairo, picture, whole);
    draw_picture(&writer, picture, whole, false);
    end_paragraph(&writer);
    cairo_show_page(p->cairo);
    p->pages++;
}
