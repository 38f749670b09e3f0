#include "compiler/emit/pages/drawing/signs.h"

enum { SIDE = 100 }; /* all coordinates of this file are in a square of this side */

/* ---- shapes ------------------------------------------------------------------------------------------------------- */

struct layer {
    const char *path;
    enum ink fill, line;
    double width;
};

enum { LAYERS = 3 };

static const struct sign_shape {
    char letter;
    struct layer below[LAYERS], above[LAYERS];
    double x, y, scale; /* where the pictogram stands */
    enum ink symbol, ground;
} shape_table[] = {
    {.letter = 'W',
     .below = {{"M 50 13 L 92 85 L 8 85 Z", INK_BLACK, INK_BLACK, 11},
               {"M 50 20.5 L 85.5 81 L 14.5 81 Z", INK_YELLOW, INK_YELLOW, 5}},
     .x = 28,
     .y = 36,
     .scale = 0.43,
     .symbol = INK_BLACK,
     .ground = INK_YELLOW},
    {.letter = 'P',
     .below = {{"O 50 50 44", INK_WHITE, INK_NONE, 0}},
     .above = {{"M 19 19 L 81 81", INK_NONE, INK_RED, 9}, {"O 50 50 43.5", INK_NONE, INK_RED, 10}},
     .x = 20,
     .y = 20,
     .scale = 0.6,
     .symbol = INK_BLACK,
     .ground = INK_WHITE},
    {.letter = 'M',
     .below = {{"O 50 50 49", INK_BLUE, INK_NONE, 0}},
     .x = 19,
     .y = 19,
     .scale = 0.62,
     .symbol = INK_WHITE,
     .ground = INK_BLUE},
    {.letter = 'F',
     .below = {{"R 2 2 96 96 8", INK_RED, INK_NONE, 0}},
     .x = 14,
     .y = 14,
     .scale = 0.72,
     .symbol = INK_WHITE,
     .ground = INK_RED},
    {.letter = 'E',
     .below = {{"R 2 2 96 96 8", INK_GREEN, INK_NONE, 0}},
     .x = 14,
     .y = 14,
     .scale = 0.72,
     .symbol = INK_WHITE,
     .ground = INK_GREEN},
};

/* ---- pictograms --------------------------------------------------------------------------------------------------- */

#define HAND                                                                                                           \
    "R 32 16 10 50 5 R 44 6 10 56 5 R 56 9 10 54 5 R 68 20 10 44 5 R 32 50 46 46 16 "                                  \
    "M 34 76 L 13 52 C 8 44 17 38 24 44 L 40 60 Z "
#define HEAD "O 50 42 36 M 12 100 C 12 74 88 74 88 100 Z "
#define FLAME                                                                                                          \
    "M 50 0 C 60 20 84 32 84 60 C 84 80 70 90 50 90 C 30 90 16 80 16 60 C 16 46 24 38 31 26 C 33 37 37 42 44 45 "      \
    "C 39 28 41 14 50 0 Z "

static const struct pictogram {
    const char *number;
    const char *fill; /* in the symbol's ink */
    const char *line; /* lines in the symbol's ink */
    const char *hole; /* filled in the ground's ink, on top */
} pictogram_table[] = {
    {"W001", "R 40 2 20 60 10 O 50 86 12", NULL, NULL},
    {"W012", "M 62 0 L 20 56 L 46 54 L 34 100 L 82 36 L 55 40 L 78 0 Z", NULL, NULL},
    {"W017", "R 2 84 96 14 3",
     "M 22 74 C 6 58 38 42 22 26 C 14 16 18 8 24 2 M 50 74 C 34 58 66 42 50 26 C 42 16 46 8 52 2 "
     "M 78 74 C 62 58 94 42 78 26 C 70 16 74 8 80 2",
     NULL},
    {"W018", "M 62 40 L 96 40 L 90 6 Z", "M 82 34 C 66 6 22 8 14 44 C 8 78 46 102 74 80", NULL},
    {"W019",
     "R 2 14 14 86 2 R 84 14 14 86 2 O 50 18 12 R 39 35 22 65 9 M 18 46 L 18 74 L 35 60 Z M 82 46 L 82 74 L 65 60 Z",
     NULL, NULL},
    {"W021", FLAME "R 10 94 80 8 2", NULL,
     "M 51 52 C 56 62 64 66 64 74 C 64 82 58 86 50 86 C 42 86 36 82 36 74 C 36 66 46 62 51 52 Z"},
    {"W022", "R 38 0 24 56 12 M 0 100 L 50 58 L 100 100 Z", NULL, "R 44 40 12 12 6"},
    {"W024",
     "R 18 0 64 12 2 R -4 88 108 12 2 R 50 38 42 27 9 R 14 37 56 8 4 R 6 47.5 60 8 4 R 12 58 56 8 4 "
     "M 38 14 L 62 14 L 50 31 Z M 38 86 L 62 86 L 50 70 Z",
     NULL, NULL},
    {"P003",
     "M 52 0 C 60 15 76 24 76 42 C 76 56 64 64 50 64 C 36 64 24 56 24 42 C 24 33 30 27 36 19 C 37 27 40 31 45 33 "
     "C 42 20 44 10 52 0 Z R 45 60 10 40 2",
     NULL, NULL},
    {"P010", HAND, NULL, NULL},
    {"P011",
     "M 54 0 L 98 16 L 82 50 L 46 34 Z "
     "M 30 60 C 35 68 45 74 45 86 C 45 96 39 100 30 100 C 21 100 15 96 15 86 C 15 80 18 76 21 72 C 22 76 24 78 27 79 "
     "C 25 72 26 66 30 60 Z "
     "M 62 60 C 66 67 74 72 74 84 C 74 95 69 100 61 100 C 53 100 48 95 48 86 C 48 80 50 77 53 73 C 54 77 56 78 58 79 "
     "C 57 72 58 66 62 60 Z",
     "M 44 38 C 36 42 33 46 32 52 M 52 42 C 47 45 46 48 46 54", NULL},
    {"P015", HAND "R 84 0 12 100 2", NULL, NULL},
    {"M002",
     "M 48 24 C 36 14 18 14 2 18 L 2 80 C 18 76 36 76 48 86 Z M 52 24 C 64 14 82 14 98 18 L 98 80 C 82 76 64 76 52 86 "
     "Z",
     NULL, "R 11 30 28 5 0 R 11 43 28 5 0 R 11 56 28 5 0 R 61 30 28 5 0 R 61 43 28 5 0 R 61 56 28 5 0"},
    {"M004", HEAD, NULL, "R 22 30 26 20 9 R 52 30 26 20 9 R 12 36 76 7 0"},
    {"M008", "M 26 2 L 60 2 L 60 50 C 74 58 94 60 96 78 L 96 86 L 26 86 Z R 26 90 70 8 2", NULL, NULL},
    {"M009", HAND, NULL, "R 28 80 54 6 0"},
    {"M010", "M 34 4 L 66 4 L 98 22 L 88 54 L 76 48 L 76 98 L 24 98 L 24 48 L 12 54 L 2 22 Z", NULL, "R 48 22 4 72 0"},
    {"M013", HEAD, NULL, "R 24 22 52 46 10"},
    {"M017", HEAD, NULL, "M 28 46 L 72 46 L 66 72 L 34 72 Z R 12 48 76 6 0 O 34 66 10 O 66 66 10"},
    {"M021", "R 26 38 48 34 8 R 34 8 11 34 2 R 55 8 11 34 2 R 44 70 12 30 2", NULL, NULL},
    {"F001", "R 34 32 34 66 9 R 44 16 14 18 2 M 38 10 L 80 0 L 80 12 L 58 18 Z", "M 44 22 C 20 22 14 46 20 66", NULL},
    {"E003", "M 34 4 L 66 4 L 66 34 L 96 34 L 96 66 L 66 66 L 66 96 L 34 96 L 34 66 L 4 66 L 4 34 L 34 34 Z", NULL,
     NULL},
    {"E020", "O 50 50 24", "O 50 50 40", NULL},
};

