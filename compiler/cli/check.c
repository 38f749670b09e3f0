/* check FILE...: reads, checks and says what is wrong. */
#include "compiler/cli/against.h"
#include "compiler/cli/terminal.h"
#include "compiler/emit/emit.h"

enum { TIGHTEST = 8 }; /* limits shown of one recipe unless all are asked for */

/* "36 limits: 35 proved, 1 nominal only": the good first, then what is not. */
static void print_verdicts(const struct strokewright_recipe *r)
{
    uint32_t counts[VERDICT_COUNT] = {0}, applied = 0;
    for (uint32_t i = 0; i < r->limits.results.count; i++) {
        enum verdict v = r->limits.results.at[i].verdict;
        counts[v]++;
        applied += v != VERDICT_NOT_APPLICABLE;
    }
    if (!applied) {
        printf("no limit applies");
        return;
    }
    printf("%u limit%s", applied, applied == 1 ? "" : "s");
    const char *before = ": ";
    for (int v = VERDICT_PROVED; v >= VERDICT_FAILS; v--)
        if (counts[v]) {
            printf("%s%u %s", before, counts[v], v == VERDICT_FAILS ? "failed" : verdict_table[v].word);
            before = ", ";
        }
}

static void print_summary(const char *path, const struct strokewright_recipe *r)
{
    uint32_t errors = r->diagnostics.errors;
    printf("%s: ", path);
    if (r->evaluated && !r->solutions.none && r->limits.results.count)
        print_verdicts(r);
    else if (errors)
        printf("limits are not evaluated until the faults are mended");
    else
        printf("nothing to hold against limits");
    printf("; %u error%s, %u warning%s\n", errors, errors == 1 ? "" : "s", r->diagnostics.warnings,
           r->diagnostics.warnings == 1 ? "" : "s");
}

/* The limits that are open or tightest. */
static void print_limits(struct strokewright_recipe *r, const struct options *o)
{
    const struct step_table *t = strokewright_table(r, SPELL_ASCII);
    uint32_t shown = o->limits ? UINT32_MAX : TIGHTEST, applied = 0;
    struct buffer b;
    if (!t)
        return;
    for (uint32_t i = 0; i < t->limits.count; i++)
        applied += t->limits.at[i].verdict != VERDICT_NOT_APPLICABLE;
    if (!applied)
        return;
    shown = shown < applied ? shown : applied;
    buffer_init(&b, &r->arena);
    text_chosen(&b, t, (uint32_t)o->width);
    if (t->chosen.count)
        buffer_putc(&b, '\n');
    text_limits(&b, t, (uint32_t)o->width, shown);
    fwrite(b.at, 1, b.count, stdout);
    if (shown < applied)
        printf("and %u more with more margin: --limits shows them all\n", applied - shown);
    putchar('\n');
}

static int check_one(const struct strokewright_library *library, struct against *against, const char *path,
                     const struct options *o)
{
    struct opened_recipe r;
    bool opened = open_recipe(&r, library, path, o);
    struct terminal t = terminal_of(stderr);
    if (o->word_count > 1)
        terminal_done(&t);
    if (!opened)
        return EXIT_USE;
    bool held = against_check(against, library, &r, path, o);
    print_diagnostics(&r, o, SEVERITY_NOTE);
    if ((o->limits || o->word_count == 1) && !r.recipe->solutions.none)
        print_limits(r.recipe, o);
    print_summary(path, r.recipe);
    int status = r.recipe->state == STROKEWRIGHT_GOOD ? EXIT_CLEAN : EXIT_FAULTS;
    close_recipe(&r);
    return held ? status : EXIT_USE;
}

static int run(const struct options *o)
{
    if (!o->word_count)
        return complain("check which recipe? usage: strokewright check FILE ...");
    struct against against;
    if (!against_begin(&against, o))
        return EXIT_USE;
    struct strokewright_library *library = load_library(o);
    struct terminal t = terminal_of(stderr);
    int worst = library ? EXIT_CLEAN : EXIT_USE;
    for (int i = 0; library && i < o->word_count; i++) {
        if (o->word_count > 1)
            terminal_progress(&t, (uint32_t)i + 1, (uint32_t)o->word_count, o->words[i]);
        int status = check_one(library, &against, o->words[i], o);
        worst = status > worst ? status : worst;
    }
    strokewright_library_free(library);
    against_end(&against);
    return worst;
}

const struct verb verb_check = {
    "check",
    "read recipes and say what is wrong",
    "[--limits] [--against REVISION|FILE] [--date DATE] [--allow-outside] FILE ...",
    "Reads each recipe and the files it uses, works out every value, and proves every limit over the tolerances. What "
    "is\n"
    "wrong is said on standard error, each fault once, with its place and what to write instead. Of one recipe the "
    "open\n"
    "and the tightest limits are shown; one line a recipe sums up.\n\n"
    "  --limits          all limits of each recipe, the open and the tightest first\n"
    "  --against REV     hold each against what it was at that revision in git, or one against a file: a fault when "
    "it\n"
    "                    means something else and has the same revision, or an earlier one\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--limits --against= --date= --allow-outside",
    run,
};
