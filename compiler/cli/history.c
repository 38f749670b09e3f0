/* history FILE NAME: a value at each commit that touched the recipe or what it uses. */
#include "compiler/review/history.h"
#include "compiler/cli/git.h"

#include <math.h>
#include <unistd.h>

struct commit {
    struct text hash, shorter, date;
    struct text parents;      /* hashes, of those in the list that come before it */
    ARRAY(struct text) names; /* files it touched; of one that was renamed both names */
};

enum { TAG_FILE = 1, TAG_HASH }; /* keys of commits.known */

struct commits {
    struct arena *arena;
    ARRAY(struct commit) list; /* children before parents, as git gives them */
    struct map known;          /* files met; hashes to their row in the history */
    struct names_table texts;
    ARRAY(struct text) files; /* that belong to the history: the recipe's names, newest first, then what it used */
    uint32_t own;             /* files that are names of the recipe */
};

/* ---- asking git -------------------------------------------------------------------------------------------------------- */

static struct text take(struct text *rest)
{
    const char *end = memchr(rest->at, 0, rest->len);
    struct text part = {rest->at, end ? (uint32_t)(end - rest->at) : rest->len};
    uint32_t used = part.len + (end != NULL);
    rest->at += used;
    rest->len -= used;
    return part;
}

static struct text word(struct text *rest)
{
    const char *blank = memchr(rest->at, ' ', rest->len);
    struct text part = {rest->at, blank ? (uint32_t)(blank - rest->at) : rest->len};
    uint32_t used = part.len + (blank != NULL);
    rest->at += used;
    rest->len -= used;
    return part;
}

#define FORMAT "--format=%x01%H %h %cs %P"

static void add_file(struct commits *c, struct text file)
{
    atom known = interned(&c->texts, file);
    if (known && map_get(&c->known, map_key(TAG_FILE, known)))
        return;
    map_set(&c->known, map_key(TAG_FILE, intern(&c->texts, file)), 1);
    *ARRAY_PUSH(c->arena, &c->files) = arena_text(c->arena, file);
}

/* "\1HASH SHORT DATE PARENTS NUL", then names, each with its NUL. */
static void read_log(struct commits *c, struct text out)
{
    c->list.count = 0;
    while (out.len) {
        struct text head = take(&out);
        if (!head.len || head.at[0] != 1)
            continue;
        head.at++, head.len--;
        struct commit *commit = ARRAY_PUSH(c->arena, &c->list);
        *commit = (struct commit){.hash = arena_text(c->arena, word(&head))};
        commit->shorter = arena_text(c->arena, word(&head));
        commit->date = arena_text(c->arena, word(&head));
        commit->parents = arena_text(c->arena, head);
        while (out.len && out.at[0] != 1) {
            struct text name = take(&out);
            while (name.len && name.at[0] == '\n')
                name.at++, name.len--;
            if (name.len)
                *ARRAY_PUSH(c->arena, &commit->names) = arena_text(c->arena, name);
        }
    }
}

/* Commits of these files; follow: of one, through its renamings. */
static bool ask_log(struct git *g, struct commits *c, bool follow)
{
    const char *const head[] = {"log",
                                follow ? "--follow" : "--parents",
                                "--date-order",
                                "--no-ext-diff",
                                "--no-textconv",
                                "--no-relative",
                                "--no-diff-merges",
                                FORMAT,
                                "--name-status",
                                "-z",
                                "--"};
    enum { HEAD_WORDS = sizeof head / sizeof head[0] };
    const char **words = ARENA_ARRAY(c->arena, c->files.count + HEAD_WORDS, const char *);
    memcpy(words, head, sizeof head);
    for (uint32_t i = 0; i < c->files.count; i++)
        words[HEAD_WORDS + i] = c->files.at[i].at;
    struct text out;
    if (!git_output(g, words, HEAD_WORDS + c->files.count, false, &out))
        return false;
    read_log(c, out);
    return true;
}

/* A status, as "M" and "R087", stands among the names. */
static bool is_status(struct text t)
{
    return t.len == 1 || (t.len == 4 && strchr("RC", t.at[0]) && t.at[1] >= '0' && t.at[1] <= '9');
}

