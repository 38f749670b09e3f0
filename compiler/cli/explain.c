/* explain NAME: what a diagnostic means and how to mend it; what an alloy, a kind, a limit, a unit is. */
#include "compiler/review/explain.h"
#include "compiler/cli/cli.h"

static int explain_one(struct buffer *b, const char *id, bool first, struct explain_style style)
{
    struct text near, near_name;
    enum fault fault = explain_find(b->arena, text_of(id), &near);
    uint32_t before = b->count;
    if (!first)
        buffer_putc(b, '\n');
    if (fault != FAULT_COUNT) {
        explain_fault(b, fault, style);
        return EXIT_CLEAN;
    }
    if (explain_name(b, text_of(id), style, &near_name))
        return EXIT_CLEAN;
    b->count = before;
    near = near.len ? near : near_name;
    if (near.len)
        return complain("nothing is called '%s'; did you mean '%.*s'?", id, TEXT_ARGS(near));
    return complain("nothing is called '%s'; 'strokewright explain' lists what can be asked for", id);
}

static int run_explain(const struct options *o)
{
    struct arena arena;
    struct buffer b;
    struct explain_style style = {(uint32_t)o->width, o->color_out};
    int worst = EXIT_CLEAN;
    arena_init(&arena, out_of_memory());
    buffer_init(&b, &arena);
    if (!o->word_count)
        explain_topics(&b, style);
    for (int i = 0; i < o->word_count; i++) {
        int status = explain_one(&b, o->words[i], !b.count, style);
        worst = status > worst ? status : worst;
    }
    if (b.count)
        fwrite(b.at, 1, b.count, stdout);
    arena_free(&arena);
    return worst;
}

const struct verb verb_explain = {
    "explain",
    "what a diagnostic means, and everything else that has a name",
    "[NAME ...]",
    "Every message of the compiler ends with its id in brackets, as [unit-mismatch]: prints what it means, how it is\n"
    "mended, and a recipe that shows it. Of an alloy, a tool material, a lubricant, a limit, a formula or a value, "
    "prints\n"
    "the library's text with its sources; of a kind, its properties; of a unit or a function, what it is. A topic such "
    "as\n"
    "alloys lists what there is; without a name, the topics.\n",
    "",
    run_explain,
};
