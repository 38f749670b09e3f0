/* Values asked for by name. */
#include "compiler/cli/cli.h"
#include "compiler/recipe.h"

#include <stdlib.h>

/* Says that there is none of this name, and which may be meant; gives EXIT_USE. */
static int complain_unknown(struct strokewright_recipe *r, const char *name)
{
    struct text *names = ARENA_ARRAY(&r->arena, r->lowering->quantities.count, struct text);
    uint32_t count = 0;
    for (uint32_t i = 1; i < r->lowering->quantities.count; i++)
        names[count++] = r->lowering->quantities.at[i].path;
    struct text near = nearest(text_of(name), names, count);
    if (near.len)
        return complain("there is no value '%s'; did you mean '%.*s'?", name, TEXT_ARGS(near));
    return complain("there is no value '%s'; 'strokewright value FILE' lists them", name);
}

/* The words behind the file's name. NULL when memory runs out. */
static struct text *names_of(const struct options *o)
{
    struct text *names = calloc((size_t)o->word_count, sizeof *names);
    for (int i = 1; names && i < o->word_count; i++)
        names[i - 1] = text_of(o->words[i]);
    return names;
}

int show_recipe(const struct options *o, struct demand demand,
                int (*show)(struct strokewright_recipe *, const struct options *, void *), void *argument)
{
    struct strokewright_library *library = load_library(o);
    struct text *names = names_of(o);
    struct opened_recipe r;
    int status = EXIT_USE;
    demand.names = names;
    demand.name_count = (uint32_t)o->word_count - 1;
    if (library && names && open_recipe(&r, library, &demand, o->words[0], o)) {
        print_diagnostics(&r, o, SEVERITY_ERROR);
        status = r.recipe->evaluated ? show(r.recipe, o, argument) : EXIT_FAULTS;
        if (r.recipe->state != STROKEWRIGHT_GOOD && status == EXIT_CLEAN)
            status = EXIT_FAULTS;
        close_recipe(&r);
    }
    free(names);
    strokewright_library_free(library);
    return status;
}

int find_asked(struct strokewright_recipe *r, const struct options *o, uint32_t **quantities, uint32_t *count)
{
    int status = EXIT_CLEAN;
    *quantities = ARENA_ARRAY(&r->arena, (size_t)o->word_count, uint32_t);
    *count = 0;
    for (int i = 1; i < o->word_count; i++) {
        uint32_t quantity = r->lowering->asked[i - 1];
        if (quantity)
            (*quantities)[(*count)++] = quantity;
        else
            status = complain_unknown(r, o->words[i]);
    }
    return status;
}
