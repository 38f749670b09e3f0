/* SVG: a picture in the file format of browsers. Type is set as text, so it can be found and copied; each line carries
 * the length it was measured with, so it fits its shape in another font too. */
#include "compiler/emit/pages/drawing/drawing.h"

#include "compiler/emit/escape.h"
#include "runtime/base/number.h"

struct svg {
    struct buffer *out;
    bool themed;
};

static void put_number(struct buffer *b, double value)
{
    struct text t = number_fixed(b->arena, value, 2);
    while (t.len && t.at[t.len - 1] == '0')
        t.len--;
    if (t.len && t.at[t.len - 1] == '.')
        t.len--;
    buffer_put(b, t);
}

static void put_attribute(struct buffer *b, const char *name, double value)
{
    buffer_printf(b, " %s=\"", name);
    put_number(b, value);
    buffer_putc(b, '"');
}

/* Names of the inks that a page's own style decides, so that a picture on a dark screen is dark; safety colours never
 * change. */
static const char *const themed_inks[INK_COUNT] = {
    [INK_NONE] = "none", [INK_BLACK] = "black", [INK_GREY] = "grey",  [INK_RULE] = "rule",
    [INK_TINT] = "tint", [INK_BAND] = "band",   [INK_WHITE] = "white"};

static void put_class(struct svg *s, enum ink fill, enum ink line)
{
    bool filled = s->themed && themed_inks[fill], lined = s->themed && line != INK_NONE && themed_inks[line];
    if (filled || lined)
        buffer_printf(s->out, " class=\"%s%s%s%s%s\"", filled ? "f-" : "", filled ? themed_inks[fill] : "",
                      filled && lined ? " " : "", lined ? "l-" : "", lined ? themed_inks[line] : "");
}

static void put_ink(struct svg *s, const char *name, enum ink ink)
{
    const struct colour *c = &ink_table[ink];
    struct buffer *b = s->out;
    if (s->themed && themed_inks[ink])
        return;
    if (ink == INK_NONE)
        buffer_printf(b, " %s=\"none\"", name);
    else
        buffer_printf(b, " %s=\"#%02x%02x%02x\"", name, c->red, c->green, c->blue);
}

static void put_points(struct buffer *b, const struct segment *s, int count)
{
    for (int i = 0; i < count; i++) {
        if (i)
            buffer_putc(b, ' ');
        put_number(b, s->x[i]);
        buffer_putc(b, ' ');
        put_number(b, s->y[i]);
    }
}

static void put_shape(struct svg *s, const struct item *item)
{
    struct buffer *b = s->out;
    static const char letters[] = {[VERB_MOVE] = 'M', [VERB_LINE] = 'L', [VERB_CURVE] = 'C', [VERB_CLOSE] = 'Z'};
    static const int points[] = {[VERB_MOVE] = 1, [VERB_LINE] = 1, [VERB_CURVE] = 3, [VERB_CLOSE] = 0};
    buffer_put(b, TEXT("<path d=\""));
    for (uint32_t i = 0; i < item->outline.segments.count; i++) {
        const struct segment *segment = &item->outline.segments.at[i];
        buffer_putc(b, letters[segment->verb]);
        put_points(b, segment, points[segment->verb]);
    }
    buffer_putc(b, '"');
    put_class(s, item->paint.fill, item->paint.line);
    put_ink(s, "fill", item->paint.fill);
    if (item->paint.line != INK_NONE) {
        put_ink(s, "stroke", item->paint.line);
        put_attribute(b, "stroke-width", item->paint.width);
        if (item->paint.dash > 0)
            put_attribute(b, "stroke-dasharray", item->paint.dash);
        if (item->paint.round)
            buffer_put(b, TEXT(" stroke-linecap=\"round\" stroke-linejoin=\"round\""));
    }
    buffer_put(b, TEXT("/>\n"));
}

