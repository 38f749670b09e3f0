/* value FILE [NAME...]: prints values by name. */
#include "compiler/cli/cli.h"
#include "compiler/cli/terminal.h"
#include "compiler/emit/emit.h"
#include "compiler/recipe.h"

#include <math.h>

/* A range has no nominal value beside its band, so the band is told once. */
static struct text told_value(struct arena *a, const struct value_row *v, enum language language)
{
    const struct shown *s = &v->shown;
    bool twice = !s->band.len || text_same(s->text, s->band);
    if (v->why_not.len)
        return SAID(a, language, "not evaluated: {reason}", {"reason", v->why_not});
    return twice ? s->text : arena_format(a, "%.*s %.*s", TEXT_ARGS(s->text), TEXT_ARGS(s->band));
}

/* Names beside values; on a terminal that is narrow for both, a long name has its value below it. */
static void print_rows(struct strokewright_recipe *r, const struct value_row *rows, uint32_t count,
                       enum language language)
{
    struct terminal t = terminal_of(stdout);
    uint32_t width = 0, most = t.width && t.width < 88 ? t.width / 2 : 44;
    for (uint32_t i = 0; i < count; i++)
        width = rows[i].path.len > width ? rows[i].path.len : width;
    width = width > most ? most : width;
    for (uint32_t i = 0; i < count; i++) {
        const struct value_row *v = &rows[i];
        printf("%-*.*s  ", (int)width, TEXT_ARGS(v->path));
        if (t.width && v->path.len > width)
            printf("\n%*s", (int)width + 2, "");
        uint32_t at = t.width || v->path.len < width ? width + 2 : v->path.len + 2;
        terminal_wrap(&t, told_value(&r->arena, v, language), at, width + 2);
        putchar('\n');
    }
}

static void print_json(struct strokewright_recipe *r, const struct value_row *rows, uint32_t count)
{
    struct buffer b;
    buffer_init(&b, &r->arena);
    json_values(&b, rows, count);
    fwrite(b.at, 1, b.count, stdout);
}

static void print_values(struct strokewright_recipe *r, const struct options *o, const struct value_row *rows,
                         uint32_t count)
{
    if (o->json)
        print_json(r, rows, count);
    else
        print_rows(r, rows, count, o->language);
}

static int show_asked(struct strokewright_recipe *r, const struct options *o)
{
    uint32_t *quantities, count;
    int status = find_asked(r, o, &quantities, &count);
    struct value_row *rows = ARENA_ARRAY(&r->arena, count, struct value_row);
    r->steps.spelling = (struct spelling){false, o->json ? LANGUAGE_EN : o->language};
    for (uint32_t i = 0; i < count; i++)
        rows[i] = recipe_value(r, quantities[i]);
    print_values(r, o, rows, count);
    return status;
}

static int show_values(struct strokewright_recipe *r, const struct options *o, void *unused)
{
    (void)unused;
    if (o->word_count > 1)
        return show_asked(r, o);
    const struct step_table *t = recipe_table(r, (struct spelling){false, o->json ? LANGUAGE_EN : o->language});
    if (!t)
        return complain("out of memory");
    print_values(r, o, t->values.at, t->values.count);
    return EXIT_CLEAN;
}

static int run_value(const struct options *o)
{
    if (!o->word_count)
        return complain("a value of which recipe? usage: strokewright value FILE [NAME ...]");
    const struct demand demand = {.reach = DEMAND_NOMINAL, .values = o->word_count == 1};
    return show_recipe(o, demand, show_values, NULL);
}

const struct verb verb_value = {
    "value",
    "print values by name",
    "[--json] [--lang LANGUAGE] [--date DATE] [--allow-outside] FILE [NAME ...]",
    "Prints values of a recipe by name: 'die.temperature', 'form.force', 'overall-length.cold-tool-size',\n"
    "'cycle.time', or 'stroke.form.force' where a name needs its kind. Without names, every derived value.\n\n"
    "  --json            as JSON: number, unit, band, or why there is none\n"
    "  --lang LANGUAGE   of the words beside the numbers: en, de, es, ja\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--json --lang= --date= --allow-outside",
    run_value,
};
