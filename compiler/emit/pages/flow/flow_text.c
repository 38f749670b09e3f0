/* The flow diagram in words. */
#include "compiler/emit/pages/flow/flow.h"

#include "compiler/text/said.h"

static struct text describe_step(struct arena *a, enum language l, const struct step_row *s)
{
    struct text words = SAID(a, l, "{number} {what}", {"number", arena_format(a, "%u", s->number)}, {"what", s->what});
    if (s->beside_press)
        words = SAID(a, l, "{what} (beside the press)", {"what", words});
    if (s->shape == SHAPE_DECISION && s->rework)
        words = SAID(a, l, "{what} (accept, rework from step {number}, or scrap)", {"what", words},
                     {"number", arena_format(a, "%u", s->rework)});
    else if (s->shape == SHAPE_DECISION)
        words = SAID(a, l, "{what} (accept or scrap)", {"what", words});
    return words;
}

struct text flow_text(struct arena *a, const struct step_table *t)
{
    struct buffer b;
    buffer_init(&b, a);
    for (uint32_t i = 0; i < t->steps.count; i++) {
        buffer_put(&b, i ? said_in(t->language, "between steps", "; ") : TEXT(""));
        buffer_put(&b, describe_step(a, t->language, &t->steps.at[i]));
    }
    return SAID(a, t->language, "Flow diagram of the steps: {list}.", {"list", buffer_text(&b)});
}
