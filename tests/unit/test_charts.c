/* Charts in the step table, held against the same recipe compiled with the values changed by hand: a point of a track
 * must be what the recipe gives with that time stated, and no combination inside the tolerances may leave the edges. */
#include "compiler/recipe.h"

#include <check.h>
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

struct stated {
    const char *die, *contact, *thickness, *heat, *hold, *down_to;
};
static const struct stated as_stated = {
    "200 degC +/- 4 K", "1800 W/(m^2*K) +/- 30 %", "0.50 mm +/- 0.02 mm", "2.5 s", "1.2 s", "45 degC"};

static struct strokewright_recipe *compile(struct stated v)
{
    struct text text = arena_format(
        &arena,
        "recipe lid {\n title = \"Lid\"\n part = \"T-1\"\n revision = \"A\"\n date = 2026-11-02\n status = draft\n}\n"
        "shop {\n temperature = 22 degC +/- 3 K\n}\n"
        "press main {\n capacity = 400 kN\n stroke-length = 120 mm\n approach-speed = 150 mm/s\n control = 3 K\n}\n"
        "sheet {\n alloy = az31b-o\n thickness = %s\n length = 190 mm\n width = 132 mm\n lubricant = ptfe-film\n}\n"
        "tool die {\n material = h13\n temperature = %s\n}\n"
        "tool punch {\n material = h13\n temperature = 190 degC +/- 4 K\n}\n"
        "draw body {\n shape = box\n length = 168 mm\n width = 110 mm\n depth = 9 mm\n corner-radius = 6 mm\n"
        " bottom-radius = 2 mm\n}\n"
        "steps {\n"
        " heat-up blank {\n between = die, punch\n contact = %s\n time = %s\n reach = 180 degC .. 210 degC\n }\n"
        " stroke form {\n speed = 25 mm/s\n hold = %s\n release-after = 0.5 s\n }\n"
        " cooling rack {\n in = still-air\n down-to = %s\n }\n}\n",
        v.thickness, v.die, v.contact, v.heat, v.hold, v.down_to);
    struct strokewright_recipe *r = recipe_compile(library, NULL, TEXT("lid.recipe"), text, NULL);
    ck_assert_ptr_nonnull(r);
    ck_assert(r->evaluated);
    return r;
}

static double value(struct strokewright_recipe *r, const char *name)
{
    uint32_t q = lowering_named(r->lowering, text_of(name));
    ck_assert_msg(q, "no value %s", name);
    double si = value_of(&r->values, r->lowering->quantities.at[q].value);
    ck_assert_msg(isfinite(si), "%s has no value", name);
    return si;
}

static const struct chart *chart_of(struct strokewright_recipe *r, enum chart_kind kind)
{
    const struct step_table *t = recipe_table(r, SPELL_PRINT);
    ck_assert_ptr_nonnull(t);
    for (uint32_t i = 0; i < t->charts.count; i++)
        if (t->charts.at[i].kind == kind)
            return &t->charts.at[i];
    ck_abort_msg("no such chart");
}

enum { HEAT, SHAPING, HOLD, RELEASE, COOLING, TRACKS };

/* The point of a track a share of its length along: where the chart has one there. */
static struct chart_point at_share(const struct track *t, double share)
{
    double from = t->points.at[0].at, to = t->points.at[t->points.count - 1].at;
    for (uint32_t i = 0; i < t->points.count; i++)
        if (fabs(t->points.at[i].at - from - share * (to - from)) < 1e-8)
            return t->points.at[i];
    ck_abort_msg("no point at %g of the track", share);
}

START_TEST(a_point_is_what_that_time_gives)
{
    struct strokewright_recipe *whole = compile(as_stated);
    const struct chart *c = chart_of(whole, CHART_TEMPERATURE);
    ck_assert_uint_eq(c->spans.count, TRACKS);
    ck_assert(text_is(c->up_unit, "°C") && text_is(c->across_unit, "s"));
    struct stated v = as_stated;
    v.heat = "0.625 s"; /* a quarter of 2.5 s */
    struct strokewright_recipe *short_heat = compile(v);
    ck_assert_double_eq_tol(at_share(&c->tracks.at[HEAT], 0.25).value, value(short_heat, "blank.reached") - 273.15,
                            1e-6);
    ck_assert_double_eq_tol(at_share(&c->tracks.at[HEAT], 1).value, value(whole, "blank.reached") - 273.15, 1e-6);
    ck_assert_double_eq_tol(at_share(&c->tracks.at[HEAT], 0).value, 22, 1e-6);
    v = as_stated;
    v.hold = "0.3 s"; /* a quarter of 1.2 s */
    struct strokewright_recipe *short_hold = compile(v);
    ck_assert_double_eq_tol(at_share(&c->tracks.at[HOLD], 0.25).value,
                            value(short_hold, "form.release-temperature") - 273.15, 1e-6);
    strokewright_free(whole);
    strokewright_free(short_heat);
    strokewright_free(short_hold);
}
END_TEST

