/* A thin sheet between two half spaces behind a contact conductance: the closed form against the inverted transform.
 *
 * Carslaw and Jaeger, Conduction of Heat in Solids, ch. XII: with r1, r2 the roots of r^2 + (h/e) r + h/C = 0 and
 * E(r) = exp(r^2 t) erfc(-r sqrt t), the share left is (r1 E(r2) - r2 E(r1)) / (r1 - r2); with no resistance at the faces
 * exp((e/C)^2 t) erfc((e/C) sqrt t). The figures were worked out from these with an error function of complex argument, and
 * a second time by Talbot's inversion with multiple-precision numbers; both agree in all digits given. */
#include "runtime/physics/contact.h"

#include <check.h>
#include <math.h>

static const double capacity = 1770 * 1100 * 0.25e-3; /* J/(m^2 K), half of 0.5 mm of magnesium */
static const double effusivity = 9643.65076099;       /* W s^0.5/(m^2 K), of a tool steel: 25, 7750, 480 */

static const struct {
    double conductance, time, left;
} worked_out[] = {
    {1800, 0.25, 0.426848831618}, {1800, 0.5, 0.200822416053},  {1800, 1, 0.0640406797141},
    {1800, 2.5, 0.0208358576442}, {3600, 0.1, 0.5118263972},    {3600, 0.5, 0.0794453054105},
    {3600, 2.5, 0.0191178137098}, {10000, 0.1, 0.225515458854}, {10000, 2.5, 0.0183669741824},
};
enum { WORKED_OUT = sizeof worked_out / sizeof worked_out[0] };

static struct contact_sheet sheet_of(double conductance)
{
    return (struct contact_sheet){.start = 293.15,
                                  .tools = 473.15,
                                  .time_constant = capacity / conductance,
                                  .softness = sqrt(conductance * capacity) / effusivity};
}

START_TEST(share_left)
{
    enum eval_fault fault = EVAL_OK;
    struct contact_sheet s = sheet_of(worked_out[_i].conductance);
    double time = worked_out[_i].time, want = worked_out[_i].left;
    ck_assert_double_eq_tol(contact_share(time / s.time_constant, s.softness).left, want, 1e-12);
    double reached = contact_temperature(&s, time, &fault);
    ck_assert_double_eq_tol(reached, 473.15 - 180 * want, 1e-9);
    ck_assert_double_eq_tol(contact_time(&s, reached, &fault), time, 1e-7 * time);
    ck_assert_int_eq(fault, EVAL_OK);
}
END_TEST

/* Without resistance at the faces the time constant is nothing and the softness without end. */
START_TEST(perfect_contact)
{
    static const double left[][2] = {{0.1, 0.0889454088698}, {0.5, 0.0401703026889}, {2.5, 0.0180010793299}};
    for (int i = 0; i < 3; i++) {
        struct contact_sheet s = sheet_of(1e15);
        ck_assert_double_eq_tol(contact_share(left[i][0] / s.time_constant, s.softness).left, left[i][1], 1e-7);
    }
}
END_TEST

START_TEST(tools_that_stay_as_hot)
{
    for (int i = 0; i < 33; i++) {
        double time = 1e-6 * pow(1.7, i);
        ck_assert_double_eq_tol(contact_share(time, 0).left, exp(-time), 1e-12);
    }
}
END_TEST

/* Heat that has gone into the tools spreads with the root of time: left = C / (e sqrt(pi t)). */
START_TEST(long_after)
{
    struct contact_sheet s = sheet_of(1800);
    double late = 1e6, want = capacity / (effusivity * sqrt(3.14159265358979 * late));
    ck_assert_double_eq_tol(contact_share(late / s.time_constant, s.softness).left / want, 1, 1e-4);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("contact_tables");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, share_left, 0, WORKED_OUT);
    tcase_add_test(all, perfect_contact);
    tcase_add_test(all, tools_that_stay_as_hot);
    tcase_add_test(all, long_after);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
