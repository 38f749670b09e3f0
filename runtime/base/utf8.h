/* UTF-8: decoding, validity, display columns and UTF-16 units, without the locale.
 *
 * Any bytes may be given. A byte that begins no valid sequence counts as one character of its own, shown as U+FFFD.
 * Valid means as Unicode defines it: no overlong forms, no surrogates, nothing above U+10FFFF. */
#ifndef RUNTIME_BASE_UTF8_H
#define RUNTIME_BASE_UTF8_H

#include "runtime/base/text.h"

enum { UTF8_REPLACEMENT = 0xFFFD };

struct utf8_char {
    uint32_t point; /* U+FFFD when invalid */
    uint32_t len;   /* bytes: 1 to 4; 0 at the end of the text */
    bool valid;
};

struct utf8_char utf8_at(struct text, uint32_t offset);
uint32_t utf8_valid_until(struct text);         /* offset of the first invalid byte; the length when there is none */
uint32_t utf8_put(char out[4], uint32_t point); /* bytes written */

/* Only characters of ASCII that print, as most texts are: a byte each, which is a character and a column. */
bool utf8_is_plain(struct text);
uint32_t utf8_count(struct text); /* characters */
/* Display columns on a terminal: 2 for wide (East Asian) characters, 0 for combining marks and controls. */
uint32_t utf8_point_columns(uint32_t point);
uint32_t utf8_columns(struct text); /* of a line from its start: tabs go on to the next multiple of 8 */

uint32_t utf8_utf16(struct text); /* UTF-16 units, as editors count columns */
/* The byte offset of a UTF-16 column; the length when the text is shorter. Inside a pair: the character's start. */
uint32_t utf8_offset_of_utf16(struct text, uint32_t units);

#endif
