/* Build tool, no part of the library: writes the files named on its command line, with their trees, as C tables to
 * standard output.
 *
 *    embed recipes/library/a.recipe recipes/library/b.recipe > embedded.c
 *
 * The files are sorted by name here, so that the table does not depend on the shell or the locale. A file that the
 * parser finds faulty is told and fails the build. */
#include "compiler/model/syntax.h"

#include "compiler/text/render.h"

#include <stdio.h>
#include <stdlib.h>

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* "recipes/library/steels.recipe" is shown as "library/steels.recipe". */
static const char *shown(const char *path)
{
    const char *slash = strchr(path, '/');
    return slash ? slash + 1 : path;
}

/* One byte inside a string literal. Octal escapes are always three digits, so the next byte cannot join them. */
static void put_byte(int c)
{
    if (c == '\n')
        fputs("\\n", stdout);
    else if (c == '"' || c == '\\' || c == '?')
        printf("\\%c", c);
    else if (c >= ' ' && c < 0x7f)
        putchar(c);
    else
        printf("\\%03o", (unsigned)c);
}

static void put_bytes(struct text bytes, int index)
{
    printf("static const char bytes_%d[] =\n    \"", index);
    for (uint32_t i = 0; i < bytes.len; i++) {
        if (i && bytes.at[i - 1] == '\n')
            fputs("\"\n    \"", stdout);
        put_byte((unsigned char)bytes.at[i]);
    }
    puts("\";");
}

static const char *separator(uint32_t i)
{
    return i % 16 ? ", " : ",\n    ";
}

static void put_tree(const struct tree *t, int index)
{
    printf("static const uint32_t at_%d[] = {0", index);
    for (uint32_t i = 1; i < t->token_count; i++)
        printf("%s%u", separator(i), t->token_at[i]);
    printf("};\nstatic const uint32_t len_%d[] = {0", index);
    for (uint32_t i = 1; i < t->token_count; i++)
        printf("%s%u", separator(i), t->token_len[i]);
    printf("};\nstatic const uint8_t kind_%d[] = {%u", index, t->token_kind[0]);
    for (uint32_t i = 1; i < t->token_count; i++)
        printf("%s%u", separator(i), t->token_kind[i]);
    printf("};\nstatic const struct node nodes_%d[] = {{0}", index);
    for (uint32_t i = 1; i < t->node_count; i++) {
        const struct node *n = &t->nodes[i];
        printf("%s{%u, %u, %u, %u, %u, %u, %u, %u}", i % 4 ? ", " : ",\n    ", n->kind, n->flags, n->op, n->depth,
               n->first, n->last, n->child, n->next);
    }
    puts("};\n");
}

static void put_entry(const char *path, struct text bytes, const struct tree *t, int index)
{
    printf("    {{\"%s\", %zu},\n     {bytes_%d, %u},\n"
           "     {.bytes = {bytes_%d, %u}, .token_count = %u, .node_count = %u, .token_at = (uint32_t *)at_%d,\n"
           "      .token_kind = (uint8_t *)kind_%d, .token_len = (uint32_t *)len_%d, .nodes = (struct node *)nodes_%d, "
           ".root = %u}},\n",
           shown(path), strlen(shown(path)), index, bytes.len, index, bytes.len, t->token_count, t->node_count, index,
           index, index, index, t->root);
}

static bool told(struct arena *a, struct sources *sources, struct diagnostics *d)
{
    if (!d->all.count)
        return false;
    struct buffer b;
    buffer_init(&b, a);
    render_text(&b, sources, d, (struct render_style){.width = 100});
    fwrite(b.at, 1, b.count, stderr);
    return true;
}

int main(int argc, char **argv)
{
    struct arena a;
    struct sources sources;
    struct diagnostics diagnostics;
    int count = argc - 1;
    arena_init(&a, NULL);
    sources_init(&sources, &a, NULL);
    diagnostics_init(&diagnostics, &a);
    struct text *bytes = ARENA_ARRAY(&a, (size_t)count, struct text);
    struct tree **trees = ARENA_ARRAY(&a, (size_t)count, struct tree *);
    qsort(argv + 1, (size_t)count, sizeof *argv, by_name);
    puts("/* Generated from recipes/library/ by compiler/tools/embed.c; do not edit. */\n#include "
         "\"compiler/model/embedded.h\"\n");
    for (int i = 0; i < count; i++) {
        int fault = buffer_read_file(&a, argv[i + 1], &bytes[i]);
        if (fault) {
            fprintf(stderr, "embed: %s: %s\n", argv[i + 1], strerror(fault));
            return EXIT_FAILURE;
        }
        trees[i] = parse(&a, &sources, source_add(&sources, text_of(argv[i + 1]), bytes[i]), &diagnostics);
        put_bytes(bytes[i], i);
        put_tree(trees[i], i);
    }
    puts("const struct embedded_file embedded_library[] = {");
    for (int i = 0; i < count; i++)
        put_entry(argv[i + 1], bytes[i], trees[i], i);
    printf("    {.path = {\"\", 0}},\n};\n\nconst uint32_t embedded_count = %d;\n", count);
    bool faulty = told(&a, &sources, &diagnostics);
    arena_free(&a);
    return faulty || ferror(stdout) || fflush(stdout) ? EXIT_FAILURE : EXIT_SUCCESS;
}
