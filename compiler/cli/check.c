/* check FILE...: reads, checks and says what is wrong. */
#include "compiler/cli/against.h"
#include "compiler/cli/certificate.h"
#include "compiler/cli/terminal.h"
#include "compiler/emit/diagnostics.h"
#include "compiler/emit/emit.h"
#include "compiler/emit/escape.h"
#include "compiler/review/discipline/discipline.h"
#include "compiler/text/render.h"
#include "runtime/base/pool.h"

#include <unistd.h>

enum { TIGHTEST = 8 }; /* limits shown of one recipe unless all are asked for */

/* A line of words, wrapped on a terminal and whole in a pipe. */
static void print_line(struct text words)
{
    struct terminal t = terminal_of(stdout);
    terminal_wrap(&t, words, 0, 4);
    putchar('\n');
}

/* "36 limits: 35 proved, 1 nominal only": the good first, then what is not. */
static void put_verdicts(struct buffer *b, const struct strokewright_recipe *r)
{
    uint32_t counts[VERDICT_COUNT] = {0}, applied = 0;
    for (uint32_t i = 0; i < r->limits.results.count; i++) {
        enum verdict v = r->limits.results.at[i].verdict;
        counts[v]++;
        applied += v != VERDICT_NOT_APPLICABLE;
    }
    if (!applied) {
        buffer_put(b, TEXT("no limit applies"));
        return;
    }
    buffer_printf(b, "%u limit%s", applied, applied == 1 ? "" : "s");
    const char *before = ": ";
    for (int v = VERDICT_PROVED; v >= VERDICT_FAILS; v--)
        if (counts[v]) {
            buffer_printf(b, "%s%u %s", before, counts[v], v == VERDICT_FAILS ? "failed" : verdict_table[v].word);
            before = ", ";
        }
}

static void print_summary(struct text path, struct strokewright_recipe *r)
{
    uint32_t errors = r->diagnostics.errors;
    struct buffer b;
    buffer_init(&b, &r->arena);
    escape_put_plain(&b, path);
    buffer_put(&b, TEXT(": "));
    if (recipe_has_values(r) && r->limits.results.count)
        put_verdicts(&b, r);
    else if (errors)
        buffer_put(&b, TEXT("limits are not evaluated until the faults are mended"));
    else
        buffer_put(&b, TEXT("nothing to hold against limits"));
    buffer_printf(&b, "; %u error%s, %u warning%s", errors, errors == 1 ? "" : "s", r->diagnostics.warnings,
                  r->diagnostics.warnings == 1 ? "" : "s");
    print_line(buffer_text(&b));
}

/* The limits that are open or tightest. */
static void print_limits(struct strokewright_recipe *r, const struct options *o)
{
    const struct step_table *t = recipe_limits_table(r, SPELL_ASCII);
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
        print_line(arena_format(&r->arena, "and %u more with more margin: --limits shows them all", applied - shown));
    putchar('\n');
}

/* ---- for programs ------------------------------------------------------------------------------------------------ */

enum format { FORMAT_TEXT, FORMAT_JSON, FORMAT_SARIF, FORMAT_COUNT };

struct totals { /* of recipes */
    uint32_t good, faulty, unread, same;
    uint32_t errors, warnings;
};

struct checking {
    const struct options *options;
    const struct strokewright_library *library;
    struct demand demand;
    struct against *against; /* by worker */
    struct checked *recipes; /* by their place among the arguments */
    enum format format;
    int status;          /* the worst so far */
    enum severity least; /* told */
    struct totals totals;
    struct discipline_shared shared; /* what files moved that several recipes use */
    struct buffer moved;             /* --changes: what differs in each recipe */
    struct buffer names;             /* and their names */
    struct arena arena;              /* of all above */
    struct buffer log;
    struct sarif sarif;
};

static void count_recipe(struct totals *t, const struct strokewright_recipe *r)
{
    bool good = r->state == STROKEWRIGHT_GOOD;
    t->good += good;
    t->faulty += !good;
    t->errors += r->diagnostics.errors;
    t->warnings += r->diagnostics.warnings;
}

