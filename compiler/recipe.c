#include "compiler/recipe.h"

#include "compiler/model/embedded.h"
#include "runtime/statistics/uncertainty.h"

#include <stdlib.h>

/* ---- the library ------------------------------------------------------------------------------------------------------------ */

#ifdef PLAIN_PATHS /* the library as if it were a recipe: read, and its words looked up, every time */
static const struct typed_library own_types = {0};

static struct tree *library_tree(struct strokewright_library *l, const struct embedded_file *e)
{
    return parse(&l->arena, &l->sources, source_add(&l->sources, e->path, e->bytes), &l->diagnostics);
}
#else
#define own_types typed_library

static struct tree *library_tree(struct strokewright_library *l, const struct embedded_file *e)
{
    struct tree *t = ARENA_NEW(&l->arena, struct tree);
    *t = e->tree;
    t->file = source_add(&l->sources, e->path, e->bytes);
    return t;
}
#endif

static void read_library(struct strokewright_library *l, const struct embedded_file *files, uint32_t count,
                         const struct typed_library *typed)
{
    sources_init(&l->sources, &l->arena, NULL);
    diagnostics_init(&l->diagnostics, &l->arena);
    scope_init(&l->scope, &l->arena, NULL, &l->sources, &l->diagnostics);
    for (uint32_t i = 0; i < typed->name_count; i++)
        intern(&l->scope.names, typed->names[i]);
    for (uint32_t i = 0; i < count; i++) {
        const struct embedded_file *e = &files[i];
        struct tree *t = library_tree(l, e);
        scope_read_tree(&l->scope, e->path, t, typed->bindings ? typed->bindings[i] : NULL, NULL);
    }
    scope_finish(&l->scope);
    if (typed->bindings)
        type_again(&l->scope);
    else
        type_scope(&l->scope);
}

static struct strokewright_library *library_of(const struct embedded_file *files, uint32_t count,
                                               const struct typed_library *typed)
{
    jmp_buf exhausted;
    struct strokewright_library *volatile l = calloc(1, sizeof *l); /* volatile: it must survive the jump */
    if (!l)
        return NULL;
    arena_init(&l->arena, &exhausted);
    if (setjmp(exhausted)) {
        strokewright_library_free(l);
        return NULL;
    }
    read_library(l, files, count, typed);
    l->arena.exhausted = NULL;
    return l;
}

struct strokewright_library *recipe_library_of(const struct embedded_file *files, uint32_t count)
{
    return library_of(files, count, &(struct typed_library){0});
}

struct strokewright_library *strokewright_library_new(void)
{
    return library_of(embedded_library, embedded_count, &own_types);
}

void strokewright_library_free(struct strokewright_library *l)
{
    if (l)
        arena_free(&l->arena);
    free(l);
}

/* ---- a recipe ---------------------------------------------------------------------------------------------------------------- */

static bool is_released(struct strokewright_recipe *r)
{
    uint32_t recipe = find_recipe(&r->scope);
    uint32_t property = recipe ? find_property_for(&r->scope, recipe, FOR_status) : 0;
    if (!property)
        return false;
    const struct property *p = property_at(&r->scope, property);
    return text_is(node_text(file_at(&r->scope, p->site.file)->tree, p->value), "released");
}

/* What the recipe leaves open is found; of the limits, what is demanded. */
static const struct lowering *settle(struct strokewright_recipe *r, const struct lowering *l)
{
    if (r->demand.reach < DEMAND_NOMINAL)
        return solve_nothing(l);
    return solve_unknowns(&r->solutions, &r->limits, r->demand.ranges, &r->scratch);
}

static void judge(struct strokewright_recipe *r)
{
    const struct deciding how = {.proving = r->demand.reach >= DEMAND_VERDICTS,
                                 .margins = r->demand.reach == DEMAND_MARGINS,
                                 .released = is_released(r),
                                 .today_from = r->library->today_from,
                                 .scratch = &r->scratch};
    limits_decide(&r->limits, &r->values, &how);
}

/* What needs no value that is left open, before one is looked for. */
static bool is_possible_open(struct strokewright_recipe *r, const struct lowering *l)
{
    if (!l->unknowns.count || !l->bounds.count)
        return true;
    const struct lowering *open = solve_nothing(l);
    struct evaluation e = evaluate_nominal(&r->arena, &open->program, NULL);
    return bounds_judge(open, &e) && (r->demand.reach < DEMAND_VERDICTS || bounds_prove(open, &e, &r->scratch));
}

