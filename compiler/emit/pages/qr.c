#include "compiler/emit/pages/qr.h"

#include <qrencode.h>

enum { QUIET = 4 }; /* modules of white around it, ISO/IEC 18004 */

struct run { /* dark modules beside each other */
    int from, to;
};

static struct run next_run(const unsigned char *row, int width, int from)
{
    struct run r = {from, from};
    while (r.from < width && !(row[r.from] & 1))
        r.from++;
    for (r.to = r.from; r.to < width && row[r.to] & 1;)
        r.to++;
    return r;
}

static bool is_run(const unsigned char *row, int width, struct run r)
{
    struct run other = r.from && row[r.from - 1] & 1 ? (struct run){0, 0} : next_run(row, width, r.from);
    return other.from == r.from && other.to == r.to;
}

/* Each run is one box with those of the same modules below it; all of them are one shape, so that no seam shows between. */
static void add_row(struct outline *o, const unsigned char *modules, int width, int y, double module)
{
    const unsigned char *row = modules + (size_t)y * (size_t)width;
    for (struct run r = next_run(row, width, 0); r.from < width; r = next_run(row, width, r.to)) {
        int end = y + 1;
        if (y > 0 && is_run(row - width, width, r)) /* part of a box above */
            continue;
        while (end < width && is_run(modules + (size_t)end * (size_t)width, width, r))
            end++;
        outline_box(o, (QUIET + r.from) * module, (QUIET + y) * module, (r.to - r.from) * module, (end - y) * module,
                    0);
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
        add_row(&o, modules, width, y, module);
    picture_box(p, 0, 0, side, side, (struct paint){.fill = INK_WHITE});
    picture_shape(p, o, (struct paint){.fill = INK_BLACK});
    p->width = p->height = side;
    return p;
}
