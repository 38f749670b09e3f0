/* What has a name in the library and the schema, for people: kinds, materials, limits, formulas, units, functions. */
#include "compiler/review/explain.h"

#include "compiler/model/embedded.h"
#include "compiler/model/schema.h"
#include "compiler/text/render.h"
#include "compiler/text/unit.h"
#include "runtime/function.h"

enum { WIDEST = 100, INDENT = 4 };

/* ---- one line in a list ---------------------------------------------------------------------------------------------- */

static void put_name(struct buffer *b, struct text name, bool color)
{
    buffer_printf(b, color ? "\033[1m%.*s\033[0m" : "%.*s", TEXT_ARGS(name));
}

static void put_line(struct buffer *b, struct text name, struct text meaning, struct explain_style style)
{
    uint32_t width = style.width < WIDEST ? style.width : WIDEST, lead = name.len + 2 > 26 ? name.len + 2 : 26;
    put_name(b, name, style.color);
    buffer_pad(b, ' ', lead - name.len);
    uint32_t room = width > lead + 8 ? width - lead : 8;
    const char *end = memchr(meaning.at, '\n', meaning.len);
    if (end)
        meaning.len = (uint32_t)(end - meaning.at);
    bool cut = meaning.len > room;
    while (cut && room > 4 && meaning.at[room - 4] != ' ')
        room--;
    buffer_printf(b, "%.*s%s\n", cut ? (int)room - 4 : (int)meaning.len, meaning.at, cut ? " ..." : "");
}

/* ---- items of the library ---------------------------------------------------------------------------------------------- */

static struct text name_of_item(const struct tree *t, uint32_t node)
{
    uint32_t name = node_child(t, node);
    if (name && node_kind(t, node) == NODE_DEFINITION)
        name = node_next(t, name);
    return name && (node_kind(t, name) == NODE_NAME || node_kind(t, name) == NODE_PATH) ? node_text(t, name) : TEXT("");
}

/* A text without its quotes, as it is written. */
static struct text unquoted(struct text t)
{
    return t.len > 1 ? (struct text){t.at + 1, t.len - 2} : t;
}

static struct text title_of_item(struct arena *a, const struct tree *t, uint32_t node)
{
    NODE_EACH_CHILD (t, node, n) {
        bool title = node_kind(t, n) == NODE_PROPERTY && (text_is(node_text(t, node_child(t, n)), "title") ||
                                                          text_is(node_text(t, node_child(t, n)), "text"));
        uint32_t value = title ? node_value(t, n) : 0;
        value = title && !value ? node_next(t, node_child(t, n)) : value;
        if (value && node_kind(t, value) == NODE_TEXT)
            return unquoted(node_text(t, value));
    }
    uint32_t note = node_note(t, node, TOKEN_BECAUSE);
    note = note ? note : node_note(t, node, TOKEN_LABEL);
    if (note)
        return unquoted(node_text(t, node_child(t, note)));
    uint32_t signature = node_find(t, node, NODE_SIGNATURE);
    return signature ? node_text(t, signature) : arena_text(a, TEXT(""));
}

/* Which items a topic is about. */
struct topic {
    const char *name, *about;
    enum node_kind node;
    const char *kind; /* of definitions, or NULL */
};

static const struct topic topics[] = {
    {"alloys", "sheet alloys and their tempers", NODE_DEFINITION, "alloy"},
    {"materials", "tool materials", NODE_DEFINITION, "tool-material"},
    {"lubricants", "lubricants", NODE_DEFINITION, "lubricant"},
    {"sensors", "sensors of tool temperatures", NODE_DEFINITION, "sensor"},
    {"limits", "the rules of the trade", NODE_LIMIT, NULL},
    {"cautions", "what must be said at the machine", NODE_CAUTION, NULL},
    {"formulas", "formulas that expressions may call", NODE_FORMULA, NULL},
    {"values", "values worked out for a recipe as a whole", NODE_LET, NULL},
    {"kinds", "what can be defined, and its properties", NODE_NONE, NULL},
    {"functions", "functions that are built in", NODE_NONE, NULL},
    {"units", "units of measurement", NODE_NONE, NULL},
    {"diagnostics", "what the messages mean", NODE_NONE, NULL},
};

enum { TOPICS = sizeof topics / sizeof topics[0] };

static bool is_of_topic(const struct tree *t, uint32_t node, const struct topic *topic)
{
    return node_kind(t, node) == topic->node &&
           (!topic->kind || text_is(node_text(t, node_child(t, node)), topic->kind));
}

static void list_items(struct buffer *b, const struct topic *topic, struct explain_style style)
{
    for (uint32_t f = 0; f < embedded_count; f++) {
        const struct tree *t = &embedded_library[f].tree;
        NODE_EACH_CHILD (t, t->root, node)
            if (is_of_topic(t, node, topic))
                put_line(b, name_of_item(t, node), title_of_item(b->arena, t, node), style);
    }
}

