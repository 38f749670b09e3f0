/* The public interface. Every function that needs memory gets it within recipe_within_memory(). */
#include "compiler/strokewright.h"

#include "compiler/recipe.h"
#include "runtime/base/date.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

const char *strokewright_version(void)
{
    return STROKEWRIGHT_VERSION;
}

int strokewright_abi(void)
{
    return STROKEWRIGHT_ABI;
}

bool strokewright_set_day(struct strokewright_library *l, const char *day)
{
    int year, month, date, end = 0;
    if (sscanf(day, "%4d-%2d-%2d%n", &year, &month, &date, &end) != 3 || end != 10 || day[end] ||
        !day_exists(year, month, date))
        return false;
    memcpy(l->day, day, sizeof l->day);
    l->today = (struct text){l->day, 10};
    l->today_from = TEXT("");
    return true;
}

/* ---- compiling --------------------------------------------------------------------------------------------------------- */

static struct demand demand_of(const struct strokewright_demand *d, struct text *names)
{
    struct demand demand = {.reach = (enum demand_reach)d->reach,
                            .ranges = d->ranges,
                            .values = d->values || d->outputs,
                            .papers = d->outputs,
                            .budgets = d->outputs,
                            .names = names,
                            .name_count = d->name_count};
    for (uint32_t i = 0; i < d->name_count; i++)
        names[i] = text_of(d->names[i]);
    return demand;
}

static enum fault load(void *context, struct arena *a, struct text from, struct text wanted, struct text *path,
                       struct text *bytes, struct text *why)
{
    const struct strokewright_loader *loader = context;
    struct strokewright_file file = {0};
    *why = TEXT("the program that reads the recipe has no such file");
    if (!loader->load(loader->context, arena_text(a, from).at, arena_text(a, wanted).at, &file) || !file.path)
        return FAULT_use_not_found;
    if (file.length > SOURCE_LIMIT)
        return FAULT_file_too_large;
    *path = text_of(file.path);
    *bytes = (struct text){file.bytes, (uint32_t)file.length};
    return (enum fault)LOAD_OK;
}

struct strokewright_recipe *strokewright_compile(const struct strokewright_library *library,
                                                 const struct strokewright_demand *wanted,
                                                 const struct strokewright_file *file,
                                                 const struct strokewright_loader *given)
{
    uint32_t count = wanted ? wanted->name_count : 0;
    struct text *names = calloc(count + 1, sizeof *names);
    struct strokewright_loader copy = given ? *given : (struct strokewright_loader){0};
    struct loader loader = {&copy, load};
    if (!names || file->length > SOURCE_LIMIT) {
        free(names);
        return NULL;
    }
    struct demand demand = wanted ? demand_of(wanted, names) : (struct demand){0};
    struct text bytes = {file->bytes, (uint32_t)file->length};
    struct strokewright_recipe *r =
        recipe_compile(library, wanted ? &demand : NULL, text_of(file->path), bytes, given ? &loader : NULL);
    free(names);
    return r;
}

enum strokewright_state strokewright_state(const struct strokewright_recipe *r)
{
    return r->state;
}

/* ---- asking within memory ---------------------------------------------------------------------------------------------- */

struct question { /* what is asked of a recipe, and whether there is an answer */
    uint32_t index;
    const char *name;
    void *out;
    bool good;
};

static bool ask(struct strokewright_recipe *r, void (*answer)(struct strokewright_recipe *, void *),
                struct question question)
{
    return r->state != STROKEWRIGHT_NO_MEMORY && recipe_within_memory(r, answer, &question) && question.good;
}

/* A copy that ends in a NUL. */
static const char *string_of(struct strokewright_recipe *r, struct text text)
{
    return arena_text(&r->arena, text).at;
}

static void answer_fingerprint(struct strokewright_recipe *r, void *question)
{
    struct question *q = question;
    *(const char **)q->out = string_of(r, recipe_fingerprint(r));
    q->good = true;
}

const char *strokewright_fingerprint(struct strokewright_recipe *r)
{
    const char *out = NULL;
    return r->sound && ask(r, answer_fingerprint, (struct question){.out = &out}) ? out : NULL;
}

/* ---- diagnostics ------------------------------------------------------------------------------------------------------- */

uint32_t strokewright_diagnostic_count(const struct strokewright_recipe *r)
{
    return r->state == STROKEWRIGHT_NO_MEMORY ? 0 : r->diagnostics.all.count;
}

