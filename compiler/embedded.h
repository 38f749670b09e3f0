/* The built-in library: the files of recipes/library/ as bytes inside the program.
 *
 * In: the table that compiler/embed.c writes at build time, in order of the file names. Out: read-only paths and bytes
 * that live as long as the process. */
#ifndef COMPILER_EMBEDDED_H
#define COMPILER_EMBEDDED_H

#include "runtime/base/text.h"

struct embedded_file {
    struct text path; /* as shown to the user: "library/tool-materials.recipe" */
    struct text bytes;
};

extern const struct embedded_file embedded_library[];
extern const uint32_t embedded_count;

#endif