static void put_line(struct svg *s, const struct item *item, struct text line, double x, double baseline, double width)
{
    const struct type *type = &item->words->type;
    struct buffer *b = s->out;
    buffer_put(b, TEXT("<text"));
    put_attribute(b, "x", x);
    put_attribute(b, "y", baseline);
    put_attribute(b, "font-size", type->size);
    if (type->bold)
        buffer_put(b, TEXT(" font-weight=\"bold\""));
    put_attribute(b, "textLength", width);
    put_class(s, item->ink, INK_NONE);
    put_ink(s, "fill", item->ink);
    buffer_putc(b, '>');
    escape_put_xml(b, line);
    buffer_put(b, TEXT("</text>\n"));
}

static void put_words(struct svg *s, const struct item *item)
{
    for (uint32_t i = 0; i < item->words->lines.count; i++) {
        const struct line *line = &item->words->lines.at[i];
        if (line->text.len)
            put_line(s, item, line->text, item->x + line->x, item->y + line->baseline, line->width);
    }
}

static void put_items(struct svg *, const struct picture *);

static void put_picture(struct svg *s, const struct item *item)
{
    struct buffer *b = s->out;
    buffer_put(b, TEXT("<g transform=\"translate("));
    put_number(b, item->x);
    buffer_putc(b, ' ');
    put_number(b, item->y);
    buffer_putc(b, ')');
    if (item->scale != 1) {
        buffer_put(b, TEXT(" scale("));
        put_number(b, item->scale);
        buffer_putc(b, ')');
    }
    buffer_put(b, TEXT("\">\n"));
    put_items(s, item->picture);
    buffer_put(b, TEXT("</g>\n"));
}

static void put_items(struct svg *s, const struct picture *p)
{
    for (uint32_t i = 0; i < p->items.count; i++) {
        const struct item *item = &p->items.at[i];
        switch (item->kind) {
        case ITEM_SHAPE:
            put_shape(s, item);
            break;
        case ITEM_TEXT:
            put_words(s, item);
            break;
        case ITEM_PICTURE:
            put_picture(s, item);
            break;
        case ITEM_OPEN:
            buffer_put(s->out, TEXT("<g>\n"));
            break;
        case ITEM_CLOSE:
            buffer_put(s->out, TEXT("</g>\n"));
            break;
        }
    }
}

void svg_write(struct buffer *b, const struct picture *p, struct text title, struct text description)
{
    buffer_put(b, TEXT("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                       "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-labelledby=\"title\""));
    put_attribute(b, "width", p->width);
    put_attribute(b, "height", p->height);
    buffer_put(b, TEXT(" viewBox=\"0 0 "));
    put_number(b, p->width);
    buffer_putc(b, ' ');
    put_number(b, p->height);
    buffer_put(b, TEXT("\" font-family=\"'" FONT_FAMILY "', Verdana, sans-serif\">\n<title id=\"title\">"));
    escape_put_xml(b, title);
    buffer_put(b, TEXT("</title>\n<desc>"));
    escape_put_xml(b, description);
    buffer_put(b, TEXT("</desc>\n<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n"));
    put_items(&(struct svg){b, false}, p);
    buffer_put(b, TEXT("</svg>\n"));
}

void svg_inline(struct buffer *b, const struct picture *p, struct svg_words words, bool themed)
{
    buffer_put(b, TEXT("<svg style=\"--width:")); /* for the page's style to enlarge */
    put_number(b, p->width);
    buffer_putc(b, '"');
    put_attribute(b, "width", p->width);
    put_attribute(b, "height", p->height);
    buffer_put(b, TEXT(" viewBox=\"0 0 "));
    put_number(b, p->width);
    buffer_putc(b, ' ');
    put_number(b, p->height);
    buffer_put(b, TEXT("\" font-family=\"'" FONT_FAMILY "', Verdana, sans-serif\""));
    if (words.id) {
        buffer_printf(b, " role=\"img\" aria-labelledby=\"%s-title %s-text\">\n<title id=\"%s-title\">", words.id,
                      words.id, words.id);
        escape_put_xml(b, words.title);
        buffer_printf(b, "</title>\n<desc id=\"%s-text\">", words.id);
        escape_put_xml(b, words.description);
        buffer_put(b, TEXT("</desc>\n"));
    } else {
        buffer_put(b, TEXT(" aria-hidden=\"true\">\n"));
    }
    put_items(&(struct svg){b, themed}, p);
    buffer_put(b, TEXT("</svg>\n"));
}
