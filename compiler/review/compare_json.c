/* A comparison as JSON:
 *   { "same", "old": {...}, "new": {...}, "notes": [...], "stated": [...], "verdicts": [...], ... }
 * Every section is there, empty or not; what is not known is null. */
#include "compiler/emit/json.h"
#include "compiler/review/compare.h"

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

static void write_side(struct json *j, const char *name, const struct compare_side *s)
{
    json_name(j, name);
    json_open(j, '{');
    named_text(j, "file", s->path);
    named_text(j, "title", s->title);
    named_text(j, "part", s->part);
    named_text(j, "revision", s->revision);
    named_text(j, "date", s->date);
    named_text(j, "status", s->status);
    json_name(j, "evaluated");
    json_truth(j, s->evaluated);
    named_number(j, "errors", s->errors);
    named_number(j, "warnings", s->warnings);
    named_text(j, "fault", s->fault);
    json_close(j, '}');
}

static void write_row(struct json *j, const struct compare_row *r)
{
    json_open_line(j, '{');
    named_text(j, "how", text_of(compare_how_names[r->how]));
    named_text(j, "subject", r->subject);
    named_text(j, "what", r->what);
    named_text(j, "label", r->label);
    named_text(j, "old", r->before);
    named_text(j, "new", r->after);
    named_text(j, "change", r->change);
    named_number(j, "old_value", r->before_value);
    named_number(j, "new_value", r->after_value);
    named_text(j, "unit", r->unit);
    named_number(j, "percent", r->percent);
    if (r->section == COMPARE_VERDICT) {
        json_name(j, "worse");
        json_truth(j, r->worse);
    }
    if (r->section == COMPARE_STATED) {
        named_text(j, "file", r->file);
        named_number(j, "line", r->line);
    }
    json_close(j, '}');
}

void compare_json(struct buffer *b, const struct comparison *c)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '{');
    json_name(&j, "same");
    json_truth(&j, c->same);
    write_side(&j, "old", &c->old);
    write_side(&j, "new", &c->new);
    json_name(&j, "notes");
    json_open(&j, '[');
    for (uint32_t i = 0; i < c->notes.count; i++)
        json_text(&j, c->notes.at[i]);
    json_close(&j, ']');
    for (uint32_t section = 0, i = 0; section < COMPARE_SECTION_COUNT; section++) {
        json_name(&j, compare_section_names[section]);
        json_open(&j, '[');
        for (; i < c->rows.count && c->rows.at[i].section == section; i++)
            write_row(&j, &c->rows.at[i]);
        json_close(&j, ']');
    }
    json_close(&j, '}');
}
