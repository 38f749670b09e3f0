#include "compiler/cli/certificate.h"

#include "compiler/emit/certificate.h"
#include "compiler/recipe.h"

#include <string.h>

struct wanted_certificate {
    struct text recipe;
    struct buffer bytes;
};

static void fill(struct strokewright_recipe *r, void *argument)
{
    struct wanted_certificate *w = argument;
    certificate_json(&w->bytes, r->lowering, &r->limits, w->recipe, recipe_fingerprint(r));
}

bool write_certificate(struct opened_recipe *o, const char *recipe, const char *file)
{
    struct strokewright_recipe *r = o->recipe;
    struct wanted_certificate w = {.recipe = text_of(recipe)};
    if (!recipe_has_values(r) || !certificate_claims(&r->limits)) {
        complain("no limit of %s is proved, so there is nothing to certify", recipe);
        return false;
    }
    buffer_init(&w.bytes, &r->arena);
    if (!recipe_within_memory(r, fill, &w)) {
        complain("memory ran out while the certificate was made");
        return false;
    }
    int fault = buffer_write_file(file, buffer_text(&w.bytes));
    if (fault)
        complain("cannot write %s: %s", file, strerror(fault));
    return !fault;
}
