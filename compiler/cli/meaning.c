/* meaning FILE: what a file says, one statement a line, in one order and one set of units; git's textconv. */
#include "compiler/review/meaning.h"
#include "compiler/cli/cli.h"

/* git hands over a copy without its neighbours, so what the file uses is named and not followed. */
static int tell(const struct strokewright_library *library, const char *path)
{
    struct arena arena;
    struct buffer b;
    struct text bytes, why = TEXT("");
    arena_init(&arena, out_of_memory());
    if (read_file(&arena, path, &bytes, &why) != (enum fault)LOAD_OK) {
        complain("cannot read %s: %.*s", path, TEXT_ARGS(why));
        arena_free(&arena);
        return EXIT_USE;
    }
    buffer_init(&b, &arena);
    struct strokewright_recipe *r =
        recipe_compile(library, &(struct demand){.reach = DEMAND_TEXT}, text_of(path), bytes, NULL);
    bool good = r && r->state != STROKEWRIGHT_NO_MEMORY && meaning_text(&b, r);
    if (good && b.count)
        fwrite(b.at, 1, b.count, stdout);
    strokewright_free(r);
    arena_free(&arena);
    return good ? EXIT_CLEAN : complain("out of memory while reading %s", path);
}

static int run_meaning(const struct options *o)
{
    if (o->word_count != 1)
        return complain("the meaning of which file? usage: strokewright meaning FILE");
    struct strokewright_library *library = load_library(o);
    int status = library ? tell(library, o->words[0]) : EXIT_USE;
    strokewright_library_free(library);
    return status;
}

const struct verb verb_meaning = {
    "meaning",
    "print what a file says, one statement a line",
    "FILE",
    "Prints what the file states, one statement a line, always in the same order and units, without comments: two "
    "files\n"
    "have a line in common where they say the same. What it uses is named, not followed. A file that cannot be read "
    "as\n"
    "a recipe is printed as it is.\n\n"
    "For git: git config diff.strokewright.textconv 'strokewright meaning --'\n",
    "",
    run_meaning,
};
