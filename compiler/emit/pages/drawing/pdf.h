/* PDF: pictures as pages, written by Cairo.
 *
 * In: pictures, one a page. Out: the bytes of the file, the same for the same pictures: its date is the one given, not
 * today's. Fonts are embedded. Lines are reading order; tags say what is a heading, a table, a row; the
 * file is held to PDF/UA-1 (accessible.h). */
#ifndef COMPILER_EMIT_PAGES_DRAWING_PDF_H
#define COMPILER_EMIT_PAGES_DRAWING_PDF_H

#include "compiler/emit/pages/drawing/accessible.h"
#include "compiler/emit/pages/drawing/drawing.h"

#include <cairo.h>

struct pdf {
    struct arena *arena;
    cairo_surface_t *surface;
    cairo_t *cairo;
    struct stream bytes;
    struct accessible access;
    double width, height;
    uint32_t pages;
};

struct pdf_facts {
    struct text title, author, subject, creator;
    struct text date;     /* 2026-11-02 */
    const char *language; /* "en" */
};

void pdf_begin(struct pdf *, struct arena *, double width, double height, const struct pdf_facts *);
void pdf_page(struct pdf *, const struct picture *);
/* An entry of the outline that leads to the page drawn next, at this height. */
void pdf_entry(struct pdf *, struct text title, double y);
/* Writes the end of the file: its bytes are in `bytes` then. NULL, or what went wrong. */
const char *pdf_finish(struct pdf *);
void pdf_release(struct pdf *); /* of one that was begun, or zeroed */

#endif
