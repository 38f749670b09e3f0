#include "compiler/model/schema.h"

const struct property_entry property_table[] = {
#define KIND(id, name, family, flags, ...)
#define PROPERTY(kind, name, form, type, role, need, standard, label, ...)                                             \
    {KIND_##kind, name, FORM_##form, type, ROLE_##role, NEED_##need, standard, label, .doc = __VA_ARGS__},
#include "compiler/model/schema.def"
#undef KIND
#undef PROPERTY
};

const uint32_t property_count = sizeof property_table / sizeof property_table[0];

const struct kind_entry kind_table[KIND_COUNT] = {
    [KIND_NONE] = {"", KIND_NONE, 0, .doc = ""},
#define KIND(id, name, family, flags, ...) [KIND_##id] = {name, KIND_##family, flags, .doc = __VA_ARGS__},
#define PROPERTY(kind, name, form, type, role, need, standard, label, ...)
#include "compiler/model/schema.def"
#undef KIND
#undef PROPERTY
};

const struct purpose_entry purpose_table[PURPOSE_COUNT] = {
    [FOR_NOTHING] = {"", PURPOSE_OF_SCHEMA, ""},
#define PURPOSE(id, word, by, doc) [FOR_##id] = {word, PURPOSE_OF_##by, doc},
#include "compiler/model/purposes.def"
#undef PURPOSE
};

enum kind kind_named(struct text name)
{
    for (int k = 1; k < KIND_COUNT; k++)
        if (text_is(name, kind_table[k].name))
            return (enum kind)k;
    return KIND_NONE;
}

/* Where each kind's rows begin: enumerators count the rows, and a kind takes the number of the row behind it. */
#define ROW_OF_LINE(line) ROW_##line
#define ROW_AT(line) ROW_OF_LINE(line)
enum {
#define KIND(id, name, family, flags, ...) FIRST_##id, BEFORE_##id = FIRST_##id - 1,
#define PROPERTY(kind, name, form, type, role, need, standard, label, ...) ROW_AT(__LINE__),
#include "compiler/model/schema.def"
#undef KIND
#undef PROPERTY
};

static const uint32_t first_row[KIND_COUNT] = {
#define KIND(id, name, family, flags, ...) [KIND_##id] = FIRST_##id,
#define PROPERTY(kind, name, form, type, role, need, standard, label, ...)
#include "compiler/model/schema.def"
#undef KIND
#undef PROPERTY
};

static const struct property_entry *own_property(enum kind kind, struct text name)
{
    for (uint32_t i = first_row[kind]; i < property_count && property_table[i].kind == kind; i++)
        if (name.len && property_table[i].name[0] == name.at[0] && text_is(name, property_table[i].name))
            return &property_table[i];
    return NULL;
}

const struct property_entry *property_named(enum kind kind, struct text name)
{
    const struct property_entry *p = own_property(kind, name);
    return p || !kind_table[kind].family ? p : own_property(kind_table[kind].family, name);
}

bool has_purpose(const enum purpose uses[MOST_PURPOSES], enum purpose purpose)
{
    for (int i = 0; i < MOST_PURPOSES && uses[i]; i++)
        if (uses[i] == purpose)
            return true;
    return false;
}

bool serves(const struct property_entry *p, enum purpose purpose)
{
    return has_purpose(p->uses, purpose);
}

static const struct property_entry *own_property_for(enum kind kind, enum purpose purpose)
{
    for (uint32_t i = first_row[kind]; i < property_count && property_table[i].kind == kind; i++)
        if (serves(&property_table[i], purpose))
            return &property_table[i];
    return NULL;
}

const struct property_entry *property_for(enum kind kind, enum purpose purpose)
{
    const struct property_entry *p = own_property_for(kind, purpose);
    return p || !kind_table[kind].family ? p : own_property_for(kind_table[kind].family, purpose);
}

const struct property_entry *first_property_for(enum purpose purpose)
{
    const struct property_entry *p = property_table;
    while (!serves(p, purpose))
        p++;
    return p;
}

struct text word_allowed(const struct property_entry *p, uint32_t index)
{
    const char *at = p->type;
    for (uint32_t i = 0; i < index && *at; i++) {
        at += strcspn(at, "|");
        at += *at == '|';
    }
    return (struct text){at, (uint32_t)strcspn(at, "|")};
}

bool is_word_allowed(const struct property_entry *p, struct text word)
{
    uint32_t i = 0;
    while (word_allowed(p, i).len && !text_same(word_allowed(p, i), word))
        i++;
    return word_allowed(p, i).len != 0;
}

bool kind_is(enum kind kind, enum kind other)
{
    return kind == other || kind_table[kind].family == other;
}

enum kind family_of(enum kind kind)
{
    return kind_table[kind].family ? kind_table[kind].family : kind;
}

const char *article_of(const char *word)
{
    return strchr("aeio", word[0]) ? "an" : "a";
}
