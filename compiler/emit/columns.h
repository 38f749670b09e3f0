/* Columns: aligned text of a fixed width, for terminals and plain printers.
 *
 * In: a table of columns and rows of cells. Out: lines, cells wrapped within their column, numbers lined up on their
 * decimal points. Widths are display columns, so wide characters keep the lines straight. */
#ifndef COMPILER_EMIT_COLUMNS_H
#define COMPILER_EMIT_COLUMNS_H

#include "compiler/text/language.h"
#include "runtime/base/array.h"
#include "runtime/base/buffer.h"

enum column_form {
    COLUMN_WORDS,  /* wrapped between words */
    COLUMN_FLOW,   /* the same, running on beside the rows below that leave it empty */
    COLUMN_NUMBER, /* lined up and never wrapped */
};

struct column {
    const char *title; /* in English, marked by SAY() */
    enum column_form form;
};

enum { COLUMNS_MOST = 12, COLUMNS_GAP = 2 };

struct columns {
    struct arena *arena;
    enum language language; /* of the titles */
    const struct column *columns;
    uint32_t count;
    ARRAY(struct columns_row {
        struct text cell[COLUMNS_MOST]; /* plain text already; a line break in it is kept */
        struct text below;              /* lines under the row, broken already; may be empty */
        bool apart;                     /* a blank line in front of it */
    })
    rows;
};

struct columns_row *columns_add(struct columns *);
/* Where even wrapped columns have no room on a narrow terminal, each row becomes lines of its own: its first cell, then title and cell. */
void columns_print(struct columns *, struct buffer *, uint32_t width);

/* Bytes of the first line of that width, with the blank it ends at; as many words as fit, at least one character. */
uint32_t columns_line(struct text, uint32_t width);

/* Text wrapped at spaces: `indent` columns before the first line, `hang` more before the others. */
void print_wrapped(struct buffer *, struct text, uint32_t width, uint32_t indent, uint32_t hang);

#endif
