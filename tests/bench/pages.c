/* Speed of drawing, whole processes. Promised: the demo's traveller in 80 ms at the median, and that of a recipe with 200
 * sizes and 60 steps in 400 ms. The neighbour is a process that does nothing. */
#include "tests/bench/sample_recipe.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { RUNS = 40, SIZES = 196, TASKS = 54 }; /* beside the demo's own four sizes and six steps */

/* The demo with more of what makes pages long, beside the file that it uses. */
static bool write_large(const char *folder, const char *path)
{
    static char script[] =
        "cp -r \"$(dirname \"$0\")\"/shop \"$1\" && awk -v sizes=$3 -v tasks=$4 '"
        "/^corner rim/ { for (i = 0; i < sizes; i++)"
        "  printf \"dimension d%d {\\n    size = %.2f mm +/- 0.10 mm\\n    set-by = die\\n}\\n\", i, 20 + i / 2 }"
        "/^    heat-up blank/ { for (i = 0; i < tasks; i++)"
        "  printf \"    task t%d {\\n        instruction = \\\"Wipe both tools, and look at them.\\\"\\n"
        "        time = 2 s\\n        beside-press = true\\n    }\\n\", i }"
        "{ print }' \"$0\" >\"$2\"";
    char sizes[16], tasks[16], recipe[] = "recipes/demo/river-logger-lid.recipe";
    snprintf(sizes, sizeof sizes, "%d", SIZES);
    snprintf(tasks, sizeof tasks, "%d", TASKS);
    char *argv[] = {"sh", "-c", script, recipe, (char *)folder, (char *)path, sizes, tasks, NULL};
    return seconds_of(argv) >= 0;
}

static bool one_traveller(const char *name, char *command, char *recipe, char *folder, double most)
{
    double ours[RUNS], nothing[RUNS];
    for (int i = 0; i < RUNS; i++) {
        ours[i] = seconds_of((char *[]){command, "build", recipe, "--only", "traveller", "--out", folder, NULL});
        nothing[i] = seconds_of((char *[]){"true", NULL});
        if (ours[i] < 0)
            return report_line(name, false, "it is not made");
    }
    double a = median(ours, RUNS) * 1e3, b = median(nothing, RUNS) * 1e3;
    return report_line(name, a <= most, "%7.1f ms     (at most %.0f; %.0f x an empty process at %.2f ms)", a, most,
                       a / b, b);
}

int main(void)
{
    char *command = getenv("STROKEWRIGHT"), recipe[] = "recipes/demo/river-logger-lid.recipe", path[512], out[512];
    char folder[] = "/tmp/strokewright-bench-XXXXXX";
    if (!command || !mkdtemp(folder))
        return EXIT_FAILURE;
    snprintf(path, sizeof path, "%s/large.recipe", folder);
    snprintf(out, sizeof out, "%s/out", folder);
    bool kept = one_traveller("traveller of the demo", command, recipe, out, 80);
    kept =
        write_large(folder, path) && one_traveller("traveller, 200 sizes, 60 steps", command, path, out, 400) && kept;
    seconds_of((char *[]){"rm", "-rf", folder, NULL});
    return kept ? EXIT_SUCCESS : EXIT_FAILURE;
}
