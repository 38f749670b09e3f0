/* Reading trees into a scope: every item becomes a row of one of its lists. */
#include "compiler/model/names_declare.h"

static atom name_of(struct scope *s, const struct tree *t, uint32_t node)
{
    return node ? intern(&s->names, node_text(t, node)) : 0;
}

static void read_tree(struct scope *, uint32_t file, const struct loader *);

/* ---- what a value is for ------------------------------------------------------------------------------------------ */

static void report_purpose(struct scope *s, struct text word, struct span at)
{
    struct text names[PURPOSE_COUNT], list = TEXT("");
    uint32_t count = 0;
    for (int i = 1; i < PURPOSE_COUNT; i++)
        if (purpose_table[i].by == PURPOSE_OF_ANYBODY)
            names[count++] = text_of(purpose_table[i].word);
    struct diagnostic *d =
        report(s->diagnostics, FAULT_unknown_purpose, at, "a value is not for '%.*s'", TEXT_ARGS(word));
    struct text near = nearest(word, names, count);
    for (uint32_t i = 0; i < count; i++)
        list = arena_format(s->arena, "%.*s%s%.*s", TEXT_ARGS(list), i ? ", " : "", TEXT_ARGS(names[i]));
    if (near.len) {
        report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
        report_edit(s->diagnostics, d, at, near);
    } else {
        report_help(s->diagnostics, d, "it is for one or more of: %.*s", TEXT_ARGS(list));
    }
}

/* FOR_NOTHING when a recipe may not say it. */
static enum purpose purpose_named(const struct scope *s, struct text word)
{
    enum purpose_of most = s->below ? PURPOSE_OF_ANYBODY : PURPOSE_OF_LIBRARY;
    for (enum purpose i = FOR_NOTHING + 1; i < PURPOSE_COUNT; i++)
        if (purpose_table[i].by <= most && text_is(word, purpose_table[i].word))
            return i;
    return FOR_NOTHING;
}

/* label "..." for A, B */
static void read_uses(struct scope *s, const struct tree *t, uint32_t node, enum purpose uses[MOST_PURPOSES])
{
    uint32_t label = node_note(t, node, TOKEN_LABEL), count = 0;
    for (uint32_t n = label ? node_find(t, label, NODE_NAME) : 0; n; n = node_next(t, n)) {
        enum purpose purpose = purpose_named(s, node_text(t, n));
        if (purpose == FOR_NOTHING)
            report_purpose(s, node_text(t, n), node_span(t, n));
        else if (count < MOST_PURPOSES && !has_purpose(uses, purpose))
            uses[count++] = purpose;
    }
}

/* ---- definitions ---------------------------------------------------------------------------------------------------- */

/* The names among candidates nearest to what was written, as a help line. */
static void suggest_property(struct scope *s, struct diagnostic *d, enum kind kind, struct text wrong, struct span at)
{
    struct text names[64] = {{0}};
    uint32_t count = 0;
    for (uint32_t i = 0; i < property_count && count < 64; i++)
        if (property_table[i].kind == kind || property_table[i].kind == kind_table[kind].family)
            if (property_table[i].kind != KIND_NONE)
                names[count++] = text_of(property_table[i].name);
    struct text near = nearest(wrong, names, count);
    if (near.len) {
        report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
        report_edit(s->diagnostics, d, at, near);
        return;
    }
    struct text list = TEXT("");
    for (uint32_t i = 0; i < count; i++)
        list = arena_format(s->arena, "%.*s%s%.*s", TEXT_ARGS(list), i ? ", " : "", TEXT_ARGS(names[i]));
    report_help(s->diagnostics, d, "%s has: %.*s", kind_table[kind].name, TEXT_ARGS(list));
}

