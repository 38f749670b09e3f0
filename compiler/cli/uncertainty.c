/* uncertainty FILE NAME...: prints budgets. */
#include "compiler/cli/cli.h"
#include "compiler/review/budget/budget.h"
#include "runtime/base/number.h"

/* A whole number without sign, at most `most`. */
static bool whole_number(const char *text, uint64_t most, uint64_t *value)
{
    uint64_t sum = 0;
    for (const char *at = text; *at; at++) {
        uint64_t digit = (uint64_t)(*at - '0');
        if (*at < '0' || *at > '9' || sum > (most - digit) / 10)
            return false;
        sum = 10 * sum + digit;
    }
    *value = sum;
    return *text != 0;
}

/* "95", "99.73": percent. */
static bool read_coverage(const char *text, double *share)
{
    double percent;
    if (number_read(text_of(text), &percent) != NUMBER_OK || !(percent > 0) || percent > 99.9999)
        return false;
    *share = percent / 100;
    return true;
}

static bool read_order(const struct options *o, struct budget_order *order)
{
    uint64_t samples = 0;
    *order = (struct budget_order){.coverage = 0.95, .seed = 1};
    if (o->samples && (!whole_number(o->samples, SAMPLES_MOST, &samples) || samples < SAMPLES_LEAST)) {
        complain("--samples takes a whole number from %d to %d, not '%s'", SAMPLES_LEAST, SAMPLES_MOST, o->samples);
        return false;
    }
    order->samples = (uint32_t)samples;
    if (o->seed && !whole_number(o->seed, UINT64_MAX, &order->seed)) {
        complain("--seed takes a whole number, not '%s'", o->seed);
        return false;
    }
    if (o->seed && !o->samples) {
        complain("--seed belongs to --samples");
        return false;
    }
    if (o->coverage && !read_coverage(o->coverage, &order->coverage)) {
        complain("--coverage takes a percentage above 0 and up to 99.9999, not '%s'", o->coverage);
        return false;
    }
    return true;
}

static int print_budgets(struct strokewright_recipe *r, const struct options *o, const uint32_t *quantities,
                         uint32_t count, const struct budget_order *order)
{
    struct buffer b;
    const struct budget *budgets = budgets_of(r, quantities, count, order);
    if (!budgets)
        return complain("out of memory; ask for fewer samples");
    buffer_init(&b, &r->arena);
    for (uint32_t i = 0; i < count; i++) {
        if (o->json)
            break;
        if (i)
            buffer_putc(&b, '\n');
        budget_text(&b, &budgets[i]);
    }
    if (o->json)
        budget_json(&b, budgets, count);
    fwrite(b.at, 1, b.count, stdout);
    return EXIT_CLEAN;
}

static int show(struct strokewright_recipe *r, const struct options *o, void *order)
{
    uint32_t *quantities, count;
    int status = find_asked(r, o, &quantities, &count);
    int printed = print_budgets(r, o, quantities, count, order);
    return printed == EXIT_CLEAN ? status : printed;
}

static int run_uncertainty(const struct options *o)
{
    struct budget_order order;
    if (o->word_count < 2)
        return complain("the uncertainty of what? usage: strokewright uncertainty FILE NAME ...");
    if (!read_order(o, &order))
        return EXIT_USE;
    return show_recipe(o, (struct demand){.reach = DEMAND_NOMINAL}, show, &order);
}

const struct verb verb_uncertainty = {
    "uncertainty",
    "how far a value may be off, and what makes it so",
    "[--samples N [--seed S]] [--coverage PERCENT] [--json] [--date DATE] [--allow-outside] FILE NAME ...",
    "Prints the uncertainty budget of values after JCGM 100 (GUM): of each input with a band its standard "
    "uncertainty,\n"
    "how it moves the value, its contribution and share; then what they come to, with the second-order terms, the\n"
    "effective degrees of freedom and the expanded uncertainty. A band is taken as rectangular unless the recipe says\n"
    "otherwise behind it: '+/- 75 nm as normal(k 3)'.\n\n"
    "  --samples N         the same by N samples after JCGM 101, from 1000 to 100000000, and how the two compare\n"
    "  --seed S            which samples; 1 when not given. The same seed gives the same bytes on every machine\n"
    "  --coverage PERCENT  share of the values inside the intervals; 95 when not given\n"
    "  --json              as JSON\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside     'use' may name files outside the recipe's folder\n",
    "--samples= --seed= --coverage= --json --date= --allow-outside",
    run_uncertainty,
};
