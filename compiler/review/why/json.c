/* A derivation as JSON: the graph itself, a flat list whose members name each other by their place in it. */
#include "compiler/emit/json.h"
#include "compiler/review/why/why.h"

#include <math.h>

static void write_shown(struct json *j, const struct shown *s, bool is_there)
{
    json_named_number(j, "value", is_there ? s->value : NAN);
    json_named_number(j, "low", is_there ? s->low : NAN);
    json_named_number(j, "high", is_there ? s->high : NAN);
    json_named_or_null(j, "unit", is_there ? s->unit : TEXT(""));
    json_named_or_null(j, "text", is_there ? s->text : TEXT(""));
    json_named_or_null(j, "band", is_there ? s->band : TEXT(""));
}

#define JSON_OF struct shown
static const struct json_form number_form = JSON_FORM(true, JSON_ROW(value), JSON_ROW_OR_NULL(unit));
#undef JSON_OF

static void write_rows(struct json *j, const void *entry)
{
    const struct why_rows *r = &((const struct why_entry *)entry)->rows;
    if (!r->rows) {
        json_null(j);
        return;
    }
    json_open(j, '{');
    json_name(j, "rows");
    json_list(j, &number_form, r->at, r->rows);
    json_name(j, "columns");
    json_list(j, &number_form, r->across, r->columns);
    json_named_open(j, "values", '[');
    for (uint32_t i = 0; i < r->rows; i++)
        for (uint32_t k = 0; k < (r->columns ? r->columns : 1); k++)
            json_object(j, &number_form, &r->value[i][k]);
    json_close(j, ']');
    json_close(j, '}');
}

static void write_line(struct json *j, const void *entry)
{
    const struct why_entry *e = entry;
    json_number(j, e->file.len ? e->line : NAN);
}

#define JSON_OF struct why_input
static const struct json_form input_form =
    JSON_FORM(true, JSON_ROW(entry), {JSON_ROW_AS("only_whether_stated", JSON_TRUTH, asked)});
#undef JSON_OF

#define JSON_OF struct why_entry
static const struct json_form name_form =
    JSON_FORM(false, JSON_ROW_OR_NULL(name), JSON_ROW_WORD(sort, why_sort_names), JSON_ROW_OR_NULL(label));
static const struct json_form entry_form =
    JSON_FORM(false, JSON_ROW_OR_NULL(why_not), JSON_ROW_OR_NULL(head), JSON_ROW_OR_NULL(written),
              JSON_ROW_OR_NULL(taken), JSON_ROW_OR_NULL(numbers), JSON_ROW_OR_NULL(file),
              JSON_ROW_MADE("line", write_line), JSON_ROW_OR_NULL(source), JSON_ROW_MADE("table", write_rows),
              {JSON_ROW_AS("inputs_cut_off", JSON_TRUTH, more)}, JSON_ROW_LIST(inputs, input_form));
#undef JSON_OF

static void write_entry(struct json *j, const struct why_entry *e, uint32_t number)
{
    json_open(j, '{');
    json_named_number(j, "entry", number);
    json_members(j, &name_form, e);
    write_shown(j, &e->shown, !e->why_not.len);
    json_members(j, &entry_form, e);
    json_close(j, '}');
}

static void write_also(struct json *j, const void *root)
{
    const struct why_root *r = root;
    json_open_line(j, '[');
    for (uint32_t i = 0; i < r->also.count; i++)
        json_number(j, r->also.at[i]);
    json_close(j, ']');
}

#define JSON_OF struct why_move
static const struct json_form move_form =
    JSON_FORM(true, JSON_ROW_OR_NULL(input), JSON_ROW_OR_NULL(band), JSON_ROW_OR_NULL(slope), JSON_ROW(effect),
              JSON_ROW_OR_NULL(unit), JSON_ROW(share));
#undef JSON_OF

#define JSON_OF struct why_root
static const struct json_form root_form =
    JSON_FORM(false, JSON_ROW(entry), JSON_ROW_LIST(moves, move_form), JSON_ROW_MADE("also", write_also));
#undef JSON_OF

void why_json(struct buffer *b, const struct why *w)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '{');
    json_name(&j, "asked");
    json_list(&j, &root_form, w->roots.at, w->roots.count);
    json_named_open(&j, "entries", '[');
    for (uint32_t i = 1; i < w->entries.count; i++)
        write_entry(&j, &w->entries.at[i], i);
    json_close(&j, ']');
    json_close(&j, '}');
}
