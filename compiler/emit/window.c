/* The window map as text for a terminal, and as a table for a spreadsheet. */
#include "compiler/emit/columns.h"
#include "compiler/emit/emit.h"
#include "compiler/emit/escape.h"
#include "compiler/text/said.h"
#include "runtime/base/number.h"

#include <math.h>

enum { ROWS_SHOWN = 13, MAP_COLUMNS = 56, MAP_ROWS = 20, LABEL_WIDTH = 10 };

/* As many digits as tell the points of the axis apart. */
static struct text axis_value(struct arena *a, const struct window_axis *axis, double value)
{
    double step = (axis->high - axis->low) / 100;
    int decimals = step >= 1 ? 0 : (int)ceil(-log10(step) - 1e-9);
    return number_fixed(a, value, decimals < 0 ? 0 : decimals);
}

static struct text with_unit(struct arena *a, const struct window_axis *axis, double value)
{
    struct text number = axis_value(a, axis, value);
    return axis->unit.len ? arena_format(a, "%.*s %.*s", TEXT_ARGS(number), TEXT_ARGS(axis->unit)) : number;
}

static struct text percent(struct arena *a, double share)
{
    return isnan(share) ? TEXT("") : arena_format(a, "%.*s %%", TEXT_ARGS(number_fixed(a, 100 * share, 1)));
}

static const struct window_cell *cell_at(const struct window_map *m, double x, double y)
{
    const double at[2] = {x, y};
    for (uint32_t i = 0; i < m->cells.count; i++) {
        const struct window_cell *c = &m->cells.at[i];
        bool inside = true;
        for (uint32_t k = 0; k < m->axes; k++)
            inside = inside && at[k] >= c->low[k] && at[k] <= c->high[k];
        if (inside)
            return c;
    }
    return &m->cells.at[0];
}

/* The line with the least margin at a point; NULL when none has any. */
static const struct window_line *tightest(const struct window_map *m, uint32_t point)
{
    const struct window_line *best = NULL;
    for (uint32_t i = 0; i < m->lines.count; i++)
        if (!isnan(m->lines.at[i].worst[point]) && (!best || m->lines.at[i].worst[point] < best->worst[point]))
            best = &m->lines.at[i];
    return best;
}

/* ---- the head ---------------------------------------------------------------------------------------------------- */

static void put_axis(struct buffer *b, const struct window_axis *axis, uint32_t width)
{
    struct arena *a = b->arena;
    struct text told = arena_format(a, "%.*s%s%.*s from %.*s to %.*s", TEXT_ARGS(axis->name), axis->held.len ? " " : "",
                                    TEXT_ARGS(axis->held), TEXT_ARGS(with_unit(a, axis, axis->low)),
                                    TEXT_ARGS(with_unit(a, axis, axis->high)));
    told = isnan(axis->chosen)
               ? arena_format(a, "%.*s; no value in it proves every limit", TEXT_ARGS(told))
               : arena_format(a, "%.*s; chosen: %.*s", TEXT_ARGS(told), TEXT_ARGS(with_unit(a, axis, axis->chosen)));
    print_wrapped(b, escape_plain(a, told), width, 0, 2);
}

static double proved_share(const struct window_map *m)
{
    double share = 0;
    for (uint32_t i = 0; i < m->cells.count; i++) {
        const struct window_cell *c = &m->cells.at[i];
        double part = 1;
        for (uint32_t k = 0; k < m->axes; k++)
            part *= (c->high[k] - c->low[k]) / (m->axis[k].high - m->axis[k].low);
        share += c->state == WINDOW_PROVED ? part : 0;
    }
    return share;
}

static void put_key(struct buffer *b, const struct window_map *m, uint32_t width)
{
    for (int letter = 'A'; letter <= 'Z'; letter++)
        for (uint32_t i = 0; i < m->lines.count; i++)
            if (m->lines.at[i].letter == letter)
                print_wrapped(
                    b,
                    arena_format(b->arena, "%c  %.*s", letter, TEXT_ARGS(escape_plain(b->arena, m->lines.at[i].name))),
                    width, 2, 3);
}

/* ---- one unknown ------------------------------------------------------------------------------------------------- */

