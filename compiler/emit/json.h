/* JSON: a streaming writer, and objects written by a table of their members.
 *
 * The writer: the caller opens, names, writes and closes in the order of the file; commas, indents and escapes are put by
 * the writer. The tables: a row says of one member its name, its type and where in a struct it stands; a form is the rows
 * of a struct. What is computed rather than stored is written by a function that its row names. */
#ifndef COMPILER_EMIT_JSON_H
#define COMPILER_EMIT_JSON_H

#include "runtime/base/buffer.h"

#include <stddef.h>

struct json {
    struct buffer *buffer;
    uint32_t depth;
    uint32_t line;     /* depth at which a container on one line began; 0: none */
    bool first, named; /* nothing written yet in this container; a name was written and its value is due */
};

/* ---- the writer --------------------------------------------------------------------------------------------------- */

void json_open(struct json *, char bracket);      /* '{' or '[', its members a line each */
void json_open_line(struct json *, char bracket); /* all on one line */
void json_close(struct json *, char bracket);     /* '}' or ']' */
void json_name(struct json *, const char *name);  /* of the value that follows, in an object */
void json_text(struct json *, struct text);
void json_or_null(struct json *, struct text); /* nothing stated is null, which no text can be mistaken for */
void json_number(struct json *, double);       /* NaN and infinities, which JSON has not, as null */
void json_truth(struct json *, bool);
void json_null(struct json *);
/* A member of an object, name and value. */
void json_named_open(struct json *, const char *name, char bracket);
void json_named_line(struct json *, const char *name, char bracket); /* on one line */
void json_named_text(struct json *, const char *name, struct text);
void json_named_or_null(struct json *, const char *name, struct text);
void json_named_exact(struct json *, const char *name, struct text);
void json_named_number(struct json *, const char *name, double);
void json_named_truth(struct json *, const char *name, bool);

/* ---- by table ----------------------------------------------------------------------------------------------------- */

enum json_kind {
    JSON_TEXT,          /* struct text */
    JSON_TEXT_OR_NULL,  /* the same; null when empty */
    JSON_EXACT,         /* the same, as json_exact() writes it */
    JSON_NUMBER,        /* double */
    JSON_COUNT,         /* uint32_t */
    JSON_COUNT_OR_NULL, /* the same; null when 0 */
    JSON_TRUTH,         /* bool */
    JSON_WORD,          /* an enum; its names in `words` */
    JSON_PART,          /* a struct, as an object of its own */
    JSON_LIST,          /* ARRAY() of structs */
    JSON_MADE           /* by `make`, which writes the value and is given the struct that begins at the offset */
};

struct json_member {
    const char *name; /* NULL: the members of the struct at the offset stand among these; without a form, the end */
    enum json_kind kind;
    size_t offset;
    const struct json_form *form;
    const char *const *words;
    void (*make)(struct json *, const void *);
};

struct json_form {
    size_t size; /* of the struct */
    bool one_line;
    const struct json_member *members; /* ends with an empty row */
};

/* A form is written
 *
 *   #define JSON_OF struct track
 *   static const struct json_form track_form = JSON_FORM(false, JSON_ROW(label), JSON_ROW_OR_NULL(step));
 *   #undef JSON_OF
 *
 * Each row below has the name of a member of JSON_OF. */
/* clang-format off */
#define JSON_FORM(one_line, ...) {sizeof(JSON_OF), one_line, (const struct json_member[]){__VA_ARGS__, {0}}}
#define JSON_ROW_AS(its_name, its_kind, member) .name = its_name, .kind = its_kind, .offset = offsetof(JSON_OF, member)
#define JSON_ROW(member) {JSON_ROW_AS(#member, JSON_KIND_OF(((JSON_OF *)0)->member), member)}
#define JSON_KIND_OF(member) \
    _Generic((member), struct text: JSON_TEXT, double: JSON_NUMBER, uint32_t: JSON_COUNT, bool: JSON_TRUTH)
#define JSON_ROW_OR_NULL(member) {JSON_ROW_AS(#member, JSON_OR_NULL_OF(((JSON_OF *)0)->member), member)}
#define JSON_OR_NULL_OF(member) _Generic((member), struct text: JSON_TEXT_OR_NULL, uint32_t: JSON_COUNT_OR_NULL)
#define JSON_ROW_WORD(member, names) {JSON_ROW_AS(#member, JSON_WORD, member), .words = names}
#define JSON_ROW_PART(member, of) {JSON_ROW_AS(#member, JSON_PART, member), .form = &(of)}
#define JSON_ROW_LIST(member, of) {JSON_ROW_AS(#member, JSON_LIST, member), .form = &(of)}
/* The members of a struct inside, among those of the one around it. */
#define JSON_ROWS_OF(member, of) {JSON_ROW_AS(NULL, JSON_PART, member), .form = &(of)}
/* What is computed from the whole struct. */
#define JSON_ROW_MADE(its_name, function) {.name = its_name, .kind = JSON_MADE, .make = function}
/* clang-format on */

void json_object(struct json *, const struct json_form *, const void *row);
void json_members(struct json *, const struct json_form *, const void *row); /* without its brackets */
void json_list(struct json *, const struct json_form *, const void *rows, uint32_t count);

#endif
