/* What is said to people, in their language: lookup in the catalogues of compiler/languages/.
 *
 * In: a text as written in the source, in English, and the language to say it in. Out: the text in that language, a view
 * into the program; the English itself where the catalogue has none, which the tests do not let happen. The catalogues
 * are gettext's PO files, compiled into one table (compiler/tools/catalogue.c) when the program is built; the locale plays no
 * part. What a recipe says in its own words is never looked up.
 *
 * xgettext finds the texts by these names, so each must have its text as a literal: said, said_in, SAY, SAY_IN, SAID,
 * SAID_COUNT. The built-in recipes' texts, and the schema's, are found by compiler/tools/extract.c. */
#ifndef COMPILER_TEXT_SAID_H
#define COMPILER_TEXT_SAID_H

#include "compiler/text/language.h"
#include "runtime/base/arena.h"

/* Marks the text of a table, which is looked up later by said() or said_in(). */
#define SAY(english) english
#define SAY_IN(context, english) english

struct text said(enum language, const char *english);
/* For a word that means several things: said_in(l, "role", "check"). */
struct text said_in(enum language, const char *context, const char *english);
struct text said_text(enum language, const char *context, struct text english); /* context may be NULL */
/* A name in words, "still-air" as "still air", in the language where it is one of the program's. */
struct text said_name(struct arena *, enum language, const char *context, struct text name);

/* ---- texts with something put in ---------------------------------------------------------------------------------- */

struct said_part {
    const char *name; /* of the place {name} */
    struct text value;
};

#define SAID_PARTS(...)                                                                                                \
    (const struct said_part[]){__VA_ARGS__}, sizeof((const struct said_part[]){__VA_ARGS__}) / sizeof(struct said_part)

/* Puts values where {name} stands; a translation has the same places, in its own order (the build checks it).
 *    SAID(arena, l, "Part {part}, revision {revision}", {"part", t->part}, {"revision", t->revision}) */
#define SAID(arena, language, english, ...) said_filled((arena), said((language), (english)), SAID_PARTS(__VA_ARGS__))
/* The same, with the form for a number: SAID_COUNT(arena, l, "{n} limit holds", "{n} limits hold", n). */
#define SAID_COUNT(arena, language, one, many, n) said_count((arena), (language), (one), (many), (n))

struct text said_filled(struct arena *, struct text pattern, const struct said_part *, uint32_t count);
struct text said_count(struct arena *, enum language, const char *one, const char *many, uint32_t n);

/* ---- the table ---------------------------------------------------------------------------------------------------- */

/* Sorted by the English text, its context and a \004 in front where it has one. Offsets into catalogue_bytes, so that
 * nothing need be relocated when the program starts; 0: not translated. Forms of a plural stand one behind the other,
 * each with its NUL. */
struct catalogue_row {
    uint32_t english;
    uint32_t said[LANGUAGE_COUNT - 1]; /* by language - 1 */
};
extern const struct catalogue_row catalogue_table[];
extern const uint32_t catalogue_count;
extern const char catalogue_bytes[];

#endif
