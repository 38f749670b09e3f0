/* Interval arithmetic against the public test vectors of IEEE 1788-2015, as Debian's octave-interval carries them:
 * octave_vectors.py prints a case a line. Ours must hold the whole interval that is demanded, and nearly all of ours may be
 * wider by a few doubles only. Where the package is not installed nothing is compared, and this says so. Run from the top of
 * the repository. */
#include "runtime/evaluate/interval.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

/* The newest vectors that are installed; 77 when there are none. */
static const char vectors[] =
    "file=$(ls -t ${ITL:-/usr/share/octave/packages/interval-*/test/itl.mat} 2>/dev/null | head -1)\n"
    "[ -n \"$file\" ] || exit 77\n"
    "exec python3 tests/reference/octave_vectors.py \"$file\"";

enum { NO_VECTORS = 77, LEAST_CASES = 3000, NEAR_ULPS = 2 * WIDE_ULPS, LEAST_NEAR = 90 /* per cent */ };

static const struct operation {
    const char *name;
    struct interval (*one)(struct interval);
    struct interval (*two)(struct interval, struct interval);
} operations[] = {
    {"add", NULL, interval_add},
    {"sub", NULL, interval_subtract},
    {"mul", NULL, interval_multiply},
    {"div", NULL, interval_divide},
    {"neg", interval_negate, NULL},
    {"sqrt", interval_sqrt, NULL},
    {"exp", interval_exp, NULL},
    {"log", interval_ln, NULL},
    {"sin", interval_sin, NULL},
    {"cos", interval_cos, NULL},
    {"tan", interval_tan, NULL},
    {"atan", interval_atan, NULL},
    {"abs", interval_abs, NULL},
    {"min", NULL, interval_min},
    {"max", NULL, interval_max},
    {"pow", NULL, interval_power},
    {"intersection", NULL, interval_intersect},
    {"convexHull", NULL, interval_hull},
};

static const struct operation *operation_named(const char *name)
{
    for (size_t i = 0; i < sizeof operations / sizeof operations[0]; i++)
        if (strcmp(operations[i].name, name) == 0)
            return &operations[i];
    return NULL;
}

static struct interval interval_from(char **rest)
{
    double low = strtod(*rest, rest);
    double high = strtod(*rest, rest);
    return interval_of(low, high);
}

static double steps_up(double x, int steps)
{
    while (steps-- > 0)
        x = nextafter(x, INFINITY);
    return x;
}

static bool is_near(struct interval ours, struct interval wanted)
{
    return -steps_up(-wanted.low, NEAR_ULPS) <= ours.low && ours.high <= steps_up(wanted.high, NEAR_ULPS);
}

struct tally {
    int passed, failed, near;
};

static void compare(char *line, struct tally *t)
{
    char *rest = strchr(line, ' ');
    if (!rest)
        return;
    *rest++ = 0;
    const struct operation *o = operation_named(line);
    if (!o)
        return;
    struct interval a = interval_from(&rest), b = o->two ? interval_from(&rest) : a, wanted = interval_from(&rest);
    struct interval ours = o->two ? o->two(a, b) : o->one(a);
    bool none = interval_is_empty(wanted), good = none || interval_inside(wanted, ours);
    t->passed += good;
    t->failed += !good;
    t->near += none || is_near(ours, wanted);
    if (!good)
        printf("%s [%a, %a] [%a, %a]: [%a, %a] does not hold [%a, %a]\n", line, a.low, a.high, b.low, b.high, ours.low,
               ours.high, wanted.low, wanted.high);
}

int main(void)
{
    struct tally t = {0};
    char line[1024];
    FILE *cases = popen(vectors, "r");
    while (cases && fgets(line, sizeof line, cases))
        compare(line, &t);
    int status = cases ? pclose(cases) : -1;
    if (WIFEXITED(status) && WEXITSTATUS(status) == NO_VECTORS) {
        printf("skipped: octave-interval is not installed\n");
        return 0;
    }
    printf("%d of %d near\n", t.near, t.passed + t.failed);
    t.failed += status != 0 || t.passed + t.failed < LEAST_CASES || 100 * t.near < LEAST_NEAR * (t.passed + t.failed);
    printf("%d passed, %d failed\n", t.passed, t.failed);
    return t.failed != 0;
}