static void read_property(struct scope *s, uint32_t file, uint32_t node, uint32_t definition, enum kind kind)
{
    const struct tree *t = file_at(s, file)->tree;
    uint32_t name_node = node_child(t, node);
    if (!name_node || node_kind(t, name_node) != NODE_NAME)
        return;
    struct text name = node_text(t, name_node);
    struct span at = node_span(t, name_node);
    const struct property_entry *entry = property_named(kind, name);
    if (!entry) {
        s->definitions.at[definition - s->first_definition].faulty = true;
        struct diagnostic *d = report(s->diagnostics, FAULT_unknown_property, at, "%s has no property '%.*s'",
                                      kind_table[kind].name, TEXT_ARGS(name));
        suggest_property(s, d, kind, name, at);
        return;
    }
    atom a = intern(&s->names, name);
    if (declares_property(s, definition, a)) {
        uint32_t first = find_property(s, definition, a);
        struct diagnostic *d =
            report(s->diagnostics, FAULT_duplicate_property, at, "'%.*s' is stated twice", TEXT_ARGS(name));
        report_label(s->diagnostics, d, site_span(s, property_at(s, first)->site), "first here");
        report_help(s->diagnostics, d, "keep one of the two lines");
        return;
    }
    struct property p = {entry, definition, {file, node}, node_value(t, node)};
    declare_property(s, p, a);
}

static bool kind_of_definition(struct scope *s, const struct tree *t, uint32_t kind_node, bool in_steps, enum kind *out)
{
    struct text word = node_text(t, kind_node);
    struct span at = node_span(t, kind_node);
    *out = kind_named(word);
    if (*out == KIND_NONE || kind_table[*out].flags & KIND_ABSTRACT) {
        struct text names[KIND_COUNT];
        uint32_t count = 0;
        for (int k = 1; k < KIND_COUNT; k++)
            if (!(kind_table[k].flags & KIND_ABSTRACT) && (!in_steps || kind_table[k].flags & KIND_STEP))
                names[count++] = text_of(kind_table[k].name);
        struct diagnostic *d = report(s->diagnostics, FAULT_unknown_kind, at, "there is no kind of %s called '%.*s'",
                                      in_steps ? "step" : "definition", TEXT_ARGS(word));
        struct text near = nearest(word, names, count);
        if (near.len) {
            report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
            report_edit(s->diagnostics, d, at, near);
        } else {
            report_help(s->diagnostics, d, "%s",
                        in_steps ? "the steps are warm-up, task, heat-up, transfer, stroke, cooling, trim and inspect"
                                 : "the language reference lists the kinds: recipe, alloy, press, sheet, tool, "
                                   "dimension, corner, bend, draw, steps and more");
        }
        return false;
    }
    bool is_step = kind_table[*out].flags & KIND_STEP;
    if (is_step != in_steps) {
        struct diagnostic *d = is_step ? report(s->diagnostics, FAULT_step_outside, at,
                                                "'%.*s' is a step and stands outside steps { }", TEXT_ARGS(word))
                                       : report(s->diagnostics, FAULT_not_a_step, at,
                                                "'%.*s' is no step; only steps stand in steps { }", TEXT_ARGS(word));
        report_help(s->diagnostics, d,
                    is_step ? "move it between the braces of steps { }, where its place gives the order"
                            : "move it out of steps { }; facts may stand anywhere else");
        return false;
    }
    return true;
}

static void note_lost(struct scope *s, enum kind kind, atom name)
{
    *ARRAY_PUSH(s->arena, &s->lost) = (struct lost){kind, name};
}

/* A named definition that stands already, or a second one of a kind that may stand once. */
static bool report_repeated(struct scope *s, enum kind kind, atom name, struct span at)
{
    uint32_t known = name ? find_definition(s, kind, name) : 0;
    struct diagnostic *d = NULL;
    if (known) {
        struct text text = atom_text(&s->names, name);
        bool in_library = known < s->first_definition;
        d = report(s->diagnostics, FAULT_duplicate_definition, at, "%s '%.*s' is defined twice", kind_table[kind].name,
                   TEXT_ARGS(text));
        report_label(s->diagnostics, d, definition_span(s, known), in_library ? "in the library" : "first here");
        if (in_library)
            report_help(s->diagnostics, d, "give yours another name, as in '%s %.*s-shop like %.*s {'",
                        kind_table[kind].name, TEXT_ARGS(text), TEXT_ARGS(text));
        else {
            report_help(s->diagnostics, d, "give one of them another name");
            note_lost(s, kind, 0);
        }
    } else if (kind_table[kind].flags & KIND_SINGLE && s->kind_count[kind]) {
        d = report(s->diagnostics, FAULT_second_of_kind, at, "a second %s; a recipe has one", kind_table[kind].name);
        report_label(s->diagnostics, d, definition_span(s, s->kind_first[kind]), "first here");
        report_help(s->diagnostics, d, "put all its properties into one block");
    }
    return d != NULL && known >= s->first_definition;
}

