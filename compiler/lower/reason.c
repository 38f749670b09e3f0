#include "compiler/lower/reason.h"

/* ---- lists -------------------------------------------------------------------------------------------------------- */

const struct reason *reason_new(struct arena *arena, struct reason r)
{
    struct reason *made = ARENA_NEW(arena, struct reason);
    *made = r;
    made->next = NULL;
    return made;
}

bool reason_same(const struct reason *a, const struct reason *b)
{
    return a->kind == b->kind && a->inner == b->inner && a->of == b->of && a->definition == b->definition &&
           a->count == b->count && a->at == b->at && a->low == b->low && a->high == b->high &&
           text_same(a->name, b->name);
}

static bool is_among(const struct reason *one, const struct reason *all)
{
    while (all && !reason_same(all, one))
        all = all->next;
    return all != NULL;
}

enum { MOST_REASONS = 24 }; /* what is beyond comes up when these are mended */

const struct reason *reasons_joined(struct arena *arena, const struct reason *a, const struct reason *b)
{
    if (a->reported || b->reported)
        return b->reported ? a : b;
    struct reason head = {.next = NULL}, *last = &head;
    const struct reason *const lists[] = {a, b};
    for (uint32_t i = 0, count = 0; i < 2; i++)
        for (const struct reason *r = lists[i]; r && count < MOST_REASONS; r = r->next) {
            if (is_among(r, head.next))
                continue;
            struct reason *copy = ARENA_NEW(arena, struct reason);
            *copy = *r;
            copy->next = NULL;
            last->next = copy;
            last = copy;
            count++;
        }
    return head.next;
}

/* ---- words -------------------------------------------------------------------------------------------------------- */

static const char *const patterns[] = {
#define REASON(name, words) words,
#include "compiler/lower/reasons.def"
#undef REASON
};

/* "the alloy az61a", "the sheet"; its name as the recipe spells it, but for the usual ones. */
static struct text thing_words(struct arena *a, const struct scope *s, uint32_t definition, enum language language)
{
    if (language == LANGUAGE_EN || !definition)
        return definition ? definition_words(s, definition) : TEXT("");
    const struct definition *d = definition_at(s, definition);
    struct text kind = kind_said(a, d->kind, language), name = atom_text(&s->names, d->name);
    struct text english = said_name(a, LANGUAGE_EN, "name", name), known = said_name(a, language, "name", name);
    struct text parts[] = {kind, TEXT(" "), text_same(known, english) ? name : known};
    return arena_joined(a, parts, name.len ? 3 : 1);
}

static struct text property_words(struct text name, enum language language)
{
    for (uint32_t i = 0; i < property_count && language != LANGUAGE_EN; i++)
        if (text_is(name, property_table[i].name))
            return said(language, property_table[i].label);
    return name;
}

struct text reason_one_words(struct arena *a, const struct scope *s, const struct reason *r, struct spelling spelling)
{
    enum language l = spelling.language;
    const struct said_part parts[] = {
        {"kind", kind_said(a, r->of, l)},
        {"thing", thing_words(a, s, r->definition, l)},
        {"count", arena_format(a, "%u", r->count)},
        {"value", r->name},
        {"property", property_words(r->name, l)},
        {"role", said_text(l, "word", r->name)},
        {"at", r->unit.factor ? typeset_quantity(a, r->at, &r->unit, spelling) : TEXT("")},
        {"band", r->unit.factor ? typeset_band(a, r->low, r->high, &r->unit, spelling) : TEXT("")},
        {"reason", said(l, patterns[r->inner])}};
    return said_filled(a, said(l, patterns[r->kind]), parts, sizeof parts / sizeof parts[0]);
}

struct text reason_words(struct arena *a, const struct scope *s, const struct reason *r, struct spelling spelling)
{
    struct text all = TEXT("");
    for (; r; r = r->next) {
        struct text parts[] = {all, TEXT("; "), reason_one_words(a, s, r, spelling)};
        all = all.len ? arena_joined(a, parts, 3) : parts[2];
    }
    return all;
}
