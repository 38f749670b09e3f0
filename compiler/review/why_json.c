/* A derivation as JSON: the graph itself, a flat list whose members name each other by their place in it. */
#include "compiler/emit/json.h"
#include "compiler/review/why.h"

#include <math.h>

static void named_text(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    if (t.len)
        json_text(j, t);
    else
        json_null(j);
}

static void named_number(struct json *j, const char *name, double value)
{
    json_name(j, name);
    json_number(j, value);
}

static void write_shown(struct json *j, const struct shown *s, bool is_there)
{
    named_number(j, "value", is_there ? s->value : NAN);
    named_number(j, "low", is_there ? s->low : NAN);
    named_number(j, "high", is_there ? s->high : NAN);
    named_text(j, "unit", is_there ? s->unit : TEXT(""));
    named_text(j, "text", is_there ? s->text : TEXT(""));
    named_text(j, "band", is_there ? s->band : TEXT(""));
}

static void write_number(struct json *j, const struct shown *s)
{
    json_open_line(j, '{');
    named_number(j, "value", s->value);
    named_text(j, "unit", s->unit);
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
        named_number(j, "entry", e->inputs.at[i].entry);
        json_name(j, "only_whether_stated");
        json_truth(j, e->inputs.at[i].asked);
        json_close(j, '}');
    }
    json_close(j, ']');
}

static void write_entry(struct json *j, const struct why_entry *e, uint32_t number)
{
    json_open(j, '{');
    named_number(j, "entry", number);
    named_text(j, "name", e->name);
    named_text(j, "sort", text_of(why_sort_names[e->sort]));
    named_text(j, "label", e->label);
    write_shown(j, &e->shown, !e->why_not.len);
    named_text(j, "why_not", e->why_not);
    named_text(j, "head", e->head);
    named_text(j, "written", e->written);
    named_text(j, "taken", e->taken);
    named_text(j, "numbers", e->numbers);
    named_text(j, "file", e->file);
    named_number(j, "line", e->file.len ? e->line : NAN);
    named_text(j, "source", e->source);
    write_rows(j, &e->rows);
    json_name(j, "inputs_cut_off");
    json_truth(j, e->more);
    write_inputs(j, e);
    json_close(j, '}');
}

static void write_move(struct json *j, const struct why_move *m)
{
    json_open_line(j, '{');
    named_text(j, "input", m->input);
    named_text(j, "band", m->band);
    named_text(j, "slope", m->slope);
    named_number(j, "effect", m->effect);
    named_text(j, "unit", m->unit);
    named_number(j, "share", m->share);
    json_close(j, '}');
}

static void write_root(struct json *j, const struct why_root *root)
{
    json_open(j, '{');
    named_number(j, "entry", root->entry);
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
