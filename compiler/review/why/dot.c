/* A derivation as a graph in the Graphviz language: what is stated on the left, what was asked on the right. */
#include "compiler/emit/columns.h"
#include "compiler/review/why/why.h"
#include "compiler/text/render.h"

enum { LABEL_WIDTH = 44 }; /* columns */

/* Escapes a text for a quoted label; a backslash begins an escape of the Graphviz language. */
static void put_label(struct buffer *b, struct text t)
{
    struct buffer plain;
    buffer_init(&plain, b->arena);
    render_plain(&plain, t);
    for (uint32_t i = 0; i < plain.count; i++) {
        if (plain.at[i] == '"' || plain.at[i] == '\\')
            buffer_putc(b, '\\');
        buffer_putc(b, plain.at[i]);
    }
}

/* Breaks a text into lines of a label. */
static void put_line(struct buffer *b, const char *mark, struct text t)
{
    if (!t.len)
        return;
    struct text rest = arena_format(b->arena, "%s%.*s", mark, TEXT_ARGS(t));
    while (rest.len) {
        uint32_t taken = columns_line(rest, LABEL_WIDTH);
        buffer_put(b, TEXT("\\n"));
        put_label(b, (struct text){rest.at, taken});
        rest.at += taken;
        rest.len -= taken;
    }
}

static void put_node(struct buffer *b, const struct why_entry *e, uint32_t number)
{
    /* Stated values are boxes, standards dashed, missing values dotted. */
    static const char *const looks[] = {[WHY_STATED] = "shape=box",
                                        [WHY_STANDARD] = "shape=box, style=dashed",
                                        [WHY_ABSENT] = "shape=box, style=dotted",
                                        [WHY_DERIVED] = "shape=box, style=rounded",
                                        [WHY_FORMULA] = "shape=plaintext",
                                        [WHY_FUNCTION] = "shape=plaintext",
                                        [WHY_BUILTIN] = "shape=plaintext"};
    buffer_printf(b, "    n%u [%s, label=\"", number, looks[e->sort]);
    put_label(b, e->name);
    if (e->why_not.len)
        put_line(b, "", e->sort == WHY_ABSENT ? TEXT("not stated") : TEXT("not evaluated"));
    else
        put_line(b, "", e->shown.text);
    put_line(b, "", e->shown.band);
    put_line(b, "= ", e->written.len && e->sort != WHY_STATED ? (e->taken.len ? e->taken : e->written) : TEXT(""));
    if (e->sort == WHY_STANDARD)
        put_line(b, "", TEXT("not stated, taken as standard"));
    buffer_put(b, TEXT("\"];\n"));
}

void why_dot(struct buffer *b, const struct why *w)
{
    buffer_put(b, TEXT("digraph why {\n    rankdir=LR;\n    node [fontname=\"DejaVu Sans\", fontsize=10];\n"));
    for (uint32_t i = 1; i < w->entries.count; i++)
        put_node(b, &w->entries.at[i], i);
    for (uint32_t i = 1; i < w->entries.count; i++) {
        const struct why_entry *e = &w->entries.at[i];
        for (uint32_t k = 0; k < e->inputs.count; k++)
            buffer_printf(b, "    n%u -> n%u%s;\n", e->inputs.at[k].entry, i,
                          e->inputs.at[k].asked ? " [style=dashed]" : "");
    }
    buffer_put(b, TEXT("}\n"));
}
