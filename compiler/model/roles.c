#include "compiler/model/roles.h"
#include "compiler/model/typing.h"

enum { MOST_TOOLS = 64 }; /* a recipe with more says which is which */

struct tools {
    uint32_t id[MOST_TOOLS], count;
};

enum evidence { NOTHING_TELLS, TOLD, TOLD_BY_SIDE };

struct pair {
    uint32_t die, punch; /* 0: not known */
    enum evidence evidence;
};

/* ---- what is written ------------------------------------------------------------------------------------------------ */

static const struct property *stated_property(const struct scope *s, uint32_t definition, const char *name)
{
    atom a = interned(&s->names, text_of(name));
    uint32_t id = a ? find_property(s, definition, a) : 0;
    return id && property_at(s, id)->value ? property_at(s, id) : NULL;
}

static const struct tree *tree_of(const struct scope *s, const struct property *p)
{
    return file_at(s, p->site.file)->tree;
}

/* The word it states; empty when it states none. */
static struct text stated_word(const struct scope *s, uint32_t definition, const char *name)
{
    const struct property *p = stated_property(s, definition, name);
    return p ? node_text(tree_of(s, p), p->value) : TEXT("");
}

static bool states_word(const struct scope *s, uint32_t definition, const char *name, const char *word)
{
    return text_is(stated_word(s, definition, name), word);
}

static bool names_tool(const struct scope *s, const struct property *p, uint32_t tool)
{
    const struct tree *t = p ? tree_of(s, p) : NULL;
    struct text name = atom_text(&s->names, definition_at(s, tool)->name);
    if (!p || node_kind(t, p->value) != NODE_LIST)
        return p && text_same(node_text(t, p->value), name);
    NODE_EACH_CHILD (t, p->value, n)
        if (text_same(node_text(t, n), name))
            return true;
    return false;
}

/* Whether any definition of the kind names the tool in that property. */
static bool named_by_any(const struct scope *s, enum kind kind, const char *property, uint32_t tool, uint32_t but)
{
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (id != but && kind_is(definition_at(s, id)->kind, kind) &&
            names_tool(s, stated_property(s, id, property), tool))
            return true;
    return false;
}

/* The bore in SI, of which only a plain number is read; 0 when there is none. */
static double bore_of(const struct scope *s, uint32_t tool)
{
    const struct property *p = stated_property(s, tool, "bore");
    if (!p)
        return 0;
    const struct tree *t = tree_of(s, p);
    double value;
    struct unit unit;
    bool has_unit;
    uint32_t node = node_is_banded(t, p->value) ? node_child(t, p->value) : p->value;
    return literal_of(t, node, &value, &unit, &has_unit) ? unit_to_si(&unit, value) : 0;
}

/* ---- who can have a role -------------------------------------------------------------------------------------------- */

static bool is_word_of_role(struct text word)
{
    return text_is(word, "die") || text_is(word, "punch") || text_is(word, "holder");
}

/* The role it states or that its name says; empty: neither. */
static struct text own_role(const struct scope *s, uint32_t tool)
{
    struct text name = atom_text(&s->names, definition_at(s, tool)->name), stated = stated_word(s, tool, "role");
    return stated.len ? stated : is_word_of_role(name) ? name : TEXT("");
}

/* Heats the blank while the press works on another piece, so it forms nothing. */
static bool is_beside_press(const struct scope *s, uint32_t tool)
{
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (definition_at(s, id)->kind == KIND_heat_up && states_word(s, id, "beside-press", "true") &&
            names_tool(s, stated_property(s, id, "between"), tool))
            return true;
    return false;
}

static bool is_free(const struct scope *s, uint32_t tool)
{
    return !own_role(s, tool).len && !named_by_any(s, KIND_stroke, "holder", tool, 0) && !is_beside_press(s, tool);
}

static bool is_of_another_stroke(const struct scope *s, uint32_t tool, uint32_t stroke)
{
    return named_by_any(s, KIND_stroke, "die", tool, stroke) || named_by_any(s, KIND_stroke, "punch", tool, stroke);
}

static bool is_touched(const struct scope *s, uint32_t tool)
{
    return named_by_any(s, KIND_heat_up, "between", tool, 0);
}

static struct tools among(const struct scope *s, const struct tools *all, bool (*is)(const struct scope *, uint32_t))
{
    struct tools fewer = {.count = 0};
    for (uint32_t i = 0; i < all->count; i++)
        if (is(s, all->id[i]))
            fewer.id[fewer.count++] = all->id[i];
    return fewer;
}

