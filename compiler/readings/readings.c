/* Rows of numbers, and what is wrong with them. */
#include "compiler/readings/parts.h"

#include <math.h>

/* ---- places ------------------------------------------------------------------------------------------------------------ */

struct span readings_place(struct readings *r, uint32_t lo, uint32_t hi)
{
    if (!r->row_file) {
        struct text kept = arena_text(r->arena, r->csv.raw);
        r->row_file = source_add_excerpt(&r->sources, r->path, kept, r->csv.line ? r->csv.line - 1 : 0);
    }
    return (struct span){r->row_file, lo, hi};
}

struct span readings_span(struct readings *r, uint32_t column)
{
    if (column >= r->csv.cells.count)
        return readings_place(r, r->csv.raw.len, r->csv.raw.len);
    const struct csv_cell *cell = &r->csv.cells.at[column];
    return readings_place(r, cell->lo, cell->hi);
}

struct csv readings_ahead(struct readings *r)
{
    struct text bytes;
    csv_look_ahead(&r->csv, &bytes);
    struct csv ahead = r->csv;
    ahead.ended = true;
    memset(&ahead.cells, 0, sizeof ahead.cells);
    return ahead;
}

/* ---- the stream's own faults --------------------------------------------------------------------------------------------- */

static void say_quote(struct readings *r, bool open)
{
    uint32_t last = r->csv.cells.count - 1, lo = r->csv.cells.at[last].lo, hi = r->csv.cells.at[last].hi;
    struct diagnostic *d;
    if (open) {
        d = report(&r->diagnostics, FAULT_readings_quote, readings_place(r, lo, lo + 1),
                   "a cell begins with a quote here and none ends it");
        report_help(&r->diagnostics, d, "close the quote; a quote inside a quoted cell is written twice");
        return;
    }
    d = report(&r->diagnostics, FAULT_readings_quote, readings_place(r, hi, hi + 1),
               "text stands behind the closing quote of a cell");
    report_help(&r->diagnostics, d, "a quote inside a quoted cell is written twice");
}

void readings_say_state(struct readings *r, enum csv_state state)
{
    struct diagnostics *ds = &r->diagnostics;
    r->row_file = 0;
    if (state == CSV_UNREADABLE) {
        report(ds, FAULT_unreadable_file, (struct span){0}, "%.*s cannot be read to its end", TEXT_ARGS(r->path));
    } else if (state == CSV_TOO_LONG) {
        r->csv.raw.len = 80;
        struct diagnostic *d = report(ds, FAULT_readings_quote, readings_place(r, 0, 80),
                                      "a row that begins here is longer than %d MiB", CSV_ROW_LIMIT >> 20);
        report_help(ds, d, "look for a quote that is never closed");
    } else if (state == CSV_NUL) {
        uint32_t at = r->csv.cells.at[r->csv.cells.count - 1].hi;
        struct diagnostic *d = report(ds, FAULT_nul_byte, readings_place(r, at, at + 1),
                                      "a byte of value zero stands here, which no text has");
        report_help(ds, d, "save the file as UTF-8: UTF-16 has a zero in every second byte");
    } else if (state == CSV_OPEN_QUOTE || state == CSV_STRAY) {
        say_quote(r, state == CSV_OPEN_QUOTE);
    }
}

/* ---- the decimal sign ---------------------------------------------------------------------------------------------------- */

struct sign_search {
    enum decimal_sign found;
    struct span either; /* the first cell that may be read both ways; file 0: none */
    struct text text;
};

static bool is_number_column(const struct readings_column *c)
{
    return c->use == READINGS_VALUE || (c->use == READINGS_TIME && c->has_unit);
}

/* Of a file whose cells are parted by commas, an unquoted cell cannot hold one, so its point is the decimal sign. */
static enum sign_evidence evidence_of(const struct readings *r, const struct csv_cell *cell)
{
    enum sign_evidence e = cell_sign(cell->text);
    return e == SIGN_IN_EITHER && r->options.separator == ',' && !cell->quoted ? SIGN_IN_POINT : e;
}

static void search_row(struct readings *r, const struct csv *row, struct sign_search *search)
{
    for (uint32_t i = 0; i < r->columns.count && i < row->cells.count && !search->found; i++) {
        const struct csv_cell *cell = &row->cells.at[i];
        enum sign_evidence e = is_number_column(&r->columns.at[i]) ? evidence_of(r, cell) : SIGN_IN_NONE;
        if (e == SIGN_IN_POINT || e == SIGN_IN_COMMA)
            search->found = e == SIGN_IN_POINT ? SIGN_POINT : SIGN_COMMA;
        if (e != SIGN_IN_EITHER || search->either.file)
            continue;
        r->row_file = 0;
        r->csv.raw = row->raw;
        r->csv.line = row->line;
        search->either = readings_place(r, cell->lo, cell->hi);
        search->text = arena_text(r->arena, cell->text);
        r->row_file = 0;
    }
}

