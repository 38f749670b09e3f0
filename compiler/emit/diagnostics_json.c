/* JSON Lines: one diagnostic a line. */
#include "compiler/emit/diagnostics.h"

static const char *const severity_words[] = {
    [SEVERITY_NOTE] = "note", [SEVERITY_WARNING] = "warning", [SEVERITY_ERROR] = "error"};

static void put_text(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    json_text(j, t);
}

static void put_exact(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    json_exact(j, t);
}

static void put_count(struct json *j, const char *name, uint32_t count)
{
    json_name(j, name);
    json_number(j, count);
}

/* Lines and columns as the text form prints them; bytes for programs that cut the file themselves. */
static void put_place(struct json *j, struct sources *s, struct span span)
{
    const struct source *file = source_at(s, span.file);
    if (!file)
        return;
    span = span_trimmed(s, span);
    struct place from = place_of(s, span.file, span.lo), to = place_of(s, span.file, span.hi);
    put_exact(j, "file", file->path);
    put_count(j, "line", from.line);
    put_count(j, "column", from.column);
    put_count(j, "end_line", to.line);
    put_count(j, "end_column", to.column);
    put_count(j, "offset", span.lo);
    put_count(j, "length", span.hi - span.lo);
}

static void put_labels(struct json *j, struct sources *s, const struct diagnostic *d)
{
    json_name(j, "places");
    json_open_line(j, '[');
    for (uint32_t i = 0; i < d->labels.count; i++) {
        json_open_line(j, '{');
        put_text(j, "text", d->labels.at[i].text);
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
    put_exact(j, "file", file->path);
    put_count(j, "offset", e->span.lo);
    put_count(j, "length", e->span.hi - e->span.lo);
    put_exact(j, "text", e->text);
    json_close(j, '}');
}

static void put_diagnostic(struct json *j, struct sources *s, const struct diagnostic *d, struct text recipe)
{
    json_open_line(j, '{');
    put_exact(j, "recipe", recipe);
    put_text(j, "severity", text_of(severity_words[d->severity]));
    put_text(j, "id", text_of(fault_table[d->fault].slug));
    put_text(j, "message", d->message);
    put_place(j, s, d->span);
    if (d->here.len)
        put_text(j, "here", d->here);
    if (d->help.len)
        put_text(j, "help", d->help);
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
    put_exact(&j, "recipe", recipe);
    put_count(&j, "not_shown", ds->dropped);
    json_close(&j, '}');
}
