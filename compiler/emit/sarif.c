/* SARIF 2.1.0. Section numbers are those of the OASIS standard. */
#include "compiler/emit/diagnostics.h"

#define SCHEMA "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"
#define BUILT_IN "PROGRAM" /* the base of paths of the library, which is no folder */

static const char *const levels[] = {
    [SEVERITY_NOTE] = "note", [SEVERITY_WARNING] = "warning", [SEVERITY_ERROR] = "error"};

/* Braces would be placeholders (3.11.5). */
static void put_message(struct json *j, const char *name, struct text t)
{
    struct buffer b;
    buffer_init(&b, j->buffer->arena);
    for (uint32_t i = 0; i < t.len; i++) {
        buffer_putc(&b, t.at[i]);
        if (t.at[i] == '{' || t.at[i] == '}')
            buffer_putc(&b, t.at[i]);
    }
    json_named_line(j, name, '{');
    json_named_exact(j, "text", buffer_text(&b));
    json_close(j, '}');
}

/* ---- places ------------------------------------------------------------------------------------------------------ */

/* RFC 3986; what is not an unreserved character is escaped byte by byte. */
static struct text uri_of(struct arena *a, struct text path)
{
    struct buffer b;
    buffer_init(&b, a);
    if (path.len && path.at[0] == '/')
        buffer_put(&b, TEXT("file://"));
    for (uint32_t i = 0; i < path.len; i++) {
        unsigned char c = (unsigned char)path.at[i];
        bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (plain || (c && strchr("-._~/", c)))
            buffer_putc(&b, (char)c);
        else
            buffer_printf(&b, "%%%02X", c);
    }
    return buffer_text(&b);
}

static void put_artifact(struct json *j, struct text path, bool built_in)
{
    json_named_line(j, "artifactLocation", '{');
    json_named_text(j, "uri", uri_of(j->buffer->arena, path));
    if (built_in)
        json_named_text(j, "uriBaseId", TEXT(BUILT_IN));
    json_close(j, '}');
}

static void put_region(struct json *j, const char *name, struct sources *s, struct span span)
{
    struct place from = place_of(s, span.file, span.lo), to = place_of(s, span.file, span.hi);
    json_named_line(j, name, '{');
    json_named_number(j, "startLine", from.line);
    json_named_number(j, "startColumn", from.utf16 + 1);
    json_named_number(j, "endLine", to.line);
    json_named_number(j, "endColumn", to.utf16 + 1);
    json_close(j, '}');
}

/* Of a place in no file: the recipe as a whole. */
static void put_location(struct json *j, struct sources *s, struct span span, struct text recipe, struct text text)
{
    const struct source *file = source_at(s, span.file);
    json_open(j, '{');
    json_named_open(j, "physicalLocation", '{');
    put_artifact(j, file ? file->path : recipe, file && span.file < s->first);
    if (file)
        put_region(j, "region", s, span_trimmed(s, span));
    json_close(j, '}');
    if (text.len)
        put_message(j, "message", text);
    json_close(j, '}');
}

static void put_locations(struct json *j, struct sources *s, const struct diagnostic *d, struct text recipe)
{
    json_named_open(j, "locations", '[');
    put_location(j, s, d->span, recipe, d->here);
    json_close(j, ']');
    if (!d->labels.count)
        return;
    json_named_open(j, "relatedLocations", '[');
    for (uint32_t i = 0; i < d->labels.count; i++)
        put_location(j, s, d->labels.at[i].span, recipe, d->labels.at[i].text);
    json_close(j, ']');
}

/* ---- results ----------------------------------------------------------------------------------------------------- */

static void put_fix(struct json *j, struct sources *s, const struct edit *e)
{
    const struct source *file = source_at(s, e->span.file);
    if (!file)
        return;
    json_named_open(j, "fixes", '[');
    json_open(j, '{');
    json_named_open(j, "artifactChanges", '[');
    json_open(j, '{');
    put_artifact(j, file->path, false);
    json_named_open(j, "replacements", '[');
    json_open(j, '{');
    put_region(j, "deletedRegion", s, e->span);
    json_named_line(j, "insertedContent", '{');
    json_named_exact(j, "text", e->text);
    for (const char *close = "}}]}]}]"; *close; close++)
        json_close(j, *close);
}

static void put_sentence(struct buffer *b, struct text t)
{
    if (b->count)
        buffer_putc(b, ' ');
    buffer_put(b, t);
    if (t.len && !strchr(".!?", t.at[t.len - 1]))
        buffer_putc(b, '.');
}

