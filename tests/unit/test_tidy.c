/* tidy: nothing lost, the same whatever the layout was, and what cannot be read left alone. */
#include "compiler/model/spelling.h"
#include "compiler/review/tidy/tidy.h"
#include "tests/unit/sample_files.h"
#include "tests/unit/sample_layout.h"

#include <check.h>
#include <glob.h>
#include <stdlib.h>

static struct arena arena;

static void setup(void)
{
    arena_init(&arena, NULL);
}

static void teardown(void)
{
    arena_free(&arena);
}

static const struct tree *tree_of(struct text bytes, struct diagnostics *ds)
{
    struct sources sources;
    sources_init(&sources, &arena, NULL);
    diagnostics_init(ds, &arena);
    return parse(&arena, &sources, source_add(&sources, TEXT("test.recipe"), bytes), ds);
}

static struct text tidy_text(struct text bytes)
{
    struct tidied r;
    tidy(&r, &arena, bytes);
    return r.text;
}

/* Spelled tokens, comments and shape as one text: what tidy must not change. Worked out apart from what tidy checks. */
static struct text meaning_of(struct text bytes)
{
    struct diagnostics ds;
    struct buffer b;
    const struct tree *t = tree_of(bytes, &ds);
    buffer_init(&b, &arena);
    for (uint32_t i = 1; i < t->token_count; i++) {
        uint8_t kind = t->token_kind[i];
        if (kind == TOKEN_NEWLINE || kind == TOKEN_BREAK)
            continue;
        struct text text = spelling_of(&arena, t, i);
        while (text.len && kind == TOKEN_COMMENT && strchr(" \t\r", text.at[text.len - 1]))
            text.len--;
        buffer_printf(&b, "%u:%.*s\n", kind, TEXT_ARGS(text));
    }
    for (uint32_t n = 1; n < t->node_count; n++)
        buffer_printf(&b, "%u %u %u\n", node_at(t, n)->kind, node_at(t, n)->child, node_at(t, n)->next);
    return buffer_text(&b);
}

static void ck_text(struct text got, struct text wanted, const char *what)
{
    uint32_t i = 0;
    while (i < got.len && i < wanted.len && got.at[i] == wanted.at[i])
        i++;
    uint32_t from = i < 60 ? 0 : i - 60;
    ck_assert_msg(text_same(got, wanted), "%s: differs at byte %u:\n%.*s\n---- wanted\n%.*s", what, i,
                  (int)(got.len - from > 160 ? 160 : got.len - from), got.at + from,
                  (int)(wanted.len - from > 160 ? 160 : wanted.len - from), wanted.at + from);
}

/* ---- the form ---------------------------------------------------------------------------------------------------- */

