/* Rows, cells and times of readings files. What RFC 4180 says of CSV stands beside each check of it. */
#include "compiler/readings/readings.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

static struct arena arena;

static void begin(void)
{
    arena_init(&arena, NULL);
}

static void end(void)
{
    arena_free(&arena);
}

/* Gives a text in pieces of some length. */
struct pieces {
    struct text rest;
    size_t piece;
};

static ptrdiff_t next_piece(void *context, char *at, size_t room)
{
    struct pieces *p = context;
    size_t n = p->rest.len < p->piece ? p->rest.len : p->piece;
    n = n < room ? n : room;
    memcpy(at, p->rest.at, n);
    p->rest = (struct text){p->rest.at + n, p->rest.len - (uint32_t)n};
    return (ptrdiff_t)n;
}

static ptrdiff_t no_piece(void *context, char *at, size_t room)
{
    (void)context, (void)at, (void)room;
    return -1;
}

static enum csv_state last_state;
static uint32_t last_line;

/* All rows as text: cells parted by |, rows by a slash. */
static const char *rows_of(const char *text, char separator, size_t piece)
{
    struct pieces pieces = {text_of(text), piece};
    struct csv csv;
    struct buffer b;
    buffer_init(&b, &arena);
    csv_begin(&csv, &arena, (struct csv_input){&pieces, next_piece});
    csv_separate(&csv, separator);
    while ((last_state = csv_next(&csv)) == CSV_ROW) {
        for (uint32_t i = 0; i < csv.cells.count; i++) {
            buffer_put(&b, i ? TEXT("|") : TEXT(""));
            buffer_put(&b, csv_plain(&arena, &csv.cells.at[i]));
        }
        buffer_putc(&b, '/');
        last_line = csv.line;
    }
    buffer_putc(&b, 0);
    return b.at;
}

static void rows_are(const char *text, const char *rows)
{
    for (size_t piece = 1; piece < 40; piece += 3)
        ck_assert_str_eq(rows_of(text, ',', piece), rows);
}

START_TEST(rows_are_those_of_the_rfc)
{
    rows_are("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc/zzz|yyy|xxx/");         /* section 2.1 */
    rows_are("aaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx/");             /* 2.2: the last break may lack */
    rows_are("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx/"); /* 2.5 */
    rows_are("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|b\r\nbb|ccc/zzz|yyy|xxx/"); /* 2.6 */
    ck_assert_uint_eq(last_line, 3);
    rows_are("\"aaa\",\"b\"\"bb\",\"ccc\"", "aaa|b\"bb|ccc/"); /* 2.7 */
}
END_TEST

/* What the RFC leaves open, and files hold all the same. */
START_TEST(rows_of_ugly_files)
{
    rows_are("\xEF\xBB\xBF\"a\",b\n", "a|b/");
    rows_are("a,b\rc,d\ne,f\r\n", "a|b/c|d/e|f/");
    rows_are(" a ,\t\" b \" ,c ", "a|\" b \"|c/"); /* a quote behind a blank begins no quoted cell */
    rows_are("\" b \" ,c", " b |c/");
    rows_are("a\n\n,\n", "a//|/");
    rows_are("a\"b,c", "a\"b|c/");
    rows_are("", "");
    ck_assert_str_eq(rows_of("200,5;1.2\n", ';', 2), "200,5|1.2/");
    ck_assert_str_eq(rows_of("a\tb c\n", '\t', 2), "a|b c/");
}
END_TEST

START_TEST(a_stream_says_why_it_ends)
{
    struct csv csv;
    rows_of("a,\"b", ',', 2);
    ck_assert_int_eq(last_state, CSV_OPEN_QUOTE);
    rows_of("a,\"b\"c\nd", ',', 2);
    ck_assert_int_eq(last_state, CSV_STRAY);
    csv_begin(&csv, &arena, (struct csv_input){NULL, no_piece});
    ck_assert_int_eq(csv_next(&csv), CSV_UNREADABLE);
    struct pieces nul = {{"a\0b", 3}, 1};
    csv_begin(&csv, &arena, (struct csv_input){&nul, next_piece});
    ck_assert_int_eq(csv_next(&csv), CSV_NUL);
}
END_TEST

