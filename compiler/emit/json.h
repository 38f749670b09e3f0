/* JSON: a small streaming writer, and the step table written with it.
 *
 * The caller opens, names, writes and closes in the order of the file; the writer puts commas, indents and escapes. The
 * form of the step table is compiler/emit/step-table.schema.json. */
#ifndef COMPILER_EMIT_JSON_H
#define COMPILER_EMIT_JSON_H

#include "compiler/table/step_table.h"
#include "runtime/base/buffer.h"

struct json {
    struct buffer *buffer;
    uint32_t depth;
    uint32_t line;     /* depth at which a container on one line began; 0: none */
    bool first, named; /* nothing written yet in this container; a name was written and its value is due */
};

void json_open(struct json *, char bracket);      /* '{' or '[', its members a line each */
void json_open_line(struct json *, char bracket); /* all on one line */
void json_close(struct json *, char bracket);     /* '}' or ']' */
void json_name(struct json *, const char *name);  /* of the value that follows, in an object */
void json_text(struct json *, struct text);
void json_exact(struct json *, struct text); /* line ends and all, see put_json_exact */
void json_number(struct json *, double);     /* NaN and infinities, which JSON has not, as null */
void json_truth(struct json *, bool);
void json_null(struct json *);
/* A member of an object, name and value. */
void json_named_text(struct json *, const char *name, struct text);
void json_named_or_null(struct json *, const char *name,
                        struct text); /* nothing stated is null, which no text can be mistaken for */
void json_named_exact(struct json *, const char *name, struct text);
void json_named_number(struct json *, const char *name, double);
void json_named_truth(struct json *, const char *name, bool);

void json_steps(struct buffer *, const struct step_table *);
/* An array of values, as in the step table: `strokewright value --json`. */
void json_values(struct buffer *, const struct value_row *, uint32_t count);

#endif
