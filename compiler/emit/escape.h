/* Escaping: one function a format, and the only places where a recipe's words meet that format's own signs.
 *
 * Any bytes may be given. What is no valid UTF-8, and what no file of that format may hold, comes out as U+FFFD;
 * line breaks and tabs come out as one space each, because no text of the step table has lines of its own. */
#ifndef COMPILER_EMIT_ESCAPE_H
#define COMPILER_EMIT_ESCAPE_H

#include "runtime/base/buffer.h"

/* Valid UTF-8 without control characters, and without the marks that turn the direction of what follows: a terminal, a
 * spreadsheet and a page then show what is there. */
void escape_put_plain(struct buffer *, struct text);
struct text escape_plain(struct arena *, struct text);

void escape_put_json(struct buffer *, struct text); /* with its quotes */
/* The same, but nothing is left out: lines, tabs and controls come back as they were. For text that is put into a file
 * again, and for names of files. */
void escape_put_json_exact(struct buffer *, struct text);
void escape_put_xml(struct buffer *, struct text); /* for content and for attributes in either quote */
/* A CSV field, quoted where RFC 4180 asks for it. A field that a spreadsheet would run as a formula (it starts with
 * = + - @) gets an apostrophe in front, unless it is a plain number. */
void escape_put_csv(struct buffer *, struct text);
/* A label for Graphviz, without quotes: libcgraph puts those. The backslash would otherwise be an escape of its own. */
void escape_put_dot(struct buffer *, struct text);

#endif