static void put_count(struct buffer *b, const char *before, uint32_t count, const char *what)
{
    if (count)
        buffer_printf(b, "%s%u %s", before, count, what);
}

/* "200 recipes: 198 without errors, 2 with errors; 3 errors, 12 warnings" */
static void print_totals(struct checking *c)
{
    const struct totals *t = &c->totals;
    struct buffer b;
    buffer_init(&b, &c->arena);
    buffer_printf(&b, "%d recipes: %u without errors", c->options->word_count, t->good);
    put_count(&b, ", ", t->faulty, "with errors");
    put_count(&b, ", ", t->same, "not worked out again");
    put_count(&b, ", ", t->unread, "not read");
    buffer_printf(&b, "; %u error%s, %u warning%s", t->errors, t->errors == 1 ? "" : "s", t->warnings,
                  t->warnings == 1 ? "" : "s");
    print_line(buffer_text(&b));
}

static bool find_format(const char *wanted, enum format *format)
{
    static const char *const names[FORMAT_COUNT] = {"text", "json", "sarif"};
    *format = FORMAT_TEXT;
    for (int i = 0; wanted && i < FORMAT_COUNT; i++)
        if (strcmp(names[i], wanted) == 0) {
            *format = (enum format)i;
            return true;
        }
    if (wanted)
        complain("there is no format '%s'; there are text, json and sarif", wanted);
    return !wanted;
}

/* What could not be read is told in the log too: who reads the log sees no standard error. */
static void log_unread(struct checking *c, const char *path, enum fault fault, struct text why)
{
    struct sources none;
    struct diagnostics ds;
    sources_init(&none, &c->arena, NULL);
    diagnostics_init(&ds, &c->arena);
    fault = fault == FAULT_use_not_found ? FAULT_unreadable_file : fault;
    struct diagnostic *d = report(&ds, fault, (struct span){0}, "cannot read %s: %.*s", path, TEXT_ARGS(why));
    if (c->format == FORMAT_JSON)
        diagnostics_json(&c->log, &none, &ds, text_of(path));
    else if (c->format == FORMAT_SARIF)
        sarif_unread(&c->sarif, d->message);
}

static void log_recipe(struct checking *c, struct strokewright_recipe *r, struct text path)
{
    struct diagnostics shown = diagnostics_from(&r->diagnostics, c->least);
    if (c->format == FORMAT_JSON)
        diagnostics_json(&c->log, &r->sources, &shown, path);
    else
        sarif_add(&c->sarif, &r->sources, &shown, path);
}

/* JSON Lines go out as they come. */
static void flush_log(struct checking *c)
{
    if (c->log.count)
        fwrite(c->log.at, 1, c->log.count, stdout);
    c->log.count = 0;
}

/* ---- one recipe -------------------------------------------------------------------------------------------------- */

struct checked { /* all that is worked out before it is its turn to be told */
    struct opened_recipe opened;
    enum against_state state;
    bool good; /* it is open */
    bool held; /* against what it was */
    enum fault unread;
    struct text why; /* it could not be read */
    struct discipline_move move;
    bool exhausted; /* memory ran out */
    struct arena arena;
    struct buffer complaints, moved;
};

static bool open_checked(const struct checking *c, struct checked *r, const char *path)
{
    struct text bytes, why = TEXT("");
    begin_recipe(&r->opened, path, c->options);
    r->unread = read_input(&r->opened.arena, path, &bytes, &why);
    if (r->unread == (enum fault)LOAD_OK)
        return compile_opened(&r->opened, c->library, &c->demand, shown_path(path), bytes);
    r->why = arena_text(&r->arena, why);
    complain("cannot read %.*s: %.*s", TEXT_ARGS(shown_path(path)), TEXT_ARGS(r->why));
    arena_free(&r->opened.arena);
    return false;
}

