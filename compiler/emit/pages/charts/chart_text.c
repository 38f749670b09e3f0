/* Charts in words. */
#include "compiler/emit/pages/charts/chart.h"

#include "compiler/text/said.h"

struct text chart_text(struct arena *a, enum language l, const struct chart *c)
{
    struct buffer b;
    buffer_init(&b, a);
    buffer_printf(&b, "%.*s.", TEXT_ARGS(c->title));
    for (uint32_t i = 0; i < c->tracks.count; i++) {
        const struct track *t = &c->tracks.at[i];
        if (!t->points.count)
            continue;
        const struct chart_point *from = &t->points.at[0], *to = &t->points.at[t->points.count - 1];
        buffer_putc(&b, ' ');
        buffer_put(&b, SAID(a, l, "{name}: from {from} to {to} {unit}.", {"name", t->label},
                            {"from", chart_number(a, l, from->value, 1)}, {"to", chart_number(a, l, to->value, 1)},
                            {"unit", c->up_unit}));
    }
    return buffer_text(&b);
}

struct text chart_sizes_text(struct arena *a, const struct step_table *t)
{
    struct buffer b;
    buffer_init(&b, a);
    for (uint32_t i = 0; i < t->sizes.count; i++) {
        const struct tool_size *s = &t->sizes.at[i];
        buffer_put(&b, i ? TEXT(" ") : TEXT(""));
        buffer_put(&b, SAID(a, t->language, "{name}: the tool grows {grows}, the part shrinks {shrinks}.",
                            {"name", s->title}, {"grows", s->grows.print}, {"shrinks", s->shrinks.print}));
    }
    return buffer_text(&b);
}

struct text chart_margins_text(struct arena *a, const struct step_table *t)
{
    struct buffer b;
    buffer_init(&b, a);
    for (uint32_t i = 0; i < t->limits.count; i++) {
        const struct limit_row *l = &t->limits.at[i];
        struct text verdict = said_in(t->language, "verdict", verdict_table[l->verdict].word);
        buffer_printf(&b, "%s%.*s%s%.*s: %.*s%s%.*s.", i ? " " : "", TEXT_ARGS(l->title), l->of.len ? " " : "",
                      TEXT_ARGS(l->of), TEXT_ARGS(verdict), l->margin_text.len ? ", " : "", TEXT_ARGS(l->margin_text));
    }
    return buffer_text(&b);
}
