/* build FILE --out DIR: checks, then writes everything the shop works from. */
#include "compiler/cli/cli.h"
#include "compiler/cli/pages.h"
#include "compiler/emit/emit.h"
#include "compiler/recipe.h"

#include <errno.h>
#include <sys/stat.h>

/* The folder named after the recipe's file is made if its parent stands; deeper paths are the user's to make. */
static bool make_folder(const char *path)
{
    struct stat st;
    if (mkdir(path, 0777) == 0)
        return true;
    if (errno == EEXIST && stat(path, &st) == 0 && S_ISDIR(st.st_mode))
        return true;
    complain("cannot make the folder %s: %s", path, errno == EEXIST ? "there is a file of that name" : strerror(errno));
    return false;
}

static void complain_of_output(struct text name, const struct text *names)
{
    struct text near = nearest(name, names, output_count);
    fprintf(stderr, "strokewright: there is no output '%.*s'", TEXT_ARGS(name));
    if (near.len)
        fprintf(stderr, "; did you mean '%.*s'?", TEXT_ARGS(near));
    fputs(near.len ? " There are" : "; there are", stderr);
    for (uint32_t i = 0; i < output_count; i++)
        fprintf(stderr, "%s %.*s", i ? "," : "", TEXT_ARGS(names[i]));
    fputc('\n', stderr);
}

/* Which outputs --only names, as bits by their row; all when it is not given. 0 and a message when a name is unknown. */
static uint32_t wanted_outputs(const char *only)
{
    uint32_t wanted = 0, all = (1u << output_count) - 1;
    for (const char *at = only; at && *at;) {
        struct text name = {at, (uint32_t)strcspn(at, ",")}, names[32];
        uint32_t row = 0;
        for (uint32_t i = 0; i < output_count; i++)
            names[i] = text_of(output_table[i].name);
        while (row < output_count && !text_same(name, names[row]))
            row++;
        if (row == output_count) {
            complain_of_output(name, names);
            return 0;
        }
        wanted |= 1u << row;
        at += name.len + (at[name.len] == ',');
    }
    return only ? wanted : all;
}

static enum paper_format wanted_paper(const char *name)
{
    int i = 0;
    while (name && i < PAPER_FORMAT_COUNT && strcmp(name, paper_sizes[i].name) != 0)
        i++;
    return (enum paper_format)i;
}

struct wish {
    uint32_t outputs; /* bits by their row */
    enum paper_format paper;
};

struct page_bytes {
    struct buffer buffers[PAGE_COUNT];
};

/* The pages among the outputs, as bits. Loading what draws takes ten times as long as checking, so only a run that wants
 * a page does. */
static uint32_t wanted_pages(uint32_t wanted)
{
    uint32_t pages = 0;
    for (uint32_t i = 0; i < output_count; i++)
        if (wanted >> i & 1 && !output_table[i].fill)
            pages |= 1u << output_table[i].page;
    return pages;
}

struct tables { /* one step table, spelled for each who reads it */
    const struct step_table *by_reader[READER_PAPER + 1];
};

static bool make_tables(struct strokewright_recipe *r, enum language language, uint32_t wanted, struct tables *tables)
{
    const struct spelling spellings[] = {
        [READER_PROGRAM] = SPELL_ASCII, [READER_SCREEN] = {false, language}, [READER_PAPER] = {true, language}};
    bool asked[READER_PAPER + 1] = {false};
    for (uint32_t i = 0; i < output_count; i++)
        if (wanted >> i & 1)
            asked[output_table[i].reader] = true;
    for (int reader = 0; reader <= READER_PAPER; reader++)
        if (asked[reader] && !(tables->by_reader[reader] = recipe_table(r, spellings[reader])))
            return false;
    return true;
}

/* Everything is made before anything is written, so that a failure leaves the folder as it was. */
static bool fill_all(struct strokewright_recipe *r, const struct tables *tables, struct wish *wish,
                     struct buffer *files)
{
    struct page_bytes pages;
    uint32_t wanted = wish->outputs;
    struct text why = TEXT("");
    const struct pages_request request = {.wanted = wanted_pages(wanted), .paper = wish->paper};
    for (int i = 0; i < PAGE_COUNT; i++)
        buffer_init(&pages.buffers[i], &r->arena);
    if (request.wanted && !draw_pages(tables->by_reader[READER_PAPER], &request, pages.buffers, &why)) {
        complain("cannot draw the pages: %.*s", TEXT_ARGS(why));
        return false;
    }
    if (why.len)
        complain("%.*s", TEXT_ARGS(why));
    for (uint32_t i = 0; i < output_count; i++) {
        buffer_init(&files[i], &r->arena);
        if (!(wanted >> i & 1))
            continue;
        if (output_table[i].fill)
            output_table[i].fill(&files[i], tables->by_reader[output_table[i].reader]);
        else
            files[i] = pages.buffers[output_table[i].page];
    }
    return true;
}