static size_t quoted_so_far;

static ptrdiff_t endless_quote(void *context, char *at, size_t room)
{
    (void)context;
    memset(at, 'x', room);
    at[0] = quoted_so_far ? 'x' : '"';
    quoted_so_far += room;
    return (ptrdiff_t)room;
}

START_TEST(a_quote_that_is_never_closed_ends_at_the_limit)
{
    struct csv csv;
    csv_begin(&csv, &arena, (struct csv_input){NULL, endless_quote});
    ck_assert_int_eq(csv_next(&csv), CSV_TOO_LONG);
    ck_assert_uint_le(quoted_so_far, 4 * (size_t)CSV_ROW_LIMIT);
}
END_TEST

START_TEST(a_row_of_ten_thousand_cells)
{
    struct buffer b;
    buffer_init(&b, &arena);
    for (int i = 0; i < 10000; i++)
        buffer_printf(&b, "%s\"column %d, with its comma\"", i ? "," : "", i);
    struct pieces pieces = {buffer_text(&b), 4096};
    struct csv csv;
    csv_begin(&csv, &arena, (struct csv_input){&pieces, next_piece});
    ck_assert_int_eq(csv_next(&csv), CSV_ROW);
    ck_assert_uint_eq(csv.cells.count, 10000);
    ck_assert(text_is(csv.cells.at[9999].text, "column 9999, with its comma"));
}
END_TEST

/* ---- numbers ------------------------------------------------------------------------------------------------------------ */

static void reads(const char *text, enum decimal_sign sign, double want)
{
    double got = NAN;
    ck_assert_msg(cell_number(text_of(text), sign, &got) == CELL_NUMBER, "'%s' is no number", text);
    ck_assert_msg(got == want, "'%s' is %.17g instead of %.17g", text, got, want);
}

static void says(const char *text, enum decimal_sign sign, enum cell_says want)
{
    double got;
    ck_assert_msg(cell_number(text_of(text), sign, &got) == want, "'%s'", text);
}

/* The nearest double is what strtod() gives, too. */
START_TEST(numbers_are_the_nearest_doubles)
{
    static const char *const texts[] = {"0",
                                        "-0.1",
                                        "167.981",
                                        "0.30000000000000004",
                                        "1e-3",
                                        "2.5E+02",
                                        "5e-324",
                                        "1234567890.1234567890",
                                        "179769313486231570000000000000",
                                        "9007199254740993"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        reads(texts[i], SIGN_POINT, strtod(texts[i], NULL));
    reads("-167,981", SIGN_COMMA, -167.981);
    reads("+0.5", SIGN_POINT, 0.5);
    reads(".5", SIGN_POINT, 0.5);
    reads("-,5", SIGN_COMMA, -0.5);
    reads("5.", SIGN_POINT, 5);
}
END_TEST

START_TEST(groups_of_three_are_read_where_there_is_no_doubt)
{
    reads("1,234.5", SIGN_POINT, 1234.5);
    reads("1.234.567,5", SIGN_COMMA, 1234567.5);
    reads("1 234,5", SIGN_COMMA, 1234.5);
    reads("1\xC2\xA0"
          "234,5",
          SIGN_COMMA, 1234.5);
    reads("1\xE2\x80\xAF"
          "234",
          SIGN_POINT, 1234);
    reads("1'234.5", SIGN_POINT, 1234.5);
    says("1 23", SIGN_POINT, CELL_TEXT);
    says("1 2345", SIGN_POINT, CELL_TEXT);
    says("1,234", SIGN_POINT, CELL_OTHER_SIGN);
    says("1.234", SIGN_COMMA, CELL_OTHER_SIGN);
    says("1.234,5", SIGN_POINT, CELL_OTHER_SIGN);
}
END_TEST

START_TEST(what_is_no_number_says_so)
{
    static const char *const text[] = {"hot",  "1..2",      "1.2.3", "--5", "1e", "12_000",
                                       "0x10", "167.98 mm", "1e999", "+",   "."};
    static const char *const none[] = {"NaN", "nan", "n/a", "#N/A", "---", "-", "OVER", "NULL"};
    for (size_t i = 0; i < sizeof text / sizeof text[0]; i++)
        says(text[i], SIGN_POINT, CELL_TEXT);
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++)
        says(none[i], SIGN_POINT, CELL_NO_READING);
    says("", SIGN_POINT, CELL_EMPTY);
}
END_TEST

