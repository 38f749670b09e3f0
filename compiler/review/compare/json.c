/* A comparison as JSON:
 *   { "same", "old": {...}, "new": {...}, "notes": [...], "stated": [...], "verdicts": [...], ... }
 * Every section is there, empty or not; what is not known is null. */
#include "compiler/emit/json.h"
#include "compiler/review/compare/compare.h"

static void write_side(struct json *j, const char *name, const struct compare_side *s)
{
    json_name(j, name);
    json_open(j, '{');
    json_named_or_null(j, "file", s->path);
    json_named_or_null(j, "title", s->title);
    json_named_or_null(j, "part", s->part);
    json_named_or_null(j, "revision", s->revision);
    json_named_or_null(j, "date", s->date);
    json_named_or_null(j, "status", s->status);
    json_named_truth(j, "evaluated", s->evaluated);
    json_named_number(j, "errors", s->errors);
    json_named_number(j, "warnings", s->warnings);
    json_named_or_null(j, "fault", s->fault);
    json_close(j, '}');
}

static void write_row(struct json *j, const struct compare_row *r)
{
    json_open_line(j, '{');
    json_named_or_null(j, "how", text_of(compare_how_names[r->how]));
    json_named_or_null(j, "subject", r->subject);
    json_named_or_null(j, "what", r->what);
    json_named_or_null(j, "label", r->label);
    json_named_or_null(j, "old", r->before);
    json_named_or_null(j, "new", r->after);
    json_named_or_null(j, "change", compare_change(j->buffer->arena, r));
    json_named_number(j, "old_value", r->before_value);
    json_named_number(j, "new_value", r->after_value);
    json_named_or_null(j, "unit", r->unit);
    json_named_number(j, "percent", r->percent);
    if (r->section == COMPARE_VERDICT) {
        json_named_truth(j, "worse", r->worse);
    }
    if (r->section == COMPARE_STATED) {
        json_named_or_null(j, "file", r->file);
        json_named_number(j, "line", r->line);
    }
    json_close(j, '}');
}

void compare_json(struct buffer *b, const struct comparison *c)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '{');
    json_named_truth(&j, "same", c->same);
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
