/* compare OLD NEW: what differs in meaning, and what follows from it; of files, of revisions in git, and as git's own
 * diff driver. */
#include "compiler/review/compare/compare.h"
#include "compiler/cli/git.h"

static const struct demand demand = {.reach = DEMAND_MARGINS, .values = true};

enum format { FORMAT_TEXT, FORMAT_MARKDOWN, FORMAT_HTML, FORMAT_JSON, FORMAT_UNKNOWN };

static enum format format_named(const char *name)
{
    static const char *const names[] = {"text", "markdown", "html", "json"};
    int i = 0;
    while (name && i < FORMAT_UNKNOWN && strcmp(names[i], name) != 0)
        i++;
    return (enum format)i;
}

static void print_comparison(struct arena *a, const struct comparison *c, const struct options *o)
{
    struct buffer b;
    buffer_init(&b, a);
    switch (format_named(o->format)) {
    case FORMAT_MARKDOWN:
        compare_markdown(&b, c, o->all);
        break;
    case FORMAT_HTML:
        compare_html(&b, c);
        break;
    case FORMAT_JSON:
        compare_json(&b, c);
        break;
    default:
        compare_text(&b, c, (struct compare_style){(uint32_t)o->width, o->color_out, o->all});
    }
    fwrite(b.at, 1, b.count, stdout);
}

static int compare_opened(struct strokewright_recipe *old, struct strokewright_recipe *new, const struct options *o)
{
    struct arena arena;
    arena_init(&arena, out_of_memory());
    const struct comparison *c = compare_recipes(&arena, old, new);
    int status = c ? c->same ? EXIT_CLEAN : EXIT_FAULTS : complain("out of memory");
    arena.exhausted = out_of_memory();
    if (c)
        print_comparison(&arena, c, o);
    arena_free(&arena);
    return status;
}

static int compare_files(const struct strokewright_library *library, const struct options *o)
{
    struct opened_recipe old, new;
    if (!open_both(&old, &new, library, &demand, o->words, o))
        return EXIT_USE;
    int status = compare_opened(old.recipe, new.recipe, o);
    close_recipe(&new);
    close_recipe(&old);
    return status;
}

/* ---- revisions ------------------------------------------------------------------------------------------------------- */

/* The new side: at a revision, or as it lies in the folder. */
static bool open_new(struct opened_recipe *new, const struct strokewright_library *library, struct git *g,
                     const struct options *o)
{
    return o->word_count == 3
               ? open_at_revision(new, library, g, text_of(o->words[1]), text_of(o->words[0]), o, &demand, NULL)
               : open_recipe(new, library, &demand, o->words[1], o);
}

static int compare_revisions(const struct strokewright_library *library, const struct options *o)
{
    struct arena arena;
    struct git git;
    struct opened_recipe old, new;
    int status = EXIT_USE;
    arena_init(&arena, out_of_memory());
    if (git_open(&git, &arena, o->words[o->word_count - 1])) {
        struct text later = o->word_count == 3 ? text_of(o->words[1]) : TEXT("");
        if (open_at_revision(&old, library, &git, text_of(o->words[0]), later, o, &demand, NULL)) {
            if (open_new(&new, library, &git, o)) {
                status = compare_opened(old.recipe, new.recipe, o);
                close_recipe(&new);
            }
            close_recipe(&old);
        }
        git_close(&git);
    }
    arena_free(&arena);
    return status;
}

/* ---- git's diff driver ----------------------------------------------------------------------------------------------- */

/* What git hands over: path old-file old-hex old-mode new-file new-hex new-mode, and of a file that was renamed its new
 * name and a line about it; of one that is not merged the path alone. */
enum {
    DRIVER_PATH,
    DRIVER_OLD,
    DRIVER_OLD_HEX,
    DRIVER_OLD_MODE,
    DRIVER_NEW,
    DRIVER_NEW_HEX,
    DRIVER_WORDS = 7,
    DRIVER_NEW_PATH = 7,
    DRIVER_WORDS_RENAMED = 9
};

static bool is_nothing(const char *path)
{
    return strcmp(path, "/dev/null") == 0;
}

/* git calls from the root of the working tree with the file's path from there, and the bytes in a file of any name: what
 * the recipe uses is looked for beside its path. */
static bool read_handed(struct opened_recipe *r, const char *path, const char *file, const struct options *o,
                        struct text *bytes)
{
    struct text why = TEXT("");
    begin_recipe(r, path, o);
    if (read_file(&r->arena, file, bytes, &why) == (enum fault)LOAD_OK)
        return true;
    complain("cannot read %s: %.*s", file, TEXT_ARGS(why));
    arena_free(&r->arena);
    return false;
}

