/* A comparison as JSON:
 *   { "same", "old": {...}, "new": {...}, "notes": [...], "stated": [...], "verdicts": [...], ... }
 * Every section is there, empty or not; what is not known is null. */
#include "compiler/emit/json.h"
#include "compiler/review/compare/compare.h"

#define JSON_OF struct compare_side
static const struct json_form side_form =
    JSON_FORM(false, {JSON_ROW_AS("file", JSON_TEXT_OR_NULL, path)}, JSON_ROW_OR_NULL(title), JSON_ROW_OR_NULL(part),
              JSON_ROW_OR_NULL(revision), JSON_ROW_OR_NULL(date), JSON_ROW_OR_NULL(status), JSON_ROW(evaluated),
              JSON_ROW(errors), JSON_ROW(warnings), JSON_ROW_OR_NULL(fault));
#undef JSON_OF

static void write_change(struct json *j, const void *row)
{
    json_or_null(j, compare_change(j->buffer->arena, row));
}

#define JSON_OF struct compare_row
static const struct json_form row_form =
    JSON_FORM(true, JSON_ROW_WORD(how, compare_how_names), JSON_ROW_OR_NULL(subject), JSON_ROW_OR_NULL(what),
              JSON_ROW_OR_NULL(label), {JSON_ROW_AS("old", JSON_TEXT_OR_NULL, before)},
              {JSON_ROW_AS("new", JSON_TEXT_OR_NULL, after)}, JSON_ROW_MADE("change", write_change),
              {JSON_ROW_AS("old_value", JSON_NUMBER, before_value)},
              {JSON_ROW_AS("new_value", JSON_NUMBER, after_value)}, JSON_ROW_OR_NULL(unit), JSON_ROW(percent));
#undef JSON_OF

static void write_row(struct json *j, const struct compare_row *r)
{
    json_open_line(j, '{');
    json_members(j, &row_form, r);
    if (r->section == COMPARE_VERDICT)
        json_named_truth(j, "worse", r->worse);
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
    json_name(&j, "old");
    json_object(&j, &side_form, &c->old);
    json_name(&j, "new");
    json_object(&j, &side_form, &c->new);
    json_named_open(&j, "notes", '[');
    for (uint32_t i = 0; i < c->notes.count; i++)
        json_text(&j, c->notes.at[i]);
    json_close(&j, ']');
    for (uint32_t section = 0, i = 0; section < COMPARE_SECTION_COUNT; section++) {
        json_named_open(&j, compare_section_names[section], '[');
        for (; i < c->rows.count && c->rows.at[i].section == section; i++)
            write_row(&j, &c->rows.at[i]);
        json_close(&j, ']');
    }
    json_close(&j, '}');
}
