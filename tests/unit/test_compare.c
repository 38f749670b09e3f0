/* Comparison: nothing differs from itself, a change of layout is no difference, and a change of one value is told as that
 * and nothing else. The recipes are the demo's and those of the golden cases, found on the disk. */
#include "compiler/review/compare/compare.h"
#include "runtime/base/number.h"

#include "tests/unit/sample_files.h"

#include <check.h>
#include <glob.h>
#include <math.h>
#include <stdlib.h>

static struct strokewright_library *library;
static struct arena arena;

static void setup(void)
{
    library = strokewright_library_new();
    ck_assert_ptr_nonnull(library);
    arena_init(&arena, NULL);
}

static void teardown(void)
{
    arena_free(&arena);
    strokewright_library_free(library);
}

/* ---- reading ----------------------------------------------------------------------------------------------------------- */

static enum fault load(void *context, struct arena *a, struct text from, struct text wanted, struct text *path,
                       struct text *bytes, struct text *why)
{
    (void)context;
    (void)why;
    uint32_t folder = from.len;
    while (folder && from.at[folder - 1] != '/')
        folder--;
    *path = arena_format(a, "%.*s%.*s", (int)folder, from.at, TEXT_ARGS(wanted));
    return read_sample(a, arena_text(a, *path).at, bytes) ? (enum fault)LOAD_OK : FAULT_use_not_found;
}

static struct strokewright_recipe *compile(const char *path, struct text bytes)
{
    static const struct loader loader = {NULL, load};
    struct strokewright_recipe *r = recipe_compile(library, NULL, text_of(path), bytes, &loader);
    ck_assert_ptr_nonnull(r);
    ck_assert(r->state != STROKEWRIGHT_NO_MEMORY);
    return r;
}

struct compared {
    struct strokewright_recipe *old, *new;
    const struct comparison *c;
};

static struct compared compare(const char *path, struct text a, struct text b)
{
    struct compared out = {compile(path, a), compile(path, b), NULL};
    out.c = compare_recipes(&arena, out.old, out.new);
    ck_assert_ptr_nonnull(out.c);
    return out;
}

static void release(struct compared c)
{
    strokewright_free(c.old);
    strokewright_free(c.new);
}

static const char *told(const struct comparison *c)
{
    struct buffer b;
    buffer_init(&b, &arena);
    compare_text(&b, c, (struct compare_style){.width = 100});
    buffer_putc(&b, 0);
    return b.at;
}

static const char *const demos[] = {"recipes/demo/river-logger-lid.recipe", "recipes/demo/battery-cup.recipe",
                                    "recipes/demo/sensor-frame.recipe"};

/* ---- nothing differs -------------------------------------------------------------------------------------------------- */

