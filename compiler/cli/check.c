/* check FILE...: reads, checks and says what is wrong. */
#include "compiler/cli/cli.h"
#include "compiler/cli/terminal.h"

static void count_verdicts(const struct strokewright_recipe *r, uint32_t *holds, uint32_t *fails, uint32_t *open)
{
    *holds = *fails = *open = 0;
    for (uint32_t i = 0; i < r->limits.results.count; i++)
        switch (r->limits.results.at[i].verdict) {
        case VERDICT_HOLDS:
            ++*holds;
            break;
        case VERDICT_FAILS:
            ++*fails;
            break;
        case VERDICT_NOT_EVALUATED:
            ++*open;
            break;
        default:
            break;
        }
}

static void print_summary(const char *path, const struct strokewright_recipe *r)
{
    uint32_t holds, fails, open, errors = r->diagnostics.errors;
    count_verdicts(r, &holds, &fails, &open);
    printf("%s: ", path);
    if (r->evaluated && r->limits.results.count)
        printf("%u limit%s hold%s at the stated values, %u fail%s, %u not evaluated", holds, holds == 1 ? "" : "s",
               holds == 1 ? "s" : "", fails, fails == 1 ? "s" : "", open);
    else if (errors)
        printf("limits are not evaluated until the faults are mended");
    else
        printf("nothing to hold against limits");
    printf("; %u error%s, %u warning%s\n", errors, errors == 1 ? "" : "s", r->diagnostics.warnings,
           r->diagnostics.warnings == 1 ? "" : "s");
}

static int check_one(const struct strokewright_library *library, const char *path, const struct options *o)
{
    struct opened_recipe r;
    bool opened = open_recipe(&r, library, path, o);
    struct terminal t = terminal_of(stderr);
    if (o->word_count > 1)
        terminal_done(&t);
    if (!opened)
        return EXIT_USE;
    print_diagnostics(&r, o, SEVERITY_NOTE);
    print_summary(path, r.recipe);
    int status = r.recipe->state == STROKEWRIGHT_GOOD ? EXIT_CLEAN : EXIT_FAULTS;
    close_recipe(&r);
    return status;
}

static int run(const struct options *o)
{
    if (!o->word_count)
        return complain("check which recipe? usage: strokewright check FILE ...");
    struct strokewright_library *library = load_library();
    if (!library)
        return EXIT_USE;
    struct terminal t = terminal_of(stderr);
    int worst = EXIT_CLEAN;
    for (int i = 0; i < o->word_count; i++) {
        if (o->word_count > 1)
            terminal_progress(&t, (uint32_t)i + 1, (uint32_t)o->word_count, o->words[i]);
        int status = check_one(library, o->words[i], o);
        worst = status > worst ? status : worst;
    }
    strokewright_library_free(library);
    return worst;
}

const struct verb verb_check = {
    "check",
    "read recipes and say what is wrong",
    "[--allow-outside] FILE ...",
    "Reads each recipe and the files it uses, works out every value and holds it against the limits. What is wrong is\n"
    "said on standard error, each fault once, with its place and what to write instead; one line a recipe sums up.\n\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--allow-outside",
    run,
};