static const struct pictogram *pictogram_of(struct text number)
{
    for (size_t i = 0; i < sizeof pictogram_table / sizeof pictogram_table[0]; i++)
        if (text_is(number, pictogram_table[i].number))
            return &pictogram_table[i];
    return NULL;
}

/* ---- signs -------------------------------------------------------------------------------------------------------- */

static void add_path(struct picture *p, const char *path, double x, double y, double scale, struct paint paint)
{
    struct outline o = outline_new(p);
    if (!path)
        return;
    outline_read(&o, path, x, y, scale);
    picture_shape(p, o, paint);
}

static void add_layers(struct picture *p, const struct layer *layers)
{
    for (int i = 0; i < LAYERS && layers[i].path; i++)
        add_path(p, layers[i].path, 0, 0, 1,
                 (struct paint){layers[i].fill, layers[i].line, layers[i].width, 0, layers[i].fill != INK_NONE});
}

static void add_pictogram(struct picture *p, const struct sign_shape *s, const struct pictogram *g)
{
    const double line_width = 8;
    add_path(p, g->fill, s->x, s->y, s->scale, (struct paint){.fill = s->symbol});
    add_path(p, g->line, s->x, s->y, s->scale,
             (struct paint){.line = s->symbol, .width = line_width * s->scale, .round = true});
    add_path(p, g->hole, s->x, s->y, s->scale, (struct paint){.fill = s->ground});
}

/* A number we have no pictogram for is told in its own digits. */
static void add_number(struct typesetter *t, struct picture *p, const struct sign_shape *s, struct text number)
{
    struct text shown = {number.at, number.len < 5 ? number.len : 5};
    const struct typeset *w = typesetter_set(t, shown, (struct type){.size = 14, .bold = true}, 0);
    double middle = s->y + s->scale * SIDE / 2;
    picture_box(p, (SIDE - w->width) / 2 - 1, middle - w->height / 2, w->width + 2, w->height,
                (struct paint){.fill = s->ground});
    picture_text(p, w, (SIDE - w->width) / 2, middle - w->height / 2, s->symbol);
}

struct text sign_next(struct text *numbers)
{
    struct text number = {numbers->at, 0};
    while (number.len < numbers->len && number.at[number.len] != ' ')
        number.len++;
    uint32_t taken = number.len + (number.len < numbers->len);
    *numbers = (struct text){numbers->at + taken, numbers->len - taken};
    return number;
}

const struct picture *sign_picture(struct typesetter *t, struct text number, double side)
{
    for (size_t i = 0; i < sizeof shape_table / sizeof shape_table[0]; i++) {
        const struct sign_shape *s = &shape_table[i];
        if (!number.len || number.at[0] != s->letter)
            continue;
        struct picture *p = picture_new(t->arena), *scaled = picture_new(t->arena);
        const struct pictogram *g = pictogram_of(number);
        add_layers(p, s->below);
        if (g)
            add_pictogram(p, s, g);
        add_layers(p, s->above);
        if (!g)
            add_number(t, p, s, number);
        picture_place(scaled, p, 0, 0, side / SIDE);
        scaled->width = scaled->height = side;
        return scaled;
    }
    return NULL;
}
