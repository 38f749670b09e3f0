#include "compiler/text/render.h"

#include "runtime/base/utf8.h"

#include "tests/unit/sample_sources.h"

#include <check.h>
#include <stdlib.h>

static uint32_t file_of(const char *path, const char *bytes)
{
    return source_add(&sources, text_of(path), text_of(bytes));
}

/* The span of the n-th occurrence of the words, counted from 0. */
static struct span find(uint32_t file, const char *words, int n)
{
    const char *start = source_at(&sources, file)->bytes.at, *found = start - 1;
    for (int i = 0; i <= n; i++) {
        found = strstr(found + 1, words);
        ck_assert_ptr_nonnull(found);
    }
    uint32_t lo = (uint32_t)(found - start);
    return (struct span){file, lo, lo + (uint32_t)strlen(words)};
}

static void check_shown(struct render_style style, const char *expected)
{
    struct buffer b;
    buffer_init(&b, &arena);
    render_text(&b, &sources, &ds, style);
    buffer_putc(&b, '\0');
    ck_assert_str_eq(b.at, expected);
}

static void check_plain(const char *expected)
{
    check_shown((struct render_style){.width = 80}, expected);
}

START_TEST(a_fault_with_all_its_parts)
{
    uint32_t f = file_of("lid.recipe", "sheet {\n    thickness = 0.50 mmm\n}\n");
    struct diagnostic *d = report(&ds, FAULT_unknown_unit, find(f, "mmm", 0), "no unit is called 'mmm'");
    report_here(&ds, d, "not a unit");
    report_label(&ds, d, find(f, "sheet", 0), "in this definition");
    report_help(&ds, d, "write 'mm'");
    report_edit(&ds, d, find(f, "mmm", 0), TEXT("mm"));
    check_plain("lid.recipe:2:22: error: no unit is called 'mmm' [unknown-unit]\n"
                "    1 | sheet {\n"
                "      | ----- in this definition\n"
                "    2 |     thickness = 0.50 mmm\n"
                "      |                      ^^^ not a unit\n"
                "  help: write 'mm'\n"
                "    2 +     thickness = 0.50 mm\n");
}
END_TEST

START_TEST(both_operands_on_one_line)
{
    uint32_t f = file_of("lid.recipe", "let x = 3 mm + 2 kg");
    struct diagnostic *d =
        report(&ds, FAULT_dimension_mismatch, find(f, "+", 0), "a length and a mass cannot be added");
    report_label(&ds, d, find(f, "2 kg", 0), "a mass");
    report_label(&ds, d, find(f, "3 mm", 0), "a length");
    check_plain("lid.recipe:1:14: error: a length and a mass cannot be added [dimension-mismatch]\n"
                "    1 | let x = 3 mm + 2 kg\n"
                "      |              ^\n"
                "      |         ---- a length\n"
                "      |                ---- a mass\n");
}
END_TEST

START_TEST(a_label_in_another_file_is_a_place_of_its_own)
{
    uint32_t f = file_of("lid.recipe", "tool die {"), g = file_of("shop/bay.recipe", "\n\ntool die {");
    struct diagnostic *d = report(&ds, FAULT_duplicate_definition, find(f, "die", 0), "there is a second tool 'die'");
    report_label(&ds, d, find(g, "die", 0), "the first stands here");
    report_help(&ds, d, "give one of them another name");
    check_plain("lid.recipe:1:6: error: there is a second tool 'die' [duplicate-definition]\n"
                "    1 | tool die {\n"
                "      |      ^^^\n"
                "shop/bay.recipe:3:6: note: the first stands here\n"
                "    3 | tool die {\n"
                "      |      ---\n"
                "  help: give one of them another name\n");
}
END_TEST

START_TEST(a_fault_without_a_place)
{
    report(&ds, FAULT_unreadable_file, (struct span){0}, "cannot read 'lid.recipe'");
    check_plain("error: cannot read 'lid.recipe' [unreadable-file]\n");
}
END_TEST

START_TEST(severities_in_words)
{
    uint32_t f = file_of("a.recipe", "x");
    report(&ds, FAULT_no_steps, find(f, "x", 0), "one");
    report(&ds, FAULT_no_source, find(f, "x", 0), "two");
    check_plain("a.recipe:1:1: warning: one [no-steps]\n    1 | x\n      | ^\n\n"
                "a.recipe:1:1: note: two [no-source]\n    1 | x\n      | ^\n");
}
END_TEST

