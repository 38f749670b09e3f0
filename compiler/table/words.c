/* Words: fixed texts and names in the language of the table. */
#include "compiler/table/parts.h"

/* ---- language ------------------------------------------------------------------------------------------------------------------ */

struct text steps_said(struct steps *s, const char *english)
{
    return said(s->spelling.language, english);
}

struct text reason_said(struct steps *s, const struct reason *why)
{
    return reason_words(s->lowering->arena, s->lowering->scope, why, s->spelling);
}

struct text yes_or_no(struct steps *s, bool truth)
{
    return truth ? said_in(s->spelling.language, "truth", "yes") : said_in(s->spelling.language, "truth", "no");
}

struct text library_text(struct steps *s, uint32_t file, struct text text)
{
    return file < s->lowering->scope->first_file ? said_text(s->spelling.language, NULL, text) : text;
}

/* "still-air" as "still air"; of one of the schema's words, in the table's language. */
struct text word_said(struct steps *s, struct text word)
{
    return said_name(s->lowering->arena, s->spelling.language, "word", word);
}

/* ---- names as words ----------------------------------------------------------------------------------------------- */

/* The letters of the four languages: a to z, and the second half of Latin-1, which is C3 A0 to C3 BE. */
struct text capitalised(struct arena *a, struct text words)
{
    char *out = arena_copy(a, words);
    if (words.len && out[0] >= 'a' && out[0] <= 'z')
        out[0] = (char)(out[0] - 'a' + 'A');
    else if (words.len > 1 && out[0] == '\xC3' && (unsigned char)out[1] >= 0xA0 && (unsigned char)out[1] != 0xB7 &&
             (unsigned char)out[1] <= 0xBE)
        out[1] = (char)(out[1] - 0x20);
    return (struct text){out, words.len};
}

/* Names are the recipe's own, but the usual ones of the shop (compiler/tools/extract.c) are said in the table's language. */
struct text title_of(struct steps *s, uint32_t definition)
{
    const struct lowering *l = s->lowering;
    const struct definition *d = definition_at(l->scope, definition);
    struct text title = text_for(s, definition, FOR_title);
    if (title.len)
        return title;
    struct text name = d->name ? atom_text(&l->scope->names, d->name) : text_of(kind_table[d->kind].name);
    return said_name(l->arena, s->spelling.language, "name", name);
}

/* On an English screen by its name, as it can be asked; else by the title of what has it and its label. */
static struct text member_said(struct steps *s, struct text path, uint32_t definition,
                               const struct property_entry *entry)
{
    bool asked = s->spelling.language == LANGUAGE_EN && !s->spelling.print;
    if (asked || !entry || !definition)
        return path;
    return said_filled(s->lowering->arena, steps_said(s, SAY("{kind}: {label}")),
                       SAID_PARTS({"kind", title_of(s, definition)}, {"label", steps_said(s, entry->label)}));
}

struct text quantity_said(struct steps *s, const struct quantity *q)
{
    return member_said(s, q->path, q->definition, q->entry);
}

struct text property_of_said(struct steps *s, struct text path, uint32_t property)
{
    const struct property *p = property_at(s->lowering->scope, property);
    return member_said(s, path, p->definition, p->entry);
}

struct text label_of(struct steps *s, uint32_t quantity)
{
    const struct lowering *l = s->lowering;
    const struct quantity *q = &l->quantities.at[quantity];
    if (q->entry)
        return steps_said(s, q->entry->label);
    return library_text(s, q->site.file, note_text(l, q->site, TOKEN_LABEL));
}
