/* What happens when memory runs out: the command ends with a message, a worker's piece of work with none. */
#include "compiler/cli/cli.h"
#include "compiler/recipe.h"

static _Thread_local jmp_buf *place;

jmp_buf *out_of_memory(void)
{
    return place;
}

jmp_buf *out_of_memory_to(jmp_buf *next)
{
    jmp_buf *before = place;
    place = next;
    return before;
}

void recipe_out_of_memory(struct opened_recipe *o)
{
    o->arena.exhausted = place;
    if (o->recipe)
        o->recipe->arena.exhausted = o->recipe->scratch.exhausted = place;
}
