#include "compiler/emit/pages/words.h"

#include <pango/pangocairo.h>

#define LEADING 0.14 /* added between lines, of the size: long lines of small type need it */

void typesetter_begin(struct typesetter *t, struct arena *arena)
{
    *t = (struct typesetter){.arena = arena};
    t->fonts = pango_cairo_font_map_new();
    t->context = pango_font_map_create_context(t->fonts);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(t->context, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(t->context, FALSE);
    /* The language decides about line breaks and shapes; it must not come from the environment. */
    pango_context_set_language(t->context, pango_language_from_string("en"));
}

void typesetter_end(struct typesetter *t)
{
    for (uint32_t i = 0; i < t->layouts.count; i++)
        g_clear_object(&t->layouts.at[i]);
    t->layouts.count = 0;
    g_clear_object(&t->context);
    g_clear_object(&t->fonts);
}

static void set_font(PangoLayout *layout, const struct type *type)
{
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family_static(font, FONT_FAMILY);
    pango_font_description_set_absolute_size(font, type->size * PANGO_SCALE);
    pango_font_description_set_weight(font, type->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    if (type->tracking != 0) {
        PangoAttrList *attributes = pango_attr_list_new();
        pango_attr_list_insert(attributes, pango_attr_letter_spacing_new((int)(type->tracking * PANGO_SCALE)));
        pango_layout_set_attributes(layout, attributes);
        pango_attr_list_unref(attributes);
    }
}

static void set_lines(PangoLayout *layout, const struct type *type, double width)
{
    static const PangoAlignment alignments[] = {
        [ALIGN_LEFT] = PANGO_ALIGN_LEFT, [ALIGN_CENTRE] = PANGO_ALIGN_CENTER, [ALIGN_RIGHT] = PANGO_ALIGN_RIGHT};
    pango_layout_set_alignment(layout, alignments[type->align]);
    pango_layout_set_auto_dir(layout, FALSE); /* a word of another script must not turn the block around */
    pango_layout_set_spacing(layout, (int)(type->size * LEADING * PANGO_SCALE));
    if (width > 0) {
        pango_layout_set_width(layout, (int)(width * PANGO_SCALE));
        pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    }
}

static double axis_of(const struct words *w)
{
    struct text number = figure_of(w->text).number;
    if (!number.len)
        return 0;
    const char *point = memchr(number.at, '.', number.len); /* or the comma of other languages */
    point = point ? point : memchr(number.at, ',', number.len);
    PangoRectangle at;
    pango_layout_index_to_pos(w->layout, point ? (int)(point - number.at) : (int)number.len, &at);
    return (double)at.x / PANGO_SCALE;
}

static void measure(struct words *w)
{
    PangoRectangle logical;
    pango_layout_get_extents(w->layout, NULL, &logical);
    w->width = (double)logical.width / PANGO_SCALE;
    w->height = (double)logical.height / PANGO_SCALE;
    w->baseline = (double)pango_layout_get_baseline(w->layout) / PANGO_SCALE;
    w->axis = axis_of(w);
}

static struct words *set_new(struct typesetter *t, struct text text, struct type type, double width)
{
    struct words *w = ARENA_NEW(t->arena, struct words);
    /* Room in the list first: should memory run out, no layout is lost. */
    PangoLayout **listed = ARRAY_PUSH(t->arena, &t->layouts);
    w->text = print_text(t->arena, text);
    *listed = w->layout = pango_layout_new(t->context);
    w->type = type;
    set_font(w->layout, &type);
    set_lines(w->layout, &type, width);
    pango_layout_set_text(w->layout, w->text.at, (int)w->text.len);
    measure(w);
    return w;
}

const struct words *set_words(struct typesetter *t, struct text text, struct type type, double width)
{
    return set_new(t, text, type, width);
}

const struct words *set_short(struct typesetter *t, struct text text, struct type type, double most)
{
    struct words *w = set_new(t, text, type, 0);
    if (w->width > most) {
        pango_layout_set_ellipsize(w->layout, PANGO_ELLIPSIZE_END);
        pango_layout_set_width(w->layout, (int)(most * PANGO_SCALE));
        measure(w);
    }
    return w;
}

const struct words *set_balanced(struct typesetter *t, struct text text, struct type type, double most)
{
    const struct words *w = set_words(t, text, type, most);
    int lines = pango_layout_get_line_count(w->layout);
    double narrow = lines > 1 ? w->width / 2 : w->width, wide = w->width + 0.5;
    for (int i = 0; i < 6; i++) {
        double middle = (narrow + wide) / 2;
        pango_layout_set_width(w->layout, (int)(middle * PANGO_SCALE));
        if (pango_layout_get_line_count(w->layout) > lines || pango_layout_is_wrapped(w->layout) != (lines > 1))
            narrow = middle;
        else
            wide = middle;
    }
    return set_words(t, text, type, wide);
}
