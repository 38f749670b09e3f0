/* UTF-8 against The Unicode Standard (table 3-7, well-formed byte sequences) and against the C library's own decoder and
 * column widths in the C.UTF-8 locale. */
#define _XOPEN_SOURCE 700
#include "runtime/base/utf8.h"

#include <check.h>
#include <locale.h>
#include <stdlib.h>
#include <wchar.h>

START_TEST(decodes_one_to_four_bytes)
{
    struct text t = TEXT("a\xC2\xB5\xE2\x82\xAC\xF0\x9F\x94\xA5");
    const uint32_t points[] = {'a', 0xB5, 0x20AC, 0x1F525}, lens[] = {1, 2, 3, 4};
    uint32_t at = 0;
    for (int i = 0; i < 4; i++) {
        struct utf8_char c = utf8_at(t, at);
        ck_assert(c.valid);
        ck_assert_uint_eq(c.point, points[i]);
        ck_assert_uint_eq(c.len, lens[i]);
        at += c.len;
    }
    ck_assert_uint_eq(at, t.len);
    ck_assert_uint_eq(utf8_at(t, at).len, 0);
    ck_assert_uint_eq(utf8_count(t), 4);
}
END_TEST

/* The Unicode Standard 15.0, section 3.9: overlong forms, surrogates, values above 10FFFF, cut sequences. */
static const struct {
    const char *bytes;
    uint32_t len, valid_until;
} ill_formed[] = {
    {"ab\xC0\x80", 4, 2},
    {"\xC1\xBF", 2, 0},
    {"\xE0\x9F\xBF", 3, 0},
    {"\xF0\x8F\xBF\xBF", 4, 0},
    {"\xED\xA0\x80", 3, 0},
    {"\xED\xBF\xBF", 3, 0},
    {"\xF4\x90\x80\x80", 4, 0},
    {"\xF5\x80\x80\x80", 4, 0},
    {"x\x80", 2, 1},
    {"\xE2\x82", 2, 0},
    {"\xC2", 1, 0},
    {"\xE2\x82z", 3, 0},
    {"\xFF", 1, 0},
    {"\xF1\x80\x80", 3, 0},
    {"\xE1\x80\xC0", 3, 0},
    {"\xC2\xB5\xFE", 3, 2},
};

START_TEST(refuses_ill_formed)
{
    struct text t = {ill_formed[_i].bytes, ill_formed[_i].len};
    ck_assert_uint_eq(utf8_valid_until(t), ill_formed[_i].valid_until);
    struct utf8_char c = utf8_at(t, ill_formed[_i].valid_until);
    ck_assert(!c.valid);
    ck_assert_uint_eq(c.point, UTF8_REPLACEMENT);
    ck_assert_uint_eq(c.len, 1);
}
END_TEST

START_TEST(accepts_well_formed_borders)
{
    const uint32_t points[] = {0, 0x7F, 0x80, 0x7FF, 0x800, 0xD7FF, 0xE000, 0xFFFD, 0xFFFF, 0x10000, 0x10FFFF};
    for (size_t i = 0; i < sizeof points / sizeof points[0]; i++) {
        char bytes[4];
        struct text t = {bytes, utf8_put(bytes, points[i])};
        ck_assert_uint_eq(utf8_valid_until(t), t.len);
        ck_assert_uint_eq(utf8_at(t, 0).point, points[i]);
    }
}
END_TEST

START_TEST(puts_replacement_for_no_character)
{
    char bytes[4];
    ck_assert_uint_eq(utf8_put(bytes, 0xD800), 3);
    ck_assert_mem_eq(bytes, "\xEF\xBF\xBD", 3);
    ck_assert_uint_eq(utf8_put(bytes, 0x110000), 3);
    ck_assert_mem_eq(bytes, "\xEF\xBF\xBD", 3);
}
END_TEST

START_TEST(agrees_with_the_c_library_on_every_pair_of_bytes_and_more)
{
    ck_assert_ptr_nonnull(setlocale(LC_CTYPE, "C.UTF-8"));
    srand(7);
    for (int round = 0; round < 400000; round++) {
        char bytes[5];
        for (int i = 0; i < 4; i++)
            bytes[i] = (char)(i && rand() % 4 ? 0x80 | (rand() & 0x3F) : rand() & 0xFF);
        if (round < 65536) {
            bytes[0] = (char)(round >> 8);
            bytes[1] = (char)round;
        }
        bytes[4] = 0;
        wchar_t wide = 0;
        mbstate_t state = {0};
        size_t n = mbrtowc(&wide, bytes, 4, &state);
        struct utf8_char ours = utf8_at((struct text){bytes, 4}, 0);
        /* It still decodes what lies above U+10FFFF. */
        bool refused = n == (size_t)-1 || n == (size_t)-2 || wide > 0x10FFFF;
        ck_assert_msg(ours.valid == !refused, "bytes %02x %02x %02x %02x", bytes[0] & 255, bytes[1] & 255,
                      bytes[2] & 255, bytes[3] & 255);
        if (!refused) {
            ck_assert_uint_eq(ours.point, (uint32_t)wide);
            ck_assert_uint_eq(ours.len, n ? n : 1);
        }
    }
}
END_TEST

