/* The text form of diagnostics, for terminals and logs.
 *
 * In: a diagnostic and the sources it points into. Out: text in a buffer. First the line every editor understands,
 * `path:line:column: error: message [slug]`; below it the source line with its number, carets under the place, further
 * places, `help:` and, where there is an edit, the line as it reads when mended (marked + where others have |).
 * On a terminal the first line is wrapped too; for programs it stays one line. Colour only repeats what the words say. Whatever bytes a recipe holds, what is printed is valid UTF-8 without controls. */
#ifndef COMPILER_TEXT_RENDER_H
#define COMPILER_TEXT_RENDER_H

#include "compiler/text/diagnostic.h"
#include "runtime/base/buffer.h"

struct render_style {
    bool color;
    uint32_t width; /* columns to wrap at; 0: 80 */
    bool terminal;  /* somebody reads it: the first line is wrapped too */
};

/* All of them, an empty line between two, and how many were left out. */
void render_text(struct buffer *, struct sources *, const struct diagnostics *, struct render_style);

/* ---- the parts others print with (compiler/text/render_line.c) ------------------------------------------------------- */

/* Valid UTF-8 without control characters: they and bytes that are not UTF-8 become U+FFFD, a line end a blank. */
void render_plain(struct buffer *, struct text);

struct wrapping {
    uint32_t at;        /* column the first line begins at */
    struct text prefix; /* what further lines begin with */
    uint32_t indent;    /* the columns that takes */
    uint32_t width;
};

/* Broken at blanks, but not between a number and its unit, and where the text has a line end; ends with a line end.
 * Returns the column that the last line ends at. */
uint32_t render_wrapped(struct buffer *, struct text, const struct wrapping *);

/* A part of a line by display columns, half open. Where `from` or the line's end is cut off, three dots stand there. */
struct line_part {
    uint32_t from, to;
    uint32_t total; /* columns of the whole line */
};

/* Columns before the offset, with tabs to 8 and every hidden character shown as one column. */
uint32_t render_column(struct text line, uint32_t offset);
/* The whole line where it has room, else the part around columns lo to hi. */
struct line_part render_line_part(struct text line, uint32_t lo, uint32_t hi, uint32_t room);
void render_line(struct buffer *, struct text line, struct line_part);

#endif
