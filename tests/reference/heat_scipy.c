/* Conduction in a sheet with different faces, and cooling in air with radiation, against two other numerical ways each:
 * see heat_scipy.py, which prints the cases and needs python3 with SciPy. Where that is not installed nothing is
 * compared, and this says so. Run from the top of the repository. */
#include "runtime/function.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

/* The first python that has SciPy; 77 when none has. */
static const char reference[] = "for python in python3 /usr/bin/python3; do\n"
                                "    if $python -c 'import scipy' 2>/dev/null; then\n"
                                "        exec $python tests/reference/heat_scipy.py\n"
                                "    fi\n"
                                "done\n"
                                "exit 77";

enum { ARGUMENTS = 16, NO_SCIPY = 77, LEAST_CASES = 1000 };

struct tally {
    int passed, failed;
    double worst; /* of what is allowed */
};

static const struct function *function_called(const char *name)
{
    for (int i = 0; i < FUNCTION_COUNT; i++)
        if (strcmp(function_table[i].name, name) == 0)
            return &function_table[i];
    return NULL;
}

/* "name argument ... value slack" */
static bool compare(char *line, struct tally *t)
{
    double numbers[ARGUMENTS];
    uint32_t count = 0;
    char *rest, *word = strtok_r(line, " \n", &rest);
    const struct function *f = word ? function_called(word) : NULL;
    while (f && count < ARGUMENTS && (word = strtok_r(NULL, " \n", &rest)))
        numbers[count++] = strtod(word, NULL);
    if (count < 3)
        return false;
    double want = numbers[count - 2], slack = numbers[count - 1];
    enum eval_fault fault = EVAL_OK;
    double got = f->evaluate(numbers, count - 2, &fault), share = fabs(got - want) / slack;
    t->worst = fmax(t->worst, share);
    if (fault != EVAL_OK || !(share <= 1))
        printf("%s: %.15g instead of %.15g, slack %g\n", f->name, got, want, slack);
    return fault == EVAL_OK && share <= 1;
}

int main(void)
{
    struct tally t = {0};
    char line[1024];
    FILE *cases = popen(reference, "r");
    if (!cases)
        return EXIT_FAILURE;
    while (fgets(line, sizeof line, cases))
        *(compare(line, &t) ? &t.passed : &t.failed) += 1;
    int status = pclose(cases);
    if (WIFEXITED(status) && WEXITSTATUS(status) == NO_SCIPY) {
        printf("skipped: python3 with SciPy is not installed\n");
        return EXIT_SUCCESS;
    }
    if (status != 0 || t.passed + t.failed < LEAST_CASES) {
        printf("the reference ended early (status %d)\n", status);
        t.failed++;
    }
    printf("largest difference: %.2g of what is allowed\n", t.worst);
    printf("%d passed, %d failed\n", t.passed, t.failed);
    return t.failed != 0;
}
