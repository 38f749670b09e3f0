/* why FILE NAME...: prints how values come about. */
#include "compiler/review/why/why.h"
#include "compiler/cli/cli.h"
#include "compiler/cli/pages.h"

/* A whole number up to the most that makes sense. */
static bool read_depth(const char *text, uint32_t *depth)
{
    uint32_t value = 0;
    if (!text)
        return true;
    for (const char *at = text; *at; at++) {
        if (*at < '0' || *at > '9' || value > WHY_DEPTH_MOST)
            return false;
        value = 10 * value + (uint32_t)(*at - '0');
    }
    *depth = value;
    return *text && value <= WHY_DEPTH_MOST;
}

static bool ends_in(const char *path, const char *ending)
{
    size_t length = strlen(path), end = strlen(ending);
    return length > end && strcmp(path + length - end, ending) == 0;
}

/* As a graph, by Graphviz where a picture is wanted. */
static int write_graph(struct strokewright_recipe *r, struct buffer *dot, const char *path)
{
    struct buffer *file = dot, pages[PAGE_COUNT];
    struct text why = TEXT("");
    if (ends_in(path, ".svg")) {
        buffer_putc(dot, 0);
        const struct pages_request request = {.wanted = 1u << PAGE_GRAPH_SVG, .graph = buffer_text(dot)};
        for (int i = 0; i < PAGE_COUNT; i++)
            buffer_init(&pages[i], &r->arena);
        if (!draw_pages(NULL, &request, pages, &why))
            return complain("cannot draw the graph: %.*s", TEXT_ARGS(why));
        file = &pages[PAGE_GRAPH_SVG];
    }
    int fault = buffer_write_file(path, buffer_text(file));
    return fault ? complain("cannot write %s: %s", path, strerror(fault)) : EXIT_CLEAN;
}

static int print(struct strokewright_recipe *r, const struct why *w, const struct options *o)
{
    struct buffer b;
    buffer_init(&b, &r->arena);
    if (o->graph) {
        why_dot(&b, w);
        return write_graph(r, &b, o->graph);
    }
    if (o->json)
        why_json(&b, w);
    else
        why_text(&b, w, (uint32_t)o->width);
    fwrite(b.at, 1, b.count, stdout);
    return EXIT_CLEAN;
}

static int explain(struct strokewright_recipe *r, const struct options *o, void *depth)
{
    uint32_t *quantities, count;
    int status = find_asked(r, o, &quantities, &count);
    const struct why *w = count ? why_derive(r, quantities, count, *(const uint32_t *)depth) : NULL;
    if (count && !w)
        return complain("out of memory");
    int printed = w ? print(r, w, o) : EXIT_CLEAN;
    return printed == EXIT_CLEAN ? status : printed;
}

static int run_why(const struct options *o)
{
    uint32_t depth = WHY_DEPTH;
    if (o->word_count < 2)
        return complain("why what? usage: strokewright why FILE NAME ...");
    if (!read_depth(o->depth, &depth))
        return complain("--depth takes a whole number from 0 to %d, not '%s'", WHY_DEPTH_MOST, o->depth);
    if (o->graph && !ends_in(o->graph, ".dot") && !ends_in(o->graph, ".svg"))
        return complain("--graph draws a picture, or writes the Graphviz language: name a file that ends in .svg or "
                        ".dot, not '%s'",
                        o->graph);
    if (o->graph && o->json)
        return complain("why writes JSON or a graph, not both at once");
    const struct demand demand = {.reach = DEMAND_VERDICTS, .derivation = true};
    return show_recipe(o, demand, explain, &depth);
}

const struct verb verb_why = {
    "why",
    "show how a value comes about",
    "[--depth N] [--json | --graph FILE] [--date DATE] [--allow-outside] FILE NAME ...",
    "Shows what values stand on, as a tree: each with its value, its formula as written and with the values put in, "
    "the\n"
    "place and the source it comes from, and below it what it was made of. A value used twice is shown once. Where a\n"
    "value is missing, the way down to what nobody stated. Below each tree stands what moves the value: inputs with a\n"
    "band that is held, its change for each unit of them and over their band.\n\n"
    "  --depth N         levels below each name; 3 when not given\n"
    "  --json            as JSON: the entries, and which needs which\n"
    "  --graph FILE      as a graph: FILE.svg a picture, FILE.dot in the Graphviz language\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--depth= --json --graph= --date= --allow-outside",
    run_why,
};
