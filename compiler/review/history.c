#include "compiler/review/history.h"

#include "compiler/emit/columns.h"
#include "compiler/emit/escape.h"
#include "compiler/emit/json.h"
#include "compiler/review/compare/parts.h"
#include "runtime/base/number.h"

#include <math.h>

/* ---- rows ------------------------------------------------------------------------------------------------------------ */

static struct text first_error(struct arena *a, struct strokewright_recipe *r)
{
    for (uint32_t i = 0; i < r->diagnostics.all.count; i++) {
        const struct diagnostic *d = r->diagnostics.all.at[i];
        if (d->severity != SEVERITY_ERROR)
            continue;
        uint32_t line = d->span.file ? place_of(&r->sources, d->span.file, d->span.lo).line : 0;
        return arena_format(a, "line %u: %.*s [%s]", line, TEXT_ARGS(d->message), fault_table[d->fault].slug);
    }
    return TEXT("it has no values");
}

static void read_value(struct history *h, struct strokewright_recipe *r, struct history_row *row)
{
    uint32_t q = r->lowering->asked[0];
    if (!q) {
        row->why_not = arena_format(h->arena, "there is no value '%.*s'", TEXT_ARGS(h->name));
        return;
    }
    const struct quantity *quantity = &r->lowering->quantities.at[q];
    row->why_not = arena_text(h->arena, quantity_why_not(&r->steps, q));
    if (quantity->value.tag == LOW_NODE && quantity->shown_as_quantity) {
        row->si = quantity_si(&r->steps, q);
        row->unit = quantity->unit;
        row->unit.spelling = arena_text(h->arena, quantity->unit.spelling);
    } else if (!row->why_not.len)
        row->word = arena_text(h->arena, shown_value(&r->steps, q).text);
}

struct history_row *history_add(struct history *h, struct strokewright_recipe *r, struct text why_not)
{
    struct history_row *row = ARRAY_PUSH(h->arena, &h->rows);
    row->si = row->value = row->percent = NAN;
    row->why_not = why_not;
    if (!r)
        return row;
    row->revision = arena_text(h->arena, stated_text(h->arena, &r->scope, find_recipe(&r->scope), FOR_revision));
    if (r->evaluated)
        read_value(h, r, row);
    else
        row->why_not = first_error(h->arena, r);
    return row;
}

/* ---- shown and moved --------------------------------------------------------------------------------------------------- */

static void fill_number(struct history *h, struct history_row *row, double before)
{
    row->shown = typeset_quantity(h->arena, row->si, &h->unit, SPELL_ASCII);
    row->value = unit_from_si(&h->unit, row->si);
    if (isnan(before))
        return;
    struct change change = compare_change_words(h->arena, before, row->si, &h->unit);
    bool same = text_same(row->shown, typeset_quantity(h->arena, before, &h->unit, SPELL_ASCII));
    row->change = same ? TEXT("") : change.words;
    row->percent = same ? NAN : change.percent;
}

/* The nearest row before it on its branch that has a number, or a word; NULL when there is none. */
static const struct history_row *row_before(const struct history *h, const struct history_row *row, bool number)
{
    for (uint32_t p = row->parents[0]; p; p = row->parents[0]) {
        row = &h->rows.at[p - 1];
        if (number ? !isnan(row->si) : row->word.len > 0)
            return row;
    }
    return NULL;
}

void history_finish(struct history *h)
{
    for (uint32_t i = 0; i < h->rows.count; i++)
        if (h->rows.at[i].unit.factor != 0)
            h->unit = h->rows.at[i].unit;
    for (uint32_t i = 0; i < h->rows.count; i++) {
        struct history_row *row = &h->rows.at[i];
        const struct history_row *before = row_before(h, row, !isnan(row->si));
        if (!isnan(row->si)) {
            fill_number(h, row, before ? before->si : NAN);
        } else if (row->word.len) {
            row->shown = row->word;
            row->change = before && !text_same(before->word, row->word) ? TEXT("changed") : TEXT("");
        }
    }
}

/* ---- a table with a chart ---------------------------------------------------------------------------------------------- */

enum { CHART = 21 };

/* The first is there where branches are drawn, the last where there are numbers. */
static const struct column text_columns[] = {
    {"", COLUMN_WORDS},       {"Rev", COLUMN_WORDS},    {"Date", COLUMN_WORDS}, {"Commit", COLUMN_WORDS},
    {"Value", COLUMN_NUMBER}, {"Change", COLUMN_WORDS}, {"", COLUMN_NUMBER}};
enum { COLUMN_LANES, COLUMN_REVISION, COLUMN_MARK = 6 };

/* A mark between the smallest and the largest value that ever was; no zero, for what counts is how it moved. */
static struct text mark(struct arena *a, double si, double low, double high)
{
    char *out = arena_alloc(a, CHART + 3);
    memset(out, ' ', CHART + 2);
    out[0] = out[CHART + 1] = '|';
    if (!isnan(si))
        out[1 + (high > low ? (uint32_t)lround((si - low) / (high - low) * (CHART - 1)) : CHART / 2)] = 'o';
    return (struct text){out, CHART + 2};
}

static void put_notes(struct buffer *b, const struct history_row *row, struct text from, uint32_t width)
{
    const struct {
        const char *head;
        struct text text;
    } notes[] = {{"why", row->why_not}, {"by ", row->cause}, {"on ", from}};
    for (int i = 0; i < 3; i++)
        if (notes[i].text.len)
            print_wrapped(
                b, arena_format(b->arena, "%s  %.*s", notes[i].head, TEXT_ARGS(escape_plain(b->arena, notes[i].text))),
                width, 4, 5);
}

