/* Formulas that call themselves, by whatever way: they are unfolded where they are called and would never end. */
#include "compiler/model/typing.h"

struct callees {
    uint32_t first, count; /* in calls.all */
};

struct calls {
    struct scope *scope;
    ARRAY(uint32_t) all; /* formulas called, those of one formula in a row */
    struct callees *of;  /* by formula of the scope */
    uint8_t *state;      /* 1: on the way being followed, 2: known to end */
};

static void collect(struct calls *c, const struct unit_file *file, uint32_t node)
{
    struct binding b = file->bindings[node];
    if (node_kind(file->tree, node) == NODE_NAME && b.what == BIND_FORMULA && b.id >= c->scope->first_formula)
        *ARRAY_PUSH(c->scope->arena, &c->all) = b.id - c->scope->first_formula;
    NODE_EACH_CHILD (file->tree, node, n)
        collect(c, file, n);
}

static void report_circle(struct calls *c, uint32_t at, uint32_t callee)
{
    struct scope *s = c->scope;
    const struct formula *f = &s->formulas.at[callee], *via = &s->formulas.at[at];
    struct span name =
        node_span(file_at(s, f->site.file)->tree, node_child(file_at(s, f->site.file)->tree, f->site.node));
    struct diagnostic *d = report(s->diagnostics, FAULT_circle, name, "the formula '%.*s' calls itself",
                                  TEXT_ARGS(atom_text(&s->names, f->name)));
    if (at != callee)
        report_label(s->diagnostics, d, site_span(s, via->site), "by way of '%.*s'",
                     TEXT_ARGS(atom_text(&s->names, via->name)));
    report_help(s->diagnostics, d,
                "a formula is put in where it is called, which would have no end: write out what it goes through, or "
                "use a table");
}

/* Follows the calls of one formula with a stack of its own, for chains may be long. */
static void follow(struct calls *c, uint32_t start, uint32_t *stack, uint32_t *next)
{
    uint32_t depth = 0;
    stack[0] = start;
    next[0] = 0;
    c->state[start] = 1;
    for (;;) {
        uint32_t at = stack[depth];
        if (next[depth] < c->of[at].count) {
            uint32_t callee = c->all.at[c->of[at].first + next[depth]++];
            if (c->state[callee] == 1)
                report_circle(c, at, callee);
            if (c->state[callee])
                continue;
            c->state[callee] = 1;
            stack[++depth] = callee;
            next[depth] = 0;
        } else {
            c->state[at] = 2;
            if (!depth--)
                return;
        }
    }
}

void check_formula_circles(struct scope *s)
{
    uint32_t count = s->formulas.count;
    if (!count)
        return;
    struct calls c = {.scope = s};
    c.of = ARENA_ARRAY(s->arena, count, struct callees);
    c.state = ARENA_ARRAY(s->arena, count, uint8_t);
    for (uint32_t i = 0; i < count; i++) {
        const struct unit_file *file = file_at(s, s->formulas.at[i].site.file);
        c.of[i].first = c.all.count;
        collect(&c, file, s->formulas.at[i].site.node);
        c.of[i].count = c.all.count - c.of[i].first;
    }
    uint32_t *stack = ARENA_ARRAY(s->arena, count, uint32_t), *next = ARENA_ARRAY(s->arena, count, uint32_t);
    for (uint32_t i = 0; i < count; i++)
        if (!c.state[i])
            follow(&c, i, stack, next);
}
