/* A program made node by node, for the tests of what evaluates one: each test program has its own, begun and ended around
 * every test. */
#ifndef TESTS_UNIT_SAMPLE_NODES_H
#define TESTS_UNIT_SAMPLE_NODES_H

#include "runtime/function.h"
#include "runtime/program.h"

static struct arena arena;
static struct program p;

static inline void begin(void)
{
    arena_init(&arena, NULL);
    program_init(&p, &arena);
}

static inline void end(void)
{
    arena_free(&arena);
}

static inline uint32_t number(double v)
{
    return program_constant(&p, v, 0);
}

static inline uint32_t node(enum op op, uint32_t a, uint32_t b)
{
    return program_node(&p, op, a, b, 0, 0);
}

static inline uint32_t chosen(uint32_t condition, uint32_t yes, uint32_t no)
{
    return program_node(&p, OP_SELECT, condition, yes, no, 0);
}

static inline uint32_t call(enum function_id function, uint32_t x)
{
    return program_call(&p, function, &x, 1, 0);
}

#endif