static bool write_all(struct strokewright_recipe *r, const struct buffer *files, uint32_t wanted, const char *folder)
{
    for (uint32_t i = 0; i < output_count; i++) {
        if (!(wanted >> i & 1))
            continue;
        struct text path = arena_format(&r->arena, "%s/%s", folder, output_table[i].file);
        int fault = buffer_write_file(path.at, buffer_text(&files[i]));
        if (fault) {
            complain("cannot write %s: %s", path.at, strerror(fault));
            return false;
        }
    }
    for (uint32_t i = 0; i < output_count; i++)
        if (wanted >> i & 1)
            printf("  %s/%-16s %s\n", folder, output_table[i].file, output_table[i].what);
    return true;
}

/* One output behind a pipe: --only steps --out - */
static bool print_one(const struct buffer *files, uint32_t wanted)
{
    for (uint32_t i = 0; i < output_count; i++)
        if (wanted >> i & 1 && files[i].count)
            fwrite(files[i].at, 1, files[i].count, stdout);
    return true;
}

static int build(struct opened_recipe *o, const struct options *options, struct wish *wish)
{
    struct strokewright_recipe *r = o->recipe;
    uint32_t wanted = wish->outputs;
    print_diagnostics(o, options, SEVERITY_NOTE);
    if (r->state != STROKEWRIGHT_GOOD) {
        complain("nothing is written: mend the %u error%s first", r->diagnostics.errors,
                 r->diagnostics.errors == 1 ? "" : "s");
        return EXIT_FAULTS;
    }
    if (!find_recipe(&r->scope)) {
        complain("nothing is written: %s has no recipe { } in it", options->words[0]);
        return EXIT_FAULTS;
    }
    struct tables tables;
    if (!make_tables(r, options->language, wanted, &tables))
        return complain("out of memory");
    struct buffer *files = ARENA_ARRAY(&r->arena, output_count, struct buffer);
    if (!fill_all(r, &tables, wish, files))
        return EXIT_USE;
    bool good = strcmp(options->out, "-") == 0 ? print_one(files, wanted)
                                               : make_folder(options->out) && write_all(r, files, wanted, options->out);
    return good ? EXIT_CLEAN : EXIT_USE;
}

static struct demand demand_of(uint32_t wanted)
{
    struct demand demand = {.reach = DEMAND_MARGINS, .ranges = true, .papers = true};
    for (uint32_t i = 0; i < output_count; i++) {
        demand.budgets |= wanted >> i & 1 && output_table[i].budgets;
        demand.values |= wanted >> i & 1 && output_table[i].values;
    }
    return demand;
}

static int build_file(const struct options *o, struct wish *wish)
{
    struct strokewright_library *library = load_library(o);
    struct opened_recipe r;
    int status = EXIT_USE;
    const struct demand demand = demand_of(wish->outputs);
    if (library && open_recipe(&r, library, &demand, o->words[0], o)) {
        status = build(&r, o, wish);
        close_recipe(&r);
    }
    strokewright_library_free(library);
    return status;
}

static int run_build(const struct options *o)
{
    if (o->word_count != 1)
        return complain("build takes one recipe; usage: strokewright build FILE --out DIR");
    if (!o->out)
        return complain("build into which folder? usage: strokewright build %s --out DIR", o->words[0]);
    struct wish wish = {.outputs = wanted_outputs(o->only), .paper = wanted_paper(o->paper)};
    if (!wish.outputs)
        return EXIT_USE;
    if (wish.paper == PAPER_FORMAT_COUNT)
        return complain("there is no paper '%s'; there are a4, letter", o->paper);
    if (strcmp(o->out, "-") == 0 && wish.outputs & (wish.outputs - 1))
        return complain("standard output takes one output; name it, as in --only steps");
    return build_file(o, &wish);
}

void list_outputs(FILE *to)
{
    fputs("\nOutputs:\n", to);
    for (uint32_t i = 0; i < output_count; i++)
        fprintf(to, "  %-13s %-17s %s\n", output_table[i].name, output_table[i].file, output_table[i].what);
}

const struct verb verb_build = {
    "build",
    "write the step table, tool sizes, flow diagram and traveller",
    "[--only OUTPUT,...] [--paper SIZE] [--lang LANGUAGE] [--date DATE] [--allow-outside] FILE --out DIR",
    "Checks the recipe and, if it has no errors, writes the outputs below into DIR (made if it is not there). Each "
    "file "
    "is\n"
    "written whole or not at all.\n\n"
    "  --out DIR         the folder; - for standard output, of one output\n"
    "  --only OUTPUT,... these alone, by their names below\n"
    "  --paper SIZE      of what is printed: a4, letter\n"
    "  --lang LANGUAGE   of what people read: en, de, es, ja; CSV and JSON stay as they are\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--out= --only= --paper= --lang= --date= --allow-outside",
    run_build,
};