/* Of many recipes one line each is enough, unless all limits are asked for. */
static bool shows_limits(const struct checking *c)
{
    return c->format == FORMAT_TEXT && (c->options->limits || (c->options->word_count == 1 && !c->options->only));
}

static void print_checked(struct checking *c, struct opened_recipe *r, struct text path)
{
    const struct options *o = c->options;
    if (c->format != FORMAT_TEXT) {
        log_recipe(c, r->recipe, path);
        return;
    }
    print_diagnostics(r, o, c->least);
    if (o->only && r->recipe->state == STROKEWRIGHT_GOOD)
        return;
    if (r->recipe->diagnostics.all.count && o->terminal && terminal_of(stdout).width) /* one page, two streams */
        putchar('\n');
    if (shows_limits(c) && !r->recipe->solutions.none)
        print_limits(r->recipe, o);
    print_summary(path, r->recipe);
}

/* Of a repository nearly all means what it meant, and need not be worked out again. */
static enum against_state state_of(const struct checking *c, struct against *against, const char *path)
{
    static const struct demand read = {.reach = DEMAND_TEXT};
    struct opened_recipe r;
    if (!against->name || against->file || c->options->all || access(path, R_OK) != 0)
        return AGAINST_CHANGED;
    if (!open_recipe(&r, c->library, &read, path, c->options))
        return AGAINST_UNREADABLE;
    enum against_state state = against_state_of(against, c->library, &r, path, c->options);
    close_recipe(&r);
    return state;
}

static void check_piece(const struct checking *c, struct checked *r, struct against *against, const char *path)
{
    against->arena.exhausted = out_of_memory();
    arena_init(&r->arena, out_of_memory());
    buffer_init(&r->complaints, &r->arena);
    complain_into(&r->complaints);
    r->state = state_of(c, against, path);
    r->good = r->state == AGAINST_CHANGED && open_checked(c, r, path);
    r->held = r->good && against_check(against, c->library, &r->opened, path, c->options, &r->arena, &r->move);
    buffer_init(&r->moved, &r->arena);
    if (c->options->changes && r->good && r->held)
        against_tell(against, c->library, &r->opened, path, c->options, &r->moved);
}

/* In any thread. */
static void check_one(void *checking, uint32_t i, uint32_t worker)
{
    const struct checking *c = checking;
    struct checked *r = &c->recipes[i];
    jmp_buf exhausted, *outer = out_of_memory_to(&exhausted);
    if (setjmp(exhausted))
        *r = (struct checked){.state = AGAINST_UNREADABLE, .exhausted = true};
    else
        check_piece(c, r, &c->against[worker], c->options->words[i]);
    complain_into(NULL);
    out_of_memory_to(outer);
}

static int status_of(const struct checked *r)
{
    if (!r->good)
        return r->state == AGAINST_SAME ? EXIT_CLEAN : EXIT_USE;
    if (!r->held)
        return EXIT_USE;
    return r->opened.recipe->state == STROKEWRIGHT_GOOD ? EXIT_CLEAN : EXIT_FAULTS;
}

/* Progress is shown between two recipes. */
static void show_progress(const struct checking *c, uint32_t i)
{
    const struct options *o = c->options;
    struct terminal t = terminal_of(stderr);
    if (o->word_count > 1 && i < (uint32_t)o->word_count)
        terminal_progress(&t, i + 1, (uint32_t)o->word_count, o->words[i]);
}

/* For --changes: what differs, and a line of the list in front of all. */
static void add_changes(struct checking *c, const struct checked *r, const char *path)
{
    bool flagged = r->move.causes.count || (r->good && r->opened.recipe->diagnostics.errors);
    if (!r->moved.count && !flagged)
        return;
    buffer_put(&c->moved, buffer_text(&r->moved));
    buffer_put(&c->names, TEXT("- "));
    compare_markdown_code(&c->names, text_of(path));
    buffer_put(&c->names, r->move.asks           ? TEXT(" needs a new revision: a file it uses moved it")
                          : r->move.causes.count ? TEXT(" is moved by a file it uses")
                          : r->opened.recipe->diagnostics.errors ? TEXT(" has faults")
                                                                 : TEXT(" means something else"));
    buffer_putc(&c->names, '\n');
}