START_TEST(a_cell_shows_its_decimal_sign_or_not)
{
    static const struct {
        const char *text;
        enum sign_evidence evidence;
    } rows[] = {{"200,5", SIGN_IN_COMMA},     {"200.5", SIGN_IN_POINT},     {"1.234", SIGN_IN_EITHER},
                {"-167,981", SIGN_IN_EITHER}, {"0.123", SIGN_IN_POINT},     {"1234.567", SIGN_IN_POINT},
                {"1.234,5", SIGN_IN_COMMA},   {"1,234,567", SIGN_IN_POINT}, {"1.234e3", SIGN_IN_POINT},
                {"200", SIGN_IN_NONE},        {"hot, dry", SIGN_IN_NONE},   {"1.234567", SIGN_IN_POINT},
                {"", SIGN_IN_NONE},           {"1 234,567", SIGN_IN_COMMA}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        ck_assert_msg(cell_sign(text_of(rows[i].text)) == rows[i].evidence, "'%s'", rows[i].text);
}
END_TEST

/* ---- times -------------------------------------------------------------------------------------------------------------- */

static void is_time(const char *text, double want, bool zone)
{
    struct cell_time t;
    ck_assert_msg(cell_time(text_of(text), &t), "'%s' is no time", text);
    ck_assert_msg(t.seconds == want && t.zone == zone, "'%s' is %.17g", text, t.seconds);
}

/* The examples of RFC 3339 section 5.8; seconds since 1970 are those of GNU date -u -d TEXT +%s. */
START_TEST(times_are_those_of_the_rfc)
{
    is_time("1985-04-12T23:20:50.5Z", 482196050.5, true);
    is_time("1996-12-19T16:39:57-08:00", 851042397, true);
    is_time("1990-12-31T23:59:60Z", 662688000, true);
    is_time("2000-02-29T00:00:00", 951782400, false);
    is_time("2026-11-20 14:05:07,250", 1795183507.25, false);
    is_time("20.11.2026 14:05", 1795183500, false);
    is_time("1.2.2026 04:05:06", 1769918706, false);
}
END_TEST

START_TEST(what_may_be_two_dates_is_none)
{
    static const char *const texts[] = {
        "11/12/2026 14:05", "2026-02-29T00:00:00",   "2026-13-01T00:00:00",   "2026-11-20",
        "14:05:07",         "2026-11-20T25:00:00",   "2026-11-20T14:05:07+1", "",
        "20-11-2026 14:05", "2026-11-20T14:05:07 PM"};
    struct cell_time t;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        ck_assert_msg(!cell_time(text_of(texts[i]), &t), "'%s' is a time", texts[i]);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("readings");
    TCase *c = tcase_create("readings");
    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, rows_are_those_of_the_rfc);
    tcase_add_test(c, rows_of_ugly_files);
    tcase_add_test(c, a_stream_says_why_it_ends);
    tcase_add_test(c, a_quote_that_is_never_closed_ends_at_the_limit);
    tcase_add_test(c, a_row_of_ten_thousand_cells);
    tcase_add_test(c, numbers_are_the_nearest_doubles);
    tcase_add_test(c, groups_of_three_are_read_where_there_is_no_doubt);
    tcase_add_test(c, what_is_no_number_says_so);
    tcase_add_test(c, a_cell_shows_its_decimal_sign_or_not);
    tcase_add_test(c, times_are_those_of_the_rfc);
    tcase_add_test(c, what_may_be_two_dates_is_none);
    suite_add_tcase(s, c);
    SRunner *runner = srunner_create(s);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? 1 : 0;
}
