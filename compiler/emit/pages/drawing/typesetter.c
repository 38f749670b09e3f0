#include "compiler/emit/pages/drawing/typesetter.h"

#include "runtime/base/buffer.h"
#include "runtime/base/utf8.h"

#include <math.h>
#include <pango/pangocairo.h>
#include <stdlib.h>

#define LEADING 0.14 /* added between lines, of the size: long lines of small type need it */

void typesetter_begin(struct typesetter *t, struct arena *arena, struct faces *faces)
{
    *t = (struct typesetter){.arena = arena, .faces = faces};
    map_init(&t->known, arena);
}

void typesetter_end(struct typesetter *t)
{
    for (uint32_t i = 0; i < t->boxes.count; i++)
        g_clear_object(&t->boxes.at[i]);
    t->boxes.count = 0;
}

/* ---- what no font has --------------------------------------------------------------------------------------------- */

static void note_unknown(struct typesetter *t, uint32_t character)
{
    for (uint32_t i = 0; i < t->unknown.count; i++)
        if (t->unknown.at[i] == character)
            return;
    *ARRAY_PUSH(t->arena, &t->unknown) = character;
}

/* CJK and its neighbours: radicals, kana, ideographs, Hangul, full-width forms. */
static bool is_ideograph(uint32_t c)
{
    return (c >= 0x1100 && c < 0x1200) || (c >= 0x2E80 && c < 0xD7B0) || (c >= 0xF900 && c < 0xFB00) ||
           (c >= 0xFF00 && c < 0xFFF0) || (c >= 0x20000 && c < 0x40000);
}

static int by_number(const void *a, const void *b)
{
    uint32_t x = *(const uint32_t *)a, y = *(const uint32_t *)b;
    return (x > y) - (x < y);
}

/* In the order of their numbers. */
struct text typesetter_unknown(struct typesetter *t, struct arena *arena)
{
    enum { NAMED = 8 };
    struct buffer b;
    bool ideographs = false;
    buffer_init(&b, arena);
    if (!t->unknown.count)
        return TEXT("");
    qsort(t->unknown.at, t->unknown.count, sizeof *t->unknown.at, by_number);
    buffer_printf(&b, "no font here has the character%s", t->unknown.count > 1 ? "s" : "");
    for (uint32_t i = 0; i < t->unknown.count; i++) {
        ideographs = ideographs || is_ideograph(t->unknown.at[i]);
        if (i < NAMED)
            buffer_printf(&b, "%s U+%04X", i ? "," : "", t->unknown.at[i]);
    }
    if (t->unknown.count > NAMED)
        buffer_printf(&b, " and %u more", t->unknown.count - NAMED);
    buffer_printf(&b, "; boxes with these numbers stand for %s", t->unknown.count > 1 ? "them" : "it");
    if (ideographs && t->faces->no_ideographs)
        buffer_put(&b, TEXT(". Chinese, Japanese and Korean letters: apt-get install " IDEOGRAPHS_PACKAGE));
    return buffer_text(&b);
}

/* ---- laying out --------------------------------------------------------------------------------------------------- */

/* From Pango's units at FACE_SIZE to points at this size. */
static double scale_of(const struct type *type)
{
    return type->size / FACE_SIZE / PANGO_SCALE;
}

enum { WHOLE_MOST = 48 }; /* bytes of a number, with its name, that is not parted */

/* The word that begins here, up to a blank or a letter that lines may be broken at anyway. */
static uint32_t word_bytes(struct text t, uint32_t at)
{
    uint32_t end = at;
    while (end < t.len && t.at[end] != ' ') {
        struct utf8_char c = utf8_at(t, end);
        if (is_ideograph(c.point) || (c.point >= 0x3000 && c.point < 0x3100))
            break;
        end += c.len;
    }
    return end - at;
}

/* RL-204-1, 25 mm/s: a line may end behind a hyphen or a stroke, but not inside a number and its unit. */
static bool is_whole_number(struct text word)
{
    bool digit = false, joint = false;
    for (uint32_t i = 0; i < word.len; i++) {
        digit = digit || (word.at[i] >= '0' && word.at[i] <= '9');
        joint = joint || (i && i + 1 < word.len && (word.at[i] == '-' || word.at[i] == '/'));
    }
    return digit && joint && word.len <= WHOLE_MOST;
}

