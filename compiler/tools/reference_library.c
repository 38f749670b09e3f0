#include "compiler/tools/reference_library.h"

#include "compiler/model/embedded.h"
#include "compiler/model/schema.h"
#include "compiler/model/spelling.h"

static void escape_put_plain(struct buffer *b, struct text t)
{
    for (uint32_t i = 0; i < t.len; i++) {
        if (t.at[i] == '|')
            buffer_putc(b, '\\');
        buffer_putc(b, t.at[i] == '\n' ? ' ' : t.at[i]);
    }
}

static struct text line_before(struct text bytes, uint32_t start)
{
    uint32_t end = start ? start - 1 : 0, from = end;
    while (from > 0 && bytes.at[from - 1] != '\n')
        from--;
    return (struct text){bytes.at + from, end - from};
}

static bool is_comment(struct text line)
{
    uint32_t i = 0;
    while (i < line.len && line.at[i] == ' ')
        i++;
    bool rule = i + 3 < line.len && memcmp(line.at + i, "# --", 4) == 0; /* the head of a section */
    return i + 1 < line.len && line.at[i] == '#' && line.at[i + 1] == ' ' && !rule;
}

/* The comment lines directly above what stands at this byte, joined; false when there are none. */
static bool put_comment(struct buffer *b, struct text bytes, uint32_t at)
{
    uint32_t own = at, first;
    while (own > 0 && bytes.at[own - 1] != '\n')
        own--;
    for (first = own; first > 0 && is_comment(line_before(bytes, first));)
        first = (uint32_t)(line_before(bytes, first).at - bytes.at);
    bool commented = first < own;
    while (first < own) {
        const char *hash = memchr(bytes.at + first, '#', own - first), *end = memchr(hash, '\n', own - first);
        escape_put_plain(b, (struct text){hash + 2, (uint32_t)(end - hash) - 2});
        buffer_putc(b, ' ');
        first = (uint32_t)(end - bytes.at) + 1;
    }
    return commented;
}

static uint32_t start_of(const struct tree *t, uint32_t node)
{
    return t->token_at[node_at(t, node)->first];
}

static uint32_t child_of_kind(const struct tree *t, uint32_t node, enum node_kind kind)
{
    NODE_EACH_CHILD (t, node, n) {
        if (node_kind(t, n) == kind)
            return n;
    }
    return 0;
}

static struct text note_of(const struct tree *t, uint32_t node, enum token_kind word)
{
    NODE_EACH_CHILD (t, node, n) {
        if (node_kind(t, n) == NODE_NOTE && node_at(t, n)->op == word) {
            struct text quoted = node_text(t, node_child(t, n));
            return (struct text){quoted.at + 1, quoted.len - 2};
        }
    }
    return (struct text){0};
}

enum { SHORT_FORMULA = 120, LONG_FORMULA = 220 }; /* what is longer says less than `why` does */

static struct text line_of(struct buffer *b, const struct tree *t, uint32_t node)
{
    return spelling_line(b->arena, t, node_at(t, node)->first, node_at(t, node)->last);
}

/* The expression on one line, without the parentheses that only let it run over several. */
static struct text expression_of(struct buffer *b, const struct tree *t, uint32_t node)
{
    return line_of(b, t, node_kind(t, node) == NODE_PAREN ? node_child(t, node) : node);
}

/* | `name` | `[unit]` | label. Comment. Formula | */
static void put_row(struct buffer *b, const struct tree *t, uint32_t node)
{
    uint32_t unit = child_of_kind(t, node, NODE_UNIT_TYPE);
    struct text label = note_of(t, node, TOKEN_LABEL), formula = expression_of(b, t, node_nth(t, node, unit ? 2 : 1));
    buffer_printf(b, "| `%.*s` | ", TEXT_ARGS(node_text(t, node_child(t, node))));
    if (unit)
        buffer_printf(b, "`%.*s`", TEXT_ARGS(node_text(t, unit)));
    buffer_put(b, TEXT(" | "));
    escape_put_plain(b, label);
    buffer_put(b, label.len ? TEXT(". ") : TEXT(""));
    bool worded = put_comment(b, t->bytes, start_of(t, node)) || label.len;
    if (formula.len <= (worded ? SHORT_FORMULA : LONG_FORMULA))
        buffer_printf(b, "`= %.*s`", TEXT_ARGS(formula));
    else if (!worded)
        buffer_put(b, TEXT("`why` shows how."));
    buffer_put(b, TEXT(" |\n"));
}

#define HEAD "| value | unit | meaning |\n|---|---|---|\n"

/* Each item of the library that is of this sort, in the order of the files. */
/* NOLINTBEGIN(bugprone-macro-parentheses): file and node name the variables it declares */
#define EACH_ITEM(file, node, sort)                                                                                    \
    for (uint32_t file = 0; file < embedded_count; file++)                                                             \
        NODE_EACH_CHILD (&embedded_library[(file)].tree, embedded_library[(file)].tree.root, node)                     \
            if (node_kind(&embedded_library[(file)].tree, node) == (sort))
/* NOLINTEND(bugprone-macro-parentheses) */

static void put_derived_of(struct buffer *b, const char *kind)
{
    bool begun = false;
    EACH_ITEM(file, node, NODE_DERIVE)
    {
        const struct tree *t = &embedded_library[file].tree;
        if (!text_is(node_text(t, node_child(t, node)), kind))
            continue;
        if (!begun)
            buffer_printf(b, "### of each %s\n\n" HEAD, kind);
        begun = true;
        NODE_EACH_CHILD (t, node, row) {
            if (node_kind(t, row) == NODE_DERIVED)
                put_row(b, t, row);
        }
    }
    if (begun)
        buffer_putc(b, '\n');
}

void reference_put_derived(struct buffer *b)
{
    buffer_put(b, TEXT("### of the recipe as a whole\n\n" HEAD));
    EACH_ITEM(file, node, NODE_LET)
    {
        put_row(b, &embedded_library[file].tree, node);
    }
    buffer_putc(b, '\n');
    for (int k = 1; k < KIND_COUNT; k++)
        put_derived_of(b, kind_table[k].name);
}

void reference_put_formulas(struct buffer *b)
{
    buffer_put(b, TEXT("| formula | meaning | source |\n|---|---|---|\n"));
    EACH_ITEM(file, node, NODE_FORMULA)
    {
        const struct tree *t = &embedded_library[file].tree;
        uint32_t signature = child_of_kind(t, node, NODE_SIGNATURE);
        buffer_printf(b, "| `%.*s", TEXT_ARGS(node_text(t, node_child(t, node))));
        escape_put_plain(b, line_of(b, t, signature));
        buffer_put(b, TEXT("` | "));
        put_comment(b, t->bytes, start_of(t, node));
        buffer_put(b, TEXT(" | "));
        escape_put_plain(b, note_of(t, node, TOKEN_SOURCE));
        buffer_put(b, TEXT(" |\n"));
    }
    buffer_putc(b, '\n');
}