static void say_either_sign(struct readings *r, const struct sign_search *search)
{
    struct text t = search->text;
    bool point = memchr(t.at, '.', t.len) != NULL;
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_decimal, search->either,
                                  "'%.*s' may be read in two ways, and no cell of this file shows which", TEXT_ARGS(t));
    report_here(&r->diagnostics, d, "%s: a decimal sign, or between thousands?", point ? "the point" : "the comma");
    report_help(&r->diagnostics, d, "say which: --decimal point or --decimal comma");
}

bool readings_find_sign(struct readings *r)
{
    struct csv ahead = readings_ahead(r);
    struct sign_search search = {.found = r->options.sign};
    while (!search.found && csv_next(&ahead) == CSV_ROW)
        search_row(r, &ahead, &search);
    if (!search.found && search.either.file)
        say_either_sign(r, &search);
    r->options.sign = search.found ? search.found : SIGN_POINT;
    return r->diagnostics.errors == 0;
}

/* ---- cells --------------------------------------------------------------------------------------------------------------- */

static void say_other_sign(struct readings *r, uint32_t i, struct text t)
{
    bool point = r->options.sign == SIGN_POINT;
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_decimal, readings_span(r, i),
                                  "'%.*s' has a decimal %s, and the cells before it a decimal %s", TEXT_ARGS(t),
                                  point ? "comma" : "point", point ? "point" : "comma");
    report_help(&r->diagnostics, d, "one file has one decimal sign; write it anew, or say it with --decimal");
    r->faulty = true;
}

static void say_text(struct readings *r, uint32_t i, struct text t)
{
    const struct readings_column *c = &r->columns.at[i];
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_number, readings_span(r, i), "'%.*s' is no number",
                                  t.len < 60 ? (int)t.len : 60, t.at);
    report_here(&r->diagnostics, d, "in column '%.*s'", TEXT_ARGS(c->head));
    report_help(&r->diagnostics, d,
                "a cell holds a number in the unit of its column; leave it empty where nothing was read");
    r->faulty = true;
}

static void read_value(struct readings *r, uint32_t i, const struct csv_cell *cell)
{
    struct readings_column *c = &r->columns.at[i];
    double value = NAN;
    enum cell_says says = cell_number(cell->text, r->options.sign, &value);
    r->value[i] = says == CELL_NUMBER ? unit_to_si(&c->unit, value) : NAN;
    c->read += says == CELL_NUMBER;
    c->empty += says == CELL_EMPTY;
    c->no_reading += says == CELL_NO_READING;
    if (says == CELL_OTHER_SIGN)
        say_other_sign(r, i, cell->text);
    else if (says == CELL_TEXT)
        say_text(r, i, cell->text);
}

/* ---- time ---------------------------------------------------------------------------------------------------------------- */

static void say_time(struct readings *r, uint32_t i, struct text t)
{
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_time, readings_span(r, i),
                                  "'%.*s' is no time that can be read one way", t.len < 60 ? (int)t.len : 60, t.at);
    report_help(&r->diagnostics, d,
                "write 2026-11-20T14:05:07, with the offset from UTC where the log spans a change "
                "of the clocks: 2026-11-20T14:05:07+01:00; or seconds under 'time [s]'");
    r->faulty = true;
}

static void check_zone(struct readings *r, uint32_t i, bool zone)
{
    int kind = zone ? 1 : -1;
    if (r->zones && r->zones != kind) {
        report(&r->diagnostics, FAULT_readings_time, readings_span(r, i),
               "this time states %s offset from UTC, and the times before it %s", zone ? "an" : "no",
               zone ? "none" : "one");
        r->faulty = true;
    }
    r->zones = kind;
}

static void say_time_back(struct readings *r, uint32_t i)
{
    struct unit second;
    struct unit_error error;
    unit_read(TEXT("s"), &second, &error);
    struct diagnostic *d =
        report(&r->diagnostics, FAULT_readings_time_back, readings_span(r, i), "the time goes back by %.*s",
               TEXT_ARGS(typeset_quantity(r->arena, r->last_time - r->time, &second, SPELL_ASCII)));
    report_here(&r->diagnostics, d, "earlier than line %u", r->time_line);
}

static void check_order(struct readings *r, uint32_t i)
{
    if (r->time < r->last_time)
        say_time_back(r, i);
    r->last_time = r->time;
    r->time_line = r->csv.line;
}