static uint32_t check_itself(const char *pattern)
{
    glob_t found;
    ck_assert_int_eq(glob(pattern, 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        struct text bytes;
        if (!read_sample(&arena, found.gl_pathv[i], &bytes) || !bytes.len)
            continue;
        struct compared c = compare(found.gl_pathv[i], bytes, bytes);
        ck_assert_msg(c.c->same && !c.c->rows.count, "%s differs from itself:\n%s", found.gl_pathv[i], told(c.c));
        release(c);
    }
    uint32_t count = (uint32_t)found.gl_pathc;
    globfree(&found);
    return count;
}

START_TEST(nothing_differs_from_itself)
{
    ck_assert_uint_ge(check_itself("recipes/demo/*.recipe"), 3);
    ck_assert_uint_ge(check_itself("recipes/demo/*/*.recipe"), 3);
    ck_assert_uint_ge(check_itself("tests/golden/*/*.recipe"), 100);
}
END_TEST

/* A comment on every line, no indent, line ends as a foreign editor writes them. */
static struct text in_other_layout(struct text t)
{
    struct buffer b;
    buffer_init(&b, &arena);
    for (uint32_t at = 0; at < t.len;) {
        const char *end = memchr(t.at + at, '\n', t.len - at);
        uint32_t n = end ? (uint32_t)(end - t.at) - at : t.len - at;
        struct text line = {t.at + at, n};
        while (line.len && *line.at == ' ')
            line.at++, line.len--;
        buffer_put(&b, line);
        buffer_put(&b, TEXT("   # said again\r\n"));
        if (line.len && line.at[line.len - 1] == '}')
            buffer_put(&b, TEXT("\r\n\r\n"));
        at += n + 1;
    }
    return buffer_text(&b);
}

/* Items of the file from last to first; `use` too. */
static struct text in_reverse(struct strokewright_recipe *r)
{
    const struct tree *t = file_at(&r->scope, r->sources.first)->tree;
    struct text out = TEXT("");
    NODE_EACH_CHILD (t, t->root, n)
        out = arena_format(&arena, "%.*s\n%.*s", TEXT_ARGS(node_text(t, n)), TEXT_ARGS(out));
    return out;
}

START_TEST(layout_and_order_of_facts_are_no_difference)
{
    for (size_t i = 0; i < sizeof demos / sizeof demos[0]; i++) {
        struct text bytes;
        ck_assert(read_sample(&arena, demos[i], &bytes));
        struct strokewright_recipe *r = compile(demos[i], bytes);
        struct text others[] = {in_other_layout(bytes), in_reverse(r)};
        for (int k = 0; k < 2; k++) {
            struct compared c = compare(demos[i], bytes, others[k]);
            ck_assert_msg(c.c->same, "%s, way %d:\n%s", demos[i], k, told(c.c));
            release(c);
        }
        strokewright_free(r);
    }
}
END_TEST

/* ---- one thing differs ------------------------------------------------------------------------------------------------ */

/* The first plain number below a node, 0 when there is none. */
static uint32_t first_number(const struct tree *t, uint32_t node)
{
    if (node_kind(t, node) == NODE_NUMBER)
        return node;
    NODE_EACH_CHILD (t, node, n) {
        uint32_t found = first_number(t, n);
        if (found)
            return found;
    }
    return 0;
}

/* The file with one number made a little larger, a whole one by 1. */
static struct text with_other_number(const struct tree *t, struct text bytes, uint32_t number, bool whole)
{
    uint32_t token = node_at(t, number)->first;
    struct text was = token_text(t, token);
    double value;
    ck_assert_int_eq(number_read(was, &value), NUMBER_OK);
    uint32_t at = t->token_at[token];
    double other = whole ? value + 1 : value * 1.01 + 0.01;
    return arena_format(&arena, "%.*s%.*s%.*s", (int)at, bytes.at, TEXT_ARGS(number_print(&arena, other)),
                        (int)(bytes.len - at - was.len), bytes.at + at + was.len);
}

static void check_one_change(const char *path, struct text bytes, struct text changed, const struct property *p,
                             struct strokewright_recipe *r)
{
    struct compared c = compare(path, bytes, changed);
    const struct definition *d = definition_at(&r->scope, p->definition);
    const char *name = p->entry->name, *kind = kind_table[d->kind].name;
    ck_assert_msg(c.c->count[COMPARE_STATED] == 1, "%s.%s of %s:\n%s", kind, name, path, told(c.c));
    const struct compare_row *row = &c.c->rows.at[0];
    ck_assert_msg(text_is(row->what, name), "%s.%s of %s:\n%s", kind, name, path, told(c.c));
    ck_assert(row->how == COMPARE_CHANGED && row->line > 0 && !c.c->same);
    ck_assert(row->subject.len >= strlen(kind) && memcmp(row->subject.at, kind, strlen(kind)) == 0);
    release(c);
}

START_TEST(one_changed_number_is_told_alone)
{
    uint32_t tried = 0;
    for (size_t i = 0; i < sizeof demos / sizeof demos[0]; i++) {
        struct text bytes;
        ck_assert(read_sample(&arena, demos[i], &bytes));
        struct strokewright_recipe *r = compile(demos[i], bytes);
        const struct tree *t = file_at(&r->scope, r->sources.first)->tree;
        for (uint32_t id = r->scope.first_property; id < property_end(&r->scope); id++) {
            const struct property *p = property_at(&r->scope, id);
            uint32_t number = p->site.file == r->sources.first ? first_number(t, p->value) : 0;
            if (!number)
                continue;
            check_one_change(demos[i], bytes, with_other_number(t, bytes, number, p->entry->whole), p, r);
            tried++;
        }
        strokewright_free(r);
    }
    ck_assert_uint_gt(tried, 100);
}
END_TEST

/* ---- figures ------------------------------------------------------------------------------------------------------------ */

#define HEAD                                                                                                           \
    "recipe tray {\n title = \"Tray\"\n part = \"T-1\"\n revision = \"A\"\n date = 2026-11-02\n status = draft\n}\n"

static const struct compare_row *row_of(const struct comparison *c, enum compare_section section, const char *subject)
{
    for (uint32_t i = 0; i < c->rows.count; i++)
        if (c->rows.at[i].section == section && text_is(c->rows.at[i].subject, subject))
            return &c->rows.at[i];
    ck_abort_msg("no row of %s:\n%s", subject, told(c));
    return NULL;
}

static struct compared compare_lets(const char *old, const char *new)
{
    return compare("tray.recipe", text_of(old), text_of(new));
}

START_TEST(moves_are_worked_out)
{
    struct compared c = compare_lets("let a [mm] = 8 mm\nlet b [degC] = 200 degC\nlet twice [mm] = 2 * a\n"
                                     "let flat [1] = 20 %\nlet cold [degC] = b - 30 K\n",
                                     "let a [mm] = 6 mm\nlet b [degC] = 210 degC\nlet twice [mm] = 2 * a\n"
                                     "let flat [1] = 25 %\nlet cold [degC] = b - 30 K\n");
    const struct compare_row *a = row_of(c.c, COMPARE_STATED, "let a"), *b = row_of(c.c, COMPARE_STATED, "let b");
    ck_assert(text_is(compare_change(&arena, a), "-2.00 mm, -25 %")); /* 6 - 8; -2 of 8 */
    ck_assert_double_eq_tol(a->percent, -25, 1e-9);
    ck_assert(text_is(compare_change(&arena, b), "+10 K") &&
              isnan(b->percent)); /* a share of a temperature means nothing */
    const struct compare_row *twice = row_of(c.c, COMPARE_VALUE, "twice");
    ck_assert_double_eq_tol(twice->before_value, 16, 1e-9);
    ck_assert_double_eq_tol(twice->after_value, 12, 1e-9);
    ck_assert(text_is(compare_change(&arena, row_of(c.c, COMPARE_VALUE, "cold")), "+10 K"));
    /* The largest relative move first: a quarter of twice before 10 K of 150 K above the room. */
    ck_assert(twice < row_of(c.c, COMPARE_VALUE, "cold"));
    release(c);
}
END_TEST

START_TEST(a_move_below_the_rounding_is_left_out)
{
    struct compared c = compare_lets("let a [mm] = 8 mm\nlet b [mm] = 100 mm + a / 1000000\n",
                                     "let a [mm] = 8.1 mm\nlet b [mm] = 100 mm + a / 1000000\n");
    ck_assert_uint_eq(c.c->count[COMPARE_STATED], 1);
    ck_assert_uint_eq(c.c->count[COMPARE_VALUE], 0);
    release(c);
}
END_TEST

START_TEST(the_least_number_of_steps_is_told_as_moved)
{
    struct compared c = compare_lets(HEAD "steps {\n task a {\n time = 1 s\n }\n task b {\n time = 2 s\n }\n task c {\n"
                                          " time = 3 s\n }\n task d {\n time = 4 s\n }\n}\n",
                                     HEAD "steps {\n task d {\n time = 4 s\n }\n task a {\n time = 1 s\n }\n task b {\n"
                                          " time = 2 s\n }\n task c {\n time = 3 s\n }\n}\n");
    ck_assert_uint_eq(c.c->count[COMPARE_STATED], 1);
    const struct compare_row *d = row_of(c.c, COMPARE_STATED, "task d");
    ck_assert(d->how == COMPARE_MOVED && text_is(d->before, "after c") && text_is(d->after, "first"));
    release(c);
}
END_TEST

START_TEST(references_follow_a_name_that_changed)
{
    struct compared c = compare_lets("tool die {\n material = h13\n temperature = 200 degC\n}\n"
                                     "let hot [degC] = die.temperature + 5 K\n",
                                     "tool lower {\n material = h13\n temperature = 200 degC\n}\n"
                                     "let hot [degC] = lower.temperature + 5 K\n");
    ck_assert_msg(c.c->rows.count == 1 && c.c->rows.at[0].how == COMPARE_RENAMED, "%s", told(c.c));
    release(c);
}
END_TEST

/* The names are exchanged, so every reference says something else although it reads the same. */
START_TEST(exchanged_values_are_not_exchanged_names)
{
    struct compared c = compare_lets("let a = 1\nlet b = 2\nlet c = a\n", "let a = 2\nlet b = 1\nlet c = a\n");
    ck_assert_uint_eq(c.c->count[COMPARE_STATED], 2);
    ck_assert_uint_eq(c.c->count[COMPARE_VALUE], 1);
    release(c);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("compare");
    TCase *t = tcase_create("compare");
    tcase_set_timeout(t, 600);
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, nothing_differs_from_itself);
    tcase_add_test(t, layout_and_order_of_facts_are_no_difference);
    tcase_add_test(t, one_changed_number_is_told_alone);
    tcase_add_test(t, moves_are_worked_out);
    tcase_add_test(t, a_move_below_the_rounding_is_left_out);
    tcase_add_test(t, the_least_number_of_steps_is_told_as_moved);
    tcase_add_test(t, references_follow_a_name_that_changed);
    tcase_add_test(t, exchanged_values_are_not_exchanged_names);
    suite_add_tcase(s, t);
    SRunner *runner = srunner_create(s);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
