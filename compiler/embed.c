/* Build tool, no part of the library: writes the files named on its command line as a C table to standard output.
 *
 *    embed recipes/library/a.recipe recipes/library/b.recipe > embedded.c
 *
 * The files are sorted by name here, so that the table does not depend on the shell or the locale. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

static int put_file(const char *path, int index)
{
    FILE *f = fopen(path, "rb");
    if (!f) {
        fprintf(stderr, "embed: %s: %s\n", path, strerror(errno));
        return 1;
    }
    printf("static const char file_%d[] =\n    \"", index);
    for (int c = getc(f), last = 0; c != EOF; last = c, c = getc(f)) {
        if (last == '\n')
            fputs("\"\n    \"", stdout);
        put_byte(c);
    }
    puts("\";\n");
    int fault = ferror(f);
    return fclose(f) || fault;
}

int main(int argc, char **argv)
{
    int count = argc - 1, fault = 0;
    qsort(argv + 1, (size_t)count, sizeof *argv, by_name);
    puts("/* Generated from recipes/library/ by compiler/embed.c; do not edit. */\n"
         "#include \"compiler/embedded.h\"\n");
    for (int i = 0; i < count; i++)
        fault |= put_file(argv[i + 1], i);
    puts("const struct embedded_file embedded_library[] = {");
    for (int i = 0; i < count; i++)
        printf("    {{\"%s\", %zu}, {file_%d, sizeof file_%d - 1}},\n", shown(argv[i + 1]), strlen(shown(argv[i + 1])),
               i, i);
    printf("    {{\"\", 0}, {\"\", 0}},\n};\n\nconst uint32_t embedded_count = %d;\n", count);
    return fault || ferror(stdout) || fflush(stdout) ? EXIT_FAILURE : EXIT_SUCCESS;
}
