#include "compiler/cli/against.h"

#include <unistd.h>

bool against_begin(struct against *a, const struct options *o)
{
    *a = (struct against){.name = o->against, .git = {.to = -1, .from = -1}};
    arena_init(&a->arena, out_of_memory());
    a->asks = DISCIPLINE_ASKS;
    struct text wrong = TEXT("");
    if (o->asks && !discipline_read_asks(text_of(o->asks), &a->asks, &wrong)) {
        complain("'%.*s' does not ask for a revision; sizes, settings, limits, verdicts, cautions and values may",
                 TEXT_ARGS(wrong));
        return false;
    }
    a->file = a->name && access(a->name, F_OK) == 0;
    if (a->file && o->word_count > 1) {
        complain("--against %s is a file, which one recipe can be held against; of many, name a revision in git",
                 a->name);
        return false;
    }
    return true;
}

void against_end(struct against *a)
{
    git_close(&a->git);
    arena_free(&a->arena);
}

static const struct demand text_only = {.reach = DEMAND_TEXT}, stated = {.reach = DEMAND_STATED, .values = true},
                           proved = {.reach = DEMAND_MARGINS, .values = true};

struct text against_words(const struct against *a, struct arena *arena)
{
    return arena_format(arena, "%s %s", a->file ? "in" : "at", a->name);
}

static enum discipline_answer judge(struct against *a, struct opened_recipe *old, struct opened_recipe *new,
                                    bool proved_too, struct arena *kept, struct discipline_move *move)
{
    struct arena arena;
    arena_init(&arena, out_of_memory());
    struct discipline_request request = {against_words(a, &arena), proved_too, a->asks, kept};
    enum discipline_answer answer = discipline_check(&arena, old->recipe, new->recipe, &request, move);
    if (answer == DISCIPLINE_NO_MEMORY)
        complain("out of memory");
    arena_free(&arena);
    return answer;
}

/* Reads what the recipe is held against. False: it cannot be; *absent: it was not there. */
static bool open_old(struct against *a, const struct strokewright_library *library, struct opened_recipe *old,
                     const struct options *o, const struct demand *demand, bool *absent)
{
    return a->file ? open_recipe(old, library, demand, a->name, o)
                   : open_at_revision(old, library, &a->git, text_of(a->name), TEXT(""), o, demand, absent);
}

/* What it states is read first; nearly always that is enough. */
static bool hold(struct against *a, const struct strokewright_library *library, struct opened_recipe *new,
                 const struct options *o, struct arena *kept, struct discipline_move *move)
{
    struct opened_recipe old;
    const struct demand *demands[] = {&stated, &proved};
    enum discipline_answer answer = DISCIPLINE_NEEDS_PROOF;
    for (int i = 0; i < 2 && answer == DISCIPLINE_NEEDS_PROOF; i++) {
        bool absent = false;
        if (!open_old(a, library, &old, o, demands[i], &absent))
            return absent;
        answer = judge(a, &old, new, i == 1, kept, move);
        close_recipe(&old);
    }
    return answer == DISCIPLINE_JUDGED;
}

/* Nearly every recipe of a repository is what it was, byte for byte, and so is what it uses: then nothing need be worked
 * out again. */
static bool same_bytes(struct against *a, const struct strokewright_recipe *r, const char *path)
{
    struct text main = text_of(path), bytes;
    uint32_t typed = main.len, named = a->git.file.len;
    while (typed && main.at[typed - 1] != '/')
        typed--;
    while (named && a->git.file.at[named - 1] != '/')
        named--;
    for (uint32_t i = 0; i < r->sources.files.count; i++) {
        const struct source *s = r->sources.files.at[i];
        if (s->path.len <= typed || memcmp(s->path.at, path, typed) != 0)
            return false;
        struct text file = arena_format(&a->arena, "%.*s%.*s", (int)named, a->git.file.at, (int)(s->path.len - typed),
                                        s->path.at + typed);
        if (git_read(&a->git, text_of(a->name), file, &bytes) != GIT_FOUND || !text_same(bytes, s->bytes))
            return false;
    }
    return true;
}

static bool find_repository(struct against *a, const char *path)
{
    if (git_also(&a->git, path))
        return true;
    git_close(&a->git);
    return git_open(&a->git, &a->arena, path);
}

static bool same_meaning(struct against *a, const struct strokewright_library *library, struct opened_recipe *new,
                         const struct options *o)
{
    struct opened_recipe old;
    bool absent = false;
    if (!open_old(a, library, &old, o, &text_only, &absent))
        return false;
    bool same = old.recipe->sound && text_same(fingerprint_of_own(&old.recipe->arena, &old.recipe->scope),
                                               fingerprint_of_own(&new->recipe->arena, &new->recipe->scope));
    close_recipe(&old);
    return same;
}

enum against_state against_state_of(struct against *a, const struct strokewright_library *library,
                                    struct opened_recipe *new, const char *path, const struct options *o)
{
    if (!find_repository(a, path))
        return AGAINST_UNREADABLE;
    if (!new->recipe->sound || new->recipe->scope.waivers.count)
        return AGAINST_CHANGED;
    return same_bytes(a, new->recipe, path) || same_meaning(a, library, new, o) ? AGAINST_SAME : AGAINST_CHANGED;
}

bool against_check(struct against *a, const struct strokewright_library *library, struct opened_recipe *new,
                   const char *path, const struct options *o, struct arena *kept, struct discipline_move *move)
{
    if (!a->name)
        return true;
    if (!a->file && !find_repository(a, path))
        return false;
    return (!a->file && same_bytes(a, new->recipe, path)) || hold(a, library, new, o, kept, move);
}

void against_tell(struct against *a, const struct strokewright_library *library, struct opened_recipe *new,
                  const char *path, const struct options *o, struct buffer *b)
{
    struct opened_recipe old;
    struct arena arena;
    bool absent = false;
    if (!a->name || (!a->file && !find_repository(a, path)) || !open_old(a, library, &old, o, &proved, &absent))
        return;
    arena_init(&arena, out_of_memory());
    const struct comparison *c = compare_recipes(&arena, old.recipe, new->recipe);
    if (c && !c->same) {
        compare_markdown(b, c, o->all);
        buffer_putc(b, '\n');
    }
    arena_free(&arena);
    close_recipe(&old);
}
