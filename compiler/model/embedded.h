/* The built-in library: the files of recipes/library/ as bytes inside the program, with their trees ready made.
 *
 * In: the table that compiler/tools/embed.c writes at build time, in order of the file names. Out: read-only paths, bytes and
 * trees that live as long as the process. A reviewer's every commit starts the command, so what never changes is not
 * parsed each time. */
#ifndef COMPILER_MODEL_EMBEDDED_H
#define COMPILER_MODEL_EMBEDDED_H

#include "compiler/model/syntax.h"

struct embedded_file {
    struct text path; /* as shown to the user: "library/tool-materials.recipe" */
    struct text bytes;
    struct tree tree; /* without its file number, which is given when it is read; nobody writes to a tree */
};

extern const struct embedded_file embedded_library[];
extern const uint32_t embedded_count;

#endif
