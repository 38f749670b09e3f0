/* JSON Lines: one diagnostic a line. */
#include "compiler/emit/diagnostics.h"

static const char *const severity_words[] = {
    [SEVERITY_NOTE] = "note", [SEVERITY_WARNING] = "warning", [SEVERITY_ERROR] = "error"};

/* Lines and columns as the text form prints them; bytes for programs that cut the file themselves. */
static void put_place(struct json *j, struct sources *s, struct span span)
{
    const struct source *file = source_at(s, span.file);
    if (!file)
        return;
    span = span_trimmed(s, span);
    struct place from = place_of(s, span.file, span.lo), to = place_of(s, span.file, span.hi);
    json_named_exact(j, "file", file->path);
    json_named_number(j, "line", from.line);
    json_named_number(j, "column", from.column);
    json_named_number(j, "end_line", to.line);
    json_named_number(j, "end_column", to.column);
    json_named_number(j, "offset", span.lo);
    json_named_number(j, "length", span.hi - span.lo);
}

static void put_labels(struct json *j, struct sources *s, const struct diagnostic *d)
{
    json_name(j, "places");
    json_open_line(j, '[');
    for (uint32_t i = 0; i < d->labels.count; i++) {
        json_open_line(j, '{');
        json_named_text(j, "text", d->labels.at[i].text);
        put_place(j, s, d->labels.at[i].span);
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
    json_name(j, "edit");
    json_open_line(j, '{');
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
    put_place(j, s, d->span);
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