/* What viewers show in one place: what is wrong, what happens, what to write. */
static struct text whole_message(struct arena *a, const struct diagnostic *d)
{
    struct buffer b;
    buffer_init(&b, a);
    put_sentence(&b, d->message);
    if (d->here.len)
        put_sentence(&b, d->here);
    if (d->help.len) {
        buffer_put(&b, TEXT(" Help:"));
        put_sentence(&b, d->help);
    }
    return buffer_text(&b);
}

static uint32_t rule_index(struct sarif *s, enum fault fault)
{
    if (!s->rule[fault]) {
        s->rules[s->rule_count++] = fault;
        s->rule[fault] = s->rule_count;
    }
    return s->rule[fault] - 1;
}

static void put_result(struct sarif *s, struct sources *sources, const struct diagnostic *d, struct text recipe)
{
    struct json *j = &s->json;
    json_open(j, '{');
    json_named_text(j, "ruleId", text_of(fault_table[d->fault].slug));
    json_named_number(j, "ruleIndex", rule_index(s, d->fault));
    json_named_text(j, "level", text_of(levels[d->severity]));
    put_message(j, "message", whole_message(s->arena, d));
    put_locations(j, sources, d, recipe);
    put_fix(j, sources, &d->edit);
    json_close(j, '}');
}

void sarif_add(struct sarif *s, struct sources *sources, const struct diagnostics *ds, struct text recipe)
{
    for (uint32_t i = 0; i < ds->all.count; i++)
        put_result(s, sources, ds->all.at[i], recipe);
    if (ds->dropped)
        *ARRAY_PUSH(s->arena, &s->unfinished) = arena_format(
            s->arena, "%.*s has %u more findings than are listed; mend these first", TEXT_ARGS(recipe), ds->dropped);
}

void sarif_unread(struct sarif *s, struct text why)
{
    *ARRAY_PUSH(s->arena, &s->unfinished) = arena_text(s->arena, why);
}

/* ---- the log ----------------------------------------------------------------------------------------------------- */

void sarif_begin(struct sarif *s, struct buffer *b)
{
    *s = (struct sarif){.json = {.buffer = b, .first = true}, .arena = b->arena};
    struct json *j = &s->json;
    json_open(j, '{');
    json_named_text(j, "$schema", TEXT(SCHEMA));
    json_named_text(j, "version", TEXT("2.1.0"));
    json_named_open(j, "runs", '[');
    json_open(j, '{');
    json_named_text(j, "columnKind", TEXT("utf16CodeUnits"));
    json_named_open(j, "results", '[');
}

static void put_invocation(struct sarif *s, int status)
{
    struct json *j = &s->json;
    json_named_open(j, "invocations", '[');
    json_open(j, '{');
    json_named_truth(j, "executionSuccessful", status < 2);
    json_named_number(j, "exitCode", (uint32_t)status);
    if (s->unfinished.count) {
        json_named_open(j, "toolExecutionNotifications", '[');
        for (uint32_t i = 0; i < s->unfinished.count; i++) {
            json_open(j, '{');
            json_named_text(j, "level", text_of(levels[SEVERITY_ERROR]));
            put_message(j, "message", s->unfinished.at[i]);
            json_close(j, '}');
        }
        json_close(j, ']');
    }
    json_close(j, '}');
    json_close(j, ']');
}

static void put_rule(struct json *j, const struct fault_entry *f)
{
    struct arena *a = j->buffer->arena;
    json_open(j, '{');
    json_named_text(j, "id", text_of(f->slug));
    put_message(j, "shortDescription", text_of(f->title));
    put_message(j, "fullDescription", text_of(f->explanation));
    put_message(j, "help", arena_format(a, "%s\n\nExample:\n\n%s", f->explanation, f->example));
    json_named_line(j, "defaultConfiguration", '{');
    json_named_text(j, "level", text_of(levels[f->severity]));
    json_close(j, '}');
    json_close(j, '}');
}

static void put_tool(struct sarif *s, const char *version)
{
    struct json *j = &s->json;
    json_named_open(j, "tool", '{');
    json_named_open(j, "driver", '{');
    json_named_text(j, "name", TEXT("strokewright"));
    json_named_text(j, "version", text_of(version));
    json_named_open(j, "rules", '[');
    for (uint32_t i = 0; i < s->rule_count; i++)
        put_rule(j, &fault_table[s->rules[i]]);
    json_close(j, ']');
    json_close(j, '}');
    json_close(j, '}');
}

void sarif_end(struct sarif *s, const char *version, int status)
{
    struct json *j = &s->json;
    json_close(j, ']');
    put_invocation(s, status);
    json_named_open(j, "originalUriBaseIds", '{');
    json_named_open(j, BUILT_IN, '{');
    put_message(j, "description", TEXT("the library of formulas and materials built into the program"));
    json_close(j, '}');
    json_close(j, '}');
    put_tool(s, version);
    json_close(j, '}');
    json_close(j, ']');
    json_close(j, '}');
}
