/* history FILE NAME: a value at each commit that touched the recipe or what it uses. */
#include "compiler/review/history.h"
#include "compiler/cli/git.h"

#include <math.h>
#include <unistd.h>

struct commit {
    struct text hash, shorter, date;
    struct text name;  /* of the recipe's file then; empty: not known yet */
    struct text first; /* the first file the commit touched */
    bool own;          /* it touched the recipe's own file */
};

enum { TAG_FILE = 1, TAG_HASH }; /* keys of commits.names */

struct commits {
    struct arena *arena;
    ARRAY(struct commit) list; /* newest first, as git gives them */
    struct map names;          /* hashes to their place in the list + 1, files met */
    struct names_table texts;
    ARRAY(struct text) files; /* that belong to the history: the recipe's names, what it used */
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

#define FORMAT "--format=%x01%H %h %cs"

/* "\1HASH SHORT DATE NUL", then names, each with its NUL; a status in front of a name is a field of its own. Of the
 * names the first and the last are kept: of one that was renamed the last is what it is called from then on. */
static void read_log(struct arena *a, struct text out, void *to, void (*add)(void *, struct commit))
{
    while (out.len) {
        struct text head = take(&out);
        if (!head.len || head.at[0] != 1)
            continue;
        head.at++, head.len--;
        struct commit c = {.hash = arena_text(a, word(&head))};
        c.shorter = arena_text(a, word(&head));
        c.date = arena_text(a, head);
        while (out.len && out.at[0] != 1) {
            struct text name = take(&out);
            while (name.len && name.at[0] == '\n')
                name.at++, name.len--;
            if (!name.len)
                continue;
            c.name = arena_text(a, name);
            c.first = c.first.len ? c.first : c.name;
        }
        add(to, c);
    }
}

static void add_file(struct commits *c, struct text file)
{
    atom known = interned(&c->texts, file);
    if (known && map_get(&c->names, map_key(TAG_FILE, known)))
        return;
    map_set(&c->names, map_key(TAG_FILE, intern(&c->texts, file)), 1);
    *ARRAY_PUSH(c->arena, &c->files) = arena_text(c->arena, file);
}

static void add_own(void *to, struct commit commit)
{
    struct commits *c = to;
    commit.own = true;
    *ARRAY_PUSH(c->arena, &c->list) = commit;
    map_set(&c->names, map_key(TAG_HASH, intern(&c->texts, commit.hash)), c->list.count);
}

/* The commits of the recipe's own file, with the name it had. */
static bool find_own(struct git *g, struct commits *c)
{
    const char *words[] = {"log",
                           "--follow",
                           "--no-ext-diff",
                           "--no-textconv",
                           "--no-relative",
                           "--no-diff-merges",
                           FORMAT,
                           "--name-status",
                           "-z",
                           "--",
                           arena_text(c->arena, g->file).at};
    struct text out;
    if (!git_output(g, words, sizeof words / sizeof words[0], false, &out))
        return false;
    read_log(c->arena, out, c, add_own);
    /* A merge names no file: it is called as in the commit before it. */
    struct text name = g->file;
    for (uint32_t i = 0; i < c->list.count; i++) {
        if (!c->list.at[i].name.len)
            c->list.at[i].name = name;
        name = c->list.at[i].name;
        add_file(c, name);
    }
    return true;
}

struct merging {
    struct commits *own, *all;
};

static void add_any(void *to, struct commit commit)
{
    struct merging *m = to;
    atom hash = interned(&m->own->texts, commit.hash);
    uint32_t known = hash ? map_get(&m->own->names, map_key(TAG_HASH, hash)) : 0;
    commit.own = known;
    commit.name = known ? m->own->list.at[known - 1].name : TEXT("");
    *ARRAY_PUSH(m->all->arena, &m->all->list) = commit;
}

/* The same with those that touched only what the recipe uses. */
static bool find_all(struct git *g, struct commits *own, struct commits *all)
{
    uint32_t count = 0;
    const char **words = ARENA_ARRAY(own->arena, own->files.count + 10, const char *);
    const char *const head[] = {
        "log", "--no-ext-diff", "--no-textconv", "--no-relative", "--no-diff-merges", FORMAT, "--name-only", "-z",
        "--"};
    for (size_t i = 0; i < sizeof head / sizeof head[0]; i++)
        words[count++] = head[i];
    for (uint32_t i = 0; i < own->files.count; i++)
        words[count++] = own->files.at[i].at;
    struct text out;
    if (!git_output(g, words, count, false, &out))
        return false;
    struct merging m = {own, all};
    read_log(own->arena, out, &m, add_any);
    struct text name = TEXT("");
    for (uint32_t i = all->list.count; i-- > 0;) { /* from the oldest: the name it had got by then */
        if (all->list.at[i].own)
            name = all->list.at[i].name;
        else
            all->list.at[i].name = name;
    }
    return true;
}

/* ---- values -------------------------------------------------------------------------------------------------------------- */

static bool open_commit(struct opened_recipe *r, const struct strokewright_library *library, struct git *g,
                        const struct commit *c, const struct options *o, const struct demand *demand)
{
    bool absent = false;
    g->file = c->name;
    return c->name.len && open_at_revision(r, library, g, c->hash, (struct text){NULL, 0}, o, demand, &absent);
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
    for (uint32_t i = 0; i < c->list.count; i++)
        if (open_commit(&r, library, g, &c->list.at[i], o, &text_only)) {
            collect_used(c, r.recipe);
            close_recipe(&r);
        }
}

static void add_commit(struct history *h, struct git *g, const struct commit *c,
                       const struct strokewright_library *library, const struct options *o)
{
    struct opened_recipe r;
    bool good = open_commit(&r, library, g, c, o, &(struct demand){DEMAND_NOMINAL, .names = &h->name, .name_count = 1});
    struct history_row *row = history_add(h, good ? r.recipe : NULL, good ? TEXT("") : TEXT("the file is not there"));
    row->date = c->date;
    row->commit = c->shorter;
    row->file = c->name;
    row->cause = c->own ? TEXT("") : c->first;
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
    struct commits own = {.arena = g->arena}, all = {.arena = g->arena};
    struct history h = {.arena = g->arena, .name = text_of(o->words[1])};
    map_init(&own.names, g->arena);
    intern_init(&own.texts, g->arena, NULL);
    g->folder = g->root.len ? g->root : g->folder;
    if (!find_own(g, &own))
        return complain("git cannot tell the history of %s", o->words[0]);
    if (!own.list.count)
        return complain("%s has no history: it was never committed", o->words[0]);
    find_used(g, &own, library, o);
    if (!find_all(g, &own, &all))
        return complain("git cannot tell the history of %s", o->words[0]);
    for (uint32_t i = all.list.count; i-- > 0;)
        add_commit(&h, g, &all.list.at[i], library, o);
    if (!add_current(&h, library, o))
        return EXIT_USE;
    print(&h, o);
    return has_any(&h) ? EXIT_CLEAN : complain("no revision of %s has a value '%s'", o->words[0], o->words[1]);
}

static int run(const struct options *o)
{
    struct arena arena;
    struct git git;
    if (o->word_count != 2)
        return complain("the history of which value? usage: strokewright history FILE NAME");
    if (o->json && o->csv)
        return complain("history writes JSON or CSV, not both at once");
    struct strokewright_library *library = load_library(o);
    int status = EXIT_USE;
    arena_init(&arena, NULL);
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
    "Where it could not be worked out, the reason. What is not committed yet stands last.\n\n"
    "  --json            as JSON\n"
    "  --csv             as CSV\n"
    "  --date DATE       the day waivers are held against, as 2026-11-25; else SOURCE_DATE_EPOCH, else today\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--json --csv --date= --allow-outside",
    run,
};
