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

static void write_number(struct json *j, const struct shown *s)
{
    json_open_line(j, '{');
    json_named_number(j, "value", s->value);
    json_named_or_null(j, "unit", s->unit);
    json_close(j, '}');
}

static void write_numbers(struct json *j, const char *name, const struct shown *numbers, uint32_t count)
{
    json_name(j, name);
    json_open(j, '[');
    for (uint32_t i = 0; i < count; i++)
        write_number(j, &numbers[i]);
    json_close(j, ']');
}

static void write_rows(struct json *j, const struct why_rows *r)
{
    json_name(j, "table");
    if (!r->rows) {
        json_null(j);
        return;
    }
    json_open(j, '{');
    write_numbers(j, "rows", r->at, r->rows);
    write_numbers(j, "columns", r->across, r->columns);
    json_name(j, "values");
    json_open(j, '[');
    for (uint32_t i = 0; i < r->rows; i++)
        for (uint32_t k = 0; k < (r->columns ? r->columns : 1); k++)
            write_number(j, &r->value[i][k]);
    json_close(j, ']');
    json_close(j, '}');
}

static void write_inputs(struct json *j, const struct why_entry *e)
{
    json_name(j, "inputs");
    json_open(j, '[');
    for (uint32_t i = 0; i < e->inputs.count; i++) {
        json_open_line(j, '{');
        json_named_number(j, "entry", e->inputs.at[i].entry);
        json_named_truth(j, "only_whether_stated", e->inputs.at[i].asked);
        json_close(j, '}');
    }
    json_close(j, ']');
}

static void write_entry(struct json *j, const struct why_entry *e, uint32_t number)
{
    json_open(j, '{');
    json_named_number(j, "entry", number);
    json_named_or_null(j, "name", e->name);
    json_named_or_null(j, "sort", text_of(why_sort_names[e->sort]));
    json_named_or_null(j, "label", e->label);
    write_shown(j, &e->shown, !e->why_not.len);
    json_named_or_null(j, "why_not", e->why_not);
    json_named_or_null(j, "head", e->head);
    json_named_or_null(j, "written", e->written);
    json_named_or_null(j, "taken", e->taken);
    json_named_or_null(j, "numbers", e->numbers);
    json_named_or_null(j, "file", e->file);
    json_named_number(j, "line", e->file.len ? e->line : NAN);
    json_named_or_null(j, "source", e->source);
    write_rows(j, &e->rows);
    json_named_truth(j, "inputs_cut_off", e->more);
    write_inputs(j, e);
    json_close(j, '}');
}

static void write_move(struct json *j, const struct why_move *m)
{
    json_open_line(j, '{');
    json_named_or_null(j, "input", m->input);
    json_named_or_null(j, "band", m->band);
    json_named_or_null(j, "slope", m->slope);
    json_named_number(j, "effect", m->effect);
    json_named_or_null(j, "unit", m->unit);
    json_named_number(j, "share", m->share);
    json_close(j, '}');
}

static void write_root(struct json *j, const struct why_root *root)
{
    json_open(j, '{');
    json_named_number(j, "entry", root->entry);
    json_name(j, "moves");
    json_open(j, '[');
    for (uint32_t i = 0; i < root->moves.count; i++)
        write_move(j, &root->moves.at[i]);
    json_close(j, ']');
    json_name(j, "also");
    json_open_line(j, '[');
    for (uint32_t i = 0; i < root->also.count; i++)
        json_number(j, root->also.at[i]);
    json_close(j, ']');
    json_close(j, '}');
}

void why_json(struct buffer *b, const struct why *w)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '{');
    json_name(&j, "asked");
    json_open(&j, '[');
    for (uint32_t i = 0; i < w->roots.count; i++)
        write_root(&j, &w->roots.at[i]);
    json_close(&j, ']');
    json_name(&j, "entries");
    json_open(&j, '[');
    for (uint32_t i = 1; i < w->entries.count; i++)
        write_entry(&j, &w->entries.at[i], i);
    json_close(&j, ']');
    json_close(&j, '}');
}