static void put_line_table(struct buffer *b, const struct window_map *m, uint32_t width)
{
    static const struct column columns[] = {{"Value", COLUMN_NUMBER},
                                            {"Proved", COLUMN_WORDS},
                                            {"Tightest limit", COLUMN_WORDS},
                                            {"Margin", COLUMN_NUMBER}};
    struct columns c = {.arena = b->arena, .columns = columns, .count = 4};
    const struct window_axis *axis = &m->axis[0];
    for (uint32_t row = 0; row < ROWS_SHOWN; row++) {
        uint32_t point = row * (axis->count - 1) / (ROWS_SHOWN - 1);
        const struct window_cell *cell = cell_at(m, axis->at[point], 0);
        const struct window_line *line = tightest(m, point);
        bool proved = line ? line->worst[point] >= 0 && cell->state != WINDOW_REFUTED : cell->state == WINDOW_PROVED;
        struct columns_row *r = columns_add(&c);
        r->cell[0] = with_unit(b->arena, axis, axis->at[point]);
        r->cell[1] = proved ? TEXT("yes") : TEXT("no");
        r->cell[2] = line ? escape_plain(b->arena, line->name) : TEXT("");
        r->cell[3] = line ? percent(b->arena, line->worst[point]) : TEXT("");
    }
    columns_print(&c, b, width);
}

/* ---- two unknowns ------------------------------------------------------------------------------------------------ */

/* What stands for a place: # proved, the limit's letter where it is broken, . where it was not told. */
static char mark_of(const struct window_map *m, const struct window_cell *c)
{
    if (c->state == WINDOW_PROVED)
        return '#';
    char letter = m->lines.at[c->line].letter;
    return c->state == WINDOW_OPEN || !letter ? '.' : letter;
}

static bool is_chosen(const struct window_axis *axis, double low, double high)
{
    return axis->chosen >= low && (axis->chosen < high || (axis->chosen == axis->high && high >= axis->high));
}

static void put_map_row(struct buffer *b, const struct window_map *m, uint32_t row, uint32_t columns)
{
    const struct window_axis *x = &m->axis[0], *y = &m->axis[1];
    double dx = (x->high - x->low) / columns, dy = (y->high - y->low) / MAP_ROWS, bottom = y->high - (row + 1) * dy;
    bool labelled = row % 5 == 0 || row + 1 == MAP_ROWS;
    struct text label = labelled ? axis_value(b->arena, y, row + 1 == MAP_ROWS ? y->low : bottom + dy) : TEXT("");
    buffer_pad(b, ' ', label.len < LABEL_WIDTH ? LABEL_WIDTH - label.len : 0);
    buffer_printf(b, "%.*s |", TEXT_ARGS(label));
    for (uint32_t i = 0; i < columns; i++) {
        double left = x->low + i * dx;
        bool here = is_chosen(x, left, left + dx) && is_chosen(y, bottom, bottom + dy);
        buffer_putc(b, here ? '@' : mark_of(m, cell_at(m, left + dx / 2, bottom + dy / 2)));
    }
    buffer_putc(b, '\n');
}

static void put_map(struct buffer *b, const struct window_map *m, uint32_t width)
{
    uint32_t columns = width < MAP_COLUMNS + LABEL_WIDTH + 4 ? 40 : MAP_COLUMNS;
    struct text left = axis_value(b->arena, &m->axis[0], m->axis[0].low),
                right = axis_value(b->arena, &m->axis[0], m->axis[0].high);
    buffer_printf(b, "%.*s%s%.*s\n", TEXT_ARGS(m->axis[1].name), m->axis[1].unit.len ? ", " : "",
                  TEXT_ARGS(m->axis[1].unit));
    for (uint32_t row = 0; row < MAP_ROWS; row++)
        put_map_row(b, m, row, columns);
    buffer_pad(b, ' ', LABEL_WIDTH + 1);
    buffer_putc(b, '+');
    buffer_pad(b, '-', columns);
    buffer_putc(b, '\n');
    buffer_pad(b, ' ', LABEL_WIDTH + 2);
    buffer_put(b, left);
    buffer_pad(b, ' ', columns > left.len + right.len ? columns - left.len - right.len : 1);
    buffer_printf(b, "%.*s\n", TEXT_ARGS(right));
    buffer_pad(b, ' ', LABEL_WIDTH + 2);
    buffer_printf(b, "%.*s%s%.*s\n\n", TEXT_ARGS(m->axis[0].name), m->axis[0].unit.len ? ", " : "",
                  TEXT_ARGS(m->axis[0].unit));
    buffer_put(b, TEXT("#  every limit is proved over the tolerances; @ chosen; . not decided\n"));
}