static bool has_bore(const struct scope *s, uint32_t tool)
{
    return stated_property(s, tool, "bore") != NULL;
}

/* The tools that no role was found for and nothing else needs; of more than two, those that touch the blank or have a
 * bore, where these are two. */
static struct tools free_tools(const struct scope *s, uint32_t stroke)
{
    struct tools all = {.count = 0};
    for (uint32_t id = s->first_definition; id < definition_end(s) && all.count < MOST_TOOLS; id++)
        if (definition_at(s, id)->kind == KIND_tool && is_free(s, id) && !is_of_another_stroke(s, id, stroke))
            all.id[all.count++] = id;
    struct tools touched = among(s, &all, is_touched), bored = among(s, &all, has_bore);
    return all.count <= 2 ? all : touched.count == 2 ? touched : bored.count == 2 ? bored : all;
}

/* The one tool with that role of its own; 0: none or several, and *many says which. */
static uint32_t claimed(const struct scope *s, struct text role, uint32_t *many)
{
    uint32_t found = 0;
    *many = 0;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (kind_is(definition_at(s, id)->kind, KIND_tool) && text_same(own_role(s, id), role) &&
            (definition_at(s, id)->kind == KIND_tool || stated_word(s, id, "role").len)) {
            found = id;
            ++*many;
        }
    return *many == 1 ? found : 0;
}

static uint32_t stated_tool(const struct scope *s, uint32_t stroke, const char *role)
{
    struct text name = stated_word(s, stroke, role);
    atom a = name.len ? interned(&s->names, name) : 0;
    uint32_t id = a ? find_any_definition(s, a) : 0;
    return id && kind_is(definition_at(s, id)->kind, KIND_tool) ? id : 0;
}

/* ---- telling a pair apart ------------------------------------------------------------------------------------------- */

/* Which of two sets a size of that side; 0: neither or both. */
static uint32_t setter_of(const struct scope *s, const uint32_t *two, const char *side)
{
    bool sets[2] = {false, false};
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        for (int i = 0; i < 2; i++)
            sets[i] |= definition_at(s, id)->kind == KIND_dimension && states_word(s, id, "side", side) &&
                       names_tool(s, stated_property(s, id, "set-by"), two[i]);
    return sets[0] == sets[1] ? 0 : two[sets[1]];
}

static bool sides_matter(const struct scope *s)
{
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (definition_at(s, id)->kind == KIND_dimension && stated_property(s, id, "side"))
            return true;
    return false;
}

/* The punch's lubricant counts where the sheet states none. */
static bool lubricants_matter(const struct scope *s, const uint32_t *two)
{
    uint32_t many, sheet = find_sole(s, KIND_sheet, &many);
    return !(sheet && stated_property(s, sheet, "lubricant")) &&
           !text_same(stated_word(s, two[0], "lubricant"), stated_word(s, two[1], "lubricant"));
}

static struct pair told_apart(const struct scope *s, const uint32_t *two)
{
    double bore[2] = {bore_of(s, two[0]), bore_of(s, two[1])};
    if (bore[0] > 0 && bore[1] > 0 && bore[0] != bore[1])
        return (struct pair){two[bore[1] > bore[0]], two[bore[1] < bore[0]], TOLD};
    uint32_t outside = setter_of(s, two, "outside"), inside = setter_of(s, two, "inside");
    if (outside && outside == inside)
        return (struct pair){0, 0, NOTHING_TELLS};
    if (outside || inside) {
        uint32_t die = outside ? outside : inside == two[0] ? two[1] : two[0];
        return (struct pair){die, die == two[0] ? two[1] : two[0], TOLD_BY_SIDE};
    }
    if (sides_matter(s) || lubricants_matter(s, two))
        return (struct pair){0, 0, NOTHING_TELLS};
    return (struct pair){two[0], two[1], TOLD}; /* nothing that is worked out depends on it */
}

/* The only free tool beside the one whose role is known. */
static uint32_t left_over(const struct tools *free, uint32_t other)
{
    uint32_t found = 0, count = 0;
    for (uint32_t i = 0; i < free->count; i++)
        if (free->id[i] != other) {
            found = free->id[i];
            count++;
        }
    return count == 1 ? found : 0;
}

