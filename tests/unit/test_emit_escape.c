#include "compiler/emit/escape.h"

#include "runtime/base/utf8.h"

#include <check.h>
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

typedef void put_function(struct buffer *, struct text);

static struct text put(put_function *f, struct text t)
{
    struct buffer b;
    buffer_init(&b, &arena);
    f(&b, t);
    return buffer_text(&b);
}

static void check(put_function *f, struct text in, const char *expected)
{
    struct text out = put(f, in);
    if (!text_is(out, expected))
        ck_abort_msg("'%.*s' gave '%.*s', not '%s'", TEXT_ARGS(in), TEXT_ARGS(out), expected);
}

START_TEST(plain_keeps_what_people_read)
{
    check(escape_put_plain, TEXT("Gauge ± 0.1 µm, 20 °C, 温度, ½"), "Gauge ± 0.1 µm, 20 °C, 温度, ½");
    check(escape_put_plain, TEXT("one\ntwo\tthree\r"), "one two three ");
}
END_TEST

START_TEST(plain_replaces_what_would_move_a_cursor_or_turn_the_line)
{
    check(escape_put_plain, TEXT("a\x1B[31mb"), "a\xEF\xBF\xBD[31mb");
    check(escape_put_plain, ((struct text){"a\0b", 3}),
          "a\xEF\xBF\xBD"
          "b");
    check(escape_put_plain, TEXT("a\xC2\x85z"), "a\xEF\xBF\xBDz");     /* next line, a C1 control */
    check(escape_put_plain, TEXT("a\xE2\x80\xAEz"), "a\xEF\xBF\xBDz"); /* U+202E turns the direction */
    check(escape_put_plain, TEXT("a\xEF\xBF\xBEz"), "a\xEF\xBF\xBDz"); /* U+FFFE is no character */
}
END_TEST

/* Unicode Standard Annex 9: embeddings and overrides U+202A to U+202E, isolates U+2066 to U+2069. Their neighbours are
 * shown. */
START_TEST(plain_replaces_every_mark_of_direction)
{
    for (uint32_t point = 0x2020; point < 0x2070; point++) {
        bool turns = (point >= 0x202A && point <= 0x202E) || (point >= 0x2066 && point <= 0x2069);
        char bytes[4];
        struct text t = arena_text(&arena, (struct text){bytes, utf8_put(bytes, point)});
        if (point == 0x2028 || point == 0x2029)
            continue; /* ends of lines, which become blanks */
        check(escape_put_plain, t, turns ? "\xEF\xBF\xBD" : t.at);
    }
}
END_TEST

START_TEST(plain_replaces_what_is_no_utf8)
{
    check(escape_put_plain, TEXT("a\xFFz"), "a\xEF\xBF\xBDz");
    check(escape_put_plain, TEXT("cut \xC3"), "cut \xEF\xBF\xBD");
    check(escape_put_plain, TEXT("\xED\xA0\x80"), "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"); /* a surrogate */
}
END_TEST

START_TEST(json_escapes_quote_and_backslash)
{
    check(escape_put_json, TEXT("say \"hot\" C:\\dir"), "\"say \\\"hot\\\" C:\\\\dir\"");
    check(escape_put_json, TEXT(""), "\"\"");
}
END_TEST

START_TEST(json_exact_loses_nothing)
{
    check(escape_put_json_exact, TEXT("a\n\tb\r \"q\" \\"), "\"a\\n\\u0009b\\u000d \\\"q\\\" \\\\\"");
    check(escape_put_json_exact, ((struct text){"a\0b\x7F", 4}), "\"a\\u0000b\\u007f\"");
    check(escape_put_json_exact, TEXT("\xE2\x80\xAE \xC2\x85 \xEF\xBB\xBF"), "\"\\u202e \\u0085 \\ufeff\"");
    check(escape_put_json_exact, TEXT("20 °C, 温度, 🔥"), "\"20 °C, 温度, 🔥\"");
    check(escape_put_json_exact, TEXT("a\xFFz"), "\"a\xEF\xBF\xBDz\"");
}
END_TEST

START_TEST(xml_escapes_the_five)
{
    check(escape_put_xml, TEXT("<a href='x'>&\"b\"</a>"), "&lt;a href=&#39;x&#39;&gt;&amp;&quot;b&quot;&lt;/a&gt;");
    check(escape_put_xml, TEXT("]]>&lt;"), "]]&gt;&amp;lt;");
}
END_TEST

START_TEST(dot_doubles_the_backslash)
{
    check(escape_put_dot, TEXT("\\N and \\l"), "\\\\N and \\\\l");
    check(escape_put_dot, TEXT("<b>"), "<b>");
}
END_TEST

START_TEST(csv_quotes_where_needed)
{
    check(escape_put_csv, TEXT("plain words"), "plain words");
    check(escape_put_csv, TEXT("a, b"), "\"a, b\"");
    check(escape_put_csv, TEXT("a; b"), "\"a; b\"");
    check(escape_put_csv, TEXT("10\" pipe"), "\"10\"\" pipe\"");
    check(escape_put_csv, TEXT("two\r\nlines"), "two  lines");
}
END_TEST