/* In the order of the arguments. */
static void print_one(void *checking, uint32_t i)
{
    struct checking *c = checking;
    struct checked *r = &c->recipes[i];
    const char *path = c->options->words[i];
    int status = status_of(r);
    struct terminal t = terminal_of(stderr);
    if (c->options->word_count > 1)
        terminal_done(&t);
    r->arena.exhausted = out_of_memory();
    recipe_out_of_memory(&r->opened);
    if (r->complaints.count)
        fwrite(r->complaints.at, 1, r->complaints.count, stderr);
    if (r->exhausted)
        complain("out of memory while checking %s", path);
    if (r->why.len)
        log_unread(c, path, r->unread, r->why);
    c->totals.unread += !r->good && r->state != AGAINST_SAME;
    c->totals.same += r->state == AGAINST_SAME;
    if (r->state == AGAINST_SAME && c->format == FORMAT_TEXT && !c->options->only)
        printf("%s: means the same as at %s; not worked out again\n", path, c->against->name);
    if (r->good) {
        discipline_shared_add(&c->shared, &r->move);
        add_changes(c, r, path);
        print_checked(c, &r->opened, shown_path(path));
        count_recipe(&c->totals, r->opened.recipe);
        if (c->options->certificate && !write_certificate(&r->opened, path, c->options->certificate))
            status = EXIT_USE;
        close_recipe(&r->opened);
    }
    arena_free(&r->arena);
    if (c->format == FORMAT_JSON)
        flush_log(c);
    fflush(stdout);
    c->status = status > c->status ? status : c->status;
    show_progress(c, i + 1);
}

/* Behind all recipes: what files moved that they use. */
static void tell_shared(struct checking *c)
{
    const struct options *o = c->options;
    struct diagnostics g;
    struct buffer b;
    if (!c->shared.files.count)
        return;
    diagnostics_init(&g, &c->arena);
    buffer_init(&b, &c->arena);
    discipline_shared_report(&c->shared, &g, against_words(c->against, &c->arena));
    if (c->format == FORMAT_JSON)
        diagnostics_json(&c->log, &c->shared.sources, &g, c->shared.files.at[0].path);
    else if (c->format == FORMAT_SARIF)
        sarif_add(&c->sarif, &c->shared.sources, &g, c->shared.files.at[0].path);
    else
        render_text(&b, &c->shared.sources, &g,
                    (struct render_style){.color = o->color, .width = o->width, .terminal = o->terminal});
    if (b.count)
        fwrite(b.at, 1, b.count, stderr);
    if (g.errors && c->status == EXIT_CLEAN)
        c->status = EXIT_FAULTS;
}

static int write_changes(struct checking *c)
{
    struct buffer b;
    buffer_init(&b, &c->arena);
    if (c->names.count)
        buffer_printf(&b, "# What changes\n\n%.*s\n%.*s", TEXT_ARGS(buffer_text(&c->names)),
                      TEXT_ARGS(buffer_text(&c->moved)));
    int fault = buffer_write_file(c->options->changes, buffer_text(&b));
    return fault ? complain("cannot write %s: %s", c->options->changes, strerror(fault)) : EXIT_CLEAN;
}

static void check_all(struct checking *c)
{
    uint32_t count = (uint32_t)c->options->word_count;
    if (c->format == FORMAT_SARIF)
        sarif_begin(&c->sarif, &c->log);
    c->recipes = ARENA_ARRAY(&c->arena, count, struct checked);
    show_progress(c, 0);
    pool_run(count, check_one, print_one, c);
    tell_shared(c);
    if (c->options->changes && write_changes(c) != EXIT_CLEAN)
        c->status = EXIT_USE;
    if (c->format == FORMAT_TEXT && count > 1)
        print_totals(c);
    if (c->format == FORMAT_SARIF)
        sarif_end(&c->sarif, STROKEWRIGHT_VERSION, c->status);
    flush_log(c);
}