static struct pair roles_of_stroke(const struct scope *s, uint32_t stroke)
{
    uint32_t dies, punches;
    struct pair p = {stated_tool(s, stroke, "die"), stated_tool(s, stroke, "punch"), TOLD};
    uint32_t die = claimed(s, TEXT("die"), &dies), punch = claimed(s, TEXT("punch"), &punches);
    p.die = p.die ? p.die : die != p.punch ? die : 0;
    p.punch = p.punch ? p.punch : punch != p.die ? punch : 0;
    if (p.die && p.punch)
        return p;
    struct tools free = free_tools(s, stroke);
    if (p.die && punches < 2)
        p.punch = left_over(&free, p.die);
    else if (p.punch && dies < 2)
        p.die = left_over(&free, p.punch);
    else if (!p.die && !p.punch && !dies && !punches && free.count == 2)
        p = told_apart(s, free.id);
    return p;
}

uint32_t role_tool(const struct scope *s, uint32_t stroke, struct text role)
{
    struct pair p = roles_of_stroke(s, stroke);
    return text_is(role, "die") ? p.die : p.punch;
}

/* ---- what is said of it --------------------------------------------------------------------------------------------- */

/* In front of the first property. */
static void edit_block(struct scope *s, struct diagnostic *d, uint32_t definition, struct text line)
{
    struct site site = definition_at(s, definition)->site;
    const struct tree *t = file_at(s, site.file)->tree;
    uint32_t first = node_find(t, site.node, NODE_PROPERTY);
    if (!first)
        return;
    struct span span = node_span(t, first);
    span.hi = span.lo;
    report_edit(s->diagnostics, d, span, line);
}

static struct text tool_name(const struct scope *s, uint32_t tool)
{
    return atom_text(&s->names, definition_at(s, tool)->name);
}

static struct text tool_names(struct scope *s, const struct tools *tools)
{
    struct text words = TEXT("");
    for (uint32_t i = 0; i < tools->count; i++)
        words = arena_format(s->arena, "%.*s%s'%.*s'", TEXT_ARGS(words),
                             i == 0                  ? ""
                             : i + 1 == tools->count ? " and "
                                                     : ", ",
                             TEXT_ARGS(tool_name(s, tools->id[i])));
    return words;
}

/* The one an engineer would most likely call so: of those left, what sets sizes of that side; else the first. */
static uint32_t likeliest(const struct scope *s, const struct tools *tools, const char *side, uint32_t but)
{
    uint32_t first = 0;
    for (uint32_t i = 0; i < tools->count; i++) {
        if (tools->id[i] == but)
            continue;
        first = first ? first : tools->id[i];
        for (uint32_t id = s->first_definition; id < definition_end(s); id++)
            if (definition_at(s, id)->kind == KIND_dimension && states_word(s, id, "side", side) &&
                names_tool(s, stated_property(s, id, "set-by"), tools->id[i]))
                return tools->id[i];
    }
    return first;
}

static struct diagnostic *begin_no_role(struct scope *s, uint32_t stroke, const char *role, const struct tools *tools)
{
    struct diagnostic *d = report(s->diagnostics, FAULT_no_role, definition_span(s, stroke),
                                  "which tool is the %s of %.*s cannot be told: it could be %.*s", role,
                                  TEXT_ARGS(definition_words(s, stroke)), TEXT_ARGS(tool_names(s, tools)));
    for (uint32_t i = 0; i < tools->count; i++) {
        struct text stated = stated_word(s, tools->id[i], "role");
        report_label(s->diagnostics, d, definition_span(s, tools->id[i]), "%s%.*s",
                     stated.len                      ? "says it is the "
                     : own_role(s, tools->id[i]).len ? "is called so"
                                                     : "says no role",
                     TEXT_ARGS(stated));
    }
    return d;
}

/* Two claim a role. Where one only has its name, that is what it is not. */
static void report_two_claims(struct scope *s, uint32_t stroke, const char *role)
{
    struct tools claim = {.count = 0};
    uint32_t called = 0;
    for (uint32_t id = s->first_definition; id < definition_end(s) && claim.count < MOST_TOOLS; id++)
        if (definition_at(s, id)->kind == KIND_tool && text_is(own_role(s, id), role)) {
            claim.id[claim.count++] = id;
            called = stated_word(s, id, "role").len ? called : id;
        }
    struct diagnostic *d = begin_no_role(s, stroke, role, &claim);
    const char *other = strcmp(role, "die") == 0 ? "punch" : "die";
    if (called && claim.count == 2) {
        report_help(s->diagnostics, d, "say what '%.*s' is: 'role = %s', or another role",
                    TEXT_ARGS(tool_name(s, called)), other);
        edit_block(s, d, called, arena_format(s->arena, "role = %s\n    ", other));
    } else {
        report_help(s->diagnostics, d, "write in the stroke '%s = NAME', or another role in all but one", role);
    }
}