START_TEST(several_lines)
{
    uint32_t f = file_of("a.recipe", "let x = (1 +\r\n    2 +\r\n    3\r\n  )\r\nnext");
    struct span s = {f, find(f, "(", 0).lo, find(f, "next", 0).lo};
    struct diagnostic *d = report(&ds, FAULT_syntax, s, "message");
    report_here(&ds, d, "all this");
    check_plain("a.recipe:1:9: error: message [syntax]\n"
                "    1 | let x = (1 +\n"
                "      |         ^^^^\n"
                "  ...\n"
                "    4 |   )\n"
                "      |   ^ all this\n");
}
END_TEST

START_TEST(carets_stand_under_tabs_and_wide_characters)
{
    uint32_t f = file_of("a.recipe", "\ttitle = \"\xE6\xB8\xA9\xE9\x97\xB4 e\xCC\x81\" here");
    report(&ds, FAULT_syntax, find(f, "here", 0), "message");
    check_plain("a.recipe:1:26: error: message [syntax]\n"
                "    1 |         title = \"\xE6\xB8\xA9\xE9\x97\xB4 e\xCC\x81\" here\n"
                "      |                          ^^^^\n");
}
END_TEST

START_TEST(hidden_characters_are_shown_as_such)
{
    /* an escape sequence, a right-to-left override, a stray byte: none of them reaches the terminal */
    uint32_t f = file_of("a\033.recipe", "a\033[31m\xE2\x80\xAE\xFF"
                                         "b");
    report(&ds, FAULT_stray_character, find(f, "b", 0), "message\nwith '\007' \xFF");
    check_plain("a\xEF\xBF\xBD.recipe:1:7: error: message with '\xEF\xBF\xBD' \xEF\xBF\xBD [stray-character]\n"
                "    1 | a\xEF\xBF\xBD[31m\xEF\xBF\xBD\xEF\xBF\xBD"
                "b\n"
                "      |         ^\n");
}
END_TEST

START_TEST(a_byte_order_mark_takes_no_room)
{
    uint32_t f = file_of("a.recipe", "\xEF\xBB\xBFsheet");
    report(&ds, FAULT_syntax, find(f, "sheet", 0), "message");
    check_plain("a.recipe:1:1: error: message [syntax]\n    1 | sheet\n      | ^^^^^\n");
}
END_TEST

START_TEST(the_end_of_the_file_can_be_pointed_at)
{
    uint32_t f = file_of("a.recipe", "sheet {\n");
    report(&ds, FAULT_unclosed_brace, (struct span){f, 8, 8}, "message");
    check_plain("a.recipe:2:1: error: message [unclosed-brace]\n    2 |\n      | ^\n");
}
END_TEST

START_TEST(a_long_line_is_shown_around_the_caret)
{
    char *line = malloc(3001);
    for (int i = 0; i < 3000; i++)
        line[i] = "abc "[i % 4];
    line[3000] = '\0';
    memcpy(line + 1500, "WRONG", 5);
    uint32_t f = file_of("a.recipe", line);
    struct diagnostic *d = report(&ds, FAULT_syntax, find(f, "WRONG", 0), "message");
    report_edit(&ds, d, find(f, "WRONG", 0), TEXT("R"));
    check_shown((struct render_style){.width = 48}, "a.recipe:1:1501: error: message [syntax]\n"
                                                    "    1 | ...c abc abc abc WRONGbc abc abc abc ...\n"
                                                    "      |                  ^^^^^\n"
                                                    "  help: write\n"
                                                    "    1 + ...abc abc abc abc Rbc abc abc abc ab...\n");
    free(line);
}
END_TEST

START_TEST(labels_far_apart_on_a_long_line_each_get_a_window)
{
    char line[401];
    memset(line, '.', 400);
    memcpy(line, "first", 5);
    memcpy(line + 390, "second", 6);
    line[400] = '\0';
    uint32_t f = file_of("a.recipe", line);
    struct diagnostic *d = report(&ds, FAULT_duplicate_name, find(f, "second", 0), "message");
    report_label(&ds, d, find(f, "first", 0), "here");
    check_shown((struct render_style){.width = 48}, "a.recipe:1:391: error: message [duplicate-name]\n"
                                                    "    1 | ..............................second....\n"
                                                    "      |                               ^^^^^^\n"
                                                    "    1 | first...................................\n"
                                                    "      | ----- here\n");
}
END_TEST

START_TEST(a_long_label_goes_below_and_is_wrapped)
{
    uint32_t f = file_of("a.recipe", "                              x = y");
    struct diagnostic *d = report(&ds, FAULT_syntax, find(f, "x", 0), "message");
    report_here(&ds, d, "a remark that is longer than what is left of the line beside the caret");
    check_shown((struct render_style){.width = 60}, "a.recipe:1:31: error: message [syntax]\n"
                                                    "    1 |                               x = y\n"
                                                    "      |                               ^\n"
                                                    "      |                  a remark that is longer than what\n"
                                                    "      |                  is left of the line beside the\n"
                                                    "      |                  caret\n");
}
END_TEST

