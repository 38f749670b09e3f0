/* Files the tests read. */
#ifndef TESTS_UNIT_SAMPLE_FILES_H
#define TESTS_UNIT_SAMPLE_FILES_H

#include "runtime/base/arena.h"
#include "runtime/base/text.h"

/* The whole file, in the arena; false when it cannot be opened. */
bool read_sample(struct arena *, const char *path, struct text *bytes);
/* The same of a file that must be there: the test fails without it. */
struct text file_bytes(struct arena *, const char *path);

#endif