/* The commits of the recipe's own file, and the names it had. */
static bool find_own(struct git *g, struct commits *c)
{
    add_file(c, g->file);
    if (!ask_log(g, c, true))
        return false;
    for (uint32_t i = 0; i < c->list.count; i++)
        for (uint32_t k = c->list.at[i].names.count; k-- > 0;)
            if (!is_status(c->list.at[i].names.at[k]))
                add_file(c, c->list.at[i].names.at[k]);
    c->own = c->files.count;
    return true;
}

/* The first file of the history that a commit touched, when the recipe's own is not among them. */
static struct text cause_of(const struct commits *c, const struct commit *commit)
{
    struct text first = TEXT("");
    for (uint32_t i = 0; i < commit->names.count; i++) {
        struct text name = commit->names.at[i];
        for (uint32_t k = 0; k < c->own; k++)
            if (text_same(c->files.at[k], name))
                return TEXT("");
        first = first.len || is_status(name) ? first : name;
    }
    return first;
}

/* ---- values -------------------------------------------------------------------------------------------------------------- */

/* The newest of its names that is there at the commit; empty when none is. */
static struct text name_at(struct git *g, const struct commits *c, const struct commit *commit)
{
    struct text bytes;
    for (uint32_t i = 0; i < c->own; i++)
        if (git_read(g, commit->hash, c->files.at[i], &bytes) == GIT_FOUND)
            return c->files.at[i];
    return TEXT("");
}

static bool open_commit(struct opened_recipe *r, const struct strokewright_library *library, struct git *g,
                        const struct commit *c, const struct options *o, const struct demand *demand)
{
    bool absent = false;
    return g->file.len && open_at_revision(r, library, g, c->hash, (struct text){NULL, 0}, o, demand, &absent);
}

/* What the recipe used at any of its commits belongs to its history. */
static void collect_used(struct commits *c, const struct strokewright_recipe *r)
{
    for (uint32_t i = 1; i < r->sources.files.count; i++) {
        struct text path = r->sources.files.at[i]->path;
        const char *colon = memchr(path.at, ':', path.len);
        if (colon)
            add_file(c, (struct text){colon + 1, path.len - (uint32_t)(colon + 1 - path.at)});
    }
}

static const struct demand text_only = {.reach = DEMAND_TEXT};

static void find_used(struct git *g, struct commits *c, const struct strokewright_library *library,
                      const struct options *o)
{
    struct opened_recipe r;
    for (uint32_t i = 0; i < c->list.count; i++) {
        g->file = name_at(g, c, &c->list.at[i]);
        if (open_commit(&r, library, g, &c->list.at[i], o, &text_only)) {
            collect_used(c, r.recipe);
            close_recipe(&r);
        }
    }
}

/* Parents come before their children, so that their rows are known. */
static void set_parents(struct history *h, struct commits *c, const struct commit *commit)
{
    struct history_row *row = &h->rows.at[h->rows.count - 1];
    struct text rest = commit->parents;
    uint32_t count = 0;
    while (rest.len) {
        struct text hash = word(&rest);
        atom known = interned(&c->texts, hash);
        uint32_t parent = known ? map_get(&c->known, map_key(TAG_HASH, known)) : 0;
        if (!parent)
            continue;
        if (count < 2)
            row->parents[count] = parent;
        row->parent_names = arena_format(h->arena, "%.*s%s%.*s", TEXT_ARGS(row->parent_names), count++ ? " " : "",
                                         TEXT_ARGS(h->rows.at[parent - 1].commit));
    }
    map_set(&c->known, map_key(TAG_HASH, intern(&c->texts, commit->hash)), h->rows.count);
}

static void add_commit(struct history *h, struct git *g, struct commits *all, const struct commit *c,
                       const struct strokewright_library *library, const struct options *o)
{
    struct opened_recipe r;
    g->file = name_at(g, all, c);
    bool good = open_commit(&r, library, g, c, o, &(struct demand){DEMAND_NOMINAL, .names = &h->name, .name_count = 1});
    struct history_row *row = history_add(h, good ? r.recipe : NULL, good ? TEXT("") : TEXT("the file is not there"));
    row->date = c->date;
    row->commit = c->shorter;
    row->file = g->file;
    row->cause = cause_of(all, c);
    set_parents(h, all, c);
    if (good)
        close_recipe(&r);
}

