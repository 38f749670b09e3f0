/* Drawing: pictures as lists of shapes and words, apart from what shows them.
 *
 * In: outlines, words and other pictures with their places, in points, y downwards. Out: the same picture in an SVG
 * (svg.c) or on a page of a PDF (pdf.c). A picture is built first and shown later, so pages can be filled and counted
 * before one of them is drawn. Everything lives in the arena. */
#ifndef COMPILER_EMIT_PAGES_DRAWING_DRAWING_H
#define COMPILER_EMIT_PAGES_DRAWING_DRAWING_H

#include "compiler/emit/pages/drawing/typesetter.h"
#include "runtime/base/buffer.h"

/* ---- inks --------------------------------------------------------------------------------------------------------- */

/* The sheet itself is black on white: colour means safety, and only the signs and signal words have it. */
enum ink {
    INK_NONE,
    INK_BLACK,
    INK_GREY, /* labels and second lines: still dark enough for a poor copier */
    INK_RULE, /* thin rules between rows */
    INK_TINT, /* ground of table heads */
    INK_BAND, /* what something can be, in a chart */
    INK_WHITE,
    INK_RED, /* safety colours after ISO 3864-4 */
    INK_ORANGE,
    INK_YELLOW,
    INK_GREEN,
    INK_BLUE,
    INK_COUNT
};

struct colour {
    unsigned char red, green, blue;
};
extern const struct colour ink_table[INK_COUNT];

/* ---- outlines ----------------------------------------------------------------------------------------------------- */

enum verb { VERB_MOVE, VERB_LINE, VERB_CURVE, VERB_CLOSE };

struct segment {
    enum verb verb;
    double x[3], y[3]; /* a curve has two control points and its end; the others use the first */
};

struct outline {
    struct arena *arena;
    ARRAY(struct segment) segments;
};

void outline_move(struct outline *, double x, double y);
void outline_line(struct outline *, double x, double y);
void outline_curve(struct outline *, const double x[3], const double y[3]);
void outline_close(struct outline *);
void outline_box(struct outline *, double x, double y, double width, double height, double radius);
void outline_circle(struct outline *, double x, double y, double radius);
/* Adds a path written in letters and numbers: M x y, L x y, C x1 y1 x2 y2 x y, Z, O x y radius (a circle),
 * R x y width height radius (a box). Drawn at x, y and scaled. */
void outline_read(struct outline *, const char *path, double x, double y, double scale);

struct paint {
    enum ink fill, line;
    double width; /* of the line */
    double dash;  /* length of its dashes; 0: solid */
    bool round;   /* ends and corners */
};

/* ---- pictures ----------------------------------------------------------------------------------------------------- */

enum item_kind { ITEM_SHAPE, ITEM_TEXT, ITEM_PICTURE, ITEM_OPEN, ITEM_CLOSE };

struct picture;

#define TAG_FIGURE "Figure"
#define TAG_ARTIFACT "Artifact" /* not one of the structure */
#define TAG_PLACE "cairo.dest"  /* likewise */

struct item {
    enum item_kind kind;
    struct outline outline;
    struct paint paint;
    const struct typeset *words;
    enum ink ink;
    const struct picture *picture;
    double x, y, scale;
    const char *tag;        /* what the items up to the matching ITEM_CLOSE are: "TR", "TD", "Figure", "Link" */
    const char *attributes; /* of the tag, as Cairo takes them; NULL: none */
    struct text told;       /* in words what a figure shows, where a link leads */
    uint32_t columns;       /* that a cell spans */
};

struct picture {
    struct arena *arena;
    double width, height;
    ARRAY(struct item) items;
};

struct picture *picture_new(struct arena *);
struct outline outline_new(struct picture *);
void picture_shape(struct picture *, struct outline, struct paint);
void picture_box(struct picture *, double x, double y, double width, double height, struct paint);
void picture_rule(struct picture *, double x0, double y0, double x1, double y1, double width, enum ink);
/* x, y: the upper left corner of the block of lines. */
void picture_text(struct picture *, const struct typeset *, double x, double y, enum ink);
/* The same by the first baseline. */
void picture_text_on(struct picture *, const struct typeset *, double x, double baseline, enum ink);
void picture_place(struct picture *, const struct picture *, double x, double y, double scale);
/* Words outside of all tags become paragraphs by themselves. */
void picture_open(struct picture *, const char *tag);
/* What no reader aloud needs: the head and foot of a page. */
void picture_open_artifact(struct picture *);
void picture_open_figure(struct picture *, struct text shows);
void picture_open_cell(struct picture *, uint32_t columns);
/* A place of the document, by a number of the caller's, and what leads there from any page. */
void picture_open_place(struct picture *, uint32_t place);
void picture_open_link(struct picture *, uint32_t place, struct text told);
void picture_close(struct picture *);

/* A whole SVG file with a title and a description for screen readers. */
void svg_write(struct buffer *, const struct picture *, struct text title, struct text description);

struct svg_words { /* for screen readers; without an id the picture is decoration */
    struct text title, description;
    const char *id; /* of its own on the page */
};

/* The element alone, for an HTML page. Themed: inks other than safety colours are classes that the page's style paints. */
void svg_inline(struct buffer *, const struct picture *, struct svg_words, bool themed);

#endif
