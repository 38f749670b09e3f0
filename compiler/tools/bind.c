/* Build tool, no part of the library: types the library of recipes and writes what its words mean, and their names, as
 * C tables to standard output.
 *
 *    bind > bound.c
 *
 * A library file that typing finds faulty is told and fails the build. */
#include "compiler/recipe.h"

#include "compiler/text/render.h"

#include <stdio.h>
#include <stdlib.h>

/* The program's own is what this tool writes. */
const struct typed_library typed_library = {0};

static void put_bindings(const struct unit_file *f, uint32_t index)
{
    printf("static const struct binding bindings_%u[] = {{0, 0}", index);
    for (uint32_t n = 1; n < f->tree->node_count; n++)
        printf("%s{%u, %u}", n % 8 ? ", " : ",\n    ", f->bindings[n].what, f->bindings[n].id);
    puts("};\n");
}

/* Names are words of the language: nothing in them needs escaping. */
static void put_names(const struct names_table *names)
{
    puts("static const struct text names[] = {");
    for (uint32_t i = 0; i < names->texts.count; i++)
        printf("    {\"%.*s\", %u},\n", TEXT_ARGS(names->texts.at[i]), names->texts.at[i].len);
    puts("    {\"\", 0},\n};\n");
}

static bool told(struct strokewright_library *l)
{
    struct buffer b;
    if (!l->diagnostics.all.count)
        return false;
    buffer_init(&b, &l->arena);
    diagnostics_sort(&l->diagnostics);
    render_text(&b, &l->sources, &l->diagnostics, (struct render_style){.width = 100});
    fwrite(b.at, 1, b.count, stderr);
    return true;
}

int main(void)
{
    struct strokewright_library *l = strokewright_library_new();
    if (!l) {
        fputs("bind: out of memory\n", stderr);
        return EXIT_FAILURE;
    }
    puts("/* Generated from recipes/library/ by compiler/tools/bind.c; do not edit. */\n#include "
         "\"compiler/model/typing.h\"\n");
    for (uint32_t i = 0; i < l->scope.files.count; i++)
        put_bindings(&l->scope.files.at[i], i);
    put_names(&l->scope.names);
    puts("static const struct binding *const bindings[] = {");
    for (uint32_t i = 0; i < l->scope.files.count; i++)
        printf("    bindings_%u,\n", i);
    printf("    NULL,\n};\n\nconst struct typed_library typed_library = {bindings, names, %u};\n",
           l->scope.names.texts.count);
    bool faulty = told(l);
    strokewright_library_free(l);
    return faulty || ferror(stdout) || fflush(stdout) ? EXIT_FAILURE : EXIT_SUCCESS;
}
