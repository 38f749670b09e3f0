/* Faces: the two families of type that pages are set in, at one size.
 *
 * Type is not hinted, so a letter of 8 points is one of 64 points made smaller, and all text is laid out at FACE_SIZE:
 * each face is looked up, loaded and measured once, not once for every size on a page. */
#ifndef COMPILER_EMIT_PAGES_DRAWING_FACES_H
#define COMPILER_EMIT_PAGES_DRAWING_FACES_H

#include <cairo.h>
#include <pango/pango.h>
#include <stdbool.h>

#define FONT_FAMILY "DejaVu Sans"
#define FONT_PACKAGE "fonts-dejavu-core"
#define IDEOGRAPHS_FAMILY "Noto Sans CJK JP"
#define IDEOGRAPHS_PACKAGE "fonts-noto-cjk"

enum { FACE_SIZE = 64 }; /* of the em, in points */

struct face {
    cairo_font_face_t *drawn; /* by Cairo; the font keeps it */
    PangoGlyph blank;
    int ascent, descent; /* in Pango's units */
};

struct faces {
    PangoFontMap *map;
    PangoContext *context;
    PangoFont *plain[2];    /* normal and bold, of letters that are in most texts */
    PangoLayout *layout[2]; /* in them; any text is laid out in one of the two, one after the other */
    bool no_ideographs;     /* the font of Chinese, Japanese and Korean letters is not there */
    const char *fault;      /* NULL, or what is missing */
    GHashTable *used;       /* PangoFont to struct face */
};

/* Only the two families above are ever used, whatever else a machine has: the same pages everywhere. Sets the font
 * configuration of the whole process. */
void faces_begin(struct faces *);
void faces_end(struct faces *);

/* What is to be known of a font that Pango chose. */
const struct face *face_of(struct faces *, PangoFont *);

#endif