/* The C library's table is of another Unicode version and widens a few symbols: it is asked about the scripts that
 * matter in a shop's comments. */
START_TEST(columns_agree_with_the_c_library)
{
    ck_assert_ptr_nonnull(setlocale(LC_CTYPE, "C.UTF-8"));
    const uint32_t ranges[][2] = {
        {0x20, 0x7E},     {0xA1, 0xAC},     {0xAE, 0x2FF},    {0x300, 0x36F},     {0x370, 0x377},
        {0x391, 0x3A1},   {0x400, 0x52F},   {0x5D0, 0x5EA},   {0xE01, 0xE3A},     {0x2010, 0x2027},
        {0x2030, 0x205E}, {0x2070, 0x2071}, {0x20A0, 0x20BF}, {0x2100, 0x23FF},   {0x2500, 0x27BF},
        {0x3001, 0x3029}, {0x3041, 0x3096}, {0x30A0, 0x30FF}, {0x3400, 0x4DBF},   {0x4E00, 0x9FFF},
        {0xAC00, 0xD7A3}, {0xFF01, 0xFF60}, {0xFF61, 0xFF9F}, {0x1F300, 0x1F64F}, {0x20000, 0x2A6DF},
    };
    uint32_t asked = 0;
    for (size_t r = 0; r < sizeof ranges / sizeof ranges[0]; r++)
        for (uint32_t point = ranges[r][0]; point <= ranges[r][1]; point++) {
            int theirs = wcwidth((wchar_t)point), ours = (int)utf8_point_columns(point);
            if (theirs < 0) /* unassigned */
                continue;
            ck_assert_msg(theirs == ours, "U+%04X: theirs %d, ours %d", (unsigned)point, theirs, ours);
            asked++;
        }
    ck_assert_uint_gt(asked, 60000);
}
END_TEST

START_TEST(columns_of_lines)
{
    ck_assert_uint_eq(utf8_columns(TEXT("")), 0);
    ck_assert_uint_eq(utf8_columns(TEXT("200 \xC2\xB0"
                                        "C \xC2\xB1 4 K")),
                      12);
    ck_assert_uint_eq(utf8_columns(TEXT("\t")), 8);
    ck_assert_uint_eq(utf8_columns(TEXT("1234567\t9")), 9);
    ck_assert_uint_eq(utf8_columns(TEXT("12345678\t9")), 17);
    ck_assert_uint_eq(utf8_columns(TEXT("\xE6\xB8\xA9\xE9\x97\xB4")), 4); /* two ideographs */
    ck_assert_uint_eq(utf8_columns(TEXT("e\xCC\x81")), 1);                /* e and a combining acute accent */
    ck_assert_uint_eq(utf8_columns(TEXT("\xFF\xFE")), 2);                 /* each stray byte shows as one U+FFFD */
}
END_TEST

START_TEST(knows_what_is_plain)
{
    ck_assert(utf8_is_plain(TEXT("")) && utf8_is_plain(TEXT("200 degC +/- 4 K, ~!")));
    ck_assert(!utf8_is_plain(TEXT("a\tb")) && !utf8_is_plain(TEXT("a\n")) && !utf8_is_plain(TEXT("a\x7F")) &&
              !utf8_is_plain(TEXT("4 \xC2\xB0")) && !utf8_is_plain((struct text){"a\0b", 3}));
}
END_TEST

START_TEST(utf16_units)
{
    struct text t = TEXT("a\xC2\xB5\xF0\x9F\x94\xA5"
                         "b"); /* 1, 1, 2 and 1 units; 1, 2, 4 and 1 bytes */
    ck_assert_uint_eq(utf8_utf16(t), 5);
    const uint32_t offsets[] = {0, 1, 3, 3, 7, 8, 8};
    for (uint32_t units = 0; units < 7; units++)
        ck_assert_uint_eq(utf8_offset_of_utf16(t, units), offsets[units]);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("utf8");
    TCase *tests = tcase_create("utf8");
    tcase_add_test(tests, decodes_one_to_four_bytes);
    tcase_add_loop_test(tests, refuses_ill_formed, 0, (int)(sizeof ill_formed / sizeof ill_formed[0]));
    tcase_add_test(tests, accepts_well_formed_borders);
    tcase_add_test(tests, puts_replacement_for_no_character);
    tcase_add_test(tests, agrees_with_the_c_library_on_every_pair_of_bytes_and_more);
    tcase_add_test(tests, columns_agree_with_the_c_library);
    tcase_add_test(tests, columns_of_lines);
    tcase_add_test(tests, knows_what_is_plain);
    tcase_add_test(tests, utf16_units);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
