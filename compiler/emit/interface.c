/* The part of the public interface that writes outputs. */
#include "compiler/emit/emit.h"
#include "compiler/recipe.h"

struct wanted {
    const struct output *output;
    const struct step_table *table;
    struct window_request window;
    struct buffer buffer;
};

static bool give(struct wanted *w, const char **bytes, size_t *length)
{
    *bytes = w->buffer.at;
    *length = w->buffer.count;
    return true;
}

/* ---- outputs ----------------------------------------------------------------------------------------------------------- */

static const struct output *output_named(const char *name)
{
    for (uint32_t i = 0; i < output_count; i++)
        if (output_table[i].fill && strcmp(output_table[i].name, name) == 0)
            return &output_table[i];
    return NULL;
}

static void fill(struct strokewright_recipe *r, void *wanted)
{
    struct wanted *w = wanted;
    buffer_init(&w->buffer, &r->arena);
    w->output->fill(&w->buffer, w->table);
}

bool strokewright_output(struct strokewright_recipe *r, const char *name, const char *language, const char **bytes,
                         size_t *length)
{
    struct wanted w = {.output = output_named(name)};
    enum language spoken = language_of(text_of(language));
    if (!w.output || spoken == LANGUAGE_COUNT || r->state == STROKEWRIGHT_NO_MEMORY || !r->demand.papers)
        return false;
    struct spelling spelling = {false, w.output->reader == READER_PROGRAM ? LANGUAGE_EN : spoken};
    w.table = recipe_table(r, spelling);
    return w.table && recipe_within_memory(r, fill, &w) && give(&w, bytes, length);
}

/* ---- window ------------------------------------------------------------------------------------------------------------ */

/* An unknown by its name, or by its place where no name is given. */
static bool find_axis(const struct strokewright_recipe *r, const char *name, uint32_t place, uint32_t *unknown)
{
    const struct lowering *l = r->lowering;
    *unknown = place;
    if (!name)
        return place < l->unknowns.count;
    for (*unknown = 0; *unknown < l->unknowns.count; ++*unknown)
        if (text_is(l->quantities.at[l->unknowns.at[*unknown].quantity].path, name))
            return true;
    return false;
}

static void fill_window(struct strokewright_recipe *r, void *wanted)
{
    struct wanted *w = wanted;
    struct window_map map = {.axes = 0};
    buffer_init(&w->buffer, &r->arena);
    window_fill(&map, &r->limits, &r->solutions, &w->window, &r->scratch);
    csv_window(&w->buffer, &map);
}

bool strokewright_window(struct strokewright_recipe *r, const char *const *names, uint32_t count, const char **bytes,
                         size_t *length)
{
    struct wanted w = {0};
    if (r->state == STROKEWRIGHT_NO_MEMORY || !r->evaluated || r->demand.reach < DEMAND_NOMINAL ||
        r->lowering->unknowns.count > MOST_UNKNOWNS)
        return false;
    uint32_t most = names ? count : r->lowering->unknowns.count;
    w.window.count = most < WINDOW_AXES ? most : WINDOW_AXES;
    for (uint32_t i = 0; i < w.window.count; i++)
        if (!find_axis(r, names ? names[i] : NULL, i, &w.window.unknown[i]))
            return false;
    bool twice = w.window.count == 2 && w.window.unknown[0] == w.window.unknown[1];
    return w.window.count && !twice && recipe_within_memory(r, fill_window, &w) && give(&w, bytes, length);
}
