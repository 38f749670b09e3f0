/* Speed of comparing, whole processes. Promised: `compare` of the demo's two revisions in 15 ms at the median, and
 * `check --against` a revision over a repository of 2,000 recipes in 10 s, when one changed and when all were laid out
 * anew; that holding 200 changed ones against it takes hardly longer than checking them; and that ten times as many
 * changed properties take ten times as long, not a hundred. */
#include "tests/bench/sample_recipe.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { RUNS = 100 };

/* compare and check exit with 1 when there is a difference or a fault, which seconds_of() takes for a failure. */
static double seconds_of_shell(const char *script, const char *command, const char *folder)
{
    char *argv[] = {"sh", "-c", (char *)script, (char *)command, (char *)folder, NULL};
    return seconds_of(argv);
}

static bool two_revisions(const char *command, const char *folder)
{
    static const char prepare[] = "cp -r recipes/demo/shop recipes/demo/river-logger-lid.recipe \"$1\" && "
                                  "cp tests/revisions/lid-b.recipe \"$1\"";
    static const char compare[] = "\"$0\" compare \"$1\"/lid-b.recipe \"$1\"/river-logger-lid.recipe; [ $? -eq 1 ]";
    static const char nothing[] = "true; [ $? -eq 0 ]";
    double ours[RUNS], shell[RUNS];
    if (seconds_of_shell(prepare, command, folder) < 0)
        return report_line("compare, the demo's revisions", false, "cannot write them");
    for (int i = 0; i < RUNS; i++) {
        ours[i] = seconds_of_shell(compare, command, folder);
        shell[i] = seconds_of_shell(nothing, command, folder);
        if (ours[i] < 0 || shell[i] < 0)
            return report_line("compare, the demo's revisions", false, "it does not find a difference");
    }
    double both = median(ours, RUNS) * 1e3, empty = median(shell, RUNS) * 1e3;
    return report_line("compare, the demo's revisions", both - empty <= 15,
                       "%7.2f ms     (at most 15; without the shell's %.2f ms)", both - empty, empty);
}

/* A file of that many tools, and the same with every temperature changed. */
static double many_changed(const char *command, const char *folder, int tools)
{
    char path[2][600], script[1400];
    for (int side = 0; side < 2; side++) {
        snprintf(path[side], sizeof path[side], "%s/tools-%d.recipe", folder, side);
        FILE *f = fopen(path[side], "w");
        if (!f)
            return -1;
        for (int i = 0; i < tools; i++)
            fprintf(f, "tool t%d {\n    material = h13\n    temperature = %d degC\n}\n", i, 200 + side);
        fclose(f);
    }
    snprintf(script, sizeof script, "\"$0\" compare --format json %s %s; [ $? -eq 1 ]", path[0], path[1]);
    return seconds_of_shell(script, command, folder);
}

static bool grows_linearly(const char *command, const char *folder)
{
    double few = many_changed(command, folder, 1000), many = many_changed(command, folder, 10000);
    return report_line("compare, 10,000 changed properties", few > 0 && many > 0 && many < 20 * few,
                       "%7.2f s      (%.1f x that of 1,000; at most 20)", many, many / few);
}

static bool repository(const char *command, const char *folder)
{
    static const char prepare[] =
        "cd \"$1\" && rm -f *.recipe && git init -q . && git config user.email b@example.invalid && git config "
        "user.name b && "
        "cp \"$OLDPWD\"/recipes/demo/river-logger-lid.recipe . && "
        "for i in $(seq 1 1999); do cp river-logger-lid.recipe $i.recipe; done && git add . && git commit -qm all";
    static const char one[] = "cd \"$1\" && echo 'let further [mm] = 1 mm' >>7.recipe && "
                              "\"$0\" check --against HEAD *.recipe >out 2>&1; "
                              "[ $? -eq 1 ] && [ $(grep -c revision-unchanged out) -eq 1 ]";
    static const char layout[] = "cd \"$1\" && git checkout -q 7.recipe && sed -i '1i # a word more' *.recipe && "
                                 "\"$0\" check --against HEAD *.recipe >out 2>&1 && "
                                 "[ $(grep -c 'means the same' out) -eq 2000 ]";
    static const char some[] = "cd \"$1\" && for i in 1*0.recipe 2.recipe; do echo 'let further [mm] = 1 mm' >>$i; "
                               "done && \"$0\" check --against HEAD 1*0.recipe >out 2>&1; "
                               "[ $? -eq 1 ] && [ $(grep -c revision-unchanged out) -eq 111 ]";
    static const char plain[] = "cd \"$1\" && \"$0\" check 1*0.recipe >out 2>&1 && [ $(grep -c proved out) -ge 111 ]";
    if (seconds_of_shell(prepare, command, folder) < 0)
        return report_line("check --against, 2,000 recipes", false, "no repository could be made");
    double few = seconds_of_shell(one, command, folder), laid_out = seconds_of_shell(layout, command, folder);
    double held = seconds_of_shell(some, command, folder), checked = seconds_of_shell(plain, command, folder);
    bool kept = report_line("check --against, one of 2,000", few >= 0 && few <= 10, "%7.2f s      (at most 10)", few);
    kept &= report_line("check --against, 2,000 laid out anew", laid_out >= 0 && laid_out <= 10,
                        "%7.2f s      (at most 10)", laid_out);
    return report_line("check --against, 111 changed", held > 0 && checked > 0 && held <= 1.5 * checked,
                       "%7.2f s      (at most 1.5 x the %.2f s of check alone)", held, checked) &&
           kept;
}

int main(void)
{
    const char *command = getenv("STROKEWRIGHT");
    char folder[] = "/tmp/strokewright-bench-XXXXXX";
    if (!command || !mkdtemp(folder))
        return EXIT_FAILURE;
    bool kept = two_revisions(command, folder);
    kept = grows_linearly(command, folder) && kept;
    kept = repository(command, folder) && kept;
    seconds_of((char *[]){"rm", "-rf", folder, NULL});
    return kept ? EXIT_SUCCESS : EXIT_FAILURE;
}