START_TEST(stretches_join)
{
    struct strokewright_recipe *r = compile(as_stated);
    const struct chart *c = chart_of(r, CHART_TEMPERATURE);
    for (int i = 0; i + 1 < TRACKS; i++) {
        const struct track *t = &c->tracks.at[i], *next = &c->tracks.at[i + 1];
        const struct chart_point end = t->points.at[t->points.count - 1];
        ck_assert_msg(fabs(end.at - next->points.at[0].at) < 1e-8, "stretch %d ends at %g", i, end.at);
        ck_assert_msg(fabs(end.value - next->points.at[0].value) < 1e-6, "stretch %d ends at %g, the next begins at %g",
                      i, end.value, next->points.at[0].value);
        ck_assert_double_eq_tol(c->spans.at[i].to, c->spans.at[i + 1].from, 1e-12);
    }
    const struct track *cooling = &c->tracks.at[COOLING];
    struct chart_point last = cooling->points.at[cooling->points.count - 1];
    ck_assert_double_eq_tol(last.value, 45, 1e-9);
    ck_assert_double_eq_tol(last.at - cooling->points.at[0].at, value(r, "rack.time-to-handle"), 1e-6);
    strokewright_free(r);
}
END_TEST

START_TEST(a_point_of_the_cooling_is_the_time_to_that_temperature)
{
    struct strokewright_recipe *r = compile(as_stated);
    const struct track *t = &chart_of(r, CHART_TEMPERATURE)->tracks.at[COOLING];
    struct chart_point half = t->points.at[t->points.count / 2];
    struct stated v = as_stated;
    v.down_to = arena_format(&arena, "%.9f degC", half.value).at;
    struct strokewright_recipe *other = compile(v);
    ck_assert_double_eq_tol(half.at - t->points.at[0].at, value(other, "rack.time-to-handle"), 1e-5);
    strokewright_free(r);
    strokewright_free(other);
}
END_TEST

/* Corners of the box that make the blank hottest and coldest, and some others. */
static const struct stated corners[] = {
    {"204 degC", "2340 W/(m^2*K)", "0.48 mm", "2.5 s", "1.2 s", "45 degC"},
    {"196 degC", "1260 W/(m^2*K)", "0.52 mm", "2.5 s", "1.2 s", "45 degC"},
    {"204 degC", "1260 W/(m^2*K)", "0.48 mm", "2.5 s", "1.2 s", "45 degC"},
    {"196 degC", "2340 W/(m^2*K)", "0.52 mm", "2.5 s", "1.2 s", "45 degC"},
    {"199 degC", "1500 W/(m^2*K)", "0.51 mm", "2.5 s", "1.2 s", "45 degC"},
};

static void check_inside(const struct track *wide, const struct track *t)
{
    ck_assert_uint_eq(wide->low.count, t->points.count);
    for (uint32_t i = 0; i < t->points.count; i++) {
        double v = t->points.at[i].value;
        ck_assert_msg(v >= wide->low.at[i].value - 1e-6 && v <= wide->high.at[i].value + 1e-6,
                      "%g at %g s is outside %g .. %g", v, t->points.at[i].at, wide->low.at[i].value,
                      wide->high.at[i].value);
    }
}

START_TEST(no_corner_of_the_tolerances_leaves_the_edges)
{
    struct strokewright_recipe *r = compile(as_stated), *corner = compile(corners[_i]);
    const struct chart *wide = chart_of(r, CHART_TEMPERATURE), *c = chart_of(corner, CHART_TEMPERATURE);
    for (int i = HEAT; i <= RELEASE; i++)
        check_inside(&wide->tracks.at[i], &c->tracks.at[i]);
    /* And they are worth drawing: far narrower than the way from cold to hot. */
    const struct track *heat = &wide->tracks.at[HEAT];
    uint32_t end = heat->points.count - 1;
    ck_assert_double_lt(heat->high.at[end].value - heat->low.at[end].value, 40);
    strokewright_free(r);
    strokewright_free(corner);
}
END_TEST

START_TEST(the_band_wanted_stands_at_the_end_of_the_heating)
{
    struct strokewright_recipe *r = compile(as_stated);
    const struct chart *c = chart_of(r, CHART_TEMPERATURE);
    ck_assert_uint_eq(c->goals.count, 1);
    ck_assert_double_eq_tol(c->goals.at[0].at, 2.5, 1e-9);
    ck_assert_double_eq_tol(c->goals.at[0].low, 180, 1e-9);
    ck_assert_double_eq_tol(c->goals.at[0].high, 210, 1e-9);
    strokewright_free(r);
}
END_TEST

START_TEST(force_is_the_library_s)
{
    struct strokewright_recipe *r = compile(as_stated);
    const struct chart *c = chart_of(r, CHART_FORCE);
    ck_assert_uint_eq(c->tracks.count, 2);
    const struct track *force = &c->tracks.at[0], *capacity = &c->tracks.at[1];
    ck_assert_uint_eq(force->points.count, 4);
    ck_assert_double_eq_tol(force->points.at[1].value, value(r, "form.force-at-half") / 1e3, 1e-9);
    ck_assert_double_eq_tol(force->points.at[3].at, 9, 1e-9);
    ck_assert_double_eq_tol(capacity->points.at[0].value, 400, 1e-9);
    strokewright_free(r);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("charts");
    TCase *cases = tcase_create("charts");
    tcase_set_timeout(cases, 60);
    tcase_add_checked_fixture(cases, setup, teardown);
    tcase_add_test(cases, a_point_is_what_that_time_gives);
    tcase_add_test(cases, stretches_join);
    tcase_add_test(cases, a_point_of_the_cooling_is_the_time_to_that_temperature);
    tcase_add_loop_test(cases, no_corner_of_the_tolerances_leaves_the_edges, 0,
                        (int)(sizeof corners / sizeof corners[0]));
    tcase_add_test(cases, the_band_wanted_stands_at_the_end_of_the_heating);
    tcase_add_test(cases, force_is_the_library_s);
    suite_add_tcase(suite, cases);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
