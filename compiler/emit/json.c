#include "compiler/emit/json.h"

#include "compiler/emit/escape.h"
#include "runtime/base/number.h"

#include <math.h>

enum { INDENT = 2 };

/* ---- the writer --------------------------------------------------------------------------------------------------- */

static void begin_line(struct json *j)
{
    buffer_putc(j->buffer, '\n');
    buffer_pad(j->buffer, ' ', j->depth * INDENT);
}

/* Everything that stands in a container comes through here once. */
static void begin_member(struct json *j)
{
    if (j->named) {
        j->named = false;
        return;
    }
    if (!j->first)
        buffer_put(j->buffer, j->line ? TEXT(", ") : TEXT(","));
    if (j->depth && !j->line)
        begin_line(j);
    j->first = false;
}

void json_open(struct json *j, char bracket)
{
    begin_member(j);
    buffer_putc(j->buffer, bracket);
    j->depth++;
    j->first = true;
}

void json_open_line(struct json *j, char bracket)
{
    json_open(j, bracket);
    if (!j->line)
        j->line = j->depth;
}

void json_close(struct json *j, char bracket)
{
    bool empty = j->first, on_line = j->line;
    if (j->line == j->depth)
        j->line = 0;
    j->depth--;
    if (!empty && !on_line)
        begin_line(j);
    buffer_putc(j->buffer, bracket);
    if (!j->depth)
        buffer_putc(j->buffer, '\n');
    j->first = false;
}

void json_name(struct json *j, const char *name)
{
    begin_member(j);
    escape_put_json(j->buffer, text_of(name));
    buffer_put(j->buffer, TEXT(": "));
    j->named = true;
}

void json_text(struct json *j, struct text t)
{
    begin_member(j);
    escape_put_json(j->buffer, t);
}

/* Line ends and all, see escape_put_json_exact(). */
static void json_exact(struct json *j, struct text t)
{
    begin_member(j);
    escape_put_json_exact(j->buffer, t);
}

void json_number(struct json *j, double value)
{
    if (!isfinite(value)) {
        json_null(j);
        return;
    }
    begin_member(j);
    buffer_put(j->buffer, number_print(j->buffer->arena, value));
}

void json_truth(struct json *j, bool truth)
{
    begin_member(j);
    buffer_put(j->buffer, truth ? TEXT("true") : TEXT("false"));
}

void json_null(struct json *j)
{
    begin_member(j);
    buffer_put(j->buffer, TEXT("null"));
}

void json_or_null(struct json *j, struct text t)
{
    if (t.len)
        json_text(j, t);
    else
        json_null(j);
}

/* ---- members ------------------------------------------------------------------------------------------------------ */

void json_named_open(struct json *j, const char *name, char bracket)
{
    json_name(j, name);
    json_open(j, bracket);
}

void json_named_line(struct json *j, const char *name, char bracket)
{
    json_name(j, name);
    json_open_line(j, bracket);
}

void json_named_text(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    json_text(j, t);
}

void json_named_or_null(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    json_or_null(j, t);
}

void json_named_exact(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    json_exact(j, t);
}

void json_named_number(struct json *j, const char *name, double value)
{
    json_name(j, name);
    json_number(j, value);
}

void json_named_truth(struct json *j, const char *name, bool truth)
{
    json_name(j, name);
    json_truth(j, truth);
}

/* ---- by table ----------------------------------------------------------------------------------------------------- */

struct any_array { /* an ARRAY() of any type */
    const char *at;
    uint32_t count, room;
};

static void write_list(struct json *j, const struct json_member *m, const char *at)
{
    struct any_array array;
    memcpy(&array, at, sizeof array);
    json_list(j, m->form, array.at, array.count);
}

static void write_number(struct json *j, const struct json_member *m, const char *at)
{
    double number;
    uint32_t count;
    if (m->kind == JSON_NUMBER) {
        memcpy(&number, at, sizeof number);
    } else {
        memcpy(&count, at, sizeof count);
        number = count || m->kind == JSON_COUNT ? count : NAN;
    }
    json_number(j, number);
}

static void write_word(struct json *j, const struct json_member *m, const char *at)
{
    unsigned word;
    memcpy(&word, at, sizeof word);
    json_text(j, text_of(m->words[word]));
}

static void write_text(struct json *j, const struct json_member *m, const char *at)
{
    struct text t;
    memcpy(&t, at, sizeof t);
    if (m->kind == JSON_EXACT)
        json_exact(j, t);
    else if (m->kind == JSON_TEXT)
        json_text(j, t);
    else
        json_or_null(j, t);
}

static void write_truth(struct json *j, const struct json_member *m, const char *at)
{
    (void)m;
    json_truth(j, *(const bool *)at);
}

static void write_part(struct json *j, const struct json_member *m, const char *at)
{
    json_object(j, m->form, at);
}

static void write_made(struct json *j, const struct json_member *m, const char *at)
{
    m->make(j, at);
}

void json_members(struct json *j, const struct json_form *form, const void *row)
{
    static void (*const writers[])(struct json *, const struct json_member *, const char *) = {
        [JSON_TEXT] = write_text,     [JSON_TEXT_OR_NULL] = write_text, [JSON_EXACT] = write_text,
        [JSON_NUMBER] = write_number, [JSON_COUNT] = write_number,      [JSON_COUNT_OR_NULL] = write_number,
        [JSON_TRUTH] = write_truth,   [JSON_WORD] = write_word,         [JSON_PART] = write_part,
        [JSON_LIST] = write_list,     [JSON_MADE] = write_made};
    for (const struct json_member *m = form->members; m->name || m->form; m++) {
        const char *at = (const char *)row + m->offset;
        if (!m->name) {
            json_members(j, m->form, at);
            continue;
        }
        json_name(j, m->name);
        writers[m->kind](j, m, at);
    }
}

void json_object(struct json *j, const struct json_form *form, const void *row)
{
    if (form->one_line)
        json_open_line(j, '{');
    else
        json_open(j, '{');
    json_members(j, form, row);
    json_close(j, '}');
}

void json_list(struct json *j, const struct json_form *form, const void *rows, uint32_t count)
{
    json_open(j, '[');
    for (uint32_t i = 0; i < count; i++)
        json_object(j, form, (const char *)rows + i * form->size);
    json_close(j, ']');
}