static void check_name(struct scope *s, enum kind kind, atom name, struct span at)
{
    unsigned flags = kind_table[kind].flags;
    if (flags & KIND_UNNAMED && name) {
        struct diagnostic *d =
            report(s->diagnostics, FAULT_unwanted_name, at, "%s takes no name", kind_table[kind].name);
        report_help(s->diagnostics, d, "write '%s {'", kind_table[kind].name);
    } else if (!(flags & KIND_UNNAMED) && !name) {
        struct diagnostic *d =
            report(s->diagnostics, FAULT_missing_name, at, "this %s has no name", kind_table[kind].name);
        report_help(s->diagnostics, d, "write '%s NAME {', with a name others can refer to it by",
                    kind_table[kind].name);
    }
}

/* "overall width" as overall-width */
static atom name_in_quotes(struct scope *s, struct text t)
{
    char *out = arena_alloc(s->arena, (size_t)t.len + 1);
    for (uint32_t i = 0; i < t.len; i++)
        out[i] = t.at[i] == ' ' || t.at[i] == '_'   ? '-'
                 : t.at[i] >= 'A' && t.at[i] <= 'Z' ? (char)(t.at[i] + 32)
                                                    : t.at[i];
    return intern(&s->names, (struct text){out, t.len});
}

/* The names in the head of a block that was not understood: any may be what it defines. */
static void note_lost_head(struct scope *s, const struct tree *t, uint32_t node)
{
    const struct node *n = node_at(t, node);
    for (uint32_t i = n->first;
         i && i <= n->last && t->token_kind[i] != TOKEN_OPEN_BRACE && t->token_kind[i] != TOKEN_EQUALS; i++)
        if (t->token_kind[i] == TOKEN_NAME)
            note_lost(s, KIND_NONE, intern(&s->names, token_meant(t, i)));
        else if (t->token_kind[i] == TOKEN_TEXT && t->token_len[i] > 2)
            note_lost(s, KIND_NONE, name_in_quotes(s, (struct text){token_text(t, i).at + 1, t->token_len[i] - 2}));
}

static void read_definition(struct scope *s, uint32_t file, uint32_t node, bool in_steps)
{
    const struct tree *t = file_at(s, file)->tree;
    uint32_t kind_node = node_child(t, node);
    enum kind kind;
    if (!kind_node || node_kind(t, kind_node) != NODE_NAME || !kind_of_definition(s, t, kind_node, in_steps, &kind)) {
        note_lost_head(s, t, node);
        return;
    }
    uint32_t second = node_next(t, kind_node);
    uint32_t name_node = second && node_kind(t, second) == NODE_NAME ? second : 0;
    struct definition d = {.kind = kind, .name = name_of(s, t, name_node), .site = {file, node}};
    struct span at = node_span(t, name_node ? name_node : kind_node);
    check_name(s, kind, d.name, at);
    if (report_repeated(s, kind, d.name, at)) /* one of the two was to have another name */
        return;
    if (!d.name && !(kind_table[kind].flags & KIND_UNNAMED))
        note_lost(s, kind, 0);
    if (in_steps)
        d.step = s->steps.count + 1;
    d.first_property = property_end(s);
    uint32_t id = declare_definition(s, d);
    if (in_steps)
        *ARRAY_PUSH(s->arena, &s->steps) = id;
    NODE_EACH_CHILD (t, node, n) {
        if (node_kind(t, n) == NODE_PROPERTY)
            read_property(s, file, n, id, kind);
        else if (node_kind(t, n) == NODE_ERROR)
            s->definitions.at[id - s->first_definition].faulty = true;
    }
    s->definitions.at[id - s->first_definition].property_count = property_end(s) - d.first_property;
}