static bool same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

/* What lies in the folder, when it says something else than the last commit. */
static bool add_current(struct history *h, const struct strokewright_library *library, const struct options *o)
{
    struct opened_recipe r;
    if (access(o->words[0], F_OK) != 0)
        return true; /* it has a past only */
    if (!open_recipe(&r, library, &(struct demand){DEMAND_NOMINAL, .names = &h->name, .name_count = 1}, o->words[0], o))
        return false;
    struct history_row *row = history_add(h, r.recipe, TEXT(""));
    const struct history_row *last = h->rows.count > 1 ? row - 1 : NULL;
    row->file = text_of(o->words[0]);
    row->parents[0] = h->rows.count - 1;
    if (last && text_same(last->revision, row->revision) && text_same(last->why_not, row->why_not) &&
        text_same(last->word, row->word) && same_number(last->si, row->si))
        h->rows.count--;
    close_recipe(&r);
    return true;
}

static void print(struct history *h, const struct options *o)
{
    struct buffer b;
    buffer_init(&b, h->arena);
    history_finish(h);
    if (o->json)
        history_json(&b, h);
    else if (o->csv)
        history_csv(&b, h);
    else
        history_text(&b, h, (uint32_t)o->width);
    fwrite(b.at, 1, b.count, stdout);
}

/* Whether any commit, or the file as it lies there, has the value: else the name is a slip. */
static bool has_any(const struct history *h)
{
    for (uint32_t i = 0; i < h->rows.count; i++)
        if (!isnan(h->rows.at[i].si) || h->rows.at[i].word.len)
            return true;
    return false;
}

static int tell(struct git *g, const struct strokewright_library *library, const struct options *o)
{
    struct commits c = {.arena = g->arena};
    struct history h = {.arena = g->arena, .name = text_of(o->words[1])};
    map_init(&c.known, g->arena);
    intern_init(&c.texts, g->arena, NULL);
    g->folder = g->root.len ? g->root : g->folder;
    if (!find_own(g, &c))
        return complain("git cannot tell the history of %s", o->words[0]);
    if (!c.list.count)
        return complain("%s has no history: it was never committed", o->words[0]);
    find_used(g, &c, library, o);
    if (!ask_log(g, &c, false))
        return complain("git cannot tell the history of %s", o->words[0]);
    for (uint32_t i = c.list.count; i-- > 0;)
        add_commit(&h, g, &c, &c.list.at[i], library, o);
    if (!add_current(&h, library, o))
        return EXIT_USE;
    print(&h, o);
    return has_any(&h) ? EXIT_CLEAN : complain("no revision of %s has a value '%s'", o->words[0], o->words[1]);
}

static int run_history(const struct options *o)
{
    struct arena arena;
    struct git git;
    if (o->word_count != 2)
        return complain("the history of which value? usage: strokewright history FILE NAME");
    if (o->json && o->csv)
        return complain("history writes JSON or CSV, not both at once");
    struct strokewright_library *library = load_library(o);
    int status = EXIT_USE;
    arena_init(&arena, out_of_memory());
    if (library && git_open(&git, &arena, o->words[0])) {
        status = tell(&git, library, o);
        git_close(&git);
    }
    arena_free(&arena);
    strokewright_library_free(library);
    return status;
}

const struct verb verb_history = {
    "history",
    "show what a value was at each revision",
    "[--json | --csv] [--date DATE] [--allow-outside] FILE NAME",
    "Shows what a value was at each commit in git that touched the recipe, under whatever name it had, or a file it\n"
    "uses: revision of the recipe, date, commit, value, how it moved, and a mark between its smallest and its "
    "largest.\n"
    "Where it could not be worked out, the reason. Branches are drawn, and a value moves from the commit before it on "
    "its\n"
    "branch. What is not committed yet stands last.\n\n"
    "  --json            as JSON\n"
    "  --csv             as CSV\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--json --csv --date= --allow-outside",
    run_history,
};
