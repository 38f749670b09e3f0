/* The fingerprint: layout does not change it, any change of meaning does, here and in what the recipe reaches. */
#include "compiler/emit/json.h"
#include "compiler/recipe.h"
#include "compiler/review/tidy/tidy.h"
#include "tests/unit/sample_files.h"
#include "tests/unit/sample_layout.h"

#include <check.h>
#include <stdlib.h>

static struct arena arena;
static struct strokewright_library *library;

static void setup(void)
{
    arena_init(&arena, NULL);
    library = strokewright_library_new();
    ck_assert_ptr_nonnull(library);
}

static void teardown(void)
{
    strokewright_library_free(library);
    arena_free(&arena);
}

/* ---- compiling --------------------------------------------------------------------------------------------------- */

struct shelf { /* the one other file there is, whatever it is called */
    struct text path, bytes;
};

static enum fault load(void *context, struct arena *a, struct text from, struct text wanted, struct text *path,
                       struct text *bytes, struct text *why)
{
    const struct shelf *shelf = context;
    (void)a, (void)from, (void)wanted, (void)why;
    *path = shelf->path;
    *bytes = shelf->bytes;
    return (enum fault)LOAD_OK;
}

/* Of two recipes on one library the own parts are the same exactly when the fingerprints are. */
static void ck_own(struct text own, struct text hash)
{
    static struct {
        struct text own, hash;
    } met[64];
    static uint32_t count;
    for (uint32_t i = 0; i < count && i < 64; i++)
        ck_assert(text_same(met[i].own, own) == text_same(met[i].hash, hash));
    met[count % 64].own = own;
    met[count++ % 64].hash = hash;
}

/* Without working anything out, which takes longer and is not asked for. */
static struct text print_of(const struct strokewright_library *l, struct text recipe, struct shelf shelf)
{
    struct loader loader = {&shelf, load};
    struct arena own;
    struct sources sources;
    struct diagnostics ds;
    struct scope scope;
    struct fingerprint f;
    arena_init(&own, NULL);
    sources_init(&sources, &own, &l->sources);
    diagnostics_init(&ds, &own);
    scope_init(&scope, &own, &l->scope, &sources, &ds);
    scope_read(&scope, TEXT("lid.recipe"), recipe, &loader);
    scope_finish(&scope);
    type_scope(&scope);
    fingerprint_of(&f, &own, &scope);
    struct text hash = arena_text(&arena, f.hash);
    ck_assert_uint_eq(hash.len, HASH_DIGITS);
    if (l == library)
        ck_own(arena_text(&arena, fingerprint_of_own(&own, &scope)), hash);
    arena_free(&own);
    return hash;
}

static struct text lid(void)
{
    return file_bytes(&arena, "recipes/demo/river-logger-lid.recipe");
}

static struct shelf bay(void)
{
    return (struct shelf){TEXT("shop/press-bay.recipe"), file_bytes(&arena, "recipes/demo/shop/press-bay.recipe")};
}

/* NULL when it has faults. */
static const struct tree *tree_of(struct text bytes)
{
    struct sources sources;
    struct diagnostics ds;
    sources_init(&sources, &arena, NULL);
    diagnostics_init(&ds, &arena);
    const struct tree *t = parse(&arena, &sources, source_add(&sources, TEXT("x"), bytes), &ds);
    return ds.errors ? NULL : t;
}

static struct text replaced(struct text bytes, uint32_t at, uint32_t len, struct text by)
{
    return arena_format(&arena, "%.*s%.*s%.*s", (int)at, bytes.at, TEXT_ARGS(by), (int)(bytes.len - at - len),
                        bytes.at + at + len);
}

/* Another token of the same kind, or an empty text where no other is at hand. */
static struct text other_token(const struct tree *t, uint32_t token)
{
    struct text text = token_text(t, token);
    switch (t->token_kind[token]) {
    case TOKEN_NUMBER:
        return arena_format(&arena, "%.*s1", TEXT_ARGS(text));
    case TOKEN_NAME:
        return arena_format(&arena, "%.*sx", TEXT_ARGS(text));
    case TOKEN_TEXT:
        return arena_format(&arena, "%.*sx\"", (int)text.len - 1, text.at);
    case TOKEN_DATE:
        return TEXT("2031-01-31");
    case TOKEN_UNIT:
        return text_is(text, "mm") ? TEXT("cm") : text_is(text, "degC") ? TEXT("degF") : TEXT("");
    default:
        return TEXT("");
    }
}

