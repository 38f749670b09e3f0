#include "compiler/model/holes.h"

#include "compiler/text/typeset.h"
#include "runtime/base/buffer.h"

#include <math.h>
#include <string.h>

static bool is_number(const struct property_entry *row)
{
    return row->form == FORM_QUANTITY || row->form == FORM_BAND || row->form == FORM_RANGE ||
           row->form == FORM_FUNCTION;
}

bool property_is_open(const struct scope *s, uint32_t property)
{
    const struct property *p = property_at(s, property);
    return p->value && node_kind(file_at(s, p->site.file)->tree, p->value) == NODE_HOLE;
}

bool scope_is_open(const struct scope *s)
{
    for (uint32_t id = s->first_property; id < property_end(s); id++)
        if (property_is_open(s, id))
            return true;
    return false;
}

/* ---- figures of the library ---------------------------------------------------------------------------------------- */

struct figures {
    double least, most; /* SI */
};

/* The unit of a table's figures is the last of its head. */
static bool unit_of_figures(struct scope *s, const struct tree *t, uint32_t table, struct unit *out)
{
    bool found = false;
    for (uint32_t n = node_child(t, table); n && node_kind(t, n) == NODE_UNIT_TYPE; n = node_next(t, n))
        found = read_unit_type(s, t, n, out);
    return found;
}

static void take_figure(struct figures *f, double si)
{
    f->least = fmin(f->least, si);
    f->most = fmax(f->most, si);
}

static void take_table(struct scope *s, const struct tree *t, uint32_t table, struct figures *f)
{
    struct unit unit, none;
    bool has_unit;
    double value;
    if (!unit_of_figures(s, t, table, &unit))
        return;
    NODE_EACH_CHILD (t, table, row) {
        uint32_t head = node_kind(t, row) == NODE_ROW ? node_child(t, row) : 0;
        for (uint32_t n = head && node_kind(t, head) != NODE_NAME ? node_next(t, head) : 0; n; n = node_next(t, n))
            if (literal_of(t, n, &value, &none, &has_unit))
                take_figure(f, unit_to_si(&unit, value));
    }
}

/* What a property states in figures; nothing of a formula. */
static void take_figures(struct scope *s, uint32_t property, struct figures *f)
{
    const struct property *p = property_at(s, property);
    const struct tree *t = file_at(s, p->site.file)->tree;
    uint32_t value = p->value && node_is_banded(t, p->value) ? node_child(t, p->value) : p->value;
    struct unit unit;
    bool has_unit;
    double number;
    if (value && node_kind(t, value) == NODE_TABLE)
        take_table(s, t, value, f);
    else if (value && literal_of(t, value, &number, &unit, &has_unit))
        take_figure(f, unit_to_si(&unit, number));
}

/* Of what it is like, else of all that the library has of the kind. */
static struct figures library_figures(struct scope *s, const struct property *p)
{
    struct figures f = {INFINITY, -INFINITY};
    const struct definition *d = definition_at(s, p->definition);
    atom name = interned(&s->names, text_of(p->entry->name));
    uint32_t from = d->base ? find_property(s, d->base, name) : 0;
    if (from) {
        take_figures(s, from, &f);
        return f;
    }
    for (uint32_t id = 1; id < s->first_definition; id++) {
        uint32_t other = definition_at(s, id)->kind == d->kind ? find_property(s, id, name) : 0;
        if (other)
            take_figures(s, other, &f);
    }
    return f;
}

static struct text figures_words(struct scope *s, struct arena *a, const struct property *p, const struct unit *unit)
{
    struct figures f = library_figures(s, p);
    uint32_t base = definition_at(s, p->definition)->base;
    if (!(f.least <= f.most))
        return TEXT("");
    struct text owner = base ? atom_text(&s->names, definition_at(s, base)->name) : TEXT("the library");
    struct text shown = f.least == f.most ? typeset_quantity(a, f.least, unit, SPELL_ASCII)
                                          : typeset_band(a, f.least, f.most, unit, SPELL_ASCII);
    return arena_format(a, "; %.*s has %.*s", TEXT_ARGS(owner), TEXT_ARGS(shown));
}

/* ---- words --------------------------------------------------------------------------------------------------------- */

static struct unit unit_of_entry(const struct property_entry *row)
{
    const char *result = strrchr(row->type, '[');
    return unit_of_type_text(result ? result : "[1]");
}

static struct text usual_words(struct arena *a, const struct property_entry *row)
{
    struct text words = TEXT("");
    if (row->can)
        words = arena_format(a, ", %s", row->can);
    if (row->usual)
        words = arena_format(a, "%.*s, usually %s", TEXT_ARGS(words), row->usual);
    return words;
}

static struct text standard_words(struct arena *a, const struct property_entry *row)
{
    return row->need == NEED_STANDARD ? arena_format(a, "; without the line it is taken as %s", row->standard)
                                      : TEXT("");
}

struct text open_help(struct scope *s, struct arena *a, uint32_t property)
{
    const struct property *p = property_at(s, property);
    struct unit unit = unit_of_entry(p->entry);
    struct text name = typeset_unit(a, &unit, SPELL_ASCII);
    return arena_format(a, "it is %s%.*s%.*s%.*s%.*s", name.len ? "in " : "a number", TEXT_ARGS(name),
                        TEXT_ARGS(usual_words(a, p->entry)), TEXT_ARGS(standard_words(a, p->entry)),
                        TEXT_ARGS(figures_words(s, a, p, &unit)));
}

/* "draft, trial, released" */
static struct text words_of_row(struct arena *a, const struct property_entry *row)
{
    struct buffer b;
    buffer_init(&b, a);
    for (const char *c = row->type; *c; c++)
        buffer_put(&b, *c == '|' ? TEXT(", ") : (struct text){c, 1});
    return buffer_text(&b);
}

/* What could stand there: the words of a row, the definitions of a kind. */
static struct text choice_words(struct scope *s, const struct property_entry *row)
{
    if (row->form == FORM_WORD)
        return words_of_row(s->arena, row);
    if (row->form == FORM_TEXT)
        return TEXT("a text, \"...\"");
    if (row->form != FORM_REFERENCE && row->form != FORM_REFERENCES)
        return row->form == FORM_DATE ? TEXT("a date, 2026-11-02") : TEXT("true or false");
    return names_of_kind(s, kind_named(text_of(row->type)));
}

void check_open(struct env *e, const struct property *p)
{
    if (is_number(p->entry))
        return;
    struct diagnostics *g = e->scope->diagnostics;
    struct diagnostic *d = report(g, FAULT_wrong_form, env_span(e, p->value), "%s cannot be left open", p->entry->name);
    struct text choice = choice_words(e->scope, p->entry);
    report_help(g, d, "? stands for a number that is not known yet; here stands %s%.*s",
                p->entry->form == FORM_WORD ? "one of "
                : choice.len                ? ""
                                            : "a name",
                TEXT_ARGS(choice));
}
