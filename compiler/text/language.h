/* The languages that papers, reports and tables speak.
 *
 * A language is always an argument, never a setting of the process and never taken from the locale: the same input gives
 * the same bytes on any machine. English is what the texts are written in; compiler/text/said.h turns them into the others. */
#ifndef COMPILER_TEXT_LANGUAGE_H
#define COMPILER_TEXT_LANGUAGE_H

#include "runtime/base/text.h"

enum language { LANGUAGE_EN, LANGUAGE_DE, LANGUAGE_ES, LANGUAGE_JA, LANGUAGE_COUNT };

struct language_row {
    const char *code;    /* BCP 47: "de" */
    const char *own;     /* its name in itself: "Deutsch" */
    const char *plurals; /* as gettext's catalogues write it; one number of forms or two, see said_count() */
    bool comma;          /* decimal sign on paper and screen; ISO 80000-1, 7.2.2 allows the comma and the point */
};

extern const struct language_row language_table[LANGUAGE_COUNT];

/* LANGUAGE_COUNT when there is none of that code. */
enum language language_of(struct text code);

#endif