/* ---- the recipe itself ------------------------------------------------------------------------------------------- */

START_TEST(layout_does_not_change_it)
{
    struct text recipe = lid(), wanted = print_of(library, recipe, bay());
    const struct tree *t = tree_of(recipe);
    uint64_t seed = 5;
    for (int i = 0; i < 12; i++)
        ck_assert(text_same(print_of(library, random_layout(&arena, t, &seed), bay()), wanted));
    struct tidied r;
    tidy(&r, &arena, random_layout(&arena, t, &seed));
    ck_assert(text_same(print_of(library, r.text, bay()), wanted));
    struct text commented = arena_format(&arena, "# above\n%.*s\n\n# below\n", TEXT_ARGS(recipe));
    ck_assert(text_same(print_of(library, commented, bay()), wanted));
}
END_TEST

static void ck_every_token_counts(struct text bytes, struct text (*print)(struct text))
{
    const struct tree *t = tree_of(bytes);
    struct text wanted = print(bytes);
    uint32_t tried = 0;
    for (uint32_t i = 1; i < t->token_count; i++) {
        struct text other = other_token(t, i), token = token_text(t, i);
        if (!other.len)
            continue;
        struct text changed = replaced(bytes, t->token_at[i], token.len, other);
        ck_assert_msg(!text_same(print(changed), wanted), "'%.*s' may change unseen", TEXT_ARGS(token));
        tried++;
    }
    ck_assert_uint_gt(tried, 20);
}

static struct text print_of_lid(struct text recipe)
{
    return print_of(library, recipe, bay());
}

static struct text print_with_bay(struct text bytes)
{
    return print_of(library, lid(), (struct shelf){TEXT("shop/press-bay.recipe"), bytes});
}

/* `use` names a file, and what is in the file counts: so its line is left out here. */
static struct text without_use(struct text recipe)
{
    struct text copy = arena_text(&arena, recipe);
    const char *at = strstr(copy.at, "use \"");
    ck_assert_ptr_nonnull(at);
    return replaced(copy, (uint32_t)(at - copy.at), (uint32_t)(strchr(at, '\n') - at), TEXT(""));
}

START_TEST(every_token_counts)
{
    ck_every_token_counts(without_use(lid()), print_of_lid);
}
END_TEST

START_TEST(every_token_of_a_used_file_counts)
{
    ck_every_token_counts(bay().bytes, print_with_bay);
}
END_TEST

START_TEST(where_a_file_lies_does_not_count)
{
    struct text recipe = arena_text(&arena, lid());
    const char *at = strstr(recipe.at, "shop/press-bay.recipe");
    struct text moved = replaced(recipe, (uint32_t)(at - recipe.at), 21, TEXT("bays/two.recipe"));
    struct shelf there = {TEXT("bays/two.recipe"), bay().bytes};
    ck_assert(text_same(print_of(library, moved, there), print_of(library, recipe, bay())));
}
END_TEST

START_TEST(where_a_note_belongs_counts)
{
    struct text a = TEXT("limit l {\n value = 1\n at-most = 2 source \"s\"\n because \"b\"\n}\n"),
                b = TEXT("limit l {\n value = 1\n at-most = 2\n source \"s\"\n because \"b\"\n}\n");
    ck_assert(!text_same(print_of(library, a, bay()), print_of(library, b, bay())));
}
END_TEST

/* ---- standard values --------------------------------------------------------------------------------------------- */

/* What a definition does not state it has as a standard value, and that is part of the fingerprint. */
static const char *standards_of(struct text recipe)
{
    struct loader loader = {NULL, load};
    struct sources sources;
    struct diagnostics ds;
    struct scope scope;
    struct fingerprint f;
    struct buffer b;
    sources_init(&sources, &arena, &library->sources);
    diagnostics_init(&ds, &arena);
    scope_init(&scope, &arena, &library->scope, &sources, &ds);
    scope_read(&scope, TEXT("lid.recipe"), recipe, &loader);
    scope_finish(&scope);
    fingerprint_of(&f, &arena, &scope);
    buffer_init(&b, &arena);
    for (uint32_t i = 0; i < f.parts.count; i++)
        if (f.parts.at[i].what == FINGERPRINT_STANDARD)
            buffer_printf(&b, " %.*s.%.*s=%.*s ", TEXT_ARGS(f.parts.at[i].kind), TEXT_ARGS(f.parts.at[i].name),
                          TEXT_ARGS(f.parts.at[i].hash));
    return arena_text(&arena, buffer_text(&b)).at;
}

