#include "compiler/readings/csv.h"

void csv_begin(struct csv *c, struct arena *arena, struct csv_input input)
{
    *c = (struct csv){.arena = arena, .input = input, .next_line = 1};
    c->room = CSV_BUFFER;
    c->at = arena_grow(arena, NULL, c->room + 1);
    c->at[0] = 0;
    csv_separate(c, ',');
}

void csv_separate(struct csv *c, char separator)
{
    memset(c->stops, 0, sizeof c->stops);
    c->separator = separator;
    c->stops[(unsigned char)separator] = c->stops['\r'] = c->stops['\n'] = c->stops[0] = true;
}

/* ---- the buffer ------------------------------------------------------------------------------------------------------ */

/* Moves what is not read yet to the front and fills the rest. False when the input failed. */
static bool fill(struct csv *c)
{
    memmove(c->at, c->at + c->lo, c->hi - c->lo);
    c->hi -= c->lo;
    c->lo = 0;
    while (c->hi < c->room && !c->ended) {
        ptrdiff_t got = c->input.read(c->input.context, c->at + c->hi, c->room - c->hi);
        if (got < 0)
            return false;
        c->ended = got == 0;
        c->hi += (size_t)got;
    }
    c->at[c->hi] = 0;
    return true;
}

static void widen(struct csv *c)
{
    c->room *= 2;
    c->at = arena_grow(c->arena, c->at, c->room + 1);
}

static void skip_byte_order_mark(struct csv *c)
{
    if (c->next_line == 1 && c->hi - c->lo >= 3 && memcmp(c->at + c->lo, "\xEF\xBB\xBF", 3) == 0)
        c->lo += 3;
}

bool csv_look_ahead(struct csv *c, struct text *bytes)
{
    bool good = fill(c);
    skip_byte_order_mark(c);
    *bytes = (struct text){c->at + c->lo, (uint32_t)(c->hi - c->lo)};
    return good;
}

/* ---- cells ----------------------------------------------------------------------------------------------------------- */

enum step { STEP_CELL, STEP_ROW, STEP_MORE, STEP_FAULT }; /* what stands behind a cell; more must be read to know */

struct cursor {
    size_t at;
    enum csv_state fault;
};

static bool at_end(const struct csv *c, size_t at)
{
    return at == c->hi;
}

static void count_line_end(struct csv *c, size_t *at)
{
    if (c->at[*at] == '\r' && c->at[*at + 1] == '\n')
        ++*at;
    c->lines++;
    ++*at;
}

/* What stands behind the cell that ends at the cursor, which moves on. */
static enum step behind_cell(struct csv *c, struct cursor *cursor)
{
    char stop = c->at[cursor->at];
    if (at_end(c, cursor->at))
        return c->ended ? STEP_ROW : STEP_MORE;
    if (stop == '\r' && at_end(c, cursor->at + 1) && !c->ended)
        return STEP_MORE; /* LF may follow */
    if (stop == c->separator) {
        cursor->at++;
        return STEP_CELL;
    }
    if (stop == '\r' || stop == '\n') {
        c->closed = true;
        return STEP_ROW;
    }
    cursor->fault = stop ? CSV_STRAY : CSV_NUL;
    return STEP_FAULT;
}

static bool is_blank(char byte)
{
    return byte == ' ' || byte == '\t';
}

static enum step read_plain(struct csv *c, struct cursor *cursor)
{
    size_t lo = cursor->at, hi = lo;
    while (!c->stops[(unsigned char)c->at[hi]])
        hi++;
    struct csv_cell *cell = ARRAY_PUSH(c->arena, &c->cells);
    cell->lo = (uint32_t)(lo - c->lo);
    cell->hi = (uint32_t)(hi - c->lo);
    cursor->at = hi;
    while (lo < hi && is_blank(c->at[lo]))
        lo++;
    while (hi > lo && is_blank(c->at[hi - 1]))
        hi--;
    cell->text = (struct text){c->at + lo, (uint32_t)(hi - lo)};
    return behind_cell(c, cursor);
}

