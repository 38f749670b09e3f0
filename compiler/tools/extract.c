/* Build tool, no part of the library: writes what there is to translate in the built-in library and in the schema, as
 * entries of a PO template, to standard output. What stands in C is found by xgettext.
 *
 * In: recipes/library/ with its trees, as they stand in the program; compiler/model/schema.def. Out: one entry a text, each
 * once. A text with { } is one entry, with the expressions as they are written. */
#include "compiler/model/names.h"

#include "compiler/model/embedded.h"
#include "compiler/model/schema.h"
#include "compiler/table/step_table.h"

#include <stdio.h>
#include <stdlib.h>

struct job {
    struct arena arena;
    const char *from; /* file, for the translator */
    ARRAY(struct text) known;
};

/* ---- entries ------------------------------------------------------------------------------------------------------ */

static bool is_known(struct job *j, struct text key)
{
    for (uint32_t i = 0; i < j->known.count; i++)
        if (text_same(j->known.at[i], key))
            return true;
    *ARRAY_PUSH(&j->arena, &j->known) = key;
    return false;
}

static void put_quoted(const char *word, struct text t)
{
    printf("%s \"", word);
    for (uint32_t i = 0; i < t.len; i++) {
        if (t.at[i] == '"' || t.at[i] == '\\')
            putchar('\\');
        if (t.at[i] == '\n')
            fputs("\\n", stdout);
        else
            putchar(t.at[i]);
    }
    puts("\"");
}

static void put_entry(struct job *j, const char *context, struct text english)
{
    struct text key = arena_format(&j->arena, "%s\004%.*s", context ? context : "", TEXT_ARGS(english));
    if (!english.len || is_known(j, key))
        return;
    printf("\n#: %s\n", j->from);
    if (context)
        put_quoted("msgctxt", text_of(context));
    put_quoted("msgid", english);
    puts("msgstr \"\"");
}

/* ---- the library -------------------------------------------------------------------------------------------------- */

static void extract_note(struct job *j, const struct tree *t, uint32_t n)
{
    uint8_t word = node_at(t, n)->op;
    if (word == TOKEN_BECAUSE || word == TOKEN_REMEDY || word == TOKEN_LABEL) /* sources stay as published */
        put_entry(j, NULL, text_pattern(&j->arena, t, node_child(t, n)));
}

static void extract_property(struct job *j, const struct tree *t, uint32_t n)
{
    uint32_t value = node_value(t, n);
    struct text name = node_text(t, node_child(t, n));
    if (value && node_kind(t, value) == NODE_TEXT && !text_is(name, "sign"))
        put_entry(j, NULL, text_pattern(&j->arena, t, value));
}

static void extract_below(struct job *j, const struct tree *t, uint32_t parent)
{
    NODE_EACH_CHILD (t, parent, n) {
        enum node_kind kind = node_kind(t, n);
        if (kind == NODE_LIMIT)
            put_entry(j, "limit", said_name(&j->arena, LANGUAGE_EN, NULL, node_text(t, node_child(t, n))));
        if (kind == NODE_NOTE)
            extract_note(j, t, n);
        if (kind == NODE_PROPERTY)
            extract_property(j, t, n);
        extract_below(j, t, n);
    }
}

/* ---- the schema --------------------------------------------------------------------------------------------------- */

/* Tolerance classes and the like, "h7", "it12", are the same in every language. */
static bool is_designation(struct text word)
{
    return word.len && word.at[word.len - 1] >= '0' && word.at[word.len - 1] <= '9' && !memchr(word.at, '-', word.len);
}

static void extract_kind(struct job *j, const struct kind_entry *k)
{
    put_entry(j, "kind", said_name(&j->arena, LANGUAGE_EN, NULL, text_of(k->name)));
    put_entry(j, "name", k->group ? text_of(k->group) : TEXT(""));
    put_entry(j, "word", k->side ? text_of(k->side) : TEXT(""));
    for (int i = 0; i < MOST_STRETCHES && k->stretches[i].time; i++)
        put_entry(j, NULL, k->stretches[i].label ? text_of(k->stretches[i].label) : TEXT(""));
    for (int i = 0; i < MOST_SENTENCES && k->sentences[i].text; i++)
        if (strcmp(k->sentences[i].text, "{name}") != 0)
            put_entry(j, NULL, text_of(k->sentences[i].text));
}

static void extract_schema(struct job *j)
{
    j->from = "compiler/model/schema.def";
    for (int k = KIND_NONE + 1; k < KIND_COUNT; k++)
        extract_kind(j, &kind_table[k]);
    for (uint32_t i = 0; i < property_count; i++) {
        const struct property_entry *p = &property_table[i];
        put_entry(j, NULL, text_of(p->label));
        for (uint32_t k = 0; p->form == FORM_WORD && word_allowed(p, k).len; k++)
            if (!is_designation(word_allowed(p, k)))
                put_entry(j, "word", said_name(&j->arena, LANGUAGE_EN, NULL, word_allowed(p, k)));
    }
}

/* Names that many recipes give to tools, steps and features. They stand for the thing when it has no title of its own. */
static void extract_names(struct job *j)
{
    static const char *const usual[] = {
        "die",   "punch",   "blank holder", "insert",    "blank",      "sheet",      "press",    "tools",  "part",
        "shop",  "heaters", "lubricate",    "clean",     "deburr",     "load",       "stack",    "unload", "rack",
        "first", "last",    "samples",      "form",      "trim",       "rim",        "body",     "flange", "edge",
        "cup",   "box",     "oven",         "seal face", "screws",     "holes",      "width",    "length", "height",
        "depth", "bend",    "flat",         "diameter",  "inspection", "first part", "sampling", "recipe"};
    j->from = "compiler/tools/extract.c";
    for (uint32_t i = 0; i < sizeof usual / sizeof usual[0]; i++)
        put_entry(j, "name", text_of(usual[i]));
}

/* What `find` may prefer. */
static void extract_preferences(struct job *j)
{
    j->from = "compiler/table/limit_rows.c";
    put_entry(j, "prefer", TEXT("margin"));
    put_entry(j, "prefer", TEXT("lowest"));
    put_entry(j, "prefer", TEXT("highest"));
}

static void extract_verdicts(struct job *j)
{
    j->from = "compiler/table/step_table.c";
    for (int i = 0; i < VERDICT_COUNT; i++)
        put_entry(j, "verdict", text_of(verdict_table[i].word));
}

int main(void)
{
    struct job j = {0};
    arena_init(&j.arena, NULL);
    puts("msgid \"\"\nmsgstr \"\"\n\"Content-Type: text/plain; charset=UTF-8\\n\"");
    for (uint32_t i = 0; i < embedded_count; i++) {
        const struct tree *t = &embedded_library[i].tree;
        j.from = arena_format(&j.arena, "recipes/%.*s", TEXT_ARGS(embedded_library[i].path)).at;
        extract_below(&j, t, t->root);
    }
    extract_schema(&j);
    extract_names(&j);
    extract_preferences(&j);
    extract_verdicts(&j);
    arena_free(&j.arena);
    return fflush(stdout) ? EXIT_FAILURE : EXIT_SUCCESS;
}