/* One definition of the kind, with those lines in it. */
static struct text definition_of(enum kind kind, const char *inside)
{
    if (kind_table[kind].flags & KIND_ABSTRACT)
        return definition_of(kind == KIND_step ? KIND_task : KIND_corner, inside);
    uint32_t flags = kind_table[kind].flags;
    struct text own =
        arena_format(&arena, "%s%s {\n%s}\n", kind_table[kind].name, flags & KIND_UNNAMED ? "" : " x", inside);
    return flags & KIND_STEP ? arena_format(&arena, "steps {\n%.*s}\n", TEXT_ARGS(own)) : own;
}

START_TEST(every_standard_value_counts)
{
    uint32_t checked = 0;
    for (uint32_t k = 0; k < property_count; k++) {
        const struct property_entry *e = &property_table[k];
        if (e->need != NEED_STANDARD)
            continue;
        struct text line = arena_format(&arena, " %s = x\n", e->name);
        const char *part = arena_format(&arena, " %s.%s=%s ", kind_table[e->kind].name, e->name, e->standard).at;
        ck_assert_msg(strstr(standards_of(definition_of(e->kind, "")), part), "%s is left out", part);
        ck_assert_msg(!strstr(standards_of(definition_of(e->kind, line.at)), part), "%s is stated", part);
        checked++;
    }
    ck_assert_uint_gt(checked, 15);
}
END_TEST

/* ---- the library ------------------------------------------------------------------------------------------------- */

/* The library with another text for one of its files; NULL when that has faults. */
static struct strokewright_library *library_with(uint32_t file, struct text bytes)
{
    struct embedded_file *files = ARENA_ARRAY(&arena, embedded_count, struct embedded_file);
    const struct tree *t = tree_of(bytes);
    if (!t)
        return NULL;
    memcpy(files, embedded_library, embedded_count * sizeof *files);
    files[file].bytes = bytes;
    files[file].tree = *t;
    struct strokewright_library *l = recipe_library_of(files, embedded_count);
    ck_assert_ptr_nonnull(l);
    if (!l->diagnostics.errors)
        return l;
    strokewright_library_free(l);
    return NULL;
}

/* All that is printed, but for the fingerprint, which is looked at by itself. */
static struct text results(struct strokewright_recipe *r)
{
    struct buffer b;
    buffer_init(&b, &arena);
    for (uint32_t i = 1; i < r->lowering->quantities.count; i++) {
        const struct quantity *q = &r->lowering->quantities.at[i];
        struct shown s = shown_value(&r->steps, i);
        buffer_printf(&b, "%.*s %.*s %.*s\n", TEXT_ARGS(q->path), TEXT_ARGS(s.text), TEXT_ARGS(q->value.text));
    }
    for (uint32_t i = 0; i < r->limits.results.count; i++)
        buffer_printf(&b, "%d\n", r->limits.results.at[i].verdict);
    return buffer_text(&b);
}

struct outcome {
    struct text hash, results;
};

static struct outcome outcome_with(const struct strokewright_library *l)
{
    struct shelf shelf = bay();
    struct loader loader = {&shelf, load};
    struct strokewright_recipe *r = recipe_compile(l, NULL, TEXT("lid.recipe"), lid(), &loader);
    ck_assert(r->evaluated);
    ck_assert(text_same(recipe_fingerprint(r), print_of(l, lid(), bay())));
    struct outcome o = {arena_text(&arena, recipe_fingerprint(r)), results(r)};
    strokewright_free(r);
    return o;
}

