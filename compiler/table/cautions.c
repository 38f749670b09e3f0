/* Cautions, the worst first. */
#include "compiler/table/parts.h"

/* Worst first; a caution whose condition cannot be worked out is shown: silence would be the unsafe answer. */
void steps_fill_cautions(struct steps *s, struct step_table *t)
{
    static const char *const order[] = {"danger", "warning", "caution", "notice"};
    static const char *const words[] = {SAY_IN("signal", "DANGER"), SAY_IN("signal", "WARNING"),
                                        SAY_IN("signal", "CAUTION"), SAY_IN("signal", "NOTICE")};
    const struct lowering *l = s->lowering;
    for (int k = 0; k < 4; k++)
        for (uint32_t i = 0; i < l->cautions.count; i++) {
            const struct lowered_caution *c = &l->cautions.at[i];
            const struct rule *rule = rule_at(l->scope, c->rule);
            const struct tree *tree = file_at(l->scope, rule->site.file)->tree;
            uint32_t signal = rule_line(tree, rule->site.node, "signal"),
                     sign = rule_line(tree, rule->site.node, "sign");
            uint32_t text = rule_line(tree, rule->site.node, "text");
            struct text word = signal ? node_text(tree, signal) : TEXT("");
            if (!text_is(word, order[k]) || value_of(s->values, c->when) == 0)
                continue;
            struct caution_row row = {.name = atom_text(&l->scope->names, rule->name)};
            row.signal = text_of(words[k]);
            row.word = said_text(s->spelling.language, "signal", row.signal);
            row.sign = sign && node_kind(tree, sign) == NODE_TEXT ? text_piece(l->arena, tree, sign, 0) : TEXT("");
            row.text = text ? filled_text(s, (struct site){rule->site.file, text}, c->subject) : TEXT("");
            *ARRAY_PUSH(l->arena, &t->cautions) = row;
        }
}
