/* Reasons in the table's language. A stage says in English why a value or a limit could not be worked out, before anybody
 * asked for a language; here the sentence is known again by the pattern it was made from, and said anew. A reason of no
 * pattern stays English; the tests look for such. */
#include "compiler/table/parts.h"

static const char *const patterns[] = {
    /* one that another would match too comes first */
    SAY("no tool of the recipe is the {role}"),
    SAY("the recipe has no {kind}"),
    SAY("the recipe has {count} definitions of kind {kind} and does not say which"),
    SAY("there are {count} definitions of kind {kind} and no {property} says which is meant"),
    SAY("there is no step before {thing}"),
    SAY("{value} states no band"),
    SAY("{thing} states no {property}"),
    SAY("{thing} has no {property}"),
    SAY("a table is asked at {at}, and its table covers {band}"),
    SAY("{value} is asked at {at}, and its table covers {band}"),
    SAY("{what} is {at}, and the formula covers {band}"),
    SAY("its value goes round in a circle"),
    SAY("nothing it is worked out from is stated with a band that is held"),
    SAY("the list has no second member"),
    SAY("the list is empty"),
    SAY("which definition is meant depends on a value that varies"),
    SAY("it divides by zero"),
    SAY("it takes the root of a negative number"),
    SAY("it takes the logarithm of a number that is not positive"),
    SAY("the temperature is never reached"),
    SAY("the result is too large to hold"),
    SAY("an argument makes no sense, such as a negative time or thickness"),
    SAY("a fault was reported"),
    SAY("the program gave up after {count} pieces of the tolerances: at worst its margin is somewhere in {range}"),
    SAY("the program gave up after {count} pieces of the tolerances"),
    SAY("inside the tolerances {value} may have no value: {reason}"),
    /* undecided_reason() of runtime/evaluate/evaluate_interval.c */
    SAY("the divisor may be zero"),
    SAY("the root of a number that may be negative"),
    SAY("the logarithm of a number that may be zero or less"),
    SAY("the argument may be below the range"),
    SAY("the argument may be above the range"),
    SAY("the temperature may never be reached"),
    SAY("the number may be too large"),
    SAY("an argument may be one the function does not take"),
};

enum { PLACES = 3 };

static uint32_t find(struct text t, uint32_t from, struct text wanted)
{
    for (uint32_t i = from; i + wanted.len <= t.len; i++)
        if (memcmp(t.at + i, wanted.at, wanted.len) == 0)
            return i;
    return t.len + 1;
}

/* A {place} takes what stands up to the next words of the pattern. False when the sentence was not made from it. */
static bool match(struct arena *a, const char *pattern, struct text t, struct said_part *parts, uint32_t *count)
{
    struct text p = text_of(pattern);
    uint32_t at = 0, i = 0;
    for (*count = 0; i < p.len;) {
        if (p.at[i] != '{') {
            if (at >= t.len || t.at[at++] != p.at[i++])
                return false;
            continue;
        }
        uint32_t close = find(p, i, TEXT("}")), next = close + 1;
        uint32_t after = next < p.len ? find(p, next, TEXT("{")) : p.len;
        struct text literal = {p.at + next, (after < p.len ? after : p.len) - next};
        uint32_t end = literal.len ? find(t, at, literal) : t.len;
        if (end > t.len || end == at || *count == PLACES)
            return false;
        parts[*count].name = arena_text(a, (struct text){p.at + i + 1, close - i - 1}).at;
        parts[(*count)++].value = (struct text){t.at + at, end - at};
        at = end;
        i = next;
    }
    return at == t.len;
}

static struct text kind_word(struct steps *s, struct text kind)
{
    enum kind k = kind_named(kind);
    return k == KIND_NONE ? kind : kind_said(s, k);
}

/* "the alloy az61a", "the sheet" */
static struct text thing_said(struct steps *s, struct text thing)
{
    struct text bare = thing.len > 4 ? (struct text){thing.at + 4, thing.len - 4} : thing;
    uint32_t blank = find(bare, 0, TEXT(" "));
    struct text kind = {bare.at, blank < bare.len ? blank : bare.len};
    struct text name = blank < bare.len ? (struct text){bare.at + blank + 1, bare.len - blank - 1} : TEXT("");
    if (kind_named(kind) == KIND_NONE)
        return thing;
    if (!name.len)
        return kind_word(s, kind);
    struct text known = said_text(s->spelling.language, "name", in_words(s->lowering->arena, name, false));
    bool same =
        text_same(known, in_words(s->lowering->arena, name, false)); /* no usual name: as the recipe spells it */
    return arena_format(s->lowering->arena, "%.*s %.*s", TEXT_ARGS(kind_word(s, kind)), TEXT_ARGS(same ? name : known));
}

static struct text property_said(struct steps *s, struct text name)
{
    for (uint32_t i = 0; i < property_count; i++)
        if (text_is(name, property_table[i].name))
            return steps_said(s, property_table[i].label);
    return name;
}

static struct text one_reason_said(struct steps *s, struct text english)
{
    struct said_part parts[PLACES];
    uint32_t count;
    for (size_t i = 0; i < sizeof patterns / sizeof patterns[0]; i++) {
        if (!match(s->lowering->arena, patterns[i], english, parts, &count))
            continue;
        for (uint32_t k = 0; k < count; k++) {
            struct text name = text_of(parts[k].name);
            parts[k].value = text_is(name, "kind")       ? kind_word(s, parts[k].value)
                             : text_is(name, "thing")    ? thing_said(s, parts[k].value)
                             : text_is(name, "role")     ? said_text(s->spelling.language, "word", parts[k].value)
                             : text_is(name, "property") ? property_said(s, parts[k].value)
                             : text_is(name, "reason")   ? one_reason_said(s, parts[k].value)
                                                         : parts[k].value;
        }
        return said_filled(s->lowering->arena, steps_said(s, patterns[i]), parts, count);
    }
    return english;
}

struct text reason_said(struct steps *s, struct text english)
{
    struct text said = TEXT("");
    if (s->spelling.language == LANGUAGE_EN)
        return english;
    for (uint32_t from = 0, end; from < english.len; from = end + 2) {
        end = find(english, from, TEXT("; "));
        end = end > english.len ? english.len : end;
        struct text one = one_reason_said(s, (struct text){english.at + from, end - from});
        struct text parts[] = {said, TEXT("; "), one};
        said = said.len ? arena_joined(s->lowering->arena, parts, 3) : one;
    }
    return said;
}
