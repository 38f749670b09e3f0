/* fit FILE --readings CSV: trial pieces beside what the recipe says of them, and what they teach. */
#include "compiler/cli/readings_file.h"
#include "compiler/cli/terminal.h"
#include "compiler/readings/learn.h"

static const struct demand all_values = {.reach = DEMAND_NOMINAL, .values = true, .papers = true};

static void print_buffer(const struct buffer *b)
{
    fwrite(b->at, 1, b->count, stdout);
}

static int print_template(const struct options *o)
{
    struct strokewright_library *library = load_library(o);
    struct opened_recipe r;
    int status = EXIT_USE;
    if (library && open_recipe(&r, library, &all_values, o->words[0], o)) {
        struct buffer b;
        print_diagnostics(&r, o, SEVERITY_ERROR);
        status = r.recipe->evaluated ? EXIT_CLEAN : EXIT_FAULTS;
        buffer_init(&b, &r.recipe->arena);
        if (r.recipe->evaluated)
            trial_template(&b, r.recipe);
        print_buffer(&b);
        close_recipe(&r);
    }
    strokewright_library_free(library);
    return status;
}

/* ---- the pieces -------------------------------------------------------------------------------------------------------------- */

static int tell(struct readings_file *f, struct strokewright_recipe *r, const struct options *o)
{
    struct trial trial;
    struct learning learning;
    struct buffer b;
    bool bound = readings_bind(&f->readings, r);
    if (bound)
        trial_read(&trial, &f->readings, r);
    bound = bound && !f->readings.diagnostics.errors && learn(&learning, &trial);
    print_readings_faults(f, o);
    if (f->readings.diagnostics.errors || !bound)
        return EXIT_FAULTS;
    buffer_init(&b, f->readings.arena);
    uint32_t width = terminal_of(stdout).width;
    trial_text(&b, &trial, width ? width : 80);
    learning_text(&b, &learning, width ? width : 80);
    print_buffer(&b);
    return EXIT_CLEAN;
}

static int read_pieces(struct readings_file *f, const struct options *o)
{
    struct strokewright_library *library = load_library(o);
    struct demand demand = all_values;
    struct opened_recipe r;
    int status = EXIT_USE;
    demand.names = readings_names(&f->readings, &demand.name_count);
    if (library && open_recipe(&r, library, &demand, o->words[0], o)) {
        print_diagnostics(&r, o, SEVERITY_ERROR);
        status = recipe_has_values(r.recipe) ? tell(f, r.recipe, o) : EXIT_FAULTS;
        close_recipe(&r);
    }
    strokewright_library_free(library);
    return status;
}

static int run(const struct options *o)
{
    struct readings_file f;
    struct arena arena;
    int status;
    if (o->word_count != 1)
        return complain("the pieces of which recipe? usage: strokewright fit FILE --readings CSV");
    if (o->template)
        return print_template(o);
    if (!o->readings)
        return complain("what was read? usage: strokewright fit FILE --readings CSV; '--template' writes the header");
    arena_init(&arena, out_of_memory());
    if (open_readings(&f, &arena, o->readings, o, &status)) {
        status = read_pieces(&f, o);
        close_readings(&f);
    }
    arena_free(&arena);
    return status;
}

const struct verb verb_fit = {
    "fit",
    "what trial pieces teach the recipe",
    "FILE --readings CSV [--decimal SIGN] [--separator SIGN] [--date DATE] [--allow-outside]\n"
    "       strokewright fit --template FILE",
    "Reads what was measured on trial pieces and prints, of each column, mean and scatter beside what the recipe\n"
    "predicts, and each piece that is out of its band. Then what the pieces teach: where each size stands, how "
    "surely,\n"
    "and what mends it, by cutting, which only takes metal off, or by temperature; whether the pieces agree with each\n"
    "other and with the recipe; each input before and after; the lines to write into the recipe. How far readings may\n"
    "be off the recipe states: a gauge, the sensors of the tools.\n\n"
    "The first line of the file names its columns with their units: values of the recipe, as 'die.temperature "
    "[degC]',\n"
    "and features of the part by their names, as 'overall-length [mm]': sizes as read off the gauge in the shop. "
    "'piece'\n"
    "and 'time' are known; a column without a unit that the recipe does not know is kept and not read. One row a "
    "piece.\n"
    "What cannot be read one way is a fault at its line and column; what was left out is counted.\n\n"
    "  --template          write the first line of such a file and nothing else\n"
    "  --readings CSV      the file; - is standard input\n"
    "  --decimal SIGN      point or comma, where the cells do not show it\n"
    "  --separator SIGN    comma, semicolon or tab, where the first line does not show it\n"
    "  --date DATE         the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside     'use' may name files outside the recipe's folder\n",
    "--template --readings= --decimal= --separator= --date= --allow-outside",
    run,
};
