/* Speed of the command, whole processes. Promised: `check` of the demo in 5 ms at the median, and 10,000 recipes checked
 * by one process in 15 s. The neighbour is a process that does nothing. */
#include "tests/bench/sample_recipe.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

enum { RUNS = 200, MANY = 10000 };

static bool one_check(char *command, char *recipe)
{
    double ours[RUNS], nothing[RUNS];
    for (int i = 0; i < RUNS; i++) {
        ours[i] = seconds_of((char *[]){command, "check", recipe, NULL});
        nothing[i] = seconds_of((char *[]){"true", NULL});
        if (ours[i] < 0)
            return report_line("check of the demo", false, "the demo does not pass");
    }
    double a = median(ours, RUNS) * 1e3, b = median(nothing, RUNS) * 1e3;
    return report_line("check of the demo", a <= 5, "%7.2f ms     (at most 5; %.1f x an empty process at %.2f ms)", a,
                       a / b, b);
}

/* The same recipe under many names: what counts is that each is compiled anew. */
static bool many_checks(char *command, const char *recipe, char *folder)
{
    char *argv[MANY + 3] = {command, "check"}, path[512];
    static char script[] = "cp -r \"$(dirname \"$0\")\"/shop \"$1\" && "
                           "for i in $(seq 0 9999); do cp \"$0\" \"$1/$i.recipe\"; done";
    char *copy[] = {"sh", "-c", script, (char *)recipe, folder, NULL};
    if (seconds_of(copy) < 0)
        return report_line("10,000 recipes, one process", false, "cannot write them");
    for (int i = 0; i < MANY; i++) {
        snprintf(path, sizeof path, "%s/%d.recipe", folder, i);
        argv[i + 2] = strdup(path);
    }
    double taken = seconds_of(argv);
    for (int i = 0; i < MANY; i++)
        free(argv[i + 2]);
    return report_line("10,000 recipes, one process", taken >= 0 && taken <= 15, "%7.2f s      (at most 15)", taken);
}

int main(void)
{
    char *command = getenv("STROKEWRIGHT"), recipe[] = "recipes/demo/river-logger-lid.recipe";
    char folder[] = "/tmp/strokewright-bench-XXXXXX";
    if (!command || !mkdtemp(folder))
        return EXIT_FAILURE;
    bool kept = one_check(command, recipe);
    kept = many_checks(command, recipe, folder) && kept;
    seconds_of((char *[]){"rm", "-rf", folder, NULL});
    return kept ? EXIT_SUCCESS : EXIT_FAILURE;
}
