#include "tests/bench/sample_recipe.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* One round of text; %u is its number. About the mix of a shop's file: facts, a curve, a formula, rules, comments. */
static const char round_of_text[] =
    "# Batch %u of the sheet in store, with the mill's figures.\n"
    "alloy batch-%u like az31b-o {\n"
    "    density   = %u.5 kg/m^3 +/- 2 %%   # weighed\n"
    "    expansion(temperature [degC]) [1/K] = table [degC] to [um/(m*K)] {\n"
    "        20: 25.6\n"
    "        100: 26.1\n"
    "        200: 27.0\n"
    "        300: 27.9\n"
    "    } source \"Mill certificate\"\n"
    "    hottest   = 345 degC because \"It grains above.\"\n"
    "}\n"
    "\n"
    "dimension width-%u {\n"
    "    size   = 120.00 mm +0.10 mm -0.05 mm\n"
    "    set-by = die\n"
    "    side   = outside\n"
    "}\n"
    "\n"
    "corner edge-%u {\n"
    "    inside-radius = 0.40 mm +/- 0.05 mm\n"
    "    angle         = 90 deg\n"
    "}\n"
    "\n"
    "formula swell-%u(size [mm], rate [1/K], heat [degC]) [mm] =\n"
    "    size * (1 + rate * (heat - 20 degC)) * exp(-0.5 ^ 2) + min(0.01 mm, size / 1_000)\n"
    "\n"
    "let gap-%u [mm] = swell-%u(width-%u.size, 26.1 um/(m*K), 200 degC) label \"gap\"\n"
    "\n"
    "limit narrow-%u for each corner as c {\n"
    "    when     = c.angle > 30 deg and not (sheet.thickness < 0.3 mm)\n"
    "    value    = c.inside-radius / sheet.thickness\n"
    "    at-least = if sheet.thickness >= 1 mm then 0.8 else 0.5\n"
    "    because  \"The outer fibre opens.\"\n"
    "    remedy   \"Hold at {die.temperature} or enlarge the radius.\"\n"
    "    source   \"own trials\"\n"
    "}\n"
    "\n";

struct text sample_recipe(struct arena *arena, uint32_t bytes)
{
    struct buffer b;
    buffer_init(&b, arena);
    for (unsigned n = 1; b.count < bytes; n++)
        buffer_printf(&b, round_of_text, n, n, 1700 + n % 100, n, n, n, n, n, n, n);
    return buffer_text(&b);
}

double seconds_now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double median(double *values, uint32_t count)
{
    qsort(values, count, sizeof *values, by_size);
    return count % 2 ? values[count / 2] : (values[count / 2 - 1] + values[count / 2]) / 2;
}

double seconds_of(char *const argv[])
{
    double start = seconds_now();
    pid_t child = fork();
    if (child == 0) {
        int nowhere = open("/dev/null", O_WRONLY);
        dup2(nowhere, STDOUT_FILENO);
        dup2(nowhere, STDERR_FILENO);
        execvp(argv[0], argv);
        _exit(127);
    }
    int status = -1;
    if (child < 0 || waitpid(child, &status, 0) < 0 || status != 0)
        return -1;
    return seconds_now() - start;
}

bool report_line(const char *name, bool kept, const char *measured, ...)
{
    va_list args;
    va_start(args, measured);
    printf("%-34s ", name);
    vprintf(measured, args);
    printf("  %s\n", kept ? "ok" : "MISSED");
    fflush(stdout);
    va_end(args);
    return kept;
}

/* ---- files ------------------------------------------------------------------------------------------------------- */

bool read_recipe(struct arena *arena, const char *path, struct text *bytes)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        return false;
    char *at = arena_alloc(arena, 1 << 20);
    bytes->at = at;
    bytes->len = (uint32_t)fread(at, 1, (1 << 20) - 2, f);
    fclose(f);
    return true;
}

static enum fault load_beside(void *context, struct arena *arena, struct text from, struct text wanted,
                              struct text *path, struct text *bytes, struct text *why)
{
    (void)context;
    (void)why;
    while (from.len && from.at[from.len - 1] != '/')
        from.len--;
    *path = arena_format(arena, "%.*s%.*s", TEXT_ARGS(from), TEXT_ARGS(wanted));
    return read_recipe(arena, path->at, bytes) ? (enum fault)LOAD_OK : FAULT_use_not_found;
}

const struct loader loader_beside = {NULL, load_beside};