/* ---- text of the library as it stands ---------------------------------------------------------------------------------- */

static uint32_t line_start(struct text b, uint32_t at)
{
    while (at && b.at[at - 1] != '\n')
        at--;
    return at;
}

/* With the comment lines directly above. */
static uint32_t start_with_comment(struct text b, uint32_t at)
{
    uint32_t from = line_start(b, at);
    while (from) {
        uint32_t above = line_start(b, from - 1), i = above;
        while (b.at[i] == ' ')
            i++;
        if (b.at[i] != '#')
            break;
        from = above;
    }
    return from;
}

static void put_source_text(struct buffer *b, struct text bytes, uint32_t from, uint32_t to)
{
    uint32_t dent = 0;
    while (bytes.at[from + dent] == ' ')
        dent++;
    while (from < to) {
        const char *end = memchr(bytes.at + from, '\n', to - from);
        uint32_t hi = end ? (uint32_t)(end - bytes.at) : to, skip = 0;
        while (skip < dent && from + skip < hi && bytes.at[from + skip] == ' ')
            skip++;
        if (hi > from + skip)
            buffer_pad(b, ' ', INDENT);
        buffer_printf(b, "%.*s\n", (int)(hi - from - skip), bytes.at + from + skip);
        from = hi + 1;
    }
}

static void put_item(struct buffer *b, const struct embedded_file *file, uint32_t node, const char *what,
                     struct explain_style style)
{
    const struct tree *t = &file->tree;
    struct span span = {1, t->token_at[node_at(t, node)->first],
                        t->token_at[node_at(t, node)->last] + t->token_len[node_at(t, node)->last]};
    put_name(b, name_of_item(t, node), style.color);
    buffer_printf(b, ": %s (%.*s)\n\n", what, TEXT_ARGS(file->path));
    put_source_text(b, t->bytes, start_with_comment(t->bytes, span.lo), span.hi);
}

static const char *what_is(const struct tree *t, uint32_t node)
{
    switch (node_kind(t, node)) {
    case NODE_DEFINITION:
        return "definition";
    case NODE_LIMIT:
        return "limit";
    case NODE_CAUTION:
        return "caution";
    case NODE_FORMULA:
        return "formula";
    case NODE_DERIVED:
        return "derived value";
    default:
        return "value of the recipe";
    }
}

struct search {
    struct buffer *b;
    struct text wanted;
    struct explain_style style;
    uint32_t found;
    struct text near_to[NEAREST_LIMIT];
    uint32_t count;
};

static bool matches(struct search *s, struct text name)
{
    if (name.len && s->count < NEAREST_LIMIT)
        s->near_to[s->count++] = name;
    if (!name.len || !text_same(name, s->wanted))
        return false;
    if (s->found++)
        buffer_putc(s->b, '\n');
    return true;
}

static void search_library(struct search *s)
{
    for (uint32_t f = 0; f < embedded_count; f++) {
        const struct tree *t = &embedded_library[f].tree;
        NODE_EACH_CHILD (t, t->root, node) {
            if (node_kind(t, node) != NODE_DERIVE) {
                if (matches(s, name_of_item(t, node)))
                    put_item(s->b, &embedded_library[f], node, what_is(t, node), s->style);
                continue;
            }
            struct text kind = node_text(t, node_child(t, node));
            NODE_EACH_CHILD (t, node, row)
                if (node_kind(t, row) == NODE_DERIVED && matches(s, node_text(t, node_child(t, row))))
                    put_item(s->b, &embedded_library[f], row,
                             arena_format(s->b->arena, "worked out for each %.*s", TEXT_ARGS(kind)).at, s->style);
        }
    }
}

/* ---- kinds and properties ---------------------------------------------------------------------------------------------- */

static struct text form_words(struct arena *a, const struct property_entry *p)
{
    bool reference = p->form == FORM_REFERENCE || p->form == FORM_REFERENCES;
    const char *plain = p->form == FORM_TEXT ? "text" : p->form == FORM_DATE ? "date" : "true or false";
    if (!*p->type)
        return text_of(plain);
    return reference ? arena_format(a, "%s %s", article_of(p->type), p->type) : text_of(p->type);
}

static const char *need_words(const struct property_entry *p)
{
    return p->need == NEED_REQUIRED   ? "required"
           : p->need == NEED_STANDARD ? "has a standard value"
           : p->need == NEED_CHOICE   ? "one of a group"
                                      : "optional";
}

