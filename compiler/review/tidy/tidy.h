/* The one form of a recipe: how it looks, whoever wrote it.
 *
 * In: a recipe's bytes. Out: the same recipe with its layout made new. Every token, comment and intended blank line
 * stays; where lines break, what is indented and aligned and how signs are spelled follows from the tokens alone, so
 * two texts that differ in layout only come out the same.
 *
 *   - One fact a line, four blanks a level, '{' behind the head of its block, '}' on a line of its own.
 *   - '=' stands in one column in adjacent properties; a blank line, a property with arguments and a table part them.
 *     In a limit or a caution the texts stand in the column of the values.
 *   - A statement that does not fit in 120 columns is broken: at the items of its brackets, one a line, at the operators
 *     of the weakest strength, in front of 'then' and 'else'. Notes that do not fit behind the value have lines of their
 *     own. An 'if' with an 'else if' has a line for each case.
 *   - The columns of a table and the comments behind adjacent lines are aligned. A run of blank lines is one.
 *   - Spellings are those of compiler/model/spelling.h. Line ends are LF, and the last line has one; a byte order mark goes.
 *
 * Slips of spacing are mended. Any other statement with a fault is kept byte for byte, with the whole of its lines
 * and their line ends. */
#ifndef COMPILER_REVIEW_TIDY_TIDY_H
#define COMPILER_REVIEW_TIDY_TIDY_H

#include "compiler/model/syntax.h"
#include "runtime/base/buffer.h"

struct kept_lines { /* of the text that was given, from 1, both included */
    uint32_t first, last;
};

struct tidied {
    struct text text;
    ARRAY(struct kept_lines) kept; /* in order; lines that could not be read and stand as they were */
    bool changed;                  /* the text is not what was given */
    bool gave_up;                  /* the result would not have read the same, so all is kept: a fault of tidy's own */
};

/* Tokens and comments of the result are checked against those of the bytes; should they differ, nothing is changed and
 * all lines count as kept. */
void tidy(struct tidied *, struct arena *, struct text bytes);

/* A unified diff with three lines around each change, empty when there is none; paths as shown in its head. */
void tidy_diff(struct buffer *, struct text path, struct text from, struct text to);

#endif