static void read_steps(struct scope *s, uint32_t file, uint32_t node)
{
    const struct tree *t = file_at(s, file)->tree;
    if (s->steps_site.file) {
        struct diagnostic *d = report(s->diagnostics, FAULT_second_steps, token_span(t, node_at(t, node)->first),
                                      "a second steps block; a recipe has one");
        struct tree *first = file_at(s, s->steps_site.file)->tree;
        report_label(s->diagnostics, d, token_span(first, node_at(first, s->steps_site.node)->first), "first here");
        report_help(s->diagnostics, d, "move its steps into the first, in working order");
        return;
    }
    s->steps_site = (struct site){file, node};
    NODE_EACH_CHILD (t, node, n)
        if (node_kind(t, n) == NODE_DEFINITION)
            read_definition(s, file, n, true);
        else
            note_lost_head(s, t, n);
}

/* ---- lets, formulas, derived properties and rules -------------------------------------------------------------------- */

static bool name_taken(struct scope *s, struct site known, bool taken, struct text name, struct span at)
{
    if (!taken)
        return false;
    bool in_library = known.file < s->first_file;
    struct diagnostic *d = report(s->diagnostics, FAULT_duplicate_name, at, "the name '%.*s' is taken already%s",
                                  TEXT_ARGS(name), in_library ? " by the library" : "");
    report_label(s->diagnostics, d, site_span(s, known), "first here");
    report_help(s->diagnostics, d, "give yours another name; two meanings of one name would mislead the reader");
    return true;
}

static void read_let(struct scope *s, uint32_t file, uint32_t node)
{
    const struct tree *t = file_at(s, file)->tree;
    uint32_t path = node_child(t, node);
    if (!path)
        return;
    struct text spelled = TEXT("");
    NODE_EACH_CHILD (t, path, n)
        spelled = arena_format(s->arena, "%.*s%s%.*s", TEXT_ARGS(spelled), spelled.len ? "." : "",
                               TEXT_ARGS(node_text(t, n)));
    if (!spelled.len)
        spelled = node_text(t, path);
    atom name = intern(&s->names, spelled);
    uint32_t known = find_let(s, name);
    if (!name_taken(s, known ? let_at(s, known)->site : (struct site){0}, known, spelled, node_span(t, path))) {
        struct let l = {.name = name, .site = {file, node}};
        read_uses(s, t, node, l.uses);
        declare_let(s, l);
    }
}

static enum kind kind_to_visit(struct scope *s, const struct tree *t, uint32_t node)
{
    struct text word = node_text(t, node);
    enum kind kind = kind_named(word);
    if (kind == KIND_NONE) {
        struct diagnostic *d = report(s->diagnostics, FAULT_unknown_kind, node_span(t, node),
                                      "there is no kind of definition called '%.*s'", TEXT_ARGS(word));
        struct text names[KIND_COUNT];
        for (int k = 1; k < KIND_COUNT; k++)
            names[k - 1] = text_of(kind_table[k].name);
        struct text near = nearest(word, names, KIND_COUNT - 1);
        if (near.len)
            report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
    }
    return kind;
}