static bool begin_against(struct checking *c, uint32_t workers)
{
    c->against = ARENA_ARRAY(&c->arena, workers, struct against);
    for (uint32_t i = 0; i < workers; i++)
        if (!against_begin(&c->against[i], c->options))
            return false;
    return true;
}

static int check(struct checking *c)
{
    uint32_t workers = pool_workers((uint32_t)c->options->word_count);
    if (!begin_against(c, workers))
        return EXIT_USE;
    struct strokewright_library *library = load_library(c->options);
    c->library = library;
    if (library)
        check_all(c);
    strokewright_library_free(library);
    for (uint32_t i = 0; i < workers; i++)
        against_end(&c->against[i]);
    return library ? c->status : EXIT_USE;
}

static struct demand demand_of(const struct checking *c)
{
    struct demand demand = {.reach = DEMAND_VERDICTS};
    if (shows_limits(c))
        demand = (struct demand){.reach = DEMAND_MARGINS, .ranges = true};
    if (c->options->against) {
        demand.reach = DEMAND_MARGINS;
        demand.values = true;
    }
    return demand;
}

static int run_check(const struct options *o)
{
    struct checking c = {.options = o};
    if (!o->word_count)
        return complain("check which recipe? usage: strokewright check FILE ...");
    if (!find_format(o->format, &c.format))
        return EXIT_USE;
    if (o->only && strcmp(o->only, "errors") != 0)
        return complain("--only takes errors, not '%s'", o->only);
    if (o->certificate && o->word_count > 1)
        return complain("a certificate is of one recipe; %d are named", o->word_count);
    c.least = o->only ? SEVERITY_ERROR : SEVERITY_NOTE;
    arena_init(&c.arena, out_of_memory());
    buffer_init(&c.log, &c.arena);
    c.demand = demand_of(&c);
    buffer_init(&c.moved, &c.arena);
    buffer_init(&c.names, &c.arena);
    discipline_shared_init(&c.shared, &c.arena);
    int status = check(&c);
    arena_free(&c.arena);
    return status;
}

const struct verb verb_check = {
    "check",
    "read recipes and say what is wrong",
    "[--limits] [--only errors] [--format text|json|sarif] [--against REVISION|FILE [--asks-for-revision LIST]\n"
    "       [--changes FILE]] [--all] [--certificate FILE] [--date DATE] [--allow-outside] FILE ...",
    "Reads each recipe and the files it uses, works out every value, and proves every limit over the tolerances. What "
    "is\n"
    "wrong is said on standard error, each fault once, with its place and what to write instead. Of one recipe the "
    "open\n"
    "and the tightest limits are shown; one line a recipe sums up, and one line all of several. '-' reads standard "
    "input.\n\n"
    "  --limits          all limits of each recipe, the open and the tightest first\n"
    "  --only errors     no warnings and notes, and of several recipes only the lines of those that have errors\n"
    "  --format FORMAT   text; json for JSON Lines, one object a diagnostic; sarif for a SARIF 2.1.0 log: both on "
    "standard\n"
    "                    output, and nothing else there\n"
    "  --against REV     hold each against what it was at that revision in git, or one against a file: a fault when "
    "it\n"
    "                    means something else and has the same revision, or an earlier one\n"
    "                    What means the same, and has no waivers, is not worked out again\n"
    "  --asks-for-revision LIST\n"
    "                    what asks for a new revision of a recipe when only a file it uses was changed:\n"
    "                    sizes,settings,limits,cautions when not given; also verdicts, values\n"
    "  --changes FILE    with --against, write what differs in each recipe as Markdown, for a merge request\n"
    "  --all             with --against, work out what means the same as well\n"
    "  --certificate FILE  of one recipe, write what was proved in a form that another program can show again: JSON\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--limits --only= --format= --against= --asks-for-revision= --changes= --all --certificate= --date= "
    "--allow-outside",
    run_check,
};
