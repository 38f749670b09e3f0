/* Values asked for by name. */
#include "compiler/cli/cli.h"

int complain_unknown(struct strokewright_recipe *r, const char *name)
{
    struct text *names = ARENA_ARRAY(&r->arena, r->lowering.quantities.count, struct text);
    uint32_t count = 0;
    for (uint32_t i = 1; i < r->lowering.quantities.count; i++)
        names[count++] = r->lowering.quantities.at[i].path;
    struct text near = nearest(text_of(name), names, count);
    if (near.len)
        return complain("there is no value '%s'; did you mean '%.*s'?", name, TEXT_ARGS(near));
    return complain("there is no value '%s'; 'strokewright value FILE' lists them", name);
}

int find_asked(struct strokewright_recipe *r, const struct options *o, uint32_t **quantities, uint32_t *count)
{
    int status = EXIT_CLEAN;
    *quantities = ARENA_ARRAY(&r->arena, (size_t)o->word_count, uint32_t);
    *count = 0;
    for (int i = 1; i < o->word_count; i++) {
        uint32_t quantity = quantity_named(&r->lowering, text_of(o->words[i]));
        if (quantity)
            (*quantities)[(*count)++] = quantity;
        else
            status = complain_unknown(r, o->words[i]);
    }
    return status;
}
