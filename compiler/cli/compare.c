/* compare OLD NEW: what differs in meaning, and what follows from it. */
#include "compiler/review/compare.h"
#include "compiler/cli/cli.h"

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
    arena_init(&arena, NULL);
    const struct comparison *c = compare_recipes(&arena, old, new);
    int status = c ? c->same ? EXIT_CLEAN : EXIT_FAULTS : complain("out of memory");
    if (c)
        print_comparison(&arena, c, o);
    arena_free(&arena);
    return status;
}

static int compare_files(const struct strokewright_library *library, const struct options *o)
{
    struct opened_recipe old, new;
    int status = EXIT_USE;
    if (!open_recipe(&old, library, o->words[0], o))
        return EXIT_USE;
    if (open_recipe(&new, library, o->words[1], o)) {
        status = compare_opened(old.recipe, new.recipe, o);
        close_recipe(&new);
    }
    close_recipe(&old);
    return status;
}

static int run(const struct options *o)
{
    if (format_named(o->format) == FORMAT_UNKNOWN)
        return complain("there is no format '%s'; there are text, markdown, html and json", o->format);
    if (o->word_count != 2)
        return complain("compare takes two recipes; usage: strokewright compare OLD NEW");
    struct strokewright_library *library = load_library();
    int status = library ? compare_files(library, o) : EXIT_USE;
    strokewright_library_free(library);
    return status;
}

const struct verb verb_compare = {
    "compare",
    "say what differs in meaning between two recipes",
    "[--format text|markdown|html|json] [--all] [--allow-outside] OLD NEW",
    "Says what was stated otherwise, and what follows from it: verdicts, tool sizes, settings, margins and every "
    "other\n"
    "value that moved, the most important first. Layout, comments, the order of facts and units that say the same are\n"
    "no difference; a name that was only changed is told as that. Of a recipe too faulty to be worked out, what is\n"
    "stated is compared.\n\n"
    "Exit status: 0 both mean the same, 1 they differ, 2 wrong use or a file that cannot be read.\n\n"
    "  --format FORMAT   text, markdown for a merge request, html as one page, json\n"
    "  --all             every value that moved, however little\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--format= --all --allow-outside",
    run,
};