static bool open_handed(struct opened_recipe *old, struct opened_recipe *new,
                        const struct strokewright_library *library, const struct options *o)
{
    const char *path = o->words[DRIVER_PATH];
    const char *new_path = o->word_count == DRIVER_WORDS_RENAMED ? o->words[DRIVER_NEW_PATH] : path;
    struct text bytes[2];
    if (!read_handed(old, path, o->words[DRIVER_OLD], o, &bytes[0]))
        return false;
    if (!read_handed(new, new_path, o->words[DRIVER_NEW], o, &bytes[1])) {
        close_recipe(old);
        return false;
    }
    return compile_both(old, new, library, &demand, (const struct text[]){text_of(path), text_of(new_path)}, bytes);
}

/* A driver that exits with anything but 0 ends git's whole run, so that differences are no failure here. */
static int drive(const struct strokewright_library *library, const struct options *o)
{
    struct opened_recipe old, new;
    const char *path = o->words[DRIVER_PATH];
    if (o->word_count == 1) {
        printf("%s is not merged\n\n", path);
        return EXIT_CLEAN;
    }
    if (is_nothing(o->words[DRIVER_OLD]) || is_nothing(o->words[DRIVER_NEW])) {
        printf("%s is %s\n\n", path, is_nothing(o->words[DRIVER_OLD]) ? "new" : "gone");
        return EXIT_CLEAN;
    }
    if (!open_handed(&old, &new, library, o))
        return EXIT_USE;
    bool uses = old.recipe->scope.files.count > 1 || new.recipe->scope.files.count > 1;
    int status = compare_opened(old.recipe, new.recipe, o);
    if (uses && status != EXIT_USE)
        printf("What 'use' names was read from the working tree, on both sides.\n");
    putchar('\n');
    close_recipe(&new);
    close_recipe(&old);
    return status == EXIT_FAULTS ? EXIT_CLEAN : status;
}

static int check_words(const struct options *o)
{
    if (format_named(o->format) == FORMAT_UNKNOWN)
        return complain("there is no format '%s'; there are text, markdown, html and json", o->format);
    if (o->git && o->driver)
        return complain("--git compares revisions, --driver is for git's configuration: give one of them");
    if (o->driver && o->word_count != 1 && o->word_count != DRIVER_WORDS && o->word_count != DRIVER_WORDS_RENAMED)
        return complain("--driver is for git's configuration; by hand it is: strokewright compare OLD NEW");
    if (o->git && o->word_count != 2 && o->word_count != 3)
        return complain("compare --git takes one or two revisions and a recipe; usage: strokewright compare --git REV "
                        "[REV] FILE");
    if (!o->git && !o->driver && o->word_count != 2)
        return complain("compare takes two recipes; usage: strokewright compare OLD NEW");
    return EXIT_CLEAN;
}

static int run_compare(const struct options *o)
{
    if (check_words(o) != EXIT_CLEAN)
        return EXIT_USE;
    struct strokewright_library *library = load_library(o);
    int status = !library    ? EXIT_USE
                 : o->git    ? compare_revisions(library, o)
                 : o->driver ? drive(library, o)
                             : compare_files(library, o);
    strokewright_library_free(library);
    return status;
}

const struct verb verb_compare = {
    "compare",
    "say what differs in meaning between two recipes",
    "[--format text|markdown|html|json] [--all] [--date DATE] [--allow-outside] OLD NEW | --git REV [REV] FILE",
    "Says what was stated otherwise, and what follows from it: verdicts, tool sizes, settings, margins and every "
    "other\n"
    "value that moved, the most important first. Layout, comments, the order of facts and units that say the same are\n"
    "no difference; a name that was only changed is told as that. Of a recipe too faulty to be worked out, what is\n"
    "stated is compared.\n\n"
    "Exit status: 0 both mean the same, 1 they differ, 2 wrong use or a file that cannot be read.\n\n"
    "  --git             compare FILE as it was at one revision with the next, or with the file as it lies there;\n"
    "                    what it uses is read at those revisions too\n"
    "  --driver          be git's diff driver: git config diff.strokewright.command 'strokewright compare --driver'\n"
    "  --format FORMAT   text, markdown for a merge request, html as one page, json\n"
    "  --all             every value that moved, however little\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--git --driver --format= --all --date= --allow-outside",
    run_compare,
};