static void answer_diagnostic(struct strokewright_recipe *r, void *question)
{
    struct question *q = question;
    struct strokewright_diagnostic *out = q->out;
    const struct diagnostic *d = r->diagnostics.all.at[q->index];
    *out = (struct strokewright_diagnostic){.id = fault_table[d->fault].slug,
                                            .severity = (enum strokewright_severity)d->severity,
                                            .message = string_of(r, d->message),
                                            .help = string_of(r, d->help),
                                            .path = ""};
    q->good = true;
    if (!d->span.file)
        return;
    struct place from = place_of(&r->sources, d->span.file, d->span.lo),
                 to = place_of(&r->sources, d->span.file, d->span.hi);
    out->path = string_of(r, source_at(&r->sources, d->span.file)->path);
    out->line = from.line;
    out->column = from.column;
    out->end_line = to.line;
    out->end_column = to.column;
}

bool strokewright_diagnostic(struct strokewright_recipe *r, uint32_t index, struct strokewright_diagnostic *out)
{
    return index < strokewright_diagnostic_count(r) &&
           ask(r, answer_diagnostic, (struct question){.index = index, .out = out});
}

/* ---- values ------------------------------------------------------------------------------------------------------------ */

static void put_value(struct strokewright_recipe *r, const struct value_row *row, struct strokewright_value *out)
{
    *out = (struct strokewright_value){.name = string_of(r, row->path),
                                       .number = row->shown.value,
                                       .low = row->shown.low,
                                       .high = row->shown.high,
                                       .unit = string_of(r, row->shown.unit),
                                       .text = string_of(r, row->shown.text),
                                       .band = string_of(r, row->shown.band),
                                       .why_not = string_of(r, row->why_not)};
    if (row->why_not.len)
        out->number = out->low = out->high = NAN;
}

static void answer_value_named(struct strokewright_recipe *r, void *question)
{
    struct question *q = question;
    uint32_t quantity = lowering_named(r->lowering, text_of(q->name));
    q->good = quantity != 0;
    if (!q->good)
        return;
    r->steps.spelling = SPELL_ASCII;
    struct value_row row = recipe_value(r, quantity);
    put_value(r, &row, q->out);
}

bool strokewright_value_named(struct strokewright_recipe *r, const char *name, struct strokewright_value *out)
{
    return r->evaluated && ask(r, answer_value_named, (struct question){.name = name, .out = out});
}

static const struct step_table *table_of(struct strokewright_recipe *r)
{
    return r->state == STROKEWRIGHT_NO_MEMORY ? NULL : recipe_table(r, SPELL_ASCII);
}

uint32_t strokewright_value_count(struct strokewright_recipe *r)
{
    const struct step_table *t = table_of(r);
    return t ? t->values.count : 0;
}

static void answer_value(struct strokewright_recipe *r, void *question)
{
    struct question *q = question;
    put_value(r, &table_of(r)->values.at[q->index], q->out);
    q->good = true;
}

bool strokewright_value(struct strokewright_recipe *r, uint32_t index, struct strokewright_value *out)
{
    return index < strokewright_value_count(r) && ask(r, answer_value, (struct question){.index = index, .out = out});
}

/* ---- limits ------------------------------------------------------------------------------------------------------------ */

/* Rows are made once. */
static const struct step_table *limits_of(struct strokewright_recipe *r)
{
    bool judged = r->state != STROKEWRIGHT_NO_MEMORY && recipe_has_values(r) && r->demand.reach >= DEMAND_NOMINAL;
    if (judged && !r->limit_rows)
        r->limit_rows = recipe_limits_table(r, SPELL_ASCII);
    return judged ? r->limit_rows : NULL;
}

uint32_t strokewright_limit_count(struct strokewright_recipe *r)
{
    const struct step_table *t = limits_of(r);
    return t ? t->limits.count : 0;
}

static void answer_limit(struct strokewright_recipe *r, void *question)
{
    struct question *q = question;
    const struct limit_row *row = &limits_of(r)->limits.at[q->index];
    *(struct strokewright_limit *)q->out = (struct strokewright_limit){.name = string_of(r, row->name),
                                                                       .subject = string_of(r, row->subject),
                                                                       .verdict = verdict_table[row->verdict].word,
                                                                       .open = is_open_verdict(row->verdict),
                                                                       .value = string_of(r, row->value),
                                                                       .bound = string_of(r, row->bound),
                                                                       .margin = row->margin,
                                                                       .worst_margin = row->worst_margin,
                                                                       .why_not = string_of(r, row->why_not)};
    q->good = true;
}

bool strokewright_limit(struct strokewright_recipe *r, uint32_t index, struct strokewright_limit *out)
{
    return index < strokewright_limit_count(r) && ask(r, answer_limit, (struct question){.index = index, .out = out});
}
