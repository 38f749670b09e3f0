/* fingerprint FILE...: what a recipe means, as one number. */
#include "compiler/cli/cli.h"
#include "compiler/emit/escape.h"
#include "compiler/emit/json.h"
#include "compiler/recipe.h"

static const char *const what_words[] = {
    [FINGERPRINT_RECIPE] = "recipe",
    [FINGERPRINT_USED] = "used",
    [FINGERPRINT_LIBRARY] = "library",
    [FINGERPRINT_STANDARD] = "standard",
};

static struct text shown_name(struct arena *a, const struct fingerprint_part *p)
{
    if (p->what == FINGERPRINT_STANDARD)
        return arena_format(a, "%.*s.%.*s", TEXT_ARGS(p->kind), TEXT_ARGS(p->name));
    return p->kind.len ? arena_format(a, "%.*s %.*s", TEXT_ARGS(p->kind), TEXT_ARGS(p->name)) : p->name;
}

/* One line a part: its short hash, what it is, its name, where it stands. */
static void print_parts(struct strokewright_recipe *r, const struct fingerprint *f)
{
    uint32_t width = 0;
    struct text *names = ARENA_ARRAY(&r->arena, f->parts.count, struct text);
    for (uint32_t i = 0; i < f->parts.count; i++) {
        names[i] = shown_name(&r->arena, &f->parts.at[i]);
        width = names[i].len > width && names[i].len <= 48 ? names[i].len : width;
    }
    printf("%-*s  physics   %d\n", HASH_SHORT, "", PHYSICS_VERSION);
    for (uint32_t i = 0; i < f->parts.count; i++) {
        const struct fingerprint_part *p = &f->parts.at[i];
        bool standard = p->what == FINGERPRINT_STANDARD;
        struct text behind = standard ? p->hash : p->file;
        printf("%-*.*s  %-8s  %-*.*s", HASH_SHORT, standard ? 0 : HASH_SHORT, p->hash.at, what_words[p->what],
               behind.len ? (int)width : 0, TEXT_ARGS(names[i]));
        printf(behind.len ? "  %.*s\n" : "\n", TEXT_ARGS(behind));
    }
}

static void put_part(struct json *j, const struct fingerprint_part *p)
{
    json_open_line(j, '{');
    json_named_text(j, "what", text_of(what_words[p->what]));
    if (p->kind.len)
        json_named_text(j, "kind", p->kind);
    json_named_text(j, p->what <= FINGERPRINT_USED ? "file" : "name", p->name);
    if (p->file.len)
        json_named_text(j, "file", p->file);
    json_named_text(j, p->what == FINGERPRINT_STANDARD ? "value" : "sha256", p->hash);
    json_close(j, '}');
}

static void print_json(struct strokewright_recipe *r, const struct fingerprint *f, struct text file, bool parts)
{
    struct buffer b;
    buffer_init(&b, &r->arena);
    struct json j = {.buffer = &b, .first = true};
    json_open(&j, '{');
    if (file.len)
        json_named_exact(&j, "file", file);
    json_named_text(&j, "fingerprint", f->hash);
    json_named_number(&j, "physics", PHYSICS_VERSION);
    if (parts) {
        json_named_open(&j, "parts", '[');
        for (uint32_t i = 0; i < f->parts.count; i++)
            put_part(&j, &f->parts.at[i]);
        json_close(&j, ']');
    }
    json_close(&j, '}');
    fwrite(b.at, 1, b.count, stdout);
}

/* Of several recipes each line, or each object, says which it is of. */
static void print(struct strokewright_recipe *r, const char *path, const struct options *o)
{
    const struct fingerprint *f = recipe_fingerprint_parts(r);
    bool several = o->word_count > 1;
    struct text file = escape_plain(&r->arena, shown_path(path));
    if (o->json) {
        print_json(r, f, several ? shown_path(path) : TEXT(""), o->explain);
        return;
    }
    printf("%.*s%s%.*s\n", TEXT_ARGS(f->hash), several ? "  " : "", several ? (int)file.len : 0, file.at);
    if (o->explain)
        print_parts(r, f);
}

static int fingerprint_one(const struct strokewright_library *library, const char *path, const struct options *o)
{
    struct opened_recipe r;
    if (!open_recipe(&r, library, &(struct demand){.reach = DEMAND_TEXT}, path, o))
        return EXIT_USE;
    /* Of a recipe that cannot be worked out nobody knows what it means; one that breaks a limit means something. */
    int status = r.recipe->sound ? EXIT_CLEAN : EXIT_FAULTS;
    if (r.recipe->sound)
        print(r.recipe, path, o);
    else
        print_diagnostics(&r, o, SEVERITY_ERROR);
    close_recipe(&r);
    return status;
}

static int run_fingerprint(const struct options *o)
{
    if (!o->word_count)
        return complain("fingerprint of which recipe? usage: strokewright fingerprint FILE ...");
    struct strokewright_library *library = load_library(o);
    int worst = library ? EXIT_CLEAN : EXIT_USE;
    for (int i = 0; library && i < o->word_count; i++) {
        int status = fingerprint_one(library, o->words[i], o);
        worst = status > worst ? status : worst;
    }
    strokewright_library_free(library);
    return worst;
}

const struct verb verb_fingerprint = {
    "fingerprint",
    "print what a recipe means, as one number",
    "[--explain] [--json] [--allow-outside] FILE ...",
    "Prints the SHA-256 of all that the recipe's meaning depends on, in its canonical form: the recipe and the files "
    "it\n"
    "uses, what it reaches of the library, the standard values it left in force, the version of the physics. Layout,\n"
    "comments and where a file lies do not change it; any change of meaning does. Of several files each line names "
    "its\n"
    "file; '-' reads standard input.\n\n"
    "  --explain         also list what went in, each part with the first digits of its own hash\n"
    "  --json            as JSON; with --explain the parts too\n"
    "  --allow-outside   'use' may name files outside the recipe's folder\n",
    "--explain --json --allow-outside",
    run_fingerprint,
};