static void put_property(struct buffer *b, const struct property_entry *p, struct explain_style style)
{
    uint32_t width = style.width < WIDEST ? style.width : WIDEST;
    buffer_pad(b, ' ', INDENT);
    put_name(b, text_of(p->name), style.color);
    buffer_printf(b, "  %.*s, %s", TEXT_ARGS(form_words(b->arena, p)), need_words(p));
    if (p->need == NEED_STANDARD)
        buffer_printf(b, ": %s", p->standard);
    buffer_putc(b, '\n');
    buffer_pad(b, ' ', 2 * INDENT);
    render_wrapped(b, text_of(p->doc), &(struct wrapping){2 * INDENT, TEXT("        "), 2 * INDENT, width});
}

static void put_kind(struct buffer *b, enum kind kind, struct explain_style style)
{
    uint32_t width = style.width < WIDEST ? style.width : WIDEST;
    put_name(b, text_of(kind_table[kind].name), style.color);
    buffer_put(b, TEXT(": kind of definition\n\n"));
    render_wrapped(b, text_of(kind_table[kind].doc), &(struct wrapping){0, TEXT(""), 0, width});
    buffer_putc(b, '\n');
    for (uint32_t i = 0; i < property_count; i++)
        if (property_table[i].kind == kind ||
            (kind_table[kind].family && property_table[i].kind == kind_table[kind].family))
            put_property(b, &property_table[i], style);
}

static void search_schema(struct search *s)
{
    for (int k = 1; k < KIND_COUNT; k++)
        if (matches(s, text_of(kind_table[k].name)))
            put_kind(s->b, (enum kind)k, s->style);
    for (uint32_t i = 0; i < property_count; i++)
        if (matches(s, text_of(property_table[i].name))) {
            const char *kind = kind_table[property_table[i].kind].name;
            buffer_printf(s->b, "%s of each %s: property\n\n", property_table[i].name, kind);
            put_property(s->b, &property_table[i], s->style);
        }
}

/* ---- units and functions ----------------------------------------------------------------------------------------------- */

static void search_units(struct search *s)
{
    uint32_t count;
    const struct unit_row *rows = unit_rows(&count);
    for (uint32_t i = 0; i < count; i++)
        if (matches(s, text_of(rows[i].name))) {
            put_name(s->b, text_of(rows[i].name), s->style.color);
            buffer_printf(s->b, ": unit, %s\n\n    1 %s = %s\n", rows[i].meaning, rows[i].name, rows[i].factor);
            if (*rows[i].also)
                buffer_printf(s->b, "    also written: %s\n", rows[i].also);
        }
}

static void search_functions(struct search *s)
{
    for (uint32_t i = 0; i < FUNCTION_COUNT; i++)
        if (matches(s, text_of(function_table[i].name))) {
            const struct function *f = &function_table[i];
            uint32_t width = s->style.width < WIDEST ? s->style.width : WIDEST;
            put_name(s->b, text_of(f->name), s->style.color);
            buffer_printf(s->b, ": function (%s)\n\n", f->types);
            render_wrapped(s->b, text_of(f->doc), &(struct wrapping){0, TEXT(""), 0, width});
            if (*f->source)
                buffer_printf(s->b, "Source: %s\n", f->source);
        }
}

/* ---- all ------------------------------------------------------------------------------------------------------------------ */

static void list_topic(struct buffer *b, const struct topic *topic, struct explain_style style)
{
    if (topic->node != NODE_NONE)
        list_items(b, topic, style);
    else if (strcmp(topic->name, "diagnostics") == 0)
        explain_list(b, style);
    else if (strcmp(topic->name, "kinds") == 0) {
        for (int k = 1; k < KIND_COUNT; k++)
            put_line(b, text_of(kind_table[k].name), text_of(kind_table[k].doc), style);
    } else if (strcmp(topic->name, "functions") == 0) {
        for (uint32_t i = 0; i < FUNCTION_COUNT; i++)
            put_line(b, text_of(function_table[i].name), text_of(function_table[i].doc), style);
    } else {
        uint32_t count;
        const struct unit_row *rows = unit_rows(&count);
        for (uint32_t i = 0; i < count; i++)
            put_line(b, text_of(rows[i].name), text_of(rows[i].meaning), style);
    }
}

void explain_topics(struct buffer *b, struct explain_style style)
{
    for (uint32_t i = 0; i < TOPICS; i++)
        put_line(b, text_of(topics[i].name), text_of(topics[i].about), style);
}

bool explain_name(struct buffer *b, struct text name, struct explain_style style, struct text *near)
{
    struct search *s = ARENA_NEW(b->arena, struct search);
    *s = (struct search){.b = b, .wanted = name, .style = style};
    for (uint32_t i = 0; i < TOPICS; i++)
        if (matches(s, text_of(topics[i].name)))
            list_topic(b, &topics[i], style);
    search_library(s);
    search_schema(s);
    search_units(s);
    search_functions(s);
    *near = s->found ? TEXT("") : nearest(name, s->near_to, s->count);
    return s->found > 0;
}
