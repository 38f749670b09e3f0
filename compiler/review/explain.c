#include "compiler/review/explain.h"

#include "compiler/text/render.h"

enum { WIDEST = 100, EXAMPLE_INDENT = 4 };

static const char *const severity_words[] = {
    [SEVERITY_NOTE] = "note", [SEVERITY_WARNING] = "warning", [SEVERITY_ERROR] = "error"};

/* ---- which one --------------------------------------------------------------------------------------------------- */

static struct text bare(struct arena *a, struct text id)
{
    while (id.len && strchr(" \t\r\n[`", id.at[0]))
        id = (struct text){id.at + 1, id.len - 1};
    while (id.len && strchr(" \t\r\n]`:", id.at[id.len - 1]))
        id.len--;
    char *low = arena_alloc(a, (size_t)id.len + 1);
    for (uint32_t i = 0; i < id.len; i++)
        low[i] = id.at[i] >= 'A' && id.at[i] <= 'Z' ? (char)(id.at[i] - 'A' + 'a') : id.at[i];
    return (struct text){low, id.len};
}

enum fault explain_find(struct arena *a, struct text id, struct text *near)
{
    struct text slugs[FAULT_COUNT], wanted = bare(a, id);
    for (uint32_t i = 0; i < FAULT_COUNT; i++) {
        slugs[i] = text_of(fault_table[i].slug);
        if (text_same(slugs[i], wanted))
            return (enum fault)i;
    }
    *near = nearest(wanted, slugs, FAULT_COUNT);
    return FAULT_COUNT;
}

/* ---- one --------------------------------------------------------------------------------------------------------- */

static void inked(struct buffer *b, const char *code, const char *words, bool color)
{
    buffer_printf(b, color ? "\033[%sm%s\033[0m" : "%.0s%s", code, words);
}

static void put_example(struct buffer *b, const char *example)
{
    while (*example) {
        size_t line = strcspn(example, "\n");
        if (line)
            buffer_pad(b, ' ', EXAMPLE_INDENT);
        buffer_put(b, (struct text){example, (uint32_t)line});
        buffer_putc(b, '\n');
        example += line + (example[line] == '\n');
    }
}

void explain_fault(struct buffer *b, enum fault fault, struct explain_style style)
{
    const struct fault_entry *f = &fault_table[fault];
    uint32_t width = style.width < WIDEST ? style.width : WIDEST;
    inked(b, "1", f->slug, style.color);
    buffer_printf(b, ": %s (%s)\n\n", f->title, severity_words[f->severity]);
    render_wrapped(b, text_of(f->explanation), &(struct wrapping){0, TEXT(""), 0, width});
    buffer_put(b, TEXT("\nExample:\n\n"));
    put_example(b, f->example);
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

void explain_list(struct buffer *b, struct explain_style style)
{
    int width = 0;
    for (uint32_t i = 0; i < FAULT_COUNT; i++)
        width = (int)strlen(fault_table[i].slug) > width ? (int)strlen(fault_table[i].slug) : width;
    for (uint32_t i = 0; i < FAULT_COUNT; i++) {
        const struct fault_entry *f = &fault_table[i];
        inked(b, "1", f->slug, style.color);
        buffer_pad(b, ' ', (uint32_t)width + 2 - (uint32_t)strlen(f->slug));
        buffer_printf(b, "%-7s  %s\n", severity_words[f->severity], f->title);
    }
}