static void read_time(struct readings *r, uint32_t i, const struct csv_cell *cell)
{
    struct readings_column *c = &r->columns.at[i];
    struct cell_time time = {NAN, false};
    if (c->has_unit)
        read_value(r, i, cell);
    else if (!cell->text.len)
        c->empty++;
    else if (!cell_time(cell->text, &time))
        say_time(r, i, cell->text);
    else
        check_zone(r, i, time.zone);
    r->time = r->value[i] = c->has_unit ? r->value[i] : time.seconds;
    c->read += !c->has_unit && !isnan(r->time);
    if (!isnan(r->time))
        check_order(r, i);
}

/* ---- rows ---------------------------------------------------------------------------------------------------------------- */

static void read_cell(struct readings *r, uint32_t i)
{
    const struct csv_cell *cell = &r->csv.cells.at[i];
    enum readings_use use = r->columns.at[i].use;
    r->value[i] = NAN;
    if (use == READINGS_VALUE)
        read_value(r, i, cell);
    else if (use == READINGS_TIME)
        read_time(r, i, cell);
    else if (use == READINGS_PIECE)
        r->piece = cell->text;
}

/* A logger that was started again writes its header again. */
static bool is_header_again(const struct readings *r)
{
    if (r->csv.cells.count != r->header.count)
        return false;
    for (uint32_t i = 0; i < r->header.count; i++)
        if (!text_same(r->csv.cells.at[i].text, r->header.at[i]))
            return false;
    return true;
}

/* As many cells as the header, and perhaps an empty one behind the last separator. */
static bool has_its_cells(const struct csv *c, uint32_t columns)
{
    return c->cells.count == columns || (c->cells.count == columns + 1 && !c->cells.at[columns].text.len);
}

static void say_cells(struct readings *r)
{
    uint32_t cells = r->csv.cells.count, columns = r->columns.count;
    bool more = cells > columns, cut = !more && !r->csv.closed;
    struct span place = more ? readings_span(r, columns) : readings_place(r, r->csv.raw.len, r->csv.raw.len);
    struct diagnostic *d = cut ? report(&r->diagnostics, FAULT_readings_cells, place,
                                        "the last line breaks off after %u of %u cells", cells, columns)
                               : report(&r->diagnostics, FAULT_readings_cells, place,
                                        "this row has %u cells, and the header %u", cells, columns);
    if (cut)
        report_help(&r->diagnostics, d, "copy the file again, or take the line out");
    else if (more && r->options.separator == ',')
        report_help(&r->diagnostics, d,
                    "a comma inside a number or a text parts cells too: put that cell in quotes, "
                    "or part the cells with semicolons");
    else
        report_help(&r->diagnostics, d, "every row has a cell for each column, be it empty");
}

static void read_cells(struct readings *r)
{
    r->faulty = !has_its_cells(&r->csv, r->columns.count);
    r->piece = TEXT("");
    r->time = NAN;
    r->rows++;
    if (r->faulty)
        say_cells(r);
    for (uint32_t i = 0; i < r->columns.count && !r->faulty; i++)
        read_cell(r, i);
    r->faulty_rows += r->faulty;
}

bool readings_next(struct readings *r)
{
    while (!r->ended) {
        enum csv_state state = csv_next(&r->csv);
        r->row_file = 0;
        r->ended = state != CSV_ROW;
        if (r->ended)
            readings_say_state(r, state);
        else if (!r->csv.raw.len)
            r->blank_rows++;
        else if (is_header_again(r))
            r->header_rows++;
        else {
            read_cells(r);
            return true;
        }
    }
    return false;
}

/* ---- what was left out ----------------------------------------------------------------------------------------------------- */

static void put_count(struct buffer *b, uint64_t count, const char *one, const char *many)
{
    if (count)
        buffer_printf(b, "%llu %s\n", (unsigned long long)count, count == 1 ? one : many);
}

static void put_kept(const struct readings *r, struct buffer *b)
{
    const char *before = "columns not read: ";
    for (uint32_t i = 0; i < r->columns.count; i++)
        if (r->columns.at[i].use == READINGS_KEPT) {
            buffer_printf(b, "%s%.*s", before, TEXT_ARGS(r->columns.at[i].head));
            before = ", ";
        }
    if (before[0] == ',')
        buffer_putc(b, '\n');
}

void readings_left_out(const struct readings *r, struct buffer *b)
{
    uint64_t empty = 0, none = 0;
    for (uint32_t i = 0; i < r->columns.count; i++) {
        empty += r->columns.at[i].empty;
        none += r->columns.at[i].no_reading;
    }
    put_kept(r, b);
    put_count(b, r->blank_rows, "blank line", "blank lines");
    put_count(b, r->header_rows, "row that repeats the header", "rows that repeat the header");
    put_count(b, empty, "empty cell", "empty cells");
    put_count(b, none, "cell that says there is no reading", "cells that say there is no reading");
    put_count(b, r->faulty_rows, "row with a fault", "rows with a fault");
}
