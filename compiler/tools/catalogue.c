/* Build tool, no part of the library: writes the translations as one C table to standard output.
 *
 *    catalogue build/gen/de.mo build/gen/es.mo build/gen/ja.mo > catalogue_table.c
 *
 * It reads what msgfmt makes of compiler/languages/, so that gettext alone reads PO files. The language is the file's name.
 * A translation whose {places} are not those of the English fails the build. */
#include "compiler/text/said.h"

#include "runtime/base/array.h"
#include "runtime/base/buffer.h"

#include <stdio.h>
#include <stdlib.h>

struct entry {
    struct text english; /* with its context in front; singular only */
    struct text said[LANGUAGE_COUNT];
};

struct job {
    struct arena arena;
    ARRAY(struct entry) entries;
    bool faulty;
};

static void complain(struct job *j, const char *file, const char *what, struct text text)
{
    fprintf(stderr, "catalogue: %s: %s%.*s\n", file, what, TEXT_ARGS(text));
    j->faulty = true;
}

/* ---- MO files: GNU gettext manual, "The Format of GNU MO Files" --------------------------------------------------- */

static uint32_t word_at(struct text bytes, uint32_t at)
{
    uint32_t word;
    if (at + 4 > bytes.len)
        return 0;
    memcpy(&word, bytes.at + at, 4);
    return word;
}

static struct text string_at(struct text bytes, uint32_t table, uint32_t i)
{
    uint32_t len = word_at(bytes, table + 8 * i), at = word_at(bytes, table + 8 * i + 4);
    return at <= bytes.len && len <= bytes.len - at ? (struct text){bytes.at + at, len} : TEXT("");
}

static bool has(struct text t, const char *z)
{
    size_t n = strlen(z);
    for (uint32_t i = 0; i + n <= t.len; i++)
        if (memcmp(t.at + i, z, n) == 0)
            return true;
    return false;
}

/* Each {place} of one is also in the other. */
static bool places_in(struct text t, struct text other)
{
    for (uint32_t i = 0; i < t.len; i++) {
        const char *close = t.at[i] == '{' ? memchr(t.at + i, '}', t.len - i) : NULL;
        char place[200];
        if (!close)
            continue;
        snprintf(place, sizeof place, "%.*s", (int)(close - t.at - i + 1), t.at + i);
        if (!has(other, place))
            return false;
    }
    return true;
}

static struct entry *entry_of(struct job *j, struct text english)
{
    for (uint32_t i = 0; i < j->entries.count; i++)
        if (text_same(j->entries.at[i].english, english))
            return &j->entries.at[i];
    struct entry *e = ARRAY_PUSH(&j->arena, &j->entries);
    e->english = english;
    return e;
}

static void read_catalogue(struct job *j, const char *path, enum language language)
{
    struct text bytes;
    int fault = buffer_read_file(&j->arena, path, &bytes);
    if (fault) {
        complain(j, path, strerror(fault), TEXT(""));
        return;
    }
    if (word_at(bytes, 0) != 0x950412deu) {
        complain(j, path, "is no catalogue of this machine's byte order", TEXT(""));
        return;
    }
    uint32_t count = word_at(bytes, 8), english = word_at(bytes, 12), said = word_at(bytes, 16);
    for (uint32_t i = 0; i < count; i++) {
        struct text e = string_at(bytes, english, i), s = string_at(bytes, said, i);
        if (!e.len) {
            if (!has(s, language_table[language].plurals))
                complain(j, path, "Plural-Forms is not what compiler/text/language.c says: ",
                         text_of(language_table[language].plurals));
            continue;
        }
        if (!places_in(e, s) || !places_in(s, e))
            complain(j, path, "the places in { } differ: ", s);
        struct text singular = text_of(e.at); /* up to the first NUL; of a plural the second form follows it */
        entry_of(j, singular)->said[language] = s;
    }
}

/* ---- the table ---------------------------------------------------------------------------------------------------- */

static int by_english(const void *a, const void *b)
{
    return text_order(((const struct entry *)a)->english, ((const struct entry *)b)->english);
}

/* Octal escapes are always three digits, so the next byte cannot join them. */
static uint32_t put_string(struct text t)
{
    fputs("    \"", stdout);
    for (uint32_t i = 0; i < t.len; i++) {
        unsigned char c = (unsigned char)t.at[i];
        if (c >= ' ' && c < 0x7f && !strchr("\"\\?", c))
            putchar(c);
        else
            printf("\\%03o", (unsigned)c);
    }
    puts("\\000\"");
    return t.len + 1;
}

static void put_table(const struct job *j)
{
    uint32_t at = 1;
    puts("/* Generated from compiler/languages/ by compiler/tools/catalogue.c; do not edit. */\n"
         "#include \"compiler/text/said.h\"\n\nconst char catalogue_bytes[] =\n    \"\\000\"");
    for (uint32_t i = 0; i < j->entries.count; i++) {
        put_string(j->entries.at[i].english);
        for (int l = 1; l < LANGUAGE_COUNT; l++)
            if (j->entries.at[i].said[l].len)
                put_string(j->entries.at[i].said[l]);
    }
    puts("    ;\n\nconst struct catalogue_row catalogue_table[] = {");
    for (uint32_t i = 0; i < j->entries.count; i++) {
        printf("    {%u, {", at);
        at += j->entries.at[i].english.len + 1;
        for (int l = 1; l < LANGUAGE_COUNT; l++) {
            uint32_t len = j->entries.at[i].said[l].len;
            printf("%s%u", l > 1 ? ", " : "", len ? at : 0);
            at += len ? len + 1 : 0;
        }
        puts("}},");
    }
    printf("    {0, {0}},\n};\n\nconst uint32_t catalogue_count = %u;\n", j->entries.count);
}

int main(int argc, char **argv)
{
    struct job j = {0};
    arena_init(&j.arena, NULL);
    for (int i = 1; i < argc; i++) {
        const char *slash = strrchr(argv[i], '/'), *name = slash ? slash + 1 : argv[i];
        enum language language = language_of((struct text){name, (uint32_t)strcspn(name, ".")});
        if (language == LANGUAGE_COUNT || language == LANGUAGE_EN)
            complain(&j, argv[i], "no language of compiler/text/language.c", TEXT(""));
        else
            read_catalogue(&j, argv[i], language);
    }
    if (j.entries.count)
        qsort(j.entries.at, j.entries.count, sizeof j.entries.at[0], by_english);
    put_table(&j);
    bool bad = j.faulty || ferror(stdout) || fflush(stdout);
    arena_free(&j.arena);
    return bad ? EXIT_FAILURE : EXIT_SUCCESS;
}