static const struct form {
    const char *given, *wanted;
} forms[] = {
    {"", ""},
    {"\n\n# only a comment   \n\n\n", "# only a comment\n"},
    {"\xef\xbb\xbfuse \"a.recipe\"", "use \"a.recipe\"\n"},
    {"sheet{alloy=az31b-o}", "sheet {\n    alloy = az31b-o\n}\n"},
    {"sheet{\n\n\n}", "sheet {}\n"},
    {"let a = 40  .mm\nlet b = (3) .size\n", "let a = 40 .mm\nlet b = (3).size\n"}, /* not 40. and mm */
    {"sheet\n{\n a = 1 mm\n}\n", "sheet {\n    a = 1 mm\n}\n"},
    {"sheet {\n\n  thickness=0.50mm\n a = 2 mm\n\n\n b =\t3 mm\n\n}\n",
     "sheet {\n    thickness = 0.50 mm\n    a         = 2 mm\n\n    b = 3 mm\n}\n"},
    {"tool die { # the die\n\n # hot\n temperature = 200 \xc2\xb0"
     "C \xc2\xb1 4 K   # measured\n a = 1 W/(m\xc2\xb2\xc2\xb7K) # too\n}\n",
     "tool die {  # the die\n    # hot\n    temperature = 200 degC +/- 4 K  # measured\n"
     "    a           = 1 W/(m^2*K)       # too\n}\n"},
    {"dimension d {\n size = 50 mm   +0.10 mm   -0.05 mm\n measure = a ,b,\n  c\n}\n",
     "dimension d {\n    size    = 50 mm +0.10 mm -0.05 mm\n    measure = a, b, c\n}\n"},
    {"limit l for each tool as t {\n value=t.x\n at-most = 5\n because \"why\"\n source \"s\"\n}\n",
     "limit l for each tool as t {\n    value   = t.x\n    at-most = 5\n    because   \"why\"\n    source    "
     "\"s\"\n}\n"},
    {"caution c {\n sign = \"W1\"\n text \"t\"\n}\n", "caution c {\n    sign = \"W1\"\n    text   \"t\"\n}\n"},
    {"alloy a {\n density = 5 kg/m^3\n   source \"mill\"\n strength = table [ degC ] to [MPa] { 20: 5\n  100: 3 } "
     "source \"mill\"\n}\n",
     "alloy a {\n    density = 5 kg/m^3 source \"mill\"\n    strength = table [degC] to [MPa] {\n        20:  5\n"
     "        100: 3\n    } source \"mill\"\n}\n"},
    {"alloy a {\n x = table [degC] to [MPa] {20: 5\n} +/- 2 % as normal(k 2)\n source \"m\"\n y = f(t) +10 %  -5 "
     "%\n}\n",
     "alloy a {\n    x = table [degC] to [MPa] {\n        20: 5\n    } +/- 2 % as normal(k 2) source \"m\"\n"
     "    y = f(t) +10 % -5 %\n}\n"},
    {"let x = if a then b\n else if c then d\n else e\n",
     "let x =\n    if a then b\n    else if c then d\n    else e\n"},
    {"let x = a +\n  b *(c -d) ^ -2\n", "let x = a + b * (c - d) ^ -2\n"},
    {"let x = ( # why\n a\n # more\n + b )\n", "let x = (  # why\n    a\n    # more\n    + b\n)\n"},
    {"steps {\n task t { time = 5 s }\n}\n", "steps {\n    task t {\n        time = 5 s\n    }\n}\n"},
    {"let e = 0 um±1.5 um   as normal( k 2,freedom 18 )source \"c\"\n",
     "let e = 0 um +/- 1.5 um as normal(k 2, freedom 18) source \"c\"\n"},
    {"require a<b   because \"of this\"\n", "require a < b because \"of this\"\n"},
    {"let gap [mm] = \"Hold { a+b } now\"\r\n", "let gap [mm] = \"Hold {a + b} now\"\n"},
    {"let gap [mm] = \"Hold { a + b } now\"\r\n", "let gap [mm] = \"Hold {a + b} now\"\n"},
};

START_TEST(gives_the_form)
{
    ck_text(tidy_text(text_of(forms[_i].given)), text_of(forms[_i].wanted), forms[_i].given);
    ck_text(tidy_text(text_of(forms[_i].wanted)), text_of(forms[_i].wanted), "again");
}
END_TEST

START_TEST(breaks_what_is_too_long)
{
    struct text given = TEXT("formula warm(size [mm], coefficient-of-expansion [1/K], temperature-of-the-die [degC], "
                             "temperature-of-the-blank [degC]) [mm] = size * (1 + coefficient-of-expansion * "
                             "(temperature-of-the-die - 20 degC)) source \"definition\"\n"),
                wanted = TEXT(
                    "formula warm(\n    size [mm],\n    coefficient-of-expansion [1/K],\n    temperature-of-the-die "
                    "[degC],\n    temperature-of-the-blank [degC]\n) [mm] = size * (1 + "
                    "coefficient-of-expansion * (temperature-of-the-die - 20 degC)) source \"definition\"\n");
    ck_text(tidy_text(given), wanted, "a formula");
}
END_TEST

/* ---- all recipes there are --------------------------------------------------------------------------------------- */

static void ck_sound(struct text bytes, const char *what)
{
    struct text once = tidy_text(bytes);
    ck_text(meaning_of(once), meaning_of(bytes), what);
    ck_text(tidy_text(once), once, what);
}

static void ck_layouts(struct text bytes, uint32_t rounds, uint64_t seed, const char *what)
{
    struct diagnostics ds;
    const struct tree *t = tree_of(bytes, &ds);
    struct text wanted = tidy_text(bytes);
    if (ds.errors)
        return;
    for (uint32_t i = 0; i < rounds; i++) {
        struct text thrown = random_layout(&arena, t, &seed);
        ck_text(tidy_text(thrown), wanted, what);
    }
}

