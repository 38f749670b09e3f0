#include "compiler/emit/pages/drawing/faces.h"

#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <string.h>

/* ---- finding ------------------------------------------------------------------------------------------------------ */

/* The machine's own configuration is left aside: it would add its fonts and its taste to the pages, and ten milliseconds.
 * Its caches are used. */
static const char font_rules[] =
    "<?xml version=\"1.0\"?><fontconfig>"
    "<dir>/usr/share/fonts</dir>"
    "<dir>/usr/local/share/fonts</dir>"
    "<cachedir>/var/cache/fontconfig</cachedir><selectfont>"
    "<rejectfont><pattern><patelt name=\"scalable\"><bool>true</bool></patelt></pattern>"
    "<pattern><patelt name=\"scalable\"><bool>false</bool></patelt></pattern></rejectfont><acceptfont>"
    "<pattern><patelt name=\"family\"><string>" FONT_FAMILY "</string></patelt></pattern>"
    "<pattern><patelt name=\"family\"><string>" IDEOGRAPHS_FAMILY
    "</string></patelt></pattern></acceptfont></selectfont></fontconfig>";

static bool has_family(FcConfig *config, const char *family)
{
    FcFontSet *fonts = FcConfigGetFonts(config, FcSetSystem);
    for (int i = 0; fonts && i < fonts->nfont; i++) {
        FcChar8 *name = NULL;
        if (FcPatternGetString(fonts->fonts[i], FC_FAMILY, 0, &name) == FcResultMatch &&
            strcmp((const char *)name, family) == 0)
            return true;
    }
    return false;
}

static void find_fonts(struct faces *f)
{
    FcConfig *config = FcConfigCreate();
    bool good = config && FcConfigParseAndLoadFromMemory(config, (const FcChar8 *)font_rules, FcTrue) &&
                FcConfigBuildFonts(config);
    f->no_ideographs = !good || !has_family(config, IDEOGRAPHS_FAMILY);
    if (!good || !has_family(config, FONT_FAMILY))
        f->fault = "the font " FONT_FAMILY " is not in /usr/share/fonts; it is in the package " FONT_PACKAGE
                   ": apt-get install " FONT_PACKAGE;
    if (good)
        FcConfigSetCurrent(config); /* keeps it */
    if (config)
        FcConfigDestroy(config);
}

/* ---- loading ------------------------------------------------------------------------------------------------------ */

static void make_context(struct faces *f)
{
    f->map = pango_cairo_font_map_new();
    f->context = pango_font_map_create_context(f->map);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(f->context, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(f->context, FALSE);
    /* The language decides about line breaks and shapes; it must not come from the environment. */
    pango_context_set_language(f->context, pango_language_from_string("en"));
}

static void load(struct faces *f, bool bold)
{
    PangoLayout *layout = f->layout[bold] = pango_layout_new(f->context);
    PangoFontDescription *d = pango_font_description_new();
    pango_font_description_set_family_static(d, FONT_FAMILY);
    pango_font_description_set_absolute_size(d, FACE_SIZE * PANGO_SCALE);
    pango_font_description_set_weight(d, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    f->plain[bold] = pango_context_load_font(f->context, d);
    pango_layout_set_font_description(layout, d);
    pango_font_description_free(d);
    pango_layout_set_auto_dir(layout, TRUE);
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    /* The first text in a face makes Pango read the font; any will do. */
    pango_layout_set_text(layout, "Step 10, 235 \xC2\xB0\x43 \xC2\xB1 5 K", -1);
    (void)pango_layout_get_line_count(layout);
}

static void load_all(struct faces *f)
{
    f->used = g_hash_table_new_full(NULL, NULL, g_object_unref, g_free);
    make_context(f);
    load(f, false);
    load(f, true);
}

void faces_begin(struct faces *f)
{
    *f = (struct faces){0};
    find_fonts(f);
    if (!f->fault)
        load_all(f);
}

void faces_end(struct faces *f)
{
    g_clear_pointer(&f->used, g_hash_table_destroy);
    for (int bold = 0; bold < 2; bold++) {
        g_clear_object(&f->layout[bold]);
        g_clear_object(&f->plain[bold]);
    }
    g_clear_object(&f->context);
    g_clear_object(&f->map);
}

/* ---- faces -------------------------------------------------------------------------------------------------------- */

static PangoGlyph blank_of(PangoFont *font)
{
    hb_codepoint_t glyph = 0;
    (void)hb_font_get_nominal_glyph(pango_font_get_hb_font(font), ' ', &glyph);
    return glyph;
}

const struct face *face_of(struct faces *f, PangoFont *font)
{
    struct face *face = g_hash_table_lookup(f->used, font);
    if (face)
        return face;
    PangoRectangle logical;
    pango_font_get_glyph_extents(font, PANGO_GLYPH_EMPTY, NULL, &logical);
    face = g_new(struct face, 1);
    face->drawn = cairo_scaled_font_get_font_face(pango_cairo_font_get_scaled_font(PANGO_CAIRO_FONT(font)));
    face->blank = blank_of(font);
    face->ascent = PANGO_ASCENT(logical);
    face->descent = PANGO_DESCENT(logical);
    g_hash_table_insert(f->used, g_object_ref(font), face);
    return face;
}
