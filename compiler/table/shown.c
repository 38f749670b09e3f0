/* Values as shown: one place turns a quantity into text, number and band. */
#include "compiler/table/parts.h"

#include <math.h>

/* ---- texts with { } ------------------------------------------------------------------------------------------------------- */

static struct text used_quantity(struct steps *s, double si, const struct unit *unit)
{
    return typeset_end(s->lowering->arena, end_for_use(unit, si, TO_NEAREST), unit, s->spelling);
}

static struct text part_text(struct steps *s, const struct text_part *part)
{
    switch (part->low.tag) {
    case LOW_NODE:
        return used_quantity(s, value_of(s->values, part->low), &part->unit);
    case LOW_DEFINITION:
        return title_of(s, part->low.id);
    case LOW_WORD:
        return word_said(s, part->low.text);
    case LOW_DATE:
        return part->low.text;
    case LOW_TRUTH:
        return yes_or_no(s, part->low.truth);
    default:
        return steps_said(s, SAY("(not evaluated)"));
    }
}

/* A text of the library in another language: the same { }, in the order of that language. */
static struct text translated_text(struct steps *s, const struct tree *t, struct text pattern, uint32_t text,
                                   const struct lowered_text *f)
{
    struct arena *a = s->lowering->arena;
    uint32_t count = f ? f->count : 0, i = 0;
    struct said_part *parts = ARENA_ARRAY(a, count + 1, struct said_part);
    NODE_EACH_CHILD (t, text, n) {
        if (i < count) {
            parts[i].name = arena_text(a, node_text(t, n)).at;
            parts[i].value = part_text(s, &s->lowering->text_parts.at[f->first + i]);
            i++;
        }
    }
    return said_filled(a, pattern, parts, i);
}

struct text filled_text(struct steps *s, struct site site, uint32_t subject)
{
    const struct lowering *l = s->lowering;
    const struct tree *t = file_at(l->scope, site.file)->tree;
    const struct lowered_text *f = lowering_text(l, site, subject);
    if (s->spelling.language != LANGUAGE_EN && site.file < l->scope->first_file) {
        struct text english = text_pattern(l->arena, t, site.node);
        struct text pattern = said_text(s->spelling.language, NULL, english);
        return translated_text(s, t, pattern, site.node, f);
    }
    struct text out = text_piece(l->arena, t, site.node, 0);
    for (uint32_t i = 0; f && i < f->count; i++) {
        struct text value = part_text(s, &s->lowering->text_parts.at[f->first + i]);
        out = arena_format(l->arena, "%.*s%.*s%.*s", TEXT_ARGS(out), TEXT_ARGS(value),
                           TEXT_ARGS(text_piece(l->arena, t, site.node, i + 1)));
    }
    return out;
}

/* ---- words ------------------------------------------------------------------------------------------------------------------ */

/* ---- quantities -------------------------------------------------------------------------------------------------------------- */

static uint32_t quantity_called(struct steps *s, uint32_t definition, atom name)
{
    uint32_t q = name ? lowering_member(s->lowering, definition, name) : 0;
    return s->lowering->quantities.at[q].value.tag == LOW_MISSING ? 0 : q;
}

uint32_t quantity_of(struct steps *s, uint32_t definition, const char *name)
{
    return quantity_called(s, definition, interned(&s->lowering->scope->names, text_of(name)));
}

double quantity_si(const struct steps *s, uint32_t quantity)
{
    return quantity ? value_of(s->values, s->lowering->quantities.at[quantity].value) : NAN;
}

struct text quantity_why_not(struct steps *s, uint32_t quantity)
{
    return reason_said(s, why_no_value(s->lowering, s->values, s->lowering->quantities.at[quantity].value));
}

uint32_t quantity_for(struct steps *s, uint32_t definition, enum purpose purpose)
{
    const struct scope *scope = s->lowering->scope;
    return quantity_called(s, definition, name_for(scope, definition_at(scope, definition)->kind, purpose));
}

static uint32_t definition_in(struct steps *s, uint32_t quantity)
{
    struct low low = s->lowering->quantities.at[quantity].value;
    return quantity && low.tag == LOW_DEFINITION ? low.id : 0;
}

uint32_t reference_for(struct steps *s, uint32_t definition, enum purpose purpose)
{
    return definition_in(s, quantity_for(s, definition, purpose));
}

struct text text_for(struct steps *s, uint32_t definition, enum purpose purpose)
{
    const struct lowering *l = s->lowering;
    uint32_t q = quantity_for(s, definition, purpose);
    const struct quantity *quantity = &l->quantities.at[q];
    if (!q)
        return TEXT("");
    if (quantity->value.tag == LOW_WORD || quantity->value.tag == LOW_DATE)
        return quantity->value.text;
    if (quantity->value.tag != LOW_TEXT || !quantity->site.file)
        return TEXT("");
    const struct tree *t = file_at(l->scope, quantity->site.file)->tree;
    return filled_text(s, (struct site){quantity->site.file, node_value(t, quantity->site.node)}, 0);
}

struct shown shown_words(struct steps *s, struct text words)
{
    (void)s;
    return (struct shown){.value = NAN, .low = NAN, .high = NAN, .text = words, .print = words};
}

