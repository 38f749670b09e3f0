/* JSON Lines: one diagnostic a line. */
#include "compiler/emit/diagnostics.h"

static const char *const severity_words[] = {
    [SEVERITY_NOTE] = "note", [SEVERITY_WARNING] = "warning", [SEVERITY_ERROR] = "error"};

/* Lines and columns as the text form prints them; bytes for programs that cut the file themselves. */
struct file_span {
    struct text file;
    uint32_t line, column, end_line, end_column, offset, length;
};

#define JSON_OF struct file_span
static const struct json_form span_form =
    JSON_FORM(true, {JSON_ROW_AS("file", JSON_EXACT, file)}, JSON_ROW(line), JSON_ROW(column), JSON_ROW(end_line),
              JSON_ROW(end_column), JSON_ROW(offset), JSON_ROW(length));
#undef JSON_OF

static void put_span(struct json *j, struct sources *s, struct span span)
{
    const struct source *file = source_at(s, span.file);
    if (!file)
        return;
    span = span_trimmed(s, span);
    struct place from = place_of(s, span.file, span.lo), to = place_of(s, span.file, span.hi);
    json_members(
        j, &span_form,
        &(struct file_span){file->path, from.line, from.column, to.line, to.column, span.lo, span.hi - span.lo});
}

static void put_labels(struct json *j, struct sources *s, const struct diagnostic *d)
{
    json_named_line(j, "places", '[');
    for (uint32_t i = 0; i < d->labels.count; i++) {
        json_open_line(j, '{');
        json_named_text(j, "text", d->labels.at[i].text);
        put_span(j, s, d->labels.at[i].span);
        json_close(j, '}');
    }
    json_close(j, ']');
}

/* Not trimmed: these very bytes are replaced. */
static void put_edit(struct json *j, struct sources *s, const struct edit *e)
{
    const struct source *file = source_at(s, e->span.file);
    if (!file)
        return;
    json_named_line(j, "edit", '{');
    json_named_exact(j, "file", file->path);
    json_named_number(j, "offset", e->span.lo);
    json_named_number(j, "length", e->span.hi - e->span.lo);
    json_named_exact(j, "text", e->text);
    json_close(j, '}');
}

static void put_diagnostic(struct json *j, struct sources *s, const struct diagnostic *d, struct text recipe)
{
    json_open_line(j, '{');
    json_named_exact(j, "recipe", recipe);
    json_named_text(j, "severity", text_of(severity_words[d->severity]));
    json_named_text(j, "id", text_of(fault_table[d->fault].slug));
    json_named_text(j, "message", d->message);
    put_span(j, s, d->span);
    if (d->here.len)
        json_named_text(j, "here", d->here);
    if (d->help.len)
        json_named_text(j, "help", d->help);
    if (d->labels.count)
        put_labels(j, s, d);
    put_edit(j, s, &d->edit);
    json_close(j, '}');
}

void diagnostics_json(struct buffer *b, struct sources *s, const struct diagnostics *ds, struct text recipe)
{
    for (uint32_t i = 0; i < ds->all.count; i++)
        put_diagnostic(&(struct json){.buffer = b, .first = true}, s, ds->all.at[i], recipe);
    if (!ds->dropped)
        return;
    struct json j = {.buffer = b, .first = true};
    json_open_line(&j, '{');
    json_named_exact(&j, "recipe", recipe);
    json_named_number(&j, "not_shown", ds->dropped);
    json_close(&j, '}');
}
