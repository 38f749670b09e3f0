/* explain ID: what a diagnostic means and how to mend it. */
#include "compiler/review/explain.h"
#include "compiler/cli/cli.h"

static int explain_one(struct buffer *b, const char *id, bool first, struct explain_style style)
{
    struct text near;
    enum fault fault = explain_find(b->arena, text_of(id), &near);
    if (fault == FAULT_COUNT && near.len)
        return complain("there is no diagnostic '%s'; did you mean '%.*s'?", id, TEXT_ARGS(near));
    if (fault == FAULT_COUNT)
        return complain("there is no diagnostic '%s'; 'strokewright explain' lists them", id);
    if (!first)
        buffer_putc(b, '\n');
    explain_fault(b, fault, style);
    return EXIT_CLEAN;
}

static int run(const struct options *o)
{
    struct arena arena;
    struct buffer b;
    struct explain_style style = {(uint32_t)o->width, o->color_out};
    int worst = EXIT_CLEAN;
    arena_init(&arena, NULL);
    buffer_init(&b, &arena);
    if (!o->word_count)
        explain_list(&b, style);
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
    "what a diagnostic means and how to mend it",
    "[ID ...]",
    "Every message of the compiler ends with its id in brackets, as [unit-mismatch]. Prints what it means, how it is\n"
    "mended, and a recipe that shows it; without an ID, all there are, one a line.\n",
    "",
    run,
};