static bool is_possible(struct strokewright_recipe *r)
{
    if (!bounds_judge(r->lowering, &r->values))
        return false;
    bool good = r->demand.reach < DEMAND_VERDICTS || bounds_prove(r->lowering, &r->values, &r->scratch);
    if (good && r->demand.reach >= DEMAND_NOMINAL)
        bounds_remark(r->lowering, &r->values);
    return good;
}

static void evaluate(struct strokewright_recipe *r)
{
    const struct lowering *l = lowering_of(&r->scope, &r->demand, &r->arena);
    if (!is_possible_open(r, l))
        return;
    limits_begin(&r->limits, l);
    r->limits.today = r->library->today;
    r->lowering = settle(r, l);
    r->values = evaluate_nominal(&r->arena, &r->lowering->program, NULL);
    if (!is_possible(r)) {
        r->lowering = NULL;
        return;
    }
    r->steps =
        (struct steps){.lowering = r->lowering, .limits = &r->limits, .values = &r->values, .solutions = &r->solutions};
    r->evaluated = true;
    if (r->demand.reach >= DEMAND_NOMINAL &&
        !r->solutions.none) /* else said; what follows from a value nobody chose is not worth saying */
        judge(r);
}

static bool only_lacks_properties(const struct diagnostics *ds)
{
    for (uint32_t i = 0; i < ds->all.count; i++)
        if (ds->all.at[i]->severity == SEVERITY_ERROR && ds->all.at[i]->fault != FAULT_missing_property)
            return false;
    return ds->errors > 0;
}

/* All that is missing is asked for in one run, what is required and what limits wait for. */
static void ask_for_the_rest(struct strokewright_recipe *r)
{
    limits_begin(&r->limits, lowering_of(&r->scope, &r->demand, &r->arena));
    limits_ask(&r->limits);
}

static bool is_empty(const struct scope *s)
{
    for (uint32_t i = 0; i < s->files.count; i++) {
        const struct tree *t = s->files.at[i].tree;
        if (node_child(t, t->root))
            return false;
    }
    return true;
}

static bool is_unsettled(const struct diagnostics *ds)
{
    for (uint32_t i = 0; i < ds->all.count; i++)
        if (ds->all.at[i]->fault == FAULT_conflict_marker)
            return true;
    return false;
}

static void compile(struct strokewright_recipe *r, struct text path, struct text bytes, const struct loader *loader)
{
    sources_init(&r->sources, &r->arena, &r->library->sources);
    diagnostics_init(&r->diagnostics, &r->arena);
    scope_init(&r->scope, &r->arena, &r->library->scope, &r->sources, &r->diagnostics);
    scope_read(&r->scope, path, bytes, loader);
    if (is_unsettled(&r->diagnostics)) { /* what else is missing may stand in a file that could not be read */
        r->state = STROKEWRIGHT_FAULTY;
        diagnostics_sort(&r->diagnostics);
        return;
    }
    if (is_empty(&r->scope) && !r->diagnostics.errors) {
        struct diagnostic *d = report(&r->diagnostics, FAULT_empty_recipe, (struct span){r->sources.first, 0, 0},
                                      "there is nothing in this file");
        report_help(&r->diagnostics, d, "begin with 'recipe NAME { title = \"...\" part = \"...\" ... }'");
    }
    scope_finish(&r->scope);
    type_scope(&r->scope);
    steps_check(&r->scope);
    /* A fault of form would make every value that follows from it look faulty too, so values wait until it is mended. */
    r->sound = !r->diagnostics.errors;
    if (r->sound && r->demand.reach > DEMAND_TEXT)
        evaluate(r);
    else if (r->demand.reach >= DEMAND_NOMINAL && only_lacks_properties(&r->diagnostics))
        ask_for_the_rest(r);
    changes_check(&r->scope);
    diagnostics_sort(&r->diagnostics);
    r->state = r->diagnostics.errors ? STROKEWRIGHT_FAULTY : STROKEWRIGHT_GOOD;
}

static const struct demand everything = {
    .reach = DEMAND_MARGINS, .ranges = true, .values = true, .papers = true, .budgets = true, .derivation = true};

