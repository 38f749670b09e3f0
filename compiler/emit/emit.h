/* Outputs: the step table as files.
 *
 * In: compiler/table/step_table.h, finished. Out: the bytes of a file in a buffer, the same for the same table on every machine.
 * An emitter arranges and escapes; it never computes, opens a file or prints. What is drawn (traveller, flow diagram)
 * is made by a shared object of its own: see compiler/emit/pages/pages.h. */
#ifndef COMPILER_EMIT_EMIT_H
#define COMPILER_EMIT_EMIT_H

#include "compiler/emit/pages/pages.h"
#include "compiler/judge/window_map.h"
#include "compiler/table/step_table.h"
#include "runtime/base/buffer.h"

enum reader {                 /* who reads it, which decides its language and spelling */
              READER_PROGRAM, /* English, in ASCII spelling, whatever language is asked for: one form for every script */
              READER_SCREEN,  /* people, in ASCII spelling as recipes are */
              READER_PAPER    /* people, in print spelling */
};

struct output {
    const char *name;                                         /* "steps-csv" */
    const char *file;                                         /* "steps.csv" */
    const char *what;                                         /* one line for people */
    void (*fill)(struct buffer *, const struct step_table *); /* NULL: drawn, see page */
    enum reader reader;
    enum page page;       /* which of the drawn ones; PAGE_NONE when fill is given */
    bool budgets, values; /* it reads these of the step table, which few do and which take long to make */
};

extern const struct output output_table[];
extern const uint32_t output_count;

/* ---- the emitters ------------------------------------------------------------------------------------------------- */

enum { TEXT_WIDTH = 100 }; /* columns of the text files: a page of a terminal, and of a printer with a small font */

void text_steps(struct buffer *, const struct step_table *, uint32_t width);
/* What was chosen where the recipe says find; nothing when it does not. */
void text_chosen(struct buffer *, const struct step_table *, uint32_t width);
/* The limits alone, without their bounds: at most so many, the open and the tightest first. */
void text_limits(struct buffer *, const struct step_table *, uint32_t width, uint32_t most);
void text_sizes(struct buffer *, const struct step_table *, uint32_t width);

/* RFC 4180: a head line, CRLF, quotes where needed; one line a setting, one line a tool size. */
void csv_steps(struct buffer *, const struct step_table *);
void csv_sizes(struct buffer *, const struct step_table *);
/* One line a limit: its verdict, and margins as shares of the bound. */
void csv_limits(struct buffer *, const struct step_table *);

/* Everything, for programs. */
void json_steps(struct buffer *, const struct step_table *);
/* An array of values, as in the step table: `strokewright value --json`. */
void json_values(struct buffer *, const struct value_row *, uint32_t count);

/* ---- the window map (compiler/judge/window_map.h) ------------------------------------------------------------------------- */

/* Over one unknown the tightest limit at some of the points; over two a map of letters with its key. */
void text_window(struct buffer *, const struct window_map *, uint32_t width);
/* Over one unknown a line for each point with every limit's margin; over two a line for each cell. */
void csv_window(struct buffer *, const struct window_map *);

#endif
