#include "compiler/review/history.h"

#include "compiler/emit/columns.h"
#include "compiler/emit/escape.h"
#include "compiler/emit/json.h"
#include "compiler/review/compare/match.h"
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

static struct text revision_of(struct arena *a, struct strokewright_recipe *r)
{
    uint32_t many, recipe = find_sole(&r->scope, KIND_recipe, &many);
    atom name = interned(&r->scope.names, TEXT("revision"));
    uint32_t property = recipe && name ? find_property(&r->scope, recipe, name) : 0;
    const struct property *p = property ? property_at(&r->scope, property) : NULL;
    const struct tree *t = p ? file_at(&r->scope, p->site.file)->tree : NULL;
    return t && p->value && node_kind(t, p->value) == NODE_TEXT ? arena_text(a, text_piece(a, t, p->value, 0))
                                                                : TEXT("");
}

static void read_value(struct history *h, struct strokewright_recipe *r, struct history_row *row)
{
    uint32_t q = r->lowering->asked[0];
    if (!q) {
        row->why_not = arena_format(h->arena, "there is no value '%.*s'", TEXT_ARGS(h->name));
        return;
    }
    const struct quantity *quantity = &r->lowering->quantities.at[q];
    struct text why = TEXT("");
    if (quantity->value.tag == LOW_MISSING)
        why = quantity->value.text.len ? quantity->value.text : TEXT("a fault was reported");
    else if (quantity->value.tag == LOW_FUNCTION)
        why = TEXT("it is a function and has no single value");
    else if (quantity->value.tag == LOW_NODE && quantity->shown_as_quantity) {
        row->si = quantity_si(&r->steps, q, &why);
        row->unit = quantity->unit;
        row->unit.spelling = arena_text(h->arena, quantity->unit.spelling);
    } else
        row->word = arena_text(h->arena, shown_value(&r->steps, q).text);
    row->why_not = arena_text(h->arena, why);
}

struct history_row *history_add(struct history *h, struct strokewright_recipe *r, struct text why_not)
{
    struct history_row *row = ARRAY_PUSH(h->arena, &h->rows);
    row->si = row->value = row->percent = NAN;
    row->why_not = why_not;
    if (!r)
        return row;
    row->revision = revision_of(h->arena, r);
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
    struct change change = change_words(h->arena, before, row->si, &h->unit);
    bool same = text_same(row->shown, typeset_quantity(h->arena, before, &h->unit, SPELL_ASCII));
    row->change = same ? TEXT("") : change.words;
    row->percent = same ? NAN : change.percent;
}

void history_finish(struct history *h)
{
    double before = NAN;
    struct text word = TEXT("");
    for (uint32_t i = 0; i < h->rows.count; i++)
        if (h->rows.at[i].unit.factor != 0)
            h->unit = h->rows.at[i].unit;
    for (uint32_t i = 0; i < h->rows.count; i++) {
        struct history_row *row = &h->rows.at[i];
        if (!isnan(row->si)) {
            fill_number(h, row, before);
            before = row->si;
        } else if (row->word.len) {
            row->shown = row->word;
            row->change = word.len && !text_same(word, row->word) ? TEXT("changed") : TEXT("");
            word = row->word;
        }
    }
}

/* ---- a table with a chart ---------------------------------------------------------------------------------------------- */

enum { CHART = 21 };

static const struct column text_columns[] = {{"Rev", COLUMN_WORDS},    {"Date", COLUMN_WORDS},
                                             {"Commit", COLUMN_WORDS}, {"Value", COLUMN_NUMBER},
                                             {"Change", COLUMN_WORDS}, {"", COLUMN_NUMBER}};

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

static void add_line(struct columns *t, struct buffer *b, const struct history_row *row, double low, double high,
                     uint32_t width)
{
    struct columns_row *r = columns_add(t);
    struct buffer notes;
    buffer_init(&notes, b->arena);
    r->cell[0] = plain_text(b->arena, row->revision);
    r->cell[1] = row->date.len ? row->date : TEXT("not yet");
    r->cell[2] = row->commit.len ? row->commit : TEXT("committed");
    r->cell[3] = row->why_not.len ? TEXT("none") : plain_text(b->arena, row->shown);
    r->cell[4] = row->change;
    r->cell[5] = high >= low ? mark(b->arena, row->si, low, high) : TEXT("");
    if (row->why_not.len)
        print_wrapped(&notes, arena_format(b->arena, "why  %.*s", TEXT_ARGS(plain_text(b->arena, row->why_not))), width,
                      4, 5);
    if (row->cause.len)
        print_wrapped(&notes, arena_format(b->arena, "by   %.*s", TEXT_ARGS(plain_text(b->arena, row->cause))), width,
                      4, 5);
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
    struct columns t = {.arena = b->arena, .columns = text_columns, .count = high >= low ? 6 : 5};
    for (uint32_t i = 0; i < h->rows.count; i++)
        add_line(&t, b, &h->rows.at[i], low, high, width);
    print_wrapped(b, plain_text(b->arena, h->name), width, 0, 0);
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
    buffer_put(b, TEXT("revision,date,commit,value,unit,text,change,percent,file,cause,reason\r\n"));
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
                                     r->why_not};
        for (size_t k = 0; k < sizeof cells / sizeof cells[0]; k++) {
            buffer_put(b, k ? TEXT(",") : TEXT(""));
            put_csv_text(b, cells[k]);
        }
        buffer_put(b, TEXT("\r\n"));
    }
}

static void write_value(struct json *j, const void *row)
{
    json_number(j, rounded(((const struct history_row *)row)->value));
}

#define JSON_OF struct history_row
static const struct json_form row_form =
    JSON_FORM(true, JSON_ROW_OR_NULL(revision), JSON_ROW_OR_NULL(date), JSON_ROW_OR_NULL(commit),
              JSON_ROW_MADE("value", write_value), {JSON_ROW_AS("text", JSON_TEXT_OR_NULL, shown)},
              JSON_ROW_OR_NULL(change), JSON_ROW(percent), JSON_ROW_OR_NULL(file), JSON_ROW_OR_NULL(cause),
              {JSON_ROW_AS("reason", JSON_TEXT_OR_NULL, why_not)});
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
