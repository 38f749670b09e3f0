/* window FILE: draws what the unknowns of a recipe may be. */
#include "compiler/cli/cli.h"
#include "compiler/cli/pages.h"
#include "compiler/emit/emit.h"
#include "compiler/judge/judge.h"
#include "compiler/recipe.h"

#include <sys/stat.h>

/* Which unknowns to draw: those named, or the first two. */
static int choose_axes(struct strokewright_recipe *r, const struct options *o, struct window_request *out)
{
    const struct lowering *l = r->lowering;
    uint32_t most = l->unknowns.count < MOST_UNKNOWNS ? l->unknowns.count : MOST_UNKNOWNS;
    struct text *names = ARENA_ARRAY(&r->arena, most, struct text);
    for (uint32_t i = 0; i < most; i++)
        names[i] = l->quantities.at[l->unknowns.at[i].quantity].path;
    *out = (struct window_request){.count = 0};
    for (int w = 1; w < o->word_count; w++) {
        struct text asked = text_of(o->words[w]);
        uint32_t i = 0;
        while (i < most && !text_same(asked, names[i]))
            i++;
        if (i == most) {
            struct text near = nearest(asked, names, most);
            near = near.len ? near : names[0];
            return complain("the recipe does not leave '%s' to be found; it leaves '%.*s'", o->words[w],
                            TEXT_ARGS(near));
        }
        if (out->count && out->unknown[0] == i)
            return complain("'%s' is named twice", o->words[w]);
        out->unknown[out->count++] = i;
    }
    for (uint32_t i = 0; !out->count && i < most && i < WINDOW_AXES; i++)
        out->unknown[i] = i;
    if (!out->count)
        out->count = most < WINDOW_AXES ? most : WINDOW_AXES;
    return EXIT_CLEAN;
}

static void head(struct strokewright_recipe *r, struct window_map *map)
{
    const struct step_table *t = recipe_table(r, SPELL_ASCII);
    if (!t)
        return;
    map->part = t->part;
    map->revision = t->revision;
    map->fingerprint = t->fingerprint;
    map->title = arena_format(&r->arena, "%.*s, %.*s rev. %.*s", TEXT_ARGS(t->title), TEXT_ARGS(t->part),
                              TEXT_ARGS(t->revision));
}

static bool draw(struct strokewright_recipe *r, const struct window_map *map, enum language language,
                 struct buffer *svg)
{
    struct buffer pages[PAGE_COUNT];
    struct text why = TEXT("");
    const struct pages_request request = {.wanted = 1u << PAGE_WINDOW_SVG, .window = map, .language = language};
    for (int i = 0; i < PAGE_COUNT; i++)
        buffer_init(&pages[i], &r->arena);
    if (!draw_pages(NULL, &request, pages, &why)) {
        complain("cannot draw the window: %.*s", TEXT_ARGS(why));
        return false;
    }
    if (why.len)
        complain("%.*s", TEXT_ARGS(why));
    *svg = pages[PAGE_WINDOW_SVG];
    return true;
}

static int write_files(struct strokewright_recipe *r, const struct window_map *map, const struct options *o)
{
    struct buffer file[2];
    static const char *const names[] = {"window.svg", "window.csv"}, *const what[] = {"the map", "the same as a table"};
    struct stat st;
    if (mkdir(o->out, 0777) != 0 && (stat(o->out, &st) != 0 || !S_ISDIR(st.st_mode)))
        return complain("cannot make the folder %s", o->out);
    if (!draw(r, map, o->language, &file[0]))
        return EXIT_USE;
    buffer_init(&file[1], &r->arena);
    csv_window(&file[1], map);
    for (int i = 0; i < 2; i++) {
        struct text path = arena_format(&r->arena, "%s/%s", o->out, names[i]);
        int fault = buffer_write_file(path.at, buffer_text(&file[i]));
        if (fault)
            return complain("cannot write %s: %s", path.at, strerror(fault));
    }
    putchar('\n');
    for (int i = 0; i < 2; i++)
        printf("  %s/%-11s %s\n", o->out, names[i], what[i]);
    return EXIT_CLEAN;
}

static int show(struct strokewright_recipe *r, const struct options *o, void *unused)
{
    (void)unused;
    struct window_request request;
    struct window_map map = {.axes = 0};
    struct buffer b;
    if (o->out && strcmp(o->out, "-") == 0)
        return complain("window writes two files into a folder: name it behind --out, or print the table with --csv");
    if (!r->lowering->unknowns.count)
        return complain("%s leaves nothing to be found: write 'find LOW .. HIGH' in place of the value to be mapped",
                        o->words[0]);
    if (r->lowering->unknowns.count > MOST_UNKNOWNS)
        return EXIT_FAULTS; /* said already */
    if (choose_axes(r, o, &request) != EXIT_CLEAN)
        return EXIT_USE;
    head(r, &map);
    if (!recipe_window(r, &request, &map))
        return complain("out of memory");
    buffer_init(&b, &r->arena);
    if (o->csv)
        csv_window(&b, &map);
    else
        text_window(&b, &map, (uint32_t)o->width);
    fwrite(b.at, 1, b.count, stdout);
    return o->out ? write_files(r, &map, o) : EXIT_CLEAN;
}

static int run_window(const struct options *o)
{
    if (!o->word_count || o->word_count > 1 + WINDOW_AXES)
        return complain("the window of which recipe? usage: strokewright window FILE [NAME [NAME]]");
    return show_recipe(o, (struct demand){.reach = DEMAND_NOMINAL}, show, NULL);
}

const struct verb verb_window = {
    "window",
    "map what the values left open may be",
    "[--out DIR] [--csv] [--lang LANGUAGE] [--date DATE] [--allow-outside] FILE [NAME [NAME]]",
    "Of a recipe that leaves values to be found ('find LOW .. HIGH'): over one of them the margin of every limit in "
    "the\n"
    "worst case of the tolerances, over two where every limit is proved and which limit closes the rest. Named are "
    "the\n"
    "values to draw, as 'die.temperature'; else the first two. Where no value will do, the map shows why.\n\n"
    "  --out DIR         write it: window.svg, and window.csv with all points or cells\n"
    "  --csv             print that table instead of the overview\n"
    "  --lang LANGUAGE   of the words in the picture: en, de, es, ja\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--out= --csv --lang= --date= --allow-outside",
    run_window,
};