void text_window(struct buffer *b, const struct window_map *m, uint32_t width)
{
    for (uint32_t k = 0; k < m->axes; k++)
        put_axis(b, &m->axis[k], width);
    if (m->others.len)
        print_wrapped(b, arena_format(b->arena, "with %.*s", TEXT_ARGS(escape_plain(b->arena, m->others))), width, 0,
                      2);
    buffer_printf(b, "every limit%s is proved in %.*s %% of it\n\n", m->without_waived ? " but those waived" : "",
                  TEXT_ARGS(number_fixed(b->arena, 100 * proved_share(m), 1)));
    if (m->axes == 1)
        put_line_table(b, m, width);
    else
        put_map(b, m, width);
    if (m->axes == 2)
        put_key(b, m, width);
}

/* ---- for a spreadsheet ------------------------------------------------------------------------------------------- */

static void put_name(struct buffer *b, struct text name, const char *more, struct text unit)
{
    escape_put_csv(b, arena_format(b->arena, "%.*s%s%s%.*s%s", TEXT_ARGS(name), more, unit.len ? " [" : "",
                                   TEXT_ARGS(unit), unit.len ? "]" : ""));
}

/* One line a point: the value, then each limit's margin in percent. */
static void csv_lines(struct buffer *b, const struct window_map *m)
{
    const struct window_axis *axis = &m->axis[0];
    put_name(b, axis->name, "", axis->unit);
    buffer_put(b, TEXT(",tightest"));
    for (uint32_t i = 0; i < m->lines.count; i++) {
        buffer_putc(b, ',');
        put_name(b, m->lines.at[i].name, "", TEXT("%"));
    }
    buffer_put(b, TEXT("\r\n"));
    for (uint32_t point = 0; point < axis->count; point++) {
        const struct window_line *line = tightest(m, point);
        buffer_put(b, number_print(b->arena, axis->at[point]));
        buffer_putc(b, ',');
        escape_put_csv(b, line ? line->name : TEXT(""));
        for (uint32_t i = 0; i < m->lines.count; i++) {
            buffer_putc(b, ',');
            if (!isnan(m->lines.at[i].worst[point]))
                buffer_put(b, number_print(b->arena, 100 * m->lines.at[i].worst[point]));
        }
        buffer_put(b, TEXT("\r\n"));
    }
}

/* One line a cell. */
static void csv_cells(struct buffer *b, const struct window_map *m)
{
    static const char *const states[] = {
        [WINDOW_PROVED] = "proved", [WINDOW_OPEN] = "not decided", [WINDOW_REFUTED] = "broken"};
    for (uint32_t k = 0; k < m->axes; k++) {
        put_name(b, m->axis[k].name, " from", m->axis[k].unit);
        buffer_putc(b, ',');
        put_name(b, m->axis[k].name, " to", m->axis[k].unit);
        buffer_putc(b, ',');
    }
    buffer_put(b, TEXT("state,limit\r\n"));
    for (uint32_t i = 0; i < m->cells.count; i++) {
        const struct window_cell *c = &m->cells.at[i];
        for (uint32_t k = 0; k < m->axes; k++) {
            buffer_put(b, number_print(b->arena, c->low[k]));
            buffer_putc(b, ',');
            buffer_put(b, number_print(b->arena, c->high[k]));
            buffer_putc(b, ',');
        }
        buffer_printf(b, "%s,", states[c->state]);
        escape_put_csv(b, c->state == WINDOW_PROVED ? TEXT("") : m->lines.at[c->line].name);
        buffer_put(b, TEXT("\r\n"));
    }
}

void csv_window(struct buffer *b, const struct window_map *m)
{
    if (m->axes == 1)
        csv_lines(b, m);
    else
        csv_cells(b, m);
}
