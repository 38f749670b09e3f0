#include "compiler/emit/pages/drawing/qr.h"

#include <qrencode.h>

enum { QUIET = 4 }; /* modules of white around it, ISO/IEC 18004 */

struct code {
    const unsigned char *modules; /* the lowest bit says dark */
    int width;
    bool *walked; /* by module: along the edge above it */
};

static bool is_dark(const struct code *c, int x, int y)
{
    return x >= 0 && y >= 0 && x < c->width && y < c->width && c->modules[y * c->width + x] & 1;
}

static bool begins_edge(const struct code *c, int x, int y)
{
    return is_dark(c, x, y) && !is_dark(c, x, y - 1) && !c->walked[y * c->width + x];
}

/* Along an edge with the dark on the right hand, back to where it began: modules that touch are one area, so that no seam
 * shows between them, and a light area within goes round the other way. */
static void walk_edge(struct outline *o, const struct code *c, int from_x, int from_y, double module)
{
    int x = from_x, y = from_y, dx = 1, dy = 0;
    outline_move(o, (QUIET + x) * module, (QUIET + y) * module);
    do {
        if (dx == 1)
            c->walked[y * c->width + x] = true;
        x += dx;
        y += dy;
        int right_x = -dy, right_y = dx;
        bool right = is_dark(c, x + (dx + right_x - 1) / 2, y + (dy + right_y - 1) / 2);
        bool left = is_dark(c, x + (dx - right_x - 1) / 2, y + (dy - right_y - 1) / 2);
        if (right && !left)
            continue;
        dx = right ? -right_x : right_x;
        dy = right ? -right_y : right_y;
        if (x != from_x || y != from_y || dx != 1)
            outline_line(o, (QUIET + x) * module, (QUIET + y) * module);
    } while (x != from_x || y != from_y || dx != 1);
    outline_close(o);
}

const struct picture *qr_picture(struct arena *arena, struct text text, double side)
{
    struct picture *p = picture_new(arena);
    struct text copy = arena_text(arena, text); /* ends with a NUL */
    struct outline o = outline_new(p);
    enum { WIDEST = 177 }; /* of version 40 */
    /* Room first: the arena may jump out, and the code is the library's memory. */
    unsigned char *modules = arena_alloc(arena, (size_t)WIDEST * WIDEST);
    struct code c = {.modules = modules, .walked = ARENA_ARRAY(arena, (size_t)WIDEST * WIDEST, bool)};
    QRcode *code = QRcode_encodeString(copy.at, 0, QR_ECLEVEL_M, QR_MODE_8, 1);
    if (!code)
        return NULL;
    c.width = code->width;
    memcpy(modules, code->data, (size_t)c.width * (size_t)c.width);
    QRcode_free(code);
    double module = side / (c.width + 2 * QUIET);
    for (int y = 0; y < c.width; y++)
        for (int x = 0; x < c.width; x++)
            if (begins_edge(&c, x, y))
                walk_edge(&o, &c, x, y, module);
    picture_box(p, 0, 0, side, side, (struct paint){.fill = INK_WHITE});
    picture_shape(p, o, (struct paint){.fill = INK_BLACK});
    p->width = p->height = side;
    return p;
}