static PangoAttrList *keep_numbers(PangoAttrList *attributes, struct text t)
{
    for (uint32_t at = 0, len; at < t.len; at += len ? len : utf8_at(t, at).len) {
        len = word_bytes(t, at);
        if (!is_whole_number((struct text){t.at + at, len}))
            continue;
        PangoAttribute *whole = pango_attr_allow_breaks_new(FALSE);
        whole->start_index = at;
        whole->end_index = at + len;
        attributes = attributes ? attributes : pango_attr_list_new();
        pango_attr_list_insert(attributes, whole);
    }
    return attributes;
}

/* With the numbers in `whole` in one piece each; it may be empty. */
static void set_attributes(PangoLayout *layout, const struct type *type, struct text whole)
{
    PangoAttrList *attributes = type->tracking != 0 ? pango_attr_list_new() : NULL;
    if (attributes)
        pango_attr_list_insert(attributes, pango_attr_letter_spacing_new((int)(type->tracking / scale_of(type))));
    attributes = keep_numbers(attributes, whole);
    if (attributes || pango_layout_get_attributes(layout))
        pango_layout_set_attributes(layout, attributes);
    if (attributes)
        pango_attr_list_unref(attributes);
}

/* 0: one line. */
static void set_width(PangoLayout *layout, const struct type *type, double width)
{
    pango_layout_set_width(layout, width > 0 ? (int)(width / scale_of(type)) : -1);
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
static void keep_words_whole(PangoLayout *layout, struct type *type, double width, struct text whole)
{
    const double least = 0.72;
    struct type tried = *type;
    while (tried.size > type->size * least && breaks_a_word(layout)) {
        tried.size *= 0.95;
        tried.tracking *= 0.9;
        set_attributes(layout, &tried, whole);
        set_width(layout, &tried, width);
    }
    if (!breaks_a_word(layout)) {
        *type = tried;
        return;
    }
    set_attributes(layout, type, whole);
    set_width(layout, type, width);
}

static bool runs_over(PangoLayout *layout)
{
    int width;
    pango_layout_get_size(layout, &width, NULL);
    return width > pango_layout_get_width(layout);
}

/* A number that alone is wider than the column is parted after all; nothing kept: an empty text. */
static struct text keep_numbers_whole(PangoLayout *layout, const struct type *type, struct text text)
{
    set_attributes(layout, type, text);
    if (!runs_over(layout))
        return text;
    set_attributes(layout, type, TEXT(""));
    return TEXT("");
}

/* The type is changed to a smaller one where a word would not fit else. */
static PangoLayout *lay_out(struct typesetter *t, struct text text, struct type *type, double width)
{
    PangoLayout *layout = t->faces->layout[type->bold];
    set_attributes(layout, type, TEXT(""));
    set_width(layout, type, width);
    pango_layout_set_text(layout, text.at, (int)text.len);
    if (width > 0 && pango_layout_is_wrapped(layout))
        keep_words_whole(layout, type, width, keep_numbers_whole(layout, type, text));
    return layout;
}

/* ---- taking over -------------------------------------------------------------------------------------------------- */

struct taking { /* a line that was laid out, on its way into words */
    struct typesetter *typesetter;
    struct typeset *words;
    const char *text;
    double scale;
    int axis;    /* the byte in front of which the axis stands; -1: there is none */
    double x, y; /* where the next letter goes */
};

/* Maps a no-break space, and the blank at the end of a line that Pango leaves away, to an ordinary blank: text that is
 * extracted or read aloud then has its values joined to their units, and no line runs into the next. */
static bool is_blank(const char *at, int bytes)
{
    return (bytes == 1 && *at == ' ') || (bytes == 2 && memcmp(at, "\xC2\xA0", 2) == 0);
}

static bool is_drawn(PangoGlyph glyph)
{
    return glyph != PANGO_GLYPH_EMPTY && !(glyph & PANGO_GLYPH_UNKNOWN_FLAG);
}

/* What a cluster says and which glyphs it has; where these stand is not known yet. */
static void take_cluster(struct taking *k, struct letters *l, const PangoGlyphItemIter *at, const struct face *face)
{
    int first = at->start_glyph < at->end_glyph ? at->start_glyph : at->end_glyph + 1;
    int end = at->start_glyph < at->end_glyph ? at->end_glyph : at->start_glyph + 1;
    int bytes = at->end_index - at->start_index;
    const char *text = k->text + at->start_index;
    bool blank = is_blank(text, bytes);
    cairo_text_cluster_t *cluster = &l->clusters[l->cluster_count++];
    memcpy(l->text + l->bytes, blank ? " " : text, (size_t)(blank ? 1 : bytes));
    *cluster = (cairo_text_cluster_t){.num_bytes = blank ? 1 : bytes};
    l->bytes += cluster->num_bytes;
    for (int i = first; i < end; i++) {
        PangoGlyph glyph = at->glyph_item->glyphs->glyphs[i].glyph;
        l->glyphs[i].index = blank ? face->blank : glyph;
        l->glyphs[i].x = at->start_index == k->axis; /* for place_glyphs() */
        cluster->num_glyphs += is_drawn((PangoGlyph)l->glyphs[i].index);
    }
}

static void place_glyphs(struct taking *k, struct letters *l, const PangoGlyphString *from)
{
    for (int i = 0; i < from->num_glyphs; i++) {
        const PangoGlyphGeometry *g = &from->glyphs[i].geometry;
        PangoGlyph glyph = (PangoGlyph)l->glyphs[i].index;
        if (l->glyphs[i].x != 0)
            k->words->axis = k->x;
        if (is_drawn(glyph))
            l->glyphs[l->glyph_count++] =
                (cairo_glyph_t){glyph, k->x + g->x_offset * k->scale, k->y + g->y_offset * k->scale};
        else if (glyph & PANGO_GLYPH_UNKNOWN_FLAG && glyph != PANGO_GLYPH_EMPTY)
            note_unknown(k->typesetter, glyph & ~PANGO_GLYPH_UNKNOWN_FLAG);
        k->x += g->width * k->scale;
    }
}

static void take_run(struct taking *k, PangoGlyphItem *run)
{
    struct arena *a = k->typesetter->arena;
    const PangoItem *item = run->item;
    const struct face *face = face_of(k->typesetter->faces, item->analysis.font);
    struct letters *l = &k->words->letters.at[k->words->letters.count++];
    PangoGlyphItemIter at;
    l->face = face->drawn;
    l->backward = item->analysis.level % 2;
    l->text = arena_alloc(a, (size_t)item->length);
    l->glyphs = ARENA_ARRAY(a, (uint32_t)run->glyphs->num_glyphs, cairo_glyph_t);
    l->clusters = ARENA_ARRAY(a, (uint32_t)item->num_chars, cairo_text_cluster_t);
    for (bool more = pango_glyph_item_iter_init_start(&at, run, k->text); more;
         more = pango_glyph_item_iter_next_cluster(&at))
        take_cluster(k, l, &at, face);
    place_glyphs(k, l, run->glyphs);
}

struct extent { /* of a line, in Pango's units */
    int width, ascent, descent;
};

static struct extent extent_of(struct typesetter *t, const PangoLayoutLine *line, bool bold)
{
    const struct face *plain = face_of(t->faces, t->faces->plain[bold]);
    struct extent e = {0, line->runs ? 0 : plain->ascent, line->runs ? 0 : plain->descent};
    for (GSList *i = line->runs; i; i = i->next) {
        const PangoGlyphItem *run = i->data;
        const struct face *face = face_of(t->faces, run->item->analysis.font);
        e.width += pango_glyph_string_get_width(run->glyphs);
        e.ascent = face->ascent > e.ascent ? face->ascent : e.ascent;
        e.descent = face->descent > e.descent ? face->descent : e.descent;
    }
    return e;
}

static struct text without_end(struct text t)
{
    while (t.len && t.at[t.len - 1] == ' ')
        t.len--;
    return t;
}

/* The block of lines of one type, each at its place in the width that was asked for. */
static void take_line(struct taking *k, const PangoLayoutLine *line, double width)
{
    struct typeset *w = k->words;
    const struct extent e = extent_of(k->typesetter, line, w->type.bold);
    double wide = e.width * k->scale, room = width > 0 ? width - wide : 0;
    if (w->lines.count)
        w->height += w->type.size * LEADING;
    k->x = w->type.align == ALIGN_LEFT ? 0 : w->type.align == ALIGN_CENTRE ? room / 2 : room;
    k->y = w->height + e.ascent * k->scale;
    w->lines.at[w->lines.count++] = (struct line){
        without_end((struct text){w->text.at + line->start_index, (uint32_t)line->length}), k->x, k->y, wide};
    for (GSList *i = line->runs; i; i = i->next)
        take_run(k, i->data);
    w->width = fmax(w->width, wide);
    w->height = k->y + e.descent * k->scale;
}

/* The byte at which the number in front has its point, or behind it. */
static int axis_of(struct text text)
{
    struct text number = print_text_figure(text).number;
    const char *point = number.len ? memchr(number.at, '.', number.len) : NULL; /* or the comma of other languages */
    if (number.len && !point)
        point = memchr(number.at, ',', number.len);
    return point ? (int)(point - number.at) : number.len ? (int)number.len : -1;
}

/* With boxes in place of what no font has, which Pango draws. */
static void keep_boxes(struct typesetter *t, struct typeset *w, PangoLayout *layout)
{
    static const PangoAlignment alignments[] = {
        [ALIGN_LEFT] = PANGO_ALIGN_LEFT, [ALIGN_CENTRE] = PANGO_ALIGN_CENTER, [ALIGN_RIGHT] = PANGO_ALIGN_RIGHT};
    /* Room in the list first: should memory run out, no layout is lost. */
    PangoLayout **listed = ARRAY_PUSH(t->arena, &t->boxes);
    *listed = w->boxes = pango_layout_copy(layout);
    pango_layout_set_spacing(w->boxes, (int)(FACE_SIZE * LEADING * PANGO_SCALE));
    pango_layout_set_alignment(w->boxes, alignments[w->type.align]);
}

/* Room for as many lines and runs as there are: most words are one of each. */
static void make_room(struct arena *a, struct typeset *w, PangoLayout *layout)
{
    uint32_t lines = 0, runs = 0;
    for (GSList *i = pango_layout_get_lines_readonly(layout); i; i = i->next, lines++)
        for (GSList *k = ((const PangoLayoutLine *)i->data)->runs; k; k = k->next)
            runs++;
    w->lines.at = ARENA_ARRAY(a, lines, struct line);
    w->letters.at = ARENA_ARRAY(a, runs, struct letters);
}

/* text: as laid out, in the arena. */
static struct typeset *take(struct typesetter *t, PangoLayout *layout, struct text text, const struct type *type,
                            double width)
{
    struct typeset *w = ARENA_NEW(t->arena, struct typeset);
    struct taking k = {t, w, pango_layout_get_text(layout), scale_of(type), axis_of(text), 0, 0};
    w->type = *type;
    w->text = text;
    make_room(t->arena, w, layout);
    for (GSList *i = pango_layout_get_lines_readonly(layout); i; i = i->next)
        take_line(&k, i->data, width);
    w->baseline = w->lines.at[0].baseline;
    if (k.axis == (int)text.len)
        w->axis = w->lines.at[0].width;
    if (pango_layout_get_unknown_glyphs_count(layout))
        keep_boxes(t, w, layout);
    return w;
}

static struct typeset *set_new(struct typesetter *t, struct text raw, struct type type, double width)
{
    struct text text = print_text(t->arena, raw);
    PangoLayout *layout = lay_out(t, text, &type, width);
    return take(t, layout, text, &type, width);
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
static const struct typeset *find_set(struct typesetter *t, uint64_t key, struct text text, const struct type *type,
                                      double width)
{
    uint32_t known = map_get(&t->known, key);
    const struct set_before *before = known ? &t->before.at[known - 1] : NULL;
    bool same = before && text_same(before->text, text) && same_type(&before->type, type) && before->width == width;
    return same ? before->words : NULL;
}

static const struct typeset *keep_set(struct typesetter *t, uint64_t key, struct text text, const struct type *type,
                                      double width, const struct typeset *w)
{
    if (map_get(&t->known, key)) /* something else has this key */
        return w;
    *ARRAY_PUSH(t->arena, &t->before) = (struct set_before){arena_text(t->arena, text), *type, width, w};
    map_set(&t->known, key, t->before.count);
    return w;
}

const struct typeset *typesetter_set(struct typesetter *t, struct text text, struct type type, double width)
{
    uint64_t key = key_of(text, &type, width);
    const struct typeset *before = find_set(t, key, text, &type, width);
    return before ? before : keep_set(t, key, text, &type, width, set_new(t, text, type, width));
}

const struct typeset *typesetter_set_fitting(struct typesetter *t, struct text text, struct type type, double most)
{
    const struct typeset *w = typesetter_set(t, text, type, 0);
    while (w->width > most && type.size > LEAST_SIZE) {
        type.size = fmax(LEAST_SIZE, type.size * 0.94);
        type.tracking *= 0.8;
        w = typesetter_set(t, text, type, 0);
    }
    return w->width > most ? typesetter_set(t, text, type, most) : w;
}

/* Where the character before this place begins. */
static uint32_t character_before(struct text t, uint32_t at)
{
    do
        at--;
    while (at > 0 && ((unsigned char)t.at[at] & 0xC0) == 0x80);
    return at;
}

/* Cut here and not by Pango, so that the text of the result is what is seen; SVG writes that text out. */
const struct typeset *typesetter_set_short(struct typesetter *t, struct text text, struct type type, double most)
{
    const struct typeset *w = set_new(t, text, type, 0);
    struct text whole = w->text;
    uint32_t fits = 0, too_long = whole.len;
    while (w->width > most && too_long > fits + 1) {
        uint32_t end = character_before(whole, fits + (too_long - fits) / 2 + 1);
        if (end <= fits)
            break;
        struct text cut = arena_format(t->arena, "%.*s\xE2\x80\xA6", (int)end, whole.at);
        const struct typeset *tried = set_new(t, cut, type, 0);
        if (tried->width <= most)
            fits = end;
        else
            too_long = end;
    }
    if (w->width <= most)
        return w;
    return set_new(t, arena_format(t->arena, "%.*s\xE2\x80\xA6", (int)fits, whole.at), type, 0);
}

static double widest_line(struct typesetter *t, PangoLayout *layout, const struct type *type)
{
    int widest = 0;
    for (GSList *i = pango_layout_get_lines_readonly(layout); i; i = i->next) {
        int width = extent_of(t, i->data, type->bold).width;
        widest = width > widest ? width : widest;
    }
    return widest * scale_of(type);
}

/* The least width, to a thirtieth, in which the words take no more lines and none is broken that was whole. */
static double least_width(PangoLayout *layout, const struct type *type, double width)
{
    int lines = pango_layout_get_line_count(layout);
    double narrow = lines > 1 ? width / 2 : width, wide = width + 0.5;
    for (int i = 0; i < 5; i++) {
        double middle = (narrow + wide) / 2;
        bool fits = true; /* as one line does in all that is wider than itself */
        if (lines > 1) {
            set_width(layout, type, middle);
            fits = pango_layout_get_line_count(layout) <= lines && pango_layout_is_wrapped(layout) &&
                   !runs_over(layout) && !breaks_a_word(layout);
        }
        narrow = fits ? narrow : middle;
        wide = fits ? middle : wide;
    }
    return wide;
}

const struct typeset *typesetter_set_balanced(struct typesetter *t, struct text raw, struct type type, double most)
{
    uint64_t key = key_of(raw, &type, -most); /* a width that no block of lines has */
    const struct typeset *before = find_set(t, key, raw, &type, -most);
    if (before)
        return before;
    struct text text = print_text(t->arena, raw);
    struct type fitting = type;
    PangoLayout *layout = lay_out(t, text, &fitting, most);
    double wide = least_width(layout, &fitting, widest_line(t, layout, &fitting));
    if (fitting.size != type.size) /* set smaller to fit `most`: how small for this width is not known */
        return keep_set(t, key, raw, &type, -most, typesetter_set(t, raw, type, wide));
    set_width(layout, &fitting, wide);
    if (pango_layout_is_wrapped(layout))
        keep_words_whole(layout, &fitting, wide, keep_numbers_whole(layout, &fitting, text));
    return keep_set(t, key, raw, &type, -most, take(t, layout, text, &fitting, wide));
}
