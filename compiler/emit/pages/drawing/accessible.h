/* Accessible PDF: what PDF/UA-1 (ISO 14289-1) asks for and Cairo does not write, added to a finished file with qpdf.
 *
 * In: a tagged PDF of Cairo's, the language and title of the document, and what is known of each tag, in the order in which
 * they were begun. Out: the file with the language, the title shown, the XMP identification, texts for figures and links,
 * scopes and spans of cells, the order of tabs; and all drawing outside of tags marked as an artifact. */
#ifndef COMPILER_EMIT_PAGES_DRAWING_ACCESSIBLE_H
#define COMPILER_EMIT_PAGES_DRAWING_ACCESSIBLE_H

#include "compiler/emit/pages/drawing/stream.h"
#include "runtime/base/array.h"
#include "runtime/base/text.h"

struct accessible_tag {
    const char *name; /* "Figure" */
    struct text text; /* of a figure what it shows, of a link where it leads; else empty */
    uint32_t columns; /* of a cell, that it spans; 0: one */
};

struct accessible {
    struct arena *arena;
    const char *language; /* "en" */
    struct text title, author;
    ARRAY(struct accessible_tag) tags; /* "Document" first */
    struct _qpdf_data *pdf;            /* while the file is worked on, for the arena may jump out of it */
    unsigned char *content;
};

/* Replaces the bytes of the file. NULL, or what went wrong. */
const char *accessible_finish(struct accessible *, struct stream *file);
void accessible_release(struct accessible *);

#endif
