#include "compiler/emit/pages/words.h"

#include "runtime/base/buffer.h"

#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>

#define LEADING 0.14 /* added between lines, of the size: long lines of small type need it */

/* ---- fonts -------------------------------------------------------------------------------------------------------- */

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

static const char *set_fonts(struct typesetter *t)
{
    FcConfig *config = FcConfigCreate();
    bool good = config && FcConfigParseAndLoadFromMemory(config, (const FcChar8 *)font_rules, FcTrue) &&
                FcConfigBuildFonts(config);
    bool latin = good && has_family(config, FONT_FAMILY);
    t->no_ideographs = !good || !has_family(config, IDEOGRAPHS_FAMILY);
    if (good)
        FcConfigSetCurrent(config); /* keeps it */
    if (config)
        FcConfigDestroy(config);
    return latin ? NULL
                 : "the font " FONT_FAMILY " is not in /usr/share/fonts; it is in the package " FONT_PACKAGE
                   ": apt-get install " FONT_PACKAGE;
}

const char *typesetter_begin(struct typesetter *t, struct arena *arena)
{
    *t = (struct typesetter){.arena = arena};
    map_init(&t->known, arena);
    const char *fault = set_fonts(t);
    if (fault)
        return fault;
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
    return NULL;
}

void typesetter_end(struct typesetter *t)
{
    for (uint32_t i = 0; i < t->layouts.count; i++)
        g_clear_object(&t->layouts.at[i]);
    t->layouts.count = 0;
    g_clear_object(&t->context);
    g_clear_object(&t->fonts);
}

static void note_unknown(struct typesetter *t, uint32_t character)
{
    for (uint32_t i = 0; i < t->unknown.count; i++)
        if (t->unknown.at[i] == character)
            return;
    *ARRAY_PUSH(t->arena, &t->unknown) = character;
}

static void find_unknown(struct typesetter *t, PangoLayout *layout)
{
    if (!pango_layout_get_unknown_glyphs_count(layout))
        return;
    PangoLayoutIter *at = pango_layout_get_iter(layout);
    do {
        const PangoLayoutRun *run = pango_layout_iter_get_run_readonly(at);
        for (int i = 0; run && i < run->glyphs->num_glyphs; i++) {
            PangoGlyph glyph = run->glyphs->glyphs[i].glyph;
            if (glyph & PANGO_GLYPH_UNKNOWN_FLAG && glyph != PANGO_GLYPH_EMPTY)
                note_unknown(t, glyph & ~PANGO_GLYPH_UNKNOWN_FLAG);
        }
    } while (pango_layout_iter_next_run(at));
    pango_layout_iter_free(at);
}

/* CJK and its neighbours: radicals, kana, ideographs, Hangul, full-width forms. */
static bool is_ideograph(uint32_t c)
{
    return (c >= 0x1100 && c < 0x1200) || (c >= 0x2E80 && c < 0xD7B0) || (c >= 0xF900 && c < 0xFB00) ||
           (c >= 0xFF00 && c < 0xFFF0) || (c >= 0x20000 && c < 0x40000);
}

struct text typesetter_unknown(struct typesetter *t, struct arena *arena)
{
    enum { NAMED = 8 };
    struct buffer b;
    bool ideographs = false;
    buffer_init(&b, arena);
    if (!t->unknown.count)
        return TEXT("");
    buffer_printf(&b, "no font here has the character%s", t->unknown.count > 1 ? "s" : "");
    for (uint32_t i = 0; i < t->unknown.count; i++) {
        ideographs = ideographs || is_ideograph(t->unknown.at[i]);
        if (i < NAMED)
            buffer_printf(&b, "%s U+%04X", i ? "," : "", t->unknown.at[i]);
    }
    if (t->unknown.count > NAMED)
        buffer_printf(&b, " and %u more", t->unknown.count - NAMED);
    buffer_printf(&b, "; boxes with these numbers stand for %s", t->unknown.count > 1 ? "them" : "it");
    if (ideographs && t->no_ideographs)
        buffer_put(&b, TEXT(". Chinese, Japanese and Korean letters: apt-get install " IDEOGRAPHS_PACKAGE));
    return buffer_text(&b);
}

