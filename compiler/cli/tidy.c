/* tidy FILE...: the one form of a recipe. */
#include "compiler/review/tidy/tidy.h"
#include "compiler/cli/cli.h"
#include "compiler/cli/terminal.h"

#include <errno.h>
#include <stdlib.h>
#include <unistd.h>

/* One line for each run of lines that could not be read. */
static void tell_kept(const char *path, const struct tidied *r)
{
    if (r->gave_up) {
        fprintf(stderr, "%s: kept as it stands: in its form it would not read the same, which is a fault of tidy\n",
                path);
        return;
    }
    for (uint32_t i = 0; i < r->kept.count; i++) {
        struct kept_lines k = r->kept.at[i];
        fprintf(stderr, "%s:%u", path, k.first);
        if (k.last > k.first)
            fprintf(stderr, "-%u", k.last);
        fprintf(stderr, ": kept as it stands: %s cannot be read; 'strokewright check' says why\n",
                k.last > k.first ? "these lines" : "this line");
    }
}

/* Where a link leads, so that the link stays one. */
static int rewrite(const char *path, struct text text)
{
    char *real = realpath(path, NULL);
    if (!real)
        return complain("cannot write %s: %s", path, strerror(errno));
    int fault = buffer_write_kept(real, text);
    free(real);
    if (fault == EROFS)
        return complain("cannot write %s: the file is read-only", path);
    return fault ? complain("cannot write %s: %s", path, strerror(fault)) : EXIT_CLEAN;
}

static int put(struct arena *a, const char *path, const struct options *o, struct text bytes, const struct tidied *r)
{
    if (o->check) {
        struct buffer b;
        buffer_init(&b, a);
        tidy_diff(&b, text_of(path), bytes, r->text);
        terminal_exact(stdout, buffer_text(&b));
        return r->changed ? EXIT_FAULTS : EXIT_CLEAN;
    }
    if (o->write && !is_stdin(path))
        return r->changed ? rewrite(path, r->text) : EXIT_CLEAN;
    terminal_exact(stdout, r->text);
    return EXIT_CLEAN;
}

static int tidy_one(const char *path, const struct options *o)
{
    struct arena arena;
    jmp_buf exhausted;
    struct text bytes, why = TEXT("");
    struct tidied r;
    arena_init(&arena, &exhausted);
    if (setjmp(exhausted)) {
        arena_free(&arena);
        return complain("out of memory while reading %s", path);
    }
    enum fault fault = read_input(&arena, path, &bytes, &why);
    if (fault != (enum fault)LOAD_OK) {
        complain("cannot read %s: %.*s", path, TEXT_ARGS(why));
        arena_free(&arena);
        return EXIT_USE;
    }
    tidy(&r, &arena, bytes);
    int status = put(&arena, path, o, bytes, &r);
    tell_kept(shown_path(path).at, &r);
    arena_free(&arena);
    return status == EXIT_CLEAN && r.kept.count ? EXIT_FAULTS : status;
}

static int run_tidy(const struct options *o)
{
    int worst = EXIT_CLEAN;
    if (!o->word_count)
        return complain("tidy which recipe? usage: strokewright tidy FILE ...");
    if (o->write && o->check)
        return complain("tidy writes or checks, not both at once");
    if (o->word_count > 1 && !o->write && !o->check)
        return complain("tidy prints one recipe at a time; --write rewrites several, --check looks at several");
    for (int i = 0; i < o->word_count; i++) {
        int status = tidy_one(o->words[i], o);
        worst = status > worst ? status : worst;
    }
    return worst;
}

const struct verb verb_tidy = {
    "tidy",
    "put recipes into their one form",
    "[--write | --check] FILE ...",
    "Prints a recipe in its one form: one fact a line, '=' aligned, four blanks a level, long statements broken where\n"
    "they can be; every comment stays, and one blank line where there were any. Numbers and units stay as typed, but\n"
    "for their spacing and for signs that have a plain spelling (+/-, degC, ^2, u). The meaning and the fingerprint "
    "do\n"
    "not change. Lines that cannot be read are kept as they stand, and named on standard error. Line ends become LF.\n"
    "'-' reads standard input.\n\n"
    "  --write   rewrite the files instead of printing; a file that is tidy already is not touched\n"
    "  --check   print what would change, as a unified diff; exit status 1 when there is anything\n",
    "--write --check",
    run_tidy,
};