static void report_one_missing(struct scope *s, uint32_t stroke, const struct pair *p, const struct tools *free)
{
    const char *role = p->die ? "punch" : "die";
    uint32_t meant = likeliest(s, free, p->die ? "inside" : "outside", p->die ? p->die : p->punch);
    struct diagnostic *d = begin_no_role(s, stroke, role, free);
    report_help(s->diagnostics, d,
                "write 'role = %s' in the tool that is the %s, as in '%.*s', or '%s = %.*s' in the stroke", role, role,
                TEXT_ARGS(tool_name(s, meant)), role, TEXT_ARGS(tool_name(s, meant)));
    edit_block(s, d, meant, arena_format(s->arena, "role = %s\n    ", role));
}

static void report_both_missing(struct scope *s, uint32_t stroke, const struct tools *free)
{
    uint32_t die = likeliest(s, free, "outside", 0), punch = likeliest(s, free, "inside", die);
    struct text names[2] = {tool_name(s, die), tool_name(s, punch)};
    struct diagnostic *d = begin_no_role(s, stroke, "die", free);
    report_help(s->diagnostics, d,
                "write 'die = %.*s' and 'punch = %.*s' in the stroke, or the other way round; or 'role = die' and "
                "'role = punch' in the tools",
                TEXT_ARGS(names[0]), TEXT_ARGS(names[1]));
    edit_block(
        s, d, stroke,
        arena_format(s->arena, "die = %.*s\n        punch = %.*s\n        ", TEXT_ARGS(names[0]), TEXT_ARGS(names[1])));
}

static void report_no_role(struct scope *s, uint32_t stroke, const struct pair *p)
{
    uint32_t dies, punches;
    claimed(s, TEXT("die"), &dies);
    claimed(s, TEXT("punch"), &punches);
    struct tools free = free_tools(s, stroke);
    if (!p->die && dies > 1)
        report_two_claims(s, stroke, "die");
    else if (!p->punch && punches > 1)
        report_two_claims(s, stroke, "punch");
    else if (free.count >= 2 && !p->die && !p->punch)
        report_both_missing(s, stroke, &free);
    else if (free.count >= 2)
        report_one_missing(s, stroke, p, &free);
    else {
        const char *role = p->die ? "punch" : "die";
        struct diagnostic *d = report(s->diagnostics, FAULT_no_role, definition_span(s, stroke), "%.*s has no %s",
                                      TEXT_ARGS(definition_words(s, stroke)), role);
        report_help(s->diagnostics, d, "define it, 'tool %s {', or say which tool it is: '%s = NAME' in the stroke",
                    role, role);
    }
}

static void note_side(struct scope *s, uint32_t stroke, const struct pair *p)
{
    struct text die = atom_text(&s->names, definition_at(s, p->die)->name),
                punch = atom_text(&s->names, definition_at(s, p->punch)->name);
    struct diagnostic *d =
        report(s->diagnostics, FAULT_assumed_role, definition_span(s, stroke),
               "'%.*s' is taken as the die and '%.*s' as the punch, from the sides of the sizes they set",
               TEXT_ARGS(die), TEXT_ARGS(punch));
    report_help(s->diagnostics, d, "write 'role = die' in '%.*s', or, if that is the punch, 'role = punch'",
                TEXT_ARGS(die));
}

static bool any_faulty_tool(const struct scope *s)
{
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (kind_is(definition_at(s, id)->kind, KIND_tool) && definition_at(s, id)->faulty)
            return true;
    return false;
}

/* A stroke that states both needs no telling, whatever it states. */
static bool needs_roles(const struct scope *s, uint32_t id)
{
    return definition_at(s, id)->kind == KIND_stroke && !definition_at(s, id)->faulty &&
           !(stated_property(s, id, "die") && stated_property(s, id, "punch"));
}

void role_check(struct scope *s)
{
    uint32_t tools = 0;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        tools += definition_at(s, id)->kind == KIND_tool;
    if (tools < 2 || any_faulty_tool(s))
        return;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++) {
        if (!needs_roles(s, id))
            continue;
        struct pair p = roles_of_stroke(s, id);
        if (!p.die || !p.punch) {
            report_no_role(s, id, &p);
            return;
        }
        if (p.evidence == TOLD_BY_SIDE)
            note_side(s, id, &p);
    }
}