/* One number of each item of a library file in turn. Where the fingerprint stays, so must every result. */
static void ck_numbers_of(uint32_t file, const struct outcome *wanted, uint32_t *changed, uint32_t *kept)
{
    const struct embedded_file *f = &embedded_library[file];
    const struct tree *t = &f->tree;
    uint32_t turn = 0;
    NODE_EACH_CHILD (t, t->root, item) {
        uint32_t token = node_at(t, item)->first, last = node_at(t, item)->last;
        while (token <= last && (t->token_kind[token] != TOKEN_NUMBER || t->token_kind[token - 1] == TOKEN_POWER))
            token++;
        if (token > last || turn++ % 8)
            continue;
        struct text text = token_text(t, token), by = arena_format(&arena, "%.*s01", TEXT_ARGS(text));
        if (!memchr(text.at, '.', text.len))
            by = arena_format(&arena, "%.*s.0001", TEXT_ARGS(text));
        struct text bytes = replaced(f->bytes, t->token_at[token], text.len, by);
        struct strokewright_library *other = library_with(file, bytes);
        if (other) {
            struct outcome o = outcome_with(other);
            bool same = text_same(o.hash, wanted->hash);
            ck_assert_msg(!same || text_same(o.results, wanted->results), "%.*s: %.*s changes results unseen",
                          TEXT_ARGS(f->path), TEXT_ARGS(text));
            ++*(same ? kept : changed);
        }
        strokewright_library_free(other);
    }
}

START_TEST(what_is_reached_of_the_library_counts)
{
    struct outcome wanted = outcome_with(library);
    uint32_t changed = 0, kept = 0;
    for (uint32_t file = 0; file < embedded_count; file++)
        ck_numbers_of(file, &wanted, &changed, &kept);
    ck_assert_uint_gt(changed, 10);
    ck_assert_uint_gt(kept, 2); /* every eighth item of the library: how many is chance */
}
END_TEST

static uint32_t file_with(const char *needle, uint32_t *at)
{
    for (uint32_t i = 0; i < embedded_count; i++) {
        const char *found = strstr(arena_text(&arena, embedded_library[i].bytes).at, needle);
        struct text bytes = embedded_library[i].bytes;
        if (!found)
            continue;
        for (*at = 0; memcmp(bytes.at + *at, needle, strlen(needle)) != 0;)
            ++*at;
        return i;
    }
    ck_abort_msg("the library has no '%s'", needle);
    return 0;
}

static const struct edited {
    const char *from, *to;
    bool counts;
} edits[] = {
    {"# Sheet is thin", "# Sheet is very thin", false},
    {"at-most = 25 %\n", "at-most = 35 %\n", true},
    {"value   = d.thinning\n", "value   = 1 * d.thinning\n", true},
    {"sheet.alloy.solidus - 100 K", "sheet.alloy.solidus - 90 K", true},
    {"signal = danger\n    sign   = \"P011\"", "signal = warning\n    sign   = \"P011\"", true},
    {"title = \"Hot-work tool steel H13", "title = \"Tool steel H13", true},
    {"title = \"Pre-hardened mould steel P20", "title = \"Mould steel P20", false},
};

START_TEST(only_what_is_used_counts)
{
    const struct edited *e = &edits[_i];
    struct text wanted = print_of(library, lid(), bay());
    uint32_t at, file = file_with(e->from, &at);
    struct text bytes = replaced(embedded_library[file].bytes, at, (uint32_t)strlen(e->from), text_of(e->to));
    struct strokewright_library *other = library_with(file, bytes);
    ck_assert_ptr_nonnull(other);
    ck_assert_msg(text_same(print_of(other, lid(), bay()), wanted) == !e->counts, "%s", e->from);
    strokewright_library_free(other);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("fingerprint");
    TCase *t = tcase_create("fingerprint");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_set_timeout(t, 300);
    tcase_add_test(t, layout_does_not_change_it);
    tcase_add_test(t, every_token_counts);
    tcase_add_test(t, every_token_of_a_used_file_counts);
    tcase_add_test(t, where_a_file_lies_does_not_count);
    tcase_add_test(t, where_a_note_belongs_counts);
    tcase_add_test(t, every_standard_value_counts);
    tcase_add_test(t, what_is_reached_of_the_library_counts);
    tcase_add_loop_test(t, only_what_is_used_counts, 0, sizeof edits / sizeof edits[0]);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