static void read_derive(struct scope *s, uint32_t file, uint32_t node)
{
    const struct tree *t = file_at(s, file)->tree;
    uint32_t kind_node = node_child(t, node), variable = kind_node ? node_next(t, kind_node) : 0;
    enum kind kind = variable ? kind_to_visit(s, t, kind_node) : KIND_NONE;
    if (kind == KIND_NONE)
        return;
    NODE_EACH_CHILD (t, node, n) {
        if (node_kind(t, n) != NODE_DERIVED)
            continue;
        uint32_t name_node = node_child(t, n);
        struct text name = node_text(t, name_node);
        struct span at = node_span(t, name_node);
        atom a = intern(&s->names, name);
        uint32_t known = find_derived(s, kind, a);
        bool same_kind = known && derived_at(s, known)->kind == kind;
        if (property_named(kind, name)) {
            struct diagnostic *d =
                report(s->diagnostics, FAULT_derived_twice, at, "%s already has a stated property '%.*s'",
                       kind_table[kind].name, TEXT_ARGS(name));
            report_help(s->diagnostics, d, "give the derived value another name");
        } else if (same_kind) {
            struct diagnostic *d = report(s->diagnostics, FAULT_derived_twice, at, "'%.*s' of %s is derived twice",
                                          TEXT_ARGS(name), kind_table[kind].name);
            report_label(s->diagnostics, d, site_span(s, derived_at(s, known)->site), "first here");
            report_help(s->diagnostics, d, "give yours another name");
        } else {
            struct derived d = {.kind = kind, .name = a, .variable = name_of(s, t, variable), .site = {file, n}};
            read_uses(s, t, n, d.uses);
            declare_derived(s, d);
        }
    }
}

static void read_formula(struct scope *s, uint32_t file, uint32_t node)
{
    const struct tree *t = file_at(s, file)->tree;
    uint32_t name_node = node_child(t, node);
    struct text name = node_text(t, name_node);
    atom a = intern(&s->names, name);
    uint32_t known = find_formula(s, a);
    if (!name_taken(s, known ? formula_at(s, known)->site : (struct site){0}, known, name, node_span(t, name_node)))
        declare_formula(s, (struct formula){.name = a, .site = {file, node}});
}

static void read_rule(struct scope *s, uint32_t file, uint32_t node)
{
    const struct tree *t = file_at(s, file)->tree;
    struct rule r = {.what = node_kind(t, node), .site = {file, node}};
    if (r.what != NODE_REQUIRE) {
        uint32_t name_node = node_child(t, node), each = node_find(t, node, NODE_EACH);
        if (!name_node || node_kind(t, name_node) != NODE_NAME)
            return;
        r.name = name_of(s, t, name_node);
        uint32_t known = find_rule(s, r.name);
        if (name_taken(s, known ? rule_at(s, known)->site : (struct site){0}, known, node_text(t, name_node),
                       node_span(t, name_node)))
            return;
        uint32_t kind_node = each ? node_child(t, each) : 0, variable = kind_node ? node_next(t, kind_node) : 0;
        if (each && (!variable || (r.each = kind_to_visit(s, t, kind_node)) == KIND_NONE))
            return;
        r.variable = name_of(s, t, variable);
    }
    declare_rule(s, r);
}

/* The whole text, with what stands inside { } as it is written: a reason must not lose a word. */
static struct text note_as_written(struct scope *s, const struct tree *t, uint32_t node, enum token_kind word)
{
    uint32_t note = node_note(t, node, word);
    return note && node_child(t, note) ? text_pattern(s->arena, t, node_child(t, note)) : TEXT("");
}

static void read_waiver(struct scope *s, uint32_t file, uint32_t node)
{
    const struct tree *t = file_at(s, file)->tree;
    uint32_t limit = node_child(t, node), second = limit ? node_next(t, limit) : 0;
    uint32_t subject = second && node_kind(t, second) == NODE_NAME ? second : 0, date = node_find(t, node, NODE_DATE);
    if (limit && node_kind(t, limit) == NODE_NAME)
        declare_waiver(s, (struct waiver){.site = {file, node},
                                          .limit = name_of(s, t, limit),
                                          .subject = name_of(s, t, subject),
                                          .until = date ? node_text(t, date) : TEXT(""),
                                          .by = note_as_written(s, t, node, TOKEN_BY),
                                          .why = note_as_written(s, t, node, TOKEN_BECAUSE)});
}

/* ---- files ------------------------------------------------------------------------------------------------------------- */

