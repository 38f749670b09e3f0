#include "compiler/emit/pages/qr.h"

#include <qrencode.h>

enum { QUIET = 4 }; /* modules of white around it, ISO/IEC 18004 */

/* The dark modules of a row, each run one box: all of them are one shape, so that no seam shows between. */
static void add_row(struct outline *o, const unsigned char *row, int width, double y, double module)
{
    for (int x = 0; x < width; x++) {
        int from = x;
        while (x < width && row[x] & 1)
            x++;
        if (x > from)
            outline_box(o, (QUIET + from) * module, y, (x - from) * module, module, 0);
    }
}

const struct picture *qr_picture(struct arena *arena, struct text text, double side)
{
    struct picture *p = picture_new(arena);
    struct text copy = arena_text(arena, text); /* ends with a NUL */
    struct outline o = outline_new(p);
    enum { WIDEST = 177 }; /* of version 40 */
    /* Room first: the arena may jump out, and the code is the library's memory. */
    unsigned char *modules = arena_alloc(arena, (size_t)WIDEST * WIDEST);
    QRcode *code = QRcode_encodeString(copy.at, 0, QR_ECLEVEL_M, QR_MODE_8, 1);
    if (!code)
        return NULL;
    int width = code->width;
    memcpy(modules, code->data, (size_t)width * (size_t)width);
    QRcode_free(code);
    double module = side / (width + 2 * QUIET);
    for (int y = 0; y < width; y++)
        add_row(&o, modules + (size_t)y * (size_t)width, width, (QUIET + y) * module, module);
    picture_box(p, 0, 0, side, side, (struct paint){.fill = INK_WHITE});
    picture_shape(p, o, (struct paint){.fill = INK_BLACK});
    p->width = p->height = side;
    return p;
}