START_TEST(csv_guards_formulas)
{
    static const char *const formulas[] = {"=1+2", "+1+2", "-1+2", "@SUM(A1)", "=cmd|' /C calc'!A0", "\t=1", " =1",
                                           "-",    "+",    "＝1",  "-2+3*A1"};
    for (size_t i = 0; i < sizeof formulas / sizeof formulas[0]; i++) {
        struct text out = put(escape_put_csv, text_of(formulas[i]));
        ck_assert_msg(out.len > 2 && out.at[0] == '"' && out.at[1] == '\'', "%s is not guarded: %.*s", formulas[i],
                      TEXT_ARGS(out));
    }
}
END_TEST

START_TEST(csv_leaves_numbers_and_words_alone)
{
    check(escape_put_csv, TEXT("-5"), "-5");
    check(escape_put_csv, TEXT("-0.25"), "-0.25");
    check(escape_put_csv, TEXT("-1.5e-3"), "-1.5e-3");
    check(escape_put_csv, TEXT("200 degC +/- 4 K"), "200 degC +/- 4 K");
    check(escape_put_csv, TEXT("a=b"), "a=b");
    check(escape_put_csv, TEXT("e-mail@bay"), "e-mail@bay");
}
END_TEST

/* ---- any bytes at all --------------------------------------------------------------------------------------------- */

/* Bytes that mean something to one of the formats, and some that mean nothing at all. */
static struct text random_text(uint32_t seed)
{
    static const char signs[] = "\"'<>&\\,;=+-@|\n\r\t {}[]/%!#\x01\x1B\x7F\x80\xC3\xA9\xE2\x80\xAE\xFF"
                                "ab01";
    uint32_t state = seed * 2654435761u + 1, len = seed % 24;
    char *at = arena_alloc(&arena, len + 1);
    for (uint32_t i = 0; i < len; i++) {
        state = state * 1664525u + 1013904223u;
        at[i] = signs[(state >> 16) % (sizeof signs - 1)];
    }
    return (struct text){at, len};
}

static void check_clean(struct text in, struct text out)
{
    ck_assert_uint_eq(utf8_valid_until(out), out.len);
    for (uint32_t i = 0; i < out.len; i++)
        if ((unsigned char)out.at[i] < 0x20 || out.at[i] == 0x7F)
            ck_abort_msg("a control character came out of '%.*s'", TEXT_ARGS(in));
}

/* The string as a JSON reader understands it; stops the test when the quotes do not stand where they must. */
static struct text read_json(struct text t)
{
    struct buffer b;
    buffer_init(&b, &arena);
    ck_assert(t.len >= 2 && t.at[0] == '"' && t.at[t.len - 1] == '"');
    for (uint32_t i = 1; i + 1 < t.len; i++) {
        ck_assert_int_ne(t.at[i], '"');
        if (t.at[i] == '\\')
            i++;
        ck_assert_uint_lt(i + 1, t.len);
        buffer_putc(&b, t.at[i]);
    }
    return buffer_text(&b);
}

static struct text read_csv(struct text t)
{
    struct buffer b;
    buffer_init(&b, &arena);
    bool quoted = t.len && t.at[0] == '"';
    for (uint32_t i = quoted; i < t.len - quoted; i++) {
        if (quoted && t.at[i] == '"')
            i++;
        ck_assert(quoted || !strchr("\",", t.at[i]));
        ck_assert_uint_lt(i, t.len - quoted);
        buffer_putc(&b, t.at[i]);
    }
    return buffer_text(&b);
}

START_TEST(no_bytes_break_out)
{
    for (uint32_t seed = 0; seed < 5000; seed++) {
        struct text in = random_text(seed), plain = escape_plain(&arena, in), xml = put(escape_put_xml, in);
        struct text csv = put(escape_put_csv, in), json = put(escape_put_json, in), cell = read_csv(csv);
        check_clean(in, plain);
        check_clean(in, xml);
        check_clean(in, csv);
        check_clean(in, json);
        ck_assert(!xml.len || (!memchr(xml.at, '<', xml.len) && !memchr(xml.at, '"', xml.len)));
        ck_assert(text_same(read_json(json), plain));
        if (cell.len > plain.len)
            ck_assert_int_eq(cell.at[0], '\'');
        cell.at += cell.len - plain.len;
        cell.len = plain.len;
        ck_assert(text_same(cell, plain));
        arena_free(&arena);
        arena_init(&arena, NULL);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("escape");
    TCase *cases = tcase_create("escape");
    tcase_set_timeout(cases, 60);
    tcase_add_checked_fixture(cases, setup, teardown);
    tcase_add_test(cases, plain_keeps_what_people_read);
    tcase_add_test(cases, plain_replaces_what_would_move_a_cursor_or_turn_the_line);
    tcase_add_test(cases, plain_replaces_every_mark_of_direction);
    tcase_add_test(cases, plain_replaces_what_is_no_utf8);
    tcase_add_test(cases, json_escapes_quote_and_backslash);
    tcase_add_test(cases, json_exact_loses_nothing);
    tcase_add_test(cases, xml_escapes_the_five);
    tcase_add_test(cases, dot_doubles_the_backslash);
    tcase_add_test(cases, csv_quotes_where_needed);
    tcase_add_test(cases, csv_guards_formulas);
    tcase_add_test(cases, csv_leaves_numbers_and_words_alone);
    tcase_add_test(cases, no_bytes_break_out);
    suite_add_tcase(suite, cases);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
