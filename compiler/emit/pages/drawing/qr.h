/* A QR code (ISO/IEC 18004) as a picture.
 *
 * In: text in UTF-8 and the side in points. Out: a picture of that side on its own white ground, its quiet zone
 * included, for readers of copies too: a sixth of it may be lost (level M). */
#ifndef COMPILER_EMIT_PAGES_DRAWING_QR_H
#define COMPILER_EMIT_PAGES_DRAWING_QR_H

#include "compiler/emit/pages/drawing/drawing.h"

/* NULL when the text is too long for a code, or memory runs out. */
const struct picture *qr_picture(struct arena *, struct text, double side);

#endif
