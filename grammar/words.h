/* What the scanner says of faulty words. Private to grammar/. Each takes the bytes at the scanner's place. */
#ifndef GRAMMAR_WORDS_H
#define GRAMMAR_WORDS_H

#include "grammar/scan.h"

void scan_date(struct scan *, const char *date);                        /* 2026-02-30 */
void scan_tight_unit(struct scan *);                                    /* 5mm */
void scan_escapes(struct scan *, const char *text, uint32_t length);    /* "a\qb" */
void scan_unfinished(struct scan *, uint32_t length);                   /* "abc */
void scan_wrong_name(struct scan *, const char *name, uint32_t length); /* Die_1 */
void scan_curly_text(struct scan *, const char *text, uint32_t length);
void scan_stray(struct scan *, const char *bytes, uint32_t length); /* ; ' $ */

#endif