static uint32_t over_files(const char *pattern, void (*check)(struct text, const char *))
{
    glob_t found;
    uint32_t count = 0;
    ck_assert_int_eq(glob(pattern, 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++, count++) {
        check(file_bytes(&arena, found.gl_pathv[i]), found.gl_pathv[i]);
        arena_free(&arena);
        arena_init(&arena, NULL);
    }
    globfree(&found);
    return count;
}

static void ck_file(struct text bytes, const char *path)
{
    ck_sound(bytes, path);
    ck_layouts(bytes, 6, 20261102, path);
}

START_TEST(recipes_keep_their_meaning)
{
    static const char *const where[] = {"recipes/library/*.recipe", "recipes/demo/*.recipe", "recipes/demo/*/*.recipe",
                                        "tests/golden/*/*.recipe", "tests/reference/*.recipe"};
    ck_assert_uint_ge(over_files(where[_i], ck_file), 2);
}
END_TEST

START_TEST(made_up_recipes_keep_their_meaning)
{
    uint64_t seed = 7 + (uint64_t)_i;
    for (uint32_t i = 0; i < 40; i++) {
        struct diagnostics ds;
        struct text made = random_recipe(&arena, &seed);
        tree_of(made, &ds);
        ck_assert_msg(ds.errors == 0, "%.*s\n%.*s", TEXT_ARGS(made), TEXT_ARGS(ds.all.at[0]->message));
        ck_sound(made, "made up");
        ck_layouts(made, 6, seed, "made up");
    }
}
END_TEST

/* ---- what is kept ------------------------------------------------------------------------------------------------ */

static const struct kept {
    const char *given, *wanted;
    uint32_t first, last; /* lines */
} kept[] = {
    {"sheet {\n  a=1 mm\n   b  =  ;\n  c=2 mm\n}\n", "sheet {\n    a = 1 mm\n   b  =  ;\n    c = 2 mm\n}\n", 3, 3},
    {"sheet {\n  a=1 mm   ;\n}\n  let x=1\n", "sheet {\n  a=1 mm   ;\n}\nlet x = 1\n", 2, 2},
    {"  sheet {\n  a=1 mm\n\nlet x=1\n", "  sheet {\n  a=1 mm\n\nlet x = 1\n", 1, 2},
    {"let x=1\r\n  $ ?\r\r\nlet y=2\r\n", "let x = 1\n  $ ?\r\r\nlet y = 2\n", 2, 2},
    {"let x=1\n  $ %% ?\n\n\nlet y=2\n", "let x = 1\n  $ %% ?\n\nlet y = 2\n", 2, 2},
    {"\n\n\n={", "={\n", 4, 4},
    {"let x=1\n\n\n={\nlet y=2\n}\n", "let x = 1\n\n={\nlet y=2\n}\n", 4, 6},
    {"$\nlet x=1\r", "$\nlet x = 1\n", 1, 1},
    {"let x=1\na b {\n    x = 1 {\n    y = 2\n} }\n", "let x = 1\na b {\n    x = 1 {\n    y = 2\n} }\n", 2, 5},
    {"let x=1\n  $  # y\r", "let x = 1\n  $  # y\r\n", 2, 2},
    {"let a=1\n<<<<<<< ours\n let x=1\n=======\n let x=2\n>>>>>>> theirs\n",
     "let a=1\n<<<<<<< ours\n let x=1\n=======\n let x=2\n>>>>>>> theirs\n", 1, 6},
};

START_TEST(what_cannot_be_read_is_kept)
{
    struct tidied r;
    tidy(&r, &arena, text_of(kept[_i].given));
    ck_text(r.text, text_of(kept[_i].wanted), kept[_i].given);
    ck_assert_uint_eq(r.kept.count, 1);
    ck_assert_uint_eq(r.kept.at[0].first, kept[_i].first);
    ck_assert_uint_eq(r.kept.at[0].last, kept[_i].last);
    struct tidied again;
    tidy(&again, &arena, r.text);
    ck_assert_msg(!again.changed, "%s: tidied twice:\n%.*s", kept[_i].given, TEXT_ARGS(again.text));
}
END_TEST

/* Fuzzing found these: what is kept of them must be the same when it is read again. */
static const struct broken {
    const char *bytes;
    uint32_t len;
} broken[] = {
#define BYTES(literal)                                                                                                 \
    {                                                                                                                  \
        literal, sizeof(literal) - 1                                                                                   \
    }
    BYTES("{{\n \n $"),          BYTES("{{\n \n\0"), BYTES("{{\n \n $\r"),
    BYTES("let x = \"{1\n \n)"), BYTES("\n\n={"),    BYTES("$\r"),
};

START_TEST(what_is_kept_is_kept_again)
{
    struct tidied once, twice;
    tidy(&once, &arena, (struct text){broken[_i].bytes, broken[_i].len});
    ck_assert(once.changed);
    tidy(&twice, &arena, once.text);
    ck_assert_msg(!twice.changed, "%s: tidied twice:\n%.*s", broken[_i].bytes, TEXT_ARGS(twice.text));
}
END_TEST

/* ---- differences ------------------------------------------------------------------------------------------------- */

START_TEST(tells_the_difference)
{
    struct buffer b;
    buffer_init(&b, &arena);
    tidy_diff(&b, TEXT("a.recipe"), TEXT("1\n2\n3\n4\n5\n6\n7\n8\n9\n10\n11\n12\n13"),
              TEXT("1\n2\n3\n4\nfive\n6\n7\n8\n9\n10\n11\n12\n13\n"));
    ck_text(buffer_text(&b),
            TEXT("--- a.recipe\n+++ a.recipe, tidy\n@@ -2,7 +2,7 @@\n 2\n 3\n 4\n-5\n+five\n 6\n 7\n 8\n"
                 "@@ -10,4 +10,4 @@\n 10\n 11\n 12\n-13\n\\ No newline at end of file\n+13\n"),
            "a difference");
    b.count = 0;
    tidy_diff(&b, TEXT("a"), TEXT("x\n"), TEXT("x\n"));
    ck_assert_uint_eq(b.count, 0);
    tidy_diff(&b, TEXT("a"), TEXT(""), TEXT("x\n"));
    ck_text(buffer_text(&b), TEXT("--- a\n+++ a, tidy\n@@ -0,0 +1 @@\n+x\n"), "from nothing");
}
END_TEST

/* ---- long ones --------------------------------------------------------------------------------------------------- */

static const char *const rounds[] = {
    "let   a [mm] = 1 mm # one\nlet bb [mm]= 22 mm   # two\n\n\n# on its own\n"
    "corner edge { inside-radius = 0.40 mm \xC2\xB1 0.05 mm # sharp\nangle=90deg }\n\n",
    "formula swell(size [mm], rate [1/K]) [mm] =\n size*(1+rate*\n(2 K)) # grows\n\n",
    "# nothing but words\n\n",
};

/* As often as that one round, with a blank line between them. */
static struct text repeated(struct text round, uint32_t times)
{
    struct buffer b;
    buffer_init(&b, &arena);
    for (uint32_t i = 0; i < times; i++) {
        buffer_put(&b, i ? TEXT("\n") : TEXT(""));
        buffer_put(&b, round);
    }
    return buffer_text(&b);
}

/* A long recipe is written as each of its rounds alone. */
START_TEST(long_recipes)
{
    enum { BYTES = 1500000 };
    struct text round = text_of(rounds[_i]);
    uint32_t times = BYTES / round.len;
    struct tidied r;
    tidy(&r, &arena, repeated(round, times));
    ck_assert(!r.gave_up && !r.kept.count);
    ck_text(r.text, repeated(tidy_text(round), times), "a long recipe");
}
END_TEST

/* Comments behind adjacent lines stand in one column, however many there are. */
START_TEST(long_groups_of_comments)
{
    struct buffer b;
    buffer_init(&b, &arena);
    for (uint32_t i = 0; i < 40000; i++)
        buffer_printf(&b, i % 6000 == 5999 ? "let x%u [mm] = 1 mm\n" : "let x%u [mm] = 1 mm # %u\n", i, i);
    struct text once = tidy_text(buffer_text(&b));
    ck_text(tidy_text(once), once, "comments of many lines");
    uint32_t column = 0, line = 0;
    for (const char *at = once.at, *end; at < once.at + once.len; at = end + 1, line++) {
        end = memchr(at, '\n', (size_t)(once.at + once.len - at));
        const char *comment = memchr(at, '#', (size_t)(end - at));
        uint32_t here = comment ? (uint32_t)(comment - at) : 0;
        ck_assert_msg(!here || !column || here == column, "line %u", line + 1);
        column = here;
    }
    ck_assert_uint_eq(line, 40000);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("tidy");
    TCase *t = tcase_create("tidy");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_set_timeout(t, 120);
    tcase_add_loop_test(t, gives_the_form, 0, sizeof forms / sizeof forms[0]);
    tcase_add_test(t, breaks_what_is_too_long);
    tcase_add_loop_test(t, recipes_keep_their_meaning, 0, 5);
    tcase_add_loop_test(t, made_up_recipes_keep_their_meaning, 0, 5);
    tcase_add_loop_test(t, what_cannot_be_read_is_kept, 0, sizeof kept / sizeof kept[0]);
    tcase_add_loop_test(t, what_is_kept_is_kept_again, 0, sizeof broken / sizeof broken[0]);
    tcase_add_test(t, tells_the_difference);
    tcase_add_loop_test(t, long_recipes, 0, (int)(sizeof rounds / sizeof rounds[0]));
    tcase_add_test(t, long_groups_of_comments);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
