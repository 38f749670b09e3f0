/* The terminal: how wide it is, whether it takes colour, and what is shown on it while something goes on.
 *
 * Colour repeats what the words say and is left out where it is not wanted: NO_COLOR set (no-color.org), TERM=dumb, no
 * terminal. On a terminal lines are wrapped to its width, or to COLUMNS where that is set; what goes into a file or a pipe
 * is never wrapped, so that a script finds one value a line. */
#ifndef COMPILER_CLI_TERMINAL_H
#define COMPILER_CLI_TERMINAL_H

#include "runtime/base/text.h"

#include <stdio.h>

struct terminal {
    FILE *to;
    uint32_t width; /* 0: no terminal, no wrapping */
    bool color;
};

struct terminal terminal_of(FILE *);

/* Prints a text wrapped between words, not between a number and its unit; further lines begin at `hang`. The first one begins
 * at `at`, where the cursor stands already. */
void terminal_wrap(const struct terminal *, struct text, uint32_t at, uint32_t hang);

/* Prints a file's text: byte for byte into a file or a pipe; on a terminal what could steer it is shown as U+FFFD. */
void terminal_exact(FILE *, struct text);

/* "3 of 40  lid.recipe" on one line that the next call or terminal_done() takes away again; nothing off a terminal. */
void terminal_progress(const struct terminal *, uint32_t number, uint32_t count, const char *what);
void terminal_done(const struct terminal *);

#endif
