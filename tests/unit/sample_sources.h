/* Sources and what is reported of them: each test program has its own, set up and torn down around every test. */
#ifndef TESTS_UNIT_SAMPLE_SOURCES_H
#define TESTS_UNIT_SAMPLE_SOURCES_H

#include "compiler/text/diagnostic.h"

static struct arena arena;
static struct sources sources;
static struct diagnostics ds;

static inline void setup(void)
{
    arena_init(&arena, NULL);
    sources_init(&sources, &arena, NULL);
    diagnostics_init(&ds, &arena);
}

static inline void teardown(void)
{
    arena_free(&arena);
}

#endif
