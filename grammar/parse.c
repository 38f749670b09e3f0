/* parse(): bytes to tokens to tree. */
#include "grammar/syntax_faults.h"
#include "recipe.tab.h"

#include <stdlib.h>

#define SAME_NUMBER(kind)                                                                                              \
    _Static_assert((int)T_##kind == (int)TOKEN_##kind, "the parser's numbers are those of syntax.h")
_Static_assert((int)T_NEWLINE == SYMBOL_NEWLINE, "see build.h");
SAME_NUMBER(END);
SAME_NUMBER(NAME);
SAME_NUMBER(TEXT_TAIL);
SAME_NUMBER(USE);
SAME_NUMBER(FALSE);
SAME_NUMBER(OPEN_BRACE);
SAME_NUMBER(EQUALS);
SAME_NUMBER(MINUS_TIGHT);
SAME_NUMBER(DIFFERENT);
SAME_NUMBER(HOLE);

static void take_tokens(struct parser *p, const struct scan *s)
{
    p->kind = p->tree->token_kind;
    p->missing = s->missing.at;
    p->missing_left = s->missing.count;
    p->missing_at = s->missing.count ? s->missing.at->before : UINT32_MAX;
    p->faulty = s->faulty.at;
    p->faulty_left = s->faulty.count;
}

/* Most trees have fewer nodes than tokens; the rest is given back. */
static void make_room(struct parser *p)
{
    uint32_t room = 0;
    array_reserve(p->arena, (void **)&p->nodes, 0, &room, p->tree->token_count + 64, sizeof *p->nodes);
    p->room = room;
    p->nodes[0] = (struct node){0};
    p->count = 1;
}

static void give_to_tree(struct parser *p)
{
    struct tree *t = p->tree;
    if (!t->root)
        t->root = node_of(node_new(p, NODE_FILE, 0, (struct token_range){1, t->token_count - 1}, 0));
    t->node_count = p->count;
    t->nodes = array_trim(p->arena, p->nodes, p->room, p->count, sizeof *p->nodes);
}

struct tree *parse(struct arena *a, struct sources *sources, uint32_t file, struct diagnostics *g)
{
    struct scan s;
    struct parser p = {.arena = a, .diagnostics = g, .next = 1, .statement = 1, .statement_before = 1};
    p.tree = scan_source(&s, a, source_at(sources, file)->bytes, file, g);
    take_tokens(&p, &s);
    make_room(&p);
    recipe_parse(&p);
    if (p.out_of_memory) {
        if (a->exhausted)
            longjmp(*a->exhausted, 1);
        abort();
    }
    give_to_tree(&p);
    return p.tree;
}
