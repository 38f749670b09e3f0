/* Rows of separated text (RFC 4180), as a stream: what a row means is the caller's business.
 *
 * In: bytes from a reader, in pieces of any size. Out: one row at a time, its cells as views into a buffer that holds the
 * longest row and no more, so memory does not grow with rows. Rows end with CRLF, LF or CR. A cell may be quoted; then
 * separators and line ends in it are text. A byte order mark in front is left out. No row is left out: a blank line is a
 * row of one empty cell. */
#ifndef COMPILER_READINGS_CSV_H
#define COMPILER_READINGS_CSV_H

#include "runtime/base/array.h"

struct csv_input {
    void *context;
    /* As read(): bytes put at `at`, 0 at the end, less than 0 when it failed. */
    ptrdiff_t (*read)(void *context, char *at, size_t room);
};

enum csv_state {
    CSV_ROW,
    CSV_END,
    CSV_UNREADABLE, /* the input failed */
    CSV_TOO_LONG,   /* a row has more than CSV_ROW_LIMIT bytes: most often a quote that is never closed */
    CSV_OPEN_QUOTE, /* the text ends inside a quoted cell, the last one */
    CSV_STRAY,      /* text stands behind the closing quote of the last cell */
    CSV_NUL         /* a byte of value zero, in the last cell */
};

enum { CSV_ROW_LIMIT = 16 << 20, CSV_BUFFER = 256 << 10 };

struct csv_cell {
    struct text text;   /* without the quotes around it; of an unquoted one without blanks around it */
    uint32_t lo, hi;    /* its bytes in the row, with its quotes */
    bool quoted, twice; /* twice: quotes in it still stand doubled, see csv_plain() */
};

struct csv {
    struct arena *arena;
    struct csv_input input;
    char *at; /* buffer; a NUL stands behind the bytes in it */
    size_t lo, hi, room;
    bool ended; /* nothing comes behind what is in the buffer */
    char separator;
    bool stops[256]; /* bytes that may end an unquoted cell */
    /* The row read last; views, good until the next. */
    ARRAY(struct csv_cell) cells;
    struct text raw; /* the row without its line end */
    uint32_t line;   /* its first line, from 1 */
    uint32_t lines;  /* line ends inside it */
    bool closed;     /* a line end stands behind it */
    uint32_t next_line;
    uint64_t bytes; /* of all rows so far */
};

void csv_begin(struct csv *, struct arena *, struct csv_input);
/* What parts the cells of the rows to come. */
void csv_separate(struct csv *, char separator);
/* The next row. After any other answer than CSV_ROW and CSV_END the cells up to the faulty one are there, and nothing more
 * is read. */
enum csv_state csv_next(struct csv *);
/* Reads as much as the buffer holds; what is there, not yet given as rows. False when the input failed. */
bool csv_look_ahead(struct csv *, struct text *bytes);
/* The text of a cell as it was before it was quoted, in the arena where it needs to be made. */
struct text csv_plain(struct arena *, const struct csv_cell *);

#endif
