/* Built-in functions: one table (functions.def), one row a function.
 *
 * What cannot be written as a formula in the language is here: elementary functions, transient conduction, statistics.
 * A row gives the name, the types of arguments and result as the language writes them ("[1/s], [degC] -> [MPa]"), one
 * line of documentation, the source, and the nominal evaluation. Types 'a and 'b stand for any one dimension (a point
 * stays a point); "a^1/2" is its root. The evaluation sets *fault and returns NaN for undefined operands. */
#ifndef RUNTIME_FUNCTION_H
#define RUNTIME_FUNCTION_H

#include <stdbool.h>
#include <stdint.h>

enum function_id {
#define FUNCTION(id, name, types, evaluate, doc, source) FUNCTION_##id,
#include "runtime/functions.def"
#undef FUNCTION
    FUNCTION_COUNT
};

enum eval_fault { /* why a node has no value */
                  EVAL_OK,
                  EVAL_DIVIDE_BY_ZERO,
                  EVAL_NEGATIVE_ROOT, /* square root or fractional power of a negative number */
                  EVAL_NOT_POSITIVE,  /* logarithm of zero or less */
                  EVAL_BELOW_RANGE,   /* a curve, or inside(): argument under the lowest stated value */
                  EVAL_ABOVE_RANGE,
                  EVAL_NEVER_REACHED, /* a temperature that the heating or cooling never comes to */
                  EVAL_OVERFLOW,      /* not a finite number */
                  EVAL_LEFT_OPEN,     /* an input that the recipe leaves open and no value was found for */
                  EVAL_BAD_ARGUMENT   /* negative time, thickness ... */
};

struct function {
    const char *name;
    const char *types;
    double (*evaluate)(const double *args, uint32_t count, enum eval_fault *fault);
    const char *doc;
    const char *source;
};

extern const struct function function_table[FUNCTION_COUNT];

#endif