/* On a terminal the first line too; in a log it is one line, which editors and scripts read. */
START_TEST(the_first_line_is_wrapped_on_a_terminal)
{
    uint32_t f = file_of("a.recipe", "x");
    const char *words = "the inside radius of it is 0.40 mm, and must be at least 2.513 mm";
    report(&ds, FAULT_syntax, find(f, "x", 0), "%s", words);
    check_shown((struct render_style){.width = 60, .terminal = true},
                "a.recipe:1:1: error: the inside radius of it is 0.40 mm, and\n"
                "    must be at least 2.513 mm [syntax]\n"
                "    1 | x\n"
                "      | ^\n");
    check_shown((struct render_style){.width = 60},
                "a.recipe:1:1: error: the inside radius of it is 0.40 mm, and must be at least 2.513 mm [syntax]\n"
                "    1 | x\n"
                "      | ^\n");
}
END_TEST

/* Nowhere wider than the terminal, ink or not, the name of the fault included. */
START_TEST(a_wrapped_first_line_fits)
{
    uint32_t f = file_of("a.recipe", "x"), width = 30 + (uint32_t)_i;
    struct buffer plain, inked;
    buffer_init(&plain, &arena);
    buffer_init(&inked, &arena);
    report(&ds, FAULT_limit_nominal_only, find(f, "x", 0), "of ten words some are long and others short, 2.5 mm or so");
    render_text(&plain, &sources, &ds, (struct render_style){.width = width, .terminal = true});
    render_text(&inked, &sources, &ds, (struct render_style){.width = width, .terminal = true, .color = true});
    uint32_t column = 0, lines[2] = {0};
    for (uint32_t i = 0; i < plain.count; i++) {
        column = plain.at[i] == '\n' ? 0 : column + 1;
        ck_assert_uint_le(column, width);
        lines[0] += plain.at[i] == '\n';
    }
    for (uint32_t i = 0; i < inked.count; i++)
        lines[1] += inked.at[i] == '\n';
    ck_assert_uint_eq(lines[0], lines[1]);
}
END_TEST

START_TEST(help_is_wrapped_and_keeps_its_line_ends)
{
    uint32_t f = file_of("a.recipe", "x");
    struct diagnostic *d = report(&ds, FAULT_syntax, find(f, "x", 0), "message");
    report_help(&ds, d, "one two three four five six seven eight nine ten eleven twelve\nnew line");
    check_shown((struct render_style){.width = 44}, "a.recipe:1:1: error: message [syntax]\n"
                                                    "    1 | x\n"
                                                    "      | ^\n"
                                                    "  help: one two three four five six seven\n"
                                                    "        eight nine ten eleven twelve\n"
                                                    "        new line\n");
}
END_TEST

START_TEST(edits_that_add_lines_and_that_take_out)
{
    uint32_t f = file_of("a.recipe", "recipe x {\n    title = \"Lid\"\n    title = \"Lid\"\n}\n");
    struct span second = find(f, "title = \"Lid\"", 1);
    struct diagnostic *d = report(&ds, FAULT_duplicate_property, second, "stated twice");
    report_edit(&ds, d, second, TEXT(""));
    d = report(&ds, FAULT_missing_property, find(f, "}", 0), "no part");
    report_edit(&ds, d, (struct span){f, find(f, "}", 0).lo, find(f, "}", 0).lo}, TEXT("    part = \"\"\n"));
    check_plain("a.recipe:3:5: error: stated twice [duplicate-property]\n"
                "    3 |     title = \"Lid\"\n"
                "      |     ^^^^^^^^^^^^^\n"
                "  help: take this out\n"
                "\n"
                "a.recipe:4:1: error: no part [missing-property]\n"
                "    4 | }\n"
                "      | ^\n"
                "  help: write\n"
                "    4 +     part = \"\"\n"
                "    5 + }\n");
}
END_TEST