static void report_load(struct scope *s, enum fault fault, struct span at, struct text wanted, struct text why)
{
    struct diagnostic *d = report(s->diagnostics, fault, at, "cannot use \"%.*s\"%s%.*s", TEXT_ARGS(wanted),
                                  why.len ? ": " : "", TEXT_ARGS(why));
    report_help(
        s->diagnostics, d, "%s",
        fault == FAULT_use_outside ? "keep shop files in or below the recipe's folder, or allow it with --allow-outside"
        : fault == FAULT_not_a_file     ? "name a recipe file in it"
        : fault == FAULT_file_too_large ? "a recipe is a few pages of text: look whether this is the file you mean"
        : fault == FAULT_use_not_found  ? "the path is taken from the folder of the file that says 'use'"
                                        : "the file is there and cannot be read: look at its rights and at the disk");
}

static void read_use(struct scope *s, uint32_t file, uint32_t node, const struct loader *loader)
{
    const struct tree *t = file_at(s, file)->tree;
    uint32_t text_node = node_child(t, node);
    if (!text_node || node_kind(t, text_node) != NODE_TEXT)
        return;
    struct span at = node_span(t, text_node);
    struct text wanted = text_piece(s->arena, t, text_node, 0), path = TEXT(""), bytes, why = TEXT("");
    struct text from = source_at(s->sources, file)->path;
    if (!loader) {
        report_load(s, FAULT_use_not_found, at, wanted, TEXT("no other file can be read here"));
        return;
    }
    enum fault fault = loader->load(loader->context, s->arena, from, wanted, &path, &bytes, &why);
    for (uint32_t i = 0; i < s->opened.count; i++)
        if (path.len && text_same(s->opened.at[i].path, path)) {
            if (s->opened.at[i].open) {
                struct diagnostic *d =
                    report(s->diagnostics, FAULT_use_circle, at,
                           "\"%.*s\" is being read already: the files use each other in a circle", TEXT_ARGS(wanted));
                report_help(s->diagnostics, d, "move what both need into a third file and use that one");
            }
            return;
        }
    if (fault != (enum fault)LOAD_OK)
        report_load(s, fault, at, wanted, why);
    else
        scope_read(s, path, bytes, loader);
}

static void read_item(struct scope *s, uint32_t file, uint32_t n, const struct loader *loader)
{
    const struct tree *t = file_at(s, file)->tree;
    switch (node_kind(t, n)) {
    case NODE_USE:
        read_use(s, file, n, loader);
        break;
    case NODE_DEFINITION:
        read_definition(s, file, n, false);
        break;
    case NODE_STEPS:
        read_steps(s, file, n);
        break;
    case NODE_LET:
        read_let(s, file, n);
        break;
    case NODE_DERIVE:
        read_derive(s, file, n);
        break;
    case NODE_FORMULA:
        read_formula(s, file, n);
        break;
    case NODE_LIMIT:
    case NODE_CAUTION:
    case NODE_REQUIRE:
        read_rule(s, file, n);
        break;
    case NODE_WAIVE:
        read_waiver(s, file, n);
        break;
    default: /* NODE_ERROR: reported by the parser */
        note_lost_head(s, t, n);
        break;
    }
}

static void read_tree(struct scope *s, uint32_t file, const struct loader *loader)
{
    const struct tree *t = file_at(s, file)->tree;
    NODE_EACH_CHILD (t, t->root, n)
        read_item(s, file, n, loader);
}

void scope_read_tree(struct scope *s, struct text path, struct tree *t, const struct binding *known,
                     const struct loader *loader)
{
    uint32_t opened = s->opened.count;
    *ARRAY_PUSH(s->arena, &s->opened) = (struct opened){path, true};
    struct binding *noted = known ? NULL : ARENA_ARRAY(s->arena, t->node_count, struct binding);
    *ARRAY_PUSH(s->arena, &s->files) = (struct unit_file){t, known ? known : noted, noted};
    read_tree(s, t->file, loader);
    s->opened.at[opened].open = false;
}

void scope_read(struct scope *s, struct text path, struct text bytes, const struct loader *loader)
{
    uint32_t file = source_add(s->sources, path, bytes);
    scope_read_tree(s, path, parse(s->arena, s->sources, file, s->diagnostics), NULL, loader);
}