struct strokewright_recipe *recipe_compile(const struct strokewright_library *library, const struct demand *demand,
                                           struct text path, struct text bytes, const struct loader *loader)
{
    jmp_buf exhausted;
    struct strokewright_recipe *r = calloc(1, sizeof *r);
    if (!r)
        return NULL;
    r->library = library;
    r->demand = demand ? *demand : everything;
    arena_init(&r->arena, &exhausted);
    arena_init(&r->scratch, &exhausted);
    if (setjmp(exhausted))
        r->state = STROKEWRIGHT_NO_MEMORY;
    else
        compile(r, path, bytes, loader);
    r->arena.exhausted = r->scratch.exhausted = NULL;
    return r;
}

bool recipe_has_values(const struct strokewright_recipe *r)
{
    return r->evaluated && !r->solutions.none;
}

void strokewright_free(struct strokewright_recipe *r)
{
    if (r) {
        arena_free(&r->arena);
        arena_free(&r->scratch);
    }
    free(r);
}

/* ---- fingerprint and table --------------------------------------------------------------------------------------------------- */

const struct fingerprint *recipe_fingerprint_parts(struct strokewright_recipe *r)
{
    if (!r->fingerprint.hash.len)
        fingerprint_of(&r->fingerprint, &r->arena, &r->scope);
    return &r->fingerprint;
}

struct text recipe_fingerprint(struct strokewright_recipe *r)
{
    return recipe_fingerprint_parts(r)->hash;
}

bool recipe_within_memory(struct strokewright_recipe *r, void (*work)(struct strokewright_recipe *, void *),
                          void *argument)
{
    jmp_buf exhausted, *outer = r->arena.exhausted;
    bool volatile good = false;
    r->arena.exhausted = r->scratch.exhausted = &exhausted;
    if (!setjmp(exhausted)) {
        work(r, argument);
        good = true;
    } else {
        r->state = STROKEWRIGHT_NO_MEMORY;
    }
    r->arena.exhausted = r->scratch.exhausted = outer;
    return good;
}

struct table_asked {
    struct spelling spelling;
    struct step_table **table;
};

static void make_table(struct strokewright_recipe *r, void *argument)
{
    const struct table_asked *asked = argument;
    struct text path = source_at(&r->sources, r->sources.first)->path;
    *asked->table = steps_table(&r->steps, &r->demand, asked->spelling, path, TEXT(STROKEWRIGHT_VERSION));
    (*asked->table)->fingerprint = recipe_fingerprint(r);
}

const struct step_table *recipe_table(struct strokewright_recipe *r, struct spelling spelling)
{
    struct step_table **table = &r->table[spelling.print][spelling.language];
    struct table_asked asked = {spelling, table};
    if (r->evaluated && !*table && !recipe_within_memory(r, make_table, &asked))
        return NULL;
    return *table;
}

/* ---- values, limits, window ------------------------------------------------------------------------------------------- */

static struct text text_at(struct strokewright_recipe *r, struct site property)
{
    uint32_t value = node_value(file_at(&r->scope, property.file)->tree, property.node);
    return filled_text(&r->steps, (struct site){property.file, value}, 0);
}

struct value_row recipe_value(struct strokewright_recipe *r, uint32_t q)
{
    const struct lowering *l = r->lowering;
    struct value_row row = {.path = l->quantities.at[q].path,
                            .shown = shown_value(&r->steps, q),
                            .why_not = quantity_why_not(&r->steps, q)};
    if (l->quantities.at[q].value.tag == LOW_TEXT)
        row.shown = shown_words(&r->steps, text_at(r, l->quantities.at[q].site));
    return row;
}

struct limits_asked {
    struct spelling spelling;
    const struct step_table *made;
};

static void make_limits(struct strokewright_recipe *r, void *argument)
{
    struct limits_asked *asked = argument;
    asked->made = steps_limits_table(&r->steps, asked->spelling);
}

const struct step_table *recipe_limits_table(struct strokewright_recipe *r, struct spelling spelling)
{
    struct limits_asked asked = {spelling, NULL};
    return r->evaluated && recipe_within_memory(r, make_limits, &asked) ? asked.made : NULL;
}

struct window_asked {
    const struct window_request *request;
    struct window_map *map;
};

static void fill_window(struct strokewright_recipe *r, void *argument)
{
    const struct window_asked *asked = argument;
    window_fill(asked->map, &r->limits, &r->solutions, asked->request, &r->scratch);
}

bool recipe_window(struct strokewright_recipe *r, const struct window_request *request, struct window_map *map)
{
    struct window_asked asked = {request, map};
    return recipe_within_memory(r, fill_window, &asked);
}
