/* Every example in the registry shows the fault it stands for, and nothing about the example itself is faulty. */
#include "compiler/recipe.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>

static struct strokewright_library *library;

static void setup(void)
{
    library = strokewright_library_new();
    ck_assert_ptr_nonnull(library);
    library->today = TEXT("2026-11-25");
}

static void teardown(void)
{
    strokewright_library_free(library);
}

/* What no recipe text can show among these surroundings: the system's refusals, bytes that are not text, other files,
 * sheer size, tools without roles, for the surroundings have a die and a punch, and what stands in a file of readings. */
static const enum fault beyond_text[] = {
    FAULT_unreadable_file,
    FAULT_not_a_file,
    FAULT_file_too_large,
    FAULT_invalid_utf8,
    FAULT_nul_byte,
    FAULT_revision_unchanged,
    FAULT_use_not_found,
    FAULT_use_circle,
    FAULT_use_outside,
    FAULT_nested_too_deep,
    FAULT_text_too_long,
    FAULT_assumed_role,
    FAULT_shared_change,
    FAULT_readings_header,
    FAULT_readings_name,
    FAULT_readings_unit,
    FAULT_readings_column_twice,
    FAULT_readings_separator,
    FAULT_readings_decimal,
    FAULT_readings_number,
    FAULT_readings_cells,
    FAULT_readings_quote,
    FAULT_readings_time,
    FAULT_readings_time_back,
    FAULT_readings_piece_twice,
    FAULT_readings_far_off,
    FAULT_readings_none,
    FAULT_fit_unstated,
};

/* What the example leaves out because a reader knows it: each piece is added unless the example has its own. */
static const struct {
    const char *begins; /* an example with this line has its own */
    const char *text;
} surroundings[] = {
    {"recipe ", "recipe lid {\n title = \"Lid\"\n part = \"RL-204\"\n revision = \"A\"\n date = 2026-11-02\n"
                " status = trial\n}\n"},
    {"press ", "press bay {\n capacity = 400 kN\n energy = 6 kJ\n stroke-length = 300 mm\n daylight = 500 mm\n"
               " speed = 5 mm/s .. 80 mm/s\n approach-speed = 200 mm/s\n control = 3 K\n heater-power = 12 kW\n}\n"},
    {"corner ", "corner rim {\n inside-radius = 0.4 mm\n}\n"},
    {"sheet ", "sheet {\n alloy = az31b-o\n thickness = 0.50 mm\n length = 187 mm\n width = 129 mm\n}\n"},
    {"tool die ",
     "tool die {\n material = h13\n temperature = 215 degC\n mass = 46 kg\n power = 4 kW\n losses = 2 W/K\n}\n"},
    {"tool punch ", "tool punch {\n material = h13\n temperature = 215 degC\n mass = 38 kg\n power = 3 kW\n"
                    " losses = 2 W/K\n}\n"},
    {"steps ", "steps {\n warm-up tools {\n heats = die, punch\n }\n heat-up blank {\n between = die, punch\n"
               " contact = 1800 W/(m^2*K)\n time = 2.5 s\n }\n stroke form {\n speed = 25 mm/s\n hold = 1.2 s\n"
               " travel = 9 mm\n contact = 2500 W/(m^2*K)\n }\n}\n"},
};

static bool has_line(const char *text, const char *begins)
{
    for (const char *at = text; at; at = strchr(at, '\n') ? strchr(at, '\n') + 1 : NULL)
        if (strncmp(at, begins, strlen(begins)) == 0)
            return true;
    return false;
}

static struct text surrounded(struct arena *a, const char *example)
{
    /* Two tools that are not called after what they are. */
    bool renamed = has_line(example, "tool lower ");
    struct text all = renamed ? TEXT("tool upper {\n material = h13\n temperature = 215 degC\n}\n") : TEXT("");
    for (size_t i = 0; i < sizeof surroundings / sizeof surroundings[0]; i++)
        if (!has_line(example, surroundings[i].begins) &&
            !(renamed && (strstr(surroundings[i].text, "tool ") || strstr(surroundings[i].text, "die"))))
            all = arena_format(a, "%.*s%s", TEXT_ARGS(all), surroundings[i].text);
    if (renamed && !has_line(example, "steps "))
        all = arena_format(a, "%.*ssteps {\n stroke form {\n speed = 25 mm/s\n hold = 1.2 s\n }\n}\n", TEXT_ARGS(all));
    return arena_format(a, "%.*s%s", TEXT_ARGS(all), example);
}

static bool shows(struct text text, enum fault fault)
{
    struct strokewright_recipe *r = recipe_compile(library, NULL, TEXT("example.recipe"), text, NULL);
    ck_assert_ptr_nonnull(r);
    bool found = false;
    for (uint32_t i = 0; i < r->diagnostics.all.count; i++)
        found |= r->diagnostics.all.at[i]->fault == fault;
    if (!found)
        for (uint32_t i = 0; i < r->diagnostics.all.count; i++)
            printf("  instead: %s: %.*s\n", fault_table[r->diagnostics.all.at[i]->fault].slug,
                   TEXT_ARGS(r->diagnostics.all.at[i]->message));
    strokewright_free(r);
    return found;
}

START_TEST(the_example_shows_the_fault)
{
    enum fault fault = (enum fault)_i;
    for (size_t i = 0; i < sizeof beyond_text / sizeof beyond_text[0]; i++)
        if (beyond_text[i] == fault)
            return;
    struct arena a;
    arena_init(&a, NULL);
    const char *example = fault_table[fault].example;
    bool alone = fault == FAULT_empty_recipe || fault == FAULT_no_steps || fault == FAULT_missing_definition;
    ck_assert_msg(shows(alone ? text_of(example) : surrounded(&a, example), fault), "%s: the example does not show it",
                  fault_table[fault].slug);
    arena_free(&a);
}
END_TEST

/* The surroundings must not be what shows a fault: by themselves they have none. */
START_TEST(the_surroundings_are_clean)
{
    struct arena a;
    arena_init(&a, NULL);
    struct strokewright_recipe *r = recipe_compile(library, NULL, TEXT("lid.recipe"), surrounded(&a, ""), NULL);
    for (uint32_t i = 0; i < r->diagnostics.all.count; i++)
        if (r->diagnostics.all.at[i]->severity != SEVERITY_NOTE)
            ck_abort_msg("%s: %.*s", fault_table[r->diagnostics.all.at[i]->fault].slug,
                         TEXT_ARGS(r->diagnostics.all.at[i]->message));
    strokewright_free(r);
    arena_free(&a);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("faults");
    TCase *tests = tcase_create("faults");
    tcase_add_unchecked_fixture(tests, setup, teardown);
    tcase_add_loop_test(tests, the_example_shows_the_fault, 0, FAULT_COUNT);
    tcase_add_test(tests, the_surroundings_are_clean);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