static void add_line(struct columns *t, struct buffer *b, const struct history *h, const struct history_row *row,
                     double low, double high, const struct history_lanes *lanes, uint32_t width)
{
    if (lanes && lanes->fork.len)
        columns_add(t)->cell[0] = lanes->fork;
    if (lanes && lanes->merge.len)
        columns_add(t)->cell[0] = lanes->merge;
    struct columns_row *r = columns_add(t);
    struct text cells[] = {lanes ? lanes->row : TEXT(""),
                           escape_plain(b->arena, row->revision),
                           row->date.len ? row->date : TEXT("not yet"),
                           row->commit.len ? row->commit : TEXT("committed"),
                           row->why_not.len ? TEXT("none") : escape_plain(b->arena, row->shown),
                           row->change,
                           high >= low ? mark(b->arena, row->si, low, high) : TEXT("")};
    uint32_t first = lanes ? COLUMN_LANES : COLUMN_REVISION;
    struct buffer notes;
    for (uint32_t i = first; i <= COLUMN_MARK; i++)
        r->cell[i - first] = cells[i];
    buffer_init(&notes, b->arena);
    bool fork = lanes && lanes->fork.len;
    put_notes(&notes, row, fork ? h->rows.at[row->parents[0] - 1].commit : TEXT(""), width);
    r->below = buffer_text(&notes);
}

void history_text(struct buffer *b, struct history *h, uint32_t width)
{
    double low = INFINITY, high = -INFINITY;
    for (uint32_t i = 0; i < h->rows.count; i++) {
        double si = h->rows.at[i].si;
        low = si < low ? si : low;
        high = si > high ? si : high;
    }
    const struct history_lanes *lanes = history_draw(h);
    uint32_t first = lanes ? COLUMN_LANES : COLUMN_REVISION;
    struct columns t = {.arena = b->arena, .columns = text_columns + first};
    t.count = COLUMN_MARK + (high >= low) - first;
    for (uint32_t i = 0; i < h->rows.count; i++)
        add_line(&t, b, h, &h->rows.at[i], low, high, lanes ? &lanes[i] : NULL, width);
    print_wrapped(b, escape_plain(b->arena, h->name), width, 0, 0);
    if (high > low)
        print_wrapped(b,
                      arena_format(b->arena, "the marks stand between %.*s and %.*s",
                                   TEXT_ARGS(typeset_quantity(b->arena, low, &h->unit, SPELL_ASCII)),
                                   TEXT_ARGS(typeset_quantity(b->arena, high, &h->unit, SPELL_ASCII))),
                      width, 0, 0);
    buffer_putc(b, '\n');
    columns_print(&t, b, width);
}

/* ---- for programs -------------------------------------------------------------------------------------------------------- */

static struct text number_or_none(struct arena *a, double value)
{
    return isnan(value) ? TEXT("") : number_print(a, value);
}

/* To 13 digits, as everywhere: what a conversion leaves behind is nothing. */
static double rounded(double value)
{
    if (value == 0 || !isfinite(value))
        return value;
    double scale = pow(10, 13 - ceil(log10(fabs(value))));
    return isfinite(scale) && scale > 0 ? round(value * scale) / scale : value;
}

void history_csv(struct buffer *b, const struct history *h)
{
    struct text unit = typeset_unit(b->arena, &h->unit, SPELL_ASCII);
    buffer_put(b, TEXT("revision,date,commit,value,unit,text,change,percent,file,cause,reason,parents\r\n"));
    for (uint32_t i = 0; i < h->rows.count; i++) {
        const struct history_row *r = &h->rows.at[i];
        const struct text cells[] = {r->revision,
                                     r->date,
                                     r->commit,
                                     number_or_none(b->arena, rounded(r->value)),
                                     isnan(r->value) ? TEXT("") : unit,
                                     r->shown,
                                     r->change,
                                     number_or_none(b->arena, r->percent),
                                     r->file,
                                     r->cause,
                                     r->why_not,
                                     r->parent_names};
        for (size_t k = 0; k < sizeof cells / sizeof cells[0]; k++) {
            buffer_put(b, k ? TEXT(",") : TEXT(""));
            escape_put_csv(b, cells[k]);
        }
        buffer_put(b, TEXT("\r\n"));
    }
}

static void write_value(struct json *j, const void *row)
{
    json_number(j, rounded(((const struct history_row *)row)->value));
}

#define JSON_OF struct history_row
static const struct json_form row_form = JSON_FORM(
    true, JSON_ROW_OR_NULL(revision), JSON_ROW_OR_NULL(date), JSON_ROW_OR_NULL(commit),
    JSON_ROW_MADE("value", write_value), {JSON_ROW_AS("text", JSON_TEXT_OR_NULL, shown)}, JSON_ROW_OR_NULL(change),
    JSON_ROW(percent), JSON_ROW_OR_NULL(file), JSON_ROW_OR_NULL(cause),
    {JSON_ROW_AS("reason", JSON_TEXT_OR_NULL, why_not)}, {JSON_ROW_AS("parents", JSON_TEXT_OR_NULL, parent_names)});
#undef JSON_OF

void history_json(struct buffer *b, const struct history *h)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '{');
    json_named_or_null(&j, "name", h->name);
    json_named_or_null(&j, "unit", h->unit.factor != 0 ? typeset_unit(b->arena, &h->unit, SPELL_ASCII) : TEXT(""));
    json_name(&j, "rows");
    json_list(&j, &row_form, h->rows.at, h->rows.count);
    json_close(&j, '}');
}