/* ---- setting ------------------------------------------------------------------------------------------------------ */

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
    pango_layout_set_spacing(layout, (int)(type->size * LEADING * PANGO_SCALE));
    if (width > 0) {
        pango_layout_set_width(layout, (int)(width * PANGO_SCALE));
        pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    }
}

/* Asking for the direction breaks the text into lines, so it is asked only where a letter may be of such a script: the
 * first begins at U+0590. */
static bool may_turn(struct text text)
{
    for (uint32_t i = 0; i < text.len; i++)
        if ((unsigned char)text.at[i] >= 0xD6)
            return true;
    return false;
}

/* Words of a script that runs from right to left are ordered as it orders them; the block stands where it would stand
 * anyway: in such a layout Pango's left is the right. */
static void set_text(PangoLayout *layout, struct text text, enum align align)
{
    static const PangoAlignment alignments[][2] = {[ALIGN_LEFT] = {PANGO_ALIGN_LEFT, PANGO_ALIGN_RIGHT},
                                                   [ALIGN_CENTRE] = {PANGO_ALIGN_CENTER, PANGO_ALIGN_CENTER},
                                                   [ALIGN_RIGHT] = {PANGO_ALIGN_RIGHT, PANGO_ALIGN_LEFT}};
    pango_layout_set_auto_dir(layout, TRUE);
    pango_layout_set_text(layout, text.at, (int)text.len);
    bool turned = may_turn(text) && pango_layout_get_direction(layout, 0) == PANGO_DIRECTION_RTL;
    pango_layout_set_alignment(layout, alignments[align][turned]);
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

/* A line that ends where the words themselves give no leave to. */
static bool breaks_a_word(PangoLayout *layout)
{
    int count;
    const char *text = pango_layout_get_text(layout);
    const PangoLogAttr *at = pango_layout_get_log_attrs_readonly(layout, &count);
    for (int i = 1; i < pango_layout_get_line_count(layout); i++) {
        long place = g_utf8_pointer_to_offset(text, text + pango_layout_get_line_readonly(layout, i)->start_index);
        if (place < count && !at[place].is_line_break)
            return true;
    }
    return false;
}

/* "SCHRI-TT" over a narrow column: a little smaller, the word stays whole. One that is far too long is broken after all. */
static void keep_words_whole(struct words *w, double width)
{
    const double least = 0.72;
    struct type type = w->type;
    while (type.size > w->type.size * least && breaks_a_word(w->layout)) {
        type.size *= 0.95;
        type.tracking *= 0.9;
        set_font(w->layout, &type);
        set_lines(w->layout, &type, width);
    }
    if (breaks_a_word(w->layout)) {
        set_font(w->layout, &w->type);
        set_lines(w->layout, &w->type, width);
    } else {
        w->type = type;
    }
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
    set_text(w->layout, w->text, type.align);
    if (width > 0 && pango_layout_is_wrapped(w->layout))
        keep_words_whole(w, width);
    measure(w);
    find_unknown(t, w->layout);
    return w;
}

/* ---- what was set before ------------------------------------------------------------------------------------------ */

static uint64_t key_of(struct text text, const struct type *type, double width)
{
    uint64_t key = 14695981039346656037u; /* FNV-1a */
    const int64_t numbers[] = {
        (int64_t)(type->size * 1000), type->bold, (int64_t)(type->tracking * 1000), type->shapes, (int64_t)type->align,
        (int64_t)(width * 1000)};
    for (uint32_t i = 0; i < text.len; i++)
        key = (key ^ (unsigned char)text.at[i]) * 1099511628211u;
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        key = (key ^ (uint64_t)numbers[i]) * 1099511628211u;
    return key;
}

static bool same_type(const struct type *a, const struct type *b)
{
    return a->size == b->size && a->bold == b->bold && a->tracking == b->tracking && a->shapes == b->shapes &&
           a->align == b->align;
}

/* The same words in the same type stand on a sheet again and again, and setting them is most of the work. NULL: these
 * have not been set. */
static const struct words *find_set(struct typesetter *t, uint64_t key, struct text text, const struct type *type,
                                    double width)
{
    uint32_t known = map_get(&t->known, key);
    const struct set_before *before = known ? &t->before.at[known - 1] : NULL;
    bool same = before && text_same(before->text, text) && same_type(&before->type, type) && before->width == width;
    return same ? before->words : NULL;
}

static const struct words *keep_set(struct typesetter *t, uint64_t key, struct text text, const struct type *type,
                                    double width, const struct words *w)
{
    if (map_get(&t->known, key)) /* something else has this key */
        return w;
    *ARRAY_PUSH(t->arena, &t->before) = (struct set_before){arena_text(t->arena, text), *type, width, w};
    map_set(&t->known, key, t->before.count);
    return w;
}

const struct words *set_words(struct typesetter *t, struct text text, struct type type, double width)
{
    uint64_t key = key_of(text, &type, width);
    const struct words *before = find_set(t, key, text, &type, width);
    return before ? before : keep_set(t, key, text, &type, width, set_new(t, text, type, width));
}

const struct words *set_fitting(struct typesetter *t, struct text text, struct type type, double most)
{
    const struct words *w = set_words(t, text, type, 0);
    while (w->width > most && type.size > 4.5) {
        type.size *= 0.94;
        type.tracking *= 0.8;
        w = set_words(t, text, type, 0);
    }
    return w;
}

/* Where the character before this place begins. */
static uint32_t character_before(struct text t, uint32_t at)
{
    do
        at--;
    while (at > 0 && ((unsigned char)t.at[at] & 0xC0) == 0x80);
    return at;
}

/* Cut here and not by Pango, so that whoever writes the text out, as SVG does, writes what is seen. */
const struct words *set_short(struct typesetter *t, struct text text, struct type type, double most)
{
    const struct words *w = set_new(t, text, type, 0);
    struct text whole = w->text;
    uint32_t fits = 0, too_long = whole.len;
    while (w->width > most && too_long > fits + 1) {
        uint32_t end = character_before(whole, fits + (too_long - fits) / 2 + 1);
        if (end <= fits)
            break;
        struct text cut = arena_format(t->arena, "%.*s\xE2\x80\xA6", (int)end, whole.at);
        const struct words *tried = set_new(t, cut, type, 0);
        if (tried->width <= most)
            fits = end;
        else
            too_long = end;
    }
    if (w->width <= most)
        return w;
    return set_new(t, arena_format(t->arena, "%.*s\xE2\x80\xA6", (int)fits, whole.at), type, 0);
}

/* The least width, to a thirtieth, in which the words take no more lines and none is broken that was whole. */
static double least_width(const struct words *w, int lines)
{
    double narrow = lines > 1 ? w->width / 2 : w->width, wide = w->width + 0.5;
    for (int i = 0; i < 5; i++) {
        double middle = (narrow + wide) / 2;
        bool fits = true; /* as one line does in all that is wider than itself */
        if (lines > 1) {
            pango_layout_set_width(w->layout, (int)(middle * PANGO_SCALE));
            fits = pango_layout_get_line_count(w->layout) <= lines && pango_layout_is_wrapped(w->layout);
        }
        narrow = fits ? narrow : middle;
        wide = fits ? middle : wide;
    }
    return wide;
}

const struct words *set_balanced(struct typesetter *t, struct text text, struct type type, double most)
{
    uint64_t key = key_of(text, &type, -most); /* a width that no block of lines has */
    const struct words *before = find_set(t, key, text, &type, -most);
    if (before)
        return before;
    struct words *w = set_new(t, text, type, most); /* its width is tried out below, so it is nobody else's */
    double wide = least_width(w, pango_layout_get_line_count(w->layout));
    if (w->type.size != type.size) /* set smaller to fit `most`: how small for this width is not known */
        return keep_set(t, key, text, &type, -most, set_words(t, text, type, wide));
    pango_layout_set_width(w->layout, (int)(wide * PANGO_SCALE));
    if (pango_layout_is_wrapped(w->layout))
        keep_words_whole(w, wide);
    measure(w);
    return keep_set(t, key, text, &type, -most, w);
}
