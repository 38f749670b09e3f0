/* Recipe text of any length for the bench, and the timing that every bench uses. */
#ifndef TESTS_BENCH_SAMPLE_RECIPE_H
#define TESTS_BENCH_SAMPLE_RECIPE_H

#include "compiler/model/names.h"
#include "runtime/base/buffer.h"

/* At least `bytes` of faultless recipe text: definitions, tables, formulas, rules, comments, all names different. */
struct text sample_recipe(struct arena *, uint32_t bytes);

double seconds_now(void);
double median(double *values, uint32_t count); /* sorts them */

/* Wall time of a command with its output thrown away; negative when it could not be run or did not exit 0. */
double seconds_of(char *const argv[]);

/* A file with two bytes of room behind it, and what it uses, read from beside it. */
bool read_recipe(struct arena *, const char *path, struct text *bytes);
extern const struct loader loader_beside;

/* One line of the report: "name  measured  promise  ok|MISSED"; false when the promise is missed. */
bool report_line(const char *name, bool kept, const char *measured, ...) PRINTF_LIKE(3, 4);

#endif