/* The closing quote of a cell that opens at the cursor; where the buffer ends, its end. */
static size_t closing_quote(struct csv *c, size_t at, bool *twice)
{
    for (; !at_end(c, at); at++) {
        char byte = c->at[at];
        if (byte == '"' && c->at[at + 1] != '"')
            return at;
        if (byte == '"') {
            *twice = true;
            at++;
        } else if (byte == '\n' || (byte == '\r' && c->at[at + 1] != '\n')) {
            c->lines++;
        }
    }
    return at;
}

static enum step read_quoted(struct csv *c, struct cursor *cursor)
{
    size_t lo = cursor->at;
    bool twice = false;
    size_t quote = closing_quote(c, lo + 1, &twice);
    if ((at_end(c, quote) || at_end(c, quote + 1)) && !c->ended)
        return STEP_MORE;
    bool open = at_end(c, quote);
    struct csv_cell *cell = ARRAY_PUSH(c->arena, &c->cells);
    cell->quoted = true;
    cell->twice = twice;
    cell->text = (struct text){c->at + lo + 1, (uint32_t)(quote - lo - 1)};
    cell->lo = (uint32_t)(lo - c->lo);
    cursor->at = open ? quote : quote + 1;
    cell->hi = (uint32_t)(cursor->at - c->lo);
    while (!open && is_blank(c->at[cursor->at]) && c->at[cursor->at] != c->separator)
        cursor->at++;
    cursor->fault = CSV_OPEN_QUOTE;
    return open ? STEP_FAULT : behind_cell(c, cursor);
}

/* ---- rows ------------------------------------------------------------------------------------------------------------ */

static enum step read_row(struct csv *c, struct cursor *cursor)
{
    enum step step = STEP_CELL;
    c->cells.count = 0;
    c->lines = 0;
    c->closed = false;
    cursor->at = c->lo;
    while (step == STEP_CELL)
        step = c->at[cursor->at] == '"' ? read_quoted(c, cursor) : read_plain(c, cursor);
    return step;
}

static void end_row(struct csv *c, struct cursor *cursor)
{
    size_t lo = c->lo;
    c->raw = (struct text){c->at + lo, (uint32_t)(cursor->at - lo)};
    c->line = c->next_line;
    uint32_t inside = c->lines;
    if (c->closed)
        count_line_end(c, &cursor->at);
    c->next_line += c->lines;
    c->lines = inside;
    c->bytes += cursor->at - lo;
    c->lo = cursor->at;
}

static enum csv_state give_up(struct csv *c, enum csv_state state)
{
    c->raw = (struct text){c->at + c->lo, (uint32_t)(c->hi - c->lo)};
    c->line = c->next_line;
    c->ended = true;
    c->lo = c->hi;
    return state;
}

enum csv_state csv_next(struct csv *c)
{
    struct cursor cursor = {0, CSV_ROW};
    enum step step = STEP_MORE;
    if (!c->ended && at_end(c, c->lo) && !fill(c))
        return give_up(c, CSV_UNREADABLE);
    skip_byte_order_mark(c);
    while (!at_end(c, c->lo) && (step = read_row(c, &cursor)) == STEP_MORE) {
        if (c->hi - c->lo >= CSV_ROW_LIMIT)
            return give_up(c, CSV_TOO_LONG);
        if (c->hi - c->lo > c->room / 2)
            widen(c);
        if (!fill(c))
            return give_up(c, CSV_UNREADABLE);
    }
    if (step == STEP_ROW)
        end_row(c, &cursor);
    return step == STEP_ROW ? CSV_ROW : step == STEP_FAULT ? give_up(c, cursor.fault) : CSV_END;
}

struct text csv_plain(struct arena *a, const struct csv_cell *cell)
{
    if (!cell->twice)
        return cell->text;
    char *out = arena_room(a, cell->text.len + 1);
    uint32_t n = 0;
    for (uint32_t i = 0; i < cell->text.len; i++) {
        out[n++] = cell->text.at[i];
        if (cell->text.at[i] == '"')
            i++;
    }
    return (struct text){out, n};
}