/* A sentence with two hundred names is read by nobody: where so many are measured, each has a row of its own. */
static struct text names_of_list(struct steps *s, struct low list)
{
    enum { NAMED_MOST = 12, NAMED_OF_MANY = 8 };
    const struct lowering *l = s->lowering;
    const uint32_t *ids;
    uint32_t count = lowering_members(l, list, &ids), named = count > NAMED_MOST ? NAMED_OF_MANY : count;
    struct text out = TEXT("");
    for (uint32_t i = 0; i < named + (named < count); i++) {
        struct text next = i < named ? title_of(s, ids[i])
                                     : said_filled(l->arena, steps_said(s, SAY("{count} more")),
                                                   SAID_PARTS({"count", arena_format(l->arena, "%u", count - named)}));
        const char *joined = i < named && i + 1 < count ? SAY("{list}, {next}") : SAY("{list} and {next}");
        out = i == 0 ? next : said_filled(l->arena, steps_said(s, joined), SAID_PARTS({"list", out}, {"next", next}));
    }
    return out;
}

static struct shown shown_other(struct steps *s, struct low low)
{
    switch (low.tag) {
    case LOW_DEFINITION:
        return shown_words(s, title_of(s, low.id));
    case LOW_LIST:
        return shown_words(s, names_of_list(s, low));
    case LOW_WORD:
        return shown_words(s, word_said(s, low.text));
    case LOW_DATE:
        return shown_words(s, low.text);
    case LOW_TRUTH:
        return shown_words(s, yes_or_no(s, low.truth));
    default:
        return shown_words(s, TEXT(""));
    }
}

/* To 13 digits, so that a conversion's last bits do not stand in a table as 109.89999999999999. */
static double in_unit(const struct unit *unit, double si)
{
    double value = unit_from_si(unit, si);
    if (value == 0 || !isfinite(value))
        return value;
    double scale = pow(10, 13 - ceil(log10(fabs(value))));
    return isfinite(scale) && scale > 0 ? round(value * scale) / scale : value;
}

static void show_number(struct steps *s, struct shown *shown, const struct quantity *q, double si, double low,
                        double high, bool ranged)
{
    struct arena *a = s->lowering->arena;
    struct unit unit = q->unit;
    struct spelling print = {true, s->spelling.language};
    int decimals = decimals_for_ends(&unit, si, low, high);
    shown->value = in_unit(&unit, si);
    shown->low = isnan(low) ? NAN : in_unit(&unit, low);
    shown->high = isnan(high) ? NAN : in_unit(&unit, high);
    shown->unit = dim_none(unit.dim) && text_is(unit.spelling, "1") ? TEXT("") : typeset_unit(a, &unit, SPELL_ASCII);
    shown->text = typeset_quantity_to(a, si, &unit, decimals, s->spelling);
    bool same = s->spelling.print; /* what is set twice costs twice */
    shown->print = same ? shown->text : typeset_quantity_to(a, si, &unit, decimals, print);
    if (isnan(low))
        return;
    shown->band = ranged ? typeset_band(a, low, high, &unit, s->spelling)
                         : typeset_tolerance(a, si, low, high, &unit, s->spelling);
    shown->print_band = same     ? shown->band
                        : ranged ? typeset_band(a, low, high, &unit, print)
                                 : typeset_tolerance(a, si, low, high, &unit, print);
}

static bool stated_as_range(const struct lowering *l, const struct quantity *q)
{
    if (!q->site.file)
        return false;
    const struct tree *t = file_at(l->scope, q->site.file)->tree;
    return node_kind(t, node_value(t, q->site.node)) == NODE_RANGE;
}

struct shown shown_value(struct steps *s, uint32_t quantity)
{
    const struct lowering *l = s->lowering;
    const struct quantity *q = &l->quantities.at[quantity];
    if (!quantity)
        return shown_words(s, TEXT(""));
    if (q->value.tag != LOW_NODE || !q->shown_as_quantity)
        return q->value.tag == LOW_NODE ? shown_words(s, yes_or_no(s, quantity_si(s, quantity) != 0))
                                        : shown_other(s, q->value);
    double si = quantity_si(s, quantity), low = NAN, high = NAN;
    if (isnan(si))
        return shown_words(s, steps_said(s, SAY("not evaluated")));
    if (q->banded) {
        low = s->values->value[q->low];
        high = s->values->value[q->high];
    }
    struct shown shown = {0};
    bool ranged = stated_as_range(l, q);
    show_number(s, &shown, q, si, low, high, ranged);
    if (ranged) { /* a range has no nominal: the band is all there is to show */
        shown.value = NAN;
        shown.text = shown.band;
        shown.print = shown.print_band;
    }
    return shown;
}

struct shown shown_for_use(struct steps *s, uint32_t quantity)
{
    struct shown shown = shown_value(s, quantity);
    if (!quantity || isnan(shown.value) || shown.band.len)
        return shown;
    struct arena *a = s->lowering->arena;
    const struct unit *unit = &s->lowering->quantities.at[quantity].unit;
    struct end end = end_for_use(unit, unit_to_si(unit, shown.value), side_of(s, quantity));
    shown.text = typeset_end(a, end, unit, s->spelling);
    shown.print = typeset_end(a, end, unit, (struct spelling){true, s->spelling.language});
    return shown;
}

struct shown shown_with_band(struct steps *s, uint32_t quantity, double half)
{
    double si = quantity_si(s, quantity);
    if (!quantity || isnan(si))
        return shown_words(s, steps_said(s, SAY("not evaluated")));
    struct shown shown = {0};
    show_number(s, &shown, &s->lowering->quantities.at[quantity], si, isnan(half) ? NAN : si - half,
                isnan(half) ? NAN : si + half, false);
    return shown;
}