START_TEST(color_repeats_what_the_words_say)
{
    uint32_t f = file_of("a.recipe", "x = 1 mmm");
    struct diagnostic *d = report(&ds, FAULT_unknown_unit, find(f, "mmm", 0), "no such unit");
    report_here(&ds, d, "this");
    report_label(&ds, d, find(f, "x", 0), "of this");
    report_help(&ds, d, "write mm");
    struct buffer plain, colored;
    buffer_init(&plain, &arena);
    buffer_init(&colored, &arena);
    render_text(&plain, &sources, &ds, (struct render_style){.width = 80});
    render_text(&colored, &sources, &ds, (struct render_style){.color = true, .width = 80});
    ck_assert_uint_gt(colored.count, plain.count);
    uint32_t n = 0;
    for (uint32_t i = 0; i < colored.count; i++) {
        if (colored.at[i] == '\033')
            while (colored.at[i] != 'm')
                i++;
        else
            colored.at[n++] = colored.at[i];
    }
    ck_assert(text_same((struct text){colored.at, n}, buffer_text(&plain)));
}
END_TEST

START_TEST(says_how_many_are_left_out)
{
    uint32_t f = file_of("a.recipe", "x");
    for (uint32_t i = 0; i < DIAGNOSTIC_LIMIT + 7; i++)
        report(&ds, FAULT_syntax, find(f, "x", 0), "message %u", i);
    struct buffer b;
    buffer_init(&b, &arena);
    render_text(&b, &sources, &ds, (struct render_style){0});
    static const char end[] = "\n7 more are not shown; mend these first\n";
    ck_assert_uint_gt(b.count, sizeof end);
    ck_assert_mem_eq(b.at + b.count - (sizeof end - 1), end, sizeof end - 1);
}
END_TEST

/* Whatever the bytes, whatever the spans: valid UTF-8, no control characters, no crash. */
START_TEST(any_bytes_give_clean_text)
{
    uint32_t seed = (uint32_t)_i * 2654435761u + 1;
    char bytes[300];
    for (uint32_t i = 0; i < sizeof bytes; i++) {
        seed = seed * 1664525u + 1013904223u;
        bytes[i] = (seed >> 24) % 3 ? (char)(seed >> 16) : "\n\t\r {}"[(seed >> 16) % 6];
    }
    uint32_t f = source_add(&sources, TEXT("a"), (struct text){bytes, sizeof bytes});
    for (uint32_t i = 0; i < 40; i++) {
        seed = seed * 1664525u + 1013904223u;
        struct span s = {f, (seed >> 8) % 310, 0};
        s.hi = s.lo + (seed >> 20) % 90;
        struct diagnostic *d = report(&ds, FAULT_syntax, s, "%.*s", 20, bytes + (seed >> 9) % 200);
        report_label(&ds, d, (struct span){f, s.lo / 2, s.hi / 2}, "%.*s", 30, bytes + (seed >> 7) % 200);
        report_edit(&ds, d, s, (struct text){bytes + (seed >> 11) % 100, 50});
    }
    struct buffer b;
    buffer_init(&b, &arena);
    render_text(&b, &sources, &ds, (struct render_style){.width = 40 + (uint32_t)_i});
    ck_assert_uint_eq(utf8_valid_until(buffer_text(&b)), b.count);
    for (uint32_t i = 0; i < b.count; i++)
        ck_assert_uint_ge((unsigned char)b.at[i], b.at[i] == '\n' ? 0 : ' ');
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("render");
    TCase *tests = tcase_create("render");
    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, a_fault_with_all_its_parts);
    tcase_add_test(tests, both_operands_on_one_line);
    tcase_add_test(tests, a_label_in_another_file_is_a_place_of_its_own);
    tcase_add_test(tests, a_fault_without_a_place);
    tcase_add_test(tests, severities_in_words);
    tcase_add_test(tests, several_lines);
    tcase_add_test(tests, carets_stand_under_tabs_and_wide_characters);
    tcase_add_test(tests, hidden_characters_are_shown_as_such);
    tcase_add_test(tests, a_byte_order_mark_takes_no_room);
    tcase_add_test(tests, the_end_of_the_file_can_be_pointed_at);
    tcase_add_test(tests, a_long_line_is_shown_around_the_caret);
    tcase_add_test(tests, labels_far_apart_on_a_long_line_each_get_a_window);
    tcase_add_test(tests, a_long_label_goes_below_and_is_wrapped);
    tcase_add_test(tests, help_is_wrapped_and_keeps_its_line_ends);
    tcase_add_test(tests, the_first_line_is_wrapped_on_a_terminal);
    tcase_add_loop_test(tests, a_wrapped_first_line_fits, 0, 60);
    tcase_add_test(tests, edits_that_add_lines_and_that_take_out);
    tcase_add_test(tests, color_repeats_what_the_words_say);
    tcase_add_test(tests, says_how_many_are_left_out);
    tcase_add_loop_test(tests, any_bytes_give_clean_text, 0, 60);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
