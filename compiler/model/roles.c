#include "compiler/model/roles.h"
#include "compiler/model/typing.h"

enum { MOST_TOOLS = 64 }; /* a recipe with more says which is which */

struct tools {
    uint32_t id[MOST_TOOLS], count;
};

enum evidence { NOTHING_TELLS, TOLD, TOLD_BY_SIDE };
enum member { OUTER, INNER };

struct pair { /* the two tools that form the part between them, by OUTER and INNER; 0: not known */
    uint32_t tool[2];
    enum evidence evidence;
};

/* ---- words of the schema ---------------------------------------------------------------------------------------------- */

static const enum purpose naming[2] = {FOR_outer_tool, FOR_inner_tool};

/* The property of a stroke that names the tool of that place; its own name is the role's word. */
static const struct property_entry *row_of(enum member place)
{
    return first_property_for(naming[place]);
}

static struct text role_word(enum member place)
{
    return text_of(row_of(place)->name);
}

static bool is_tool(const struct scope *s, uint32_t id)
{
    return definition_at(s, id)->kind == kind_named(text_of(row_of(OUTER)->type));
}

static bool is_kind_of_tool(const struct scope *s, uint32_t id)
{
    return kind_is(definition_at(s, id)->kind, kind_named(text_of(row_of(OUTER)->type)));
}

/* ---- what is written ------------------------------------------------------------------------------------------------ */

static const struct property *stated_property(const struct scope *s, uint32_t definition, enum purpose purpose)
{
    uint32_t id = find_property_for(s, definition, purpose);
    return id && property_at(s, id)->value ? property_at(s, id) : NULL;
}

static const struct tree *tree_of(const struct scope *s, const struct property *p)
{
    return file_at(s, p->site.file)->tree;
}

/* The word it states; empty when it states none. */
static struct text stated_word(const struct scope *s, uint32_t definition, enum purpose purpose)
{
    const struct property *p = stated_property(s, definition, purpose);
    return p ? node_text(tree_of(s, p), p->value) : TEXT("");
}

static bool names_tool(const struct scope *s, uint32_t definition, enum purpose purpose, uint32_t tool)
{
    const struct property *p = stated_property(s, definition, purpose);
    const struct tree *t = p ? tree_of(s, p) : NULL;
    struct text name = atom_text(&s->names, definition_at(s, tool)->name);
    if (!p || node_kind(t, p->value) != NODE_LIST)
        return p && text_same(node_text(t, p->value), name);
    NODE_EACH_CHILD (t, p->value, n)
        if (text_same(node_text(t, n), name))
            return true;
    return false;
}

/* Whether any definition names the tool for that. */
static bool named_by_any(const struct scope *s, enum purpose purpose, uint32_t tool, uint32_t but)
{
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (id != but && names_tool(s, id, purpose, tool))
            return true;
    return false;
}

/* In SI, of which only a plain number is read; 0 when there is none. */
static double width_of(const struct scope *s, uint32_t tool)
{
    const struct property *p = stated_property(s, tool, FOR_width_of_tool);
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

/* The role it states or that its name says; empty: neither. */
static struct text own_role(const struct scope *s, uint32_t tool)
{
    struct text name = atom_text(&s->names, definition_at(s, tool)->name), stated = stated_word(s, tool, FOR_role);
    return stated.len ? stated : is_word_allowed(first_property_for(FOR_role), name) ? name : TEXT("");
}

/* Heats the blank while the press works on another piece, so it forms nothing. */
static bool is_beside_press(const struct scope *s, uint32_t tool)
{
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (text_is(stated_word(s, id, FOR_beside_press), "true") && names_tool(s, id, FOR_touching, tool))
            return true;
    return false;
}

static bool is_free(const struct scope *s, uint32_t tool, uint32_t stroke)
{
    return is_tool(s, tool) && !own_role(s, tool).len && !named_by_any(s, FOR_third_tool, tool, 0) &&
           !is_beside_press(s, tool) && !named_by_any(s, FOR_outer_tool, tool, stroke) &&
           !named_by_any(s, FOR_inner_tool, tool, stroke);
}

static bool is_touched(const struct scope *s, uint32_t tool)
{
    return named_by_any(s, FOR_touching, tool, 0);
}

static struct tools among(const struct scope *s, const struct tools *all, bool (*is)(const struct scope *, uint32_t))
{
    struct tools fewer = {.count = 0};
    for (uint32_t i = 0; i < all->count; i++)
        if (is(s, all->id[i]))
            fewer.id[fewer.count++] = all->id[i];
    return fewer;
}

static bool has_width(const struct scope *s, uint32_t tool)
{
    return stated_property(s, tool, FOR_width_of_tool) != NULL;
}

/* The tools that no role was found for and nothing else needs; of more than two, those that touch the blank or have a
 * width, where these are two. */
static struct tools free_tools(const struct scope *s, uint32_t stroke)
{
    struct tools all = {.count = 0};
    for (uint32_t id = s->first_definition; id < definition_end(s) && all.count < MOST_TOOLS; id++)
        if (is_free(s, id, stroke))
            all.id[all.count++] = id;
    struct tools touched = among(s, &all, is_touched), wide = among(s, &all, has_width);
    return all.count <= 2 ? all : touched.count == 2 ? touched : wide.count == 2 ? wide : all;
}

/* How many have that role of their own, and *last of them. */
static uint32_t count_claims(const struct scope *s, enum member place, uint32_t *last)
{
    uint32_t count = 0;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (is_kind_of_tool(s, id) && text_same(own_role(s, id), role_word(place)) &&
            (is_tool(s, id) || stated_word(s, id, FOR_role).len)) {
            *last = id;
            count++;
        }
    return count;
}

static uint32_t stated_tool(const struct scope *s, uint32_t stroke, enum member place)
{
    struct text name = stated_word(s, stroke, naming[place]);
    atom a = name.len ? interned(&s->names, name) : 0;
    uint32_t id = a ? find_any_definition(s, a) : 0;
    return id && is_kind_of_tool(s, id) ? id : 0;
}

/* ---- telling a pair apart ------------------------------------------------------------------------------------------- */

/* Whether a tool sets a size of its place's side: outside sizes the outer tool. */
static bool sets_side(const struct scope *s, uint32_t tool, enum member place)
{
    struct text side = word_allowed(first_property_for(FOR_side), place);
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (text_same(stated_word(s, id, FOR_side), side) && names_tool(s, id, FOR_made_by, tool))
            return true;
    return false;
}

static bool sides_matter(const struct scope *s)
{
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (stated_property(s, id, FOR_side))
            return true;
    return false;
}

/* The inner tool's counts where the sheet states none. */
static bool lubricants_matter(const struct scope *s, const uint32_t *two)
{
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (!is_kind_of_tool(s, id) && stated_property(s, id, FOR_lubricant))
            return false;
    return !text_same(stated_word(s, two[0], FOR_lubricant), stated_word(s, two[1], FOR_lubricant));
}

static struct pair pair_of(const uint32_t *two, bool swapped, enum evidence evidence)
{
    return (struct pair){{two[swapped], two[!swapped]}, evidence};
}

static struct pair told_apart(const struct scope *s, const uint32_t *two)
{
    double width[2] = {width_of(s, two[0]), width_of(s, two[1])};
    if (width[0] > 0 && width[1] > 0 && width[0] != width[1])
        return pair_of(two, width[1] > width[0], TOLD);
    int outer = sets_side(s, two[0], OUTER) - sets_side(s, two[1], OUTER); /* 0 where both do, or neither */
    int inner = sets_side(s, two[1], INNER) - sets_side(s, two[0], INNER);
    if (outer + inner != 0)
        return pair_of(two, outer + inner < 0, TOLD_BY_SIDE);
    if (sides_matter(s) || lubricants_matter(s, two))
        return (struct pair){.evidence = NOTHING_TELLS};
    return pair_of(two, false, TOLD); /* nothing that is worked out depends on it */
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
    uint32_t claims[2], claimed[2] = {0, 0};
    struct pair p = {{stated_tool(s, stroke, OUTER), stated_tool(s, stroke, INNER)}, TOLD};
    for (int i = 0; i < 2; i++) {
        claims[i] = count_claims(s, (enum member)i, &claimed[i]);
        if (!p.tool[i] && claims[i] == 1 && claimed[i] != p.tool[!i])
            p.tool[i] = claimed[i];
    }
    if (p.tool[OUTER] && p.tool[INNER])
        return p;
    struct tools free = free_tools(s, stroke);
    if (!p.tool[OUTER] && !p.tool[INNER])
        return !claims[OUTER] && !claims[INNER] && free.count == 2 ? told_apart(s, free.id) : p;
    int missing = p.tool[OUTER] ? INNER : OUTER;
    if (claims[missing] < 2)
        p.tool[missing] = left_over(&free, p.tool[!missing]);
    return p;
}

uint32_t role_tool(const struct scope *s, uint32_t stroke, struct text role)
{
    return roles_of_stroke(s, stroke).tool[text_same(role, role_word(OUTER)) ? OUTER : INNER];
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

static struct text name_of(const struct scope *s, uint32_t tool)
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
                             TEXT_ARGS(name_of(s, tools->id[i])));
    return words;
}

/* The one an engineer would most likely call so: of those left, what sets sizes of that side; else the first. */
static uint32_t likeliest(const struct scope *s, const struct tools *tools, enum member place, uint32_t but)
{
    uint32_t first = 0;
    for (uint32_t i = 0; i < tools->count; i++) {
        if (tools->id[i] == but)
            continue;
        first = first ? first : tools->id[i];
        if (sets_side(s, tools->id[i], place))
            return tools->id[i];
    }
    return first;
}

static struct diagnostic *begin_no_role(struct scope *s, uint32_t stroke, enum member place, const struct tools *tools)
{
    struct diagnostic *d = report(s->diagnostics, FAULT_no_role, definition_span(s, stroke),
                                  "which tool is the %s of %.*s cannot be told: it could be %.*s", row_of(place)->name,
                                  TEXT_ARGS(definition_words(s, stroke)), TEXT_ARGS(tool_names(s, tools)));
    for (uint32_t i = 0; i < tools->count; i++) {
        struct text stated = stated_word(s, tools->id[i], FOR_role);
        report_label(s->diagnostics, d, definition_span(s, tools->id[i]), "%s%.*s",
                     stated.len                      ? "says it is the "
                     : own_role(s, tools->id[i]).len ? "is called so"
                                                     : "says no role",
                     TEXT_ARGS(stated));
    }
    return d;
}

/* "role = die" */
static struct text role_line(struct scope *s, enum member place)
{
    return arena_format(s->arena, "%s = %s", first_property_for(FOR_role)->name, row_of(place)->name);
}

static void edit_role(struct scope *s, struct diagnostic *d, uint32_t tool, enum member place)
{
    edit_block(s, d, tool, arena_format(s->arena, "%.*s\n    ", TEXT_ARGS(role_line(s, place))));
}

/* Two claim a role. Where one only has its name, that is what it is not. */
static void report_two_claims(struct scope *s, uint32_t stroke, enum member place)
{
    struct tools claim = {.count = 0};
    uint32_t called = 0;
    for (uint32_t id = s->first_definition; id < definition_end(s) && claim.count < MOST_TOOLS; id++)
        if (is_tool(s, id) && text_same(own_role(s, id), role_word(place))) {
            claim.id[claim.count++] = id;
            called = stated_word(s, id, FOR_role).len ? called : id;
        }
    struct diagnostic *d = begin_no_role(s, stroke, place, &claim);
    enum member other = place == OUTER ? INNER : OUTER;
    if (called && claim.count == 2) {
        report_help(s->diagnostics, d, "say what '%.*s' is: '%.*s', or another role", TEXT_ARGS(name_of(s, called)),
                    TEXT_ARGS(role_line(s, other)));
        edit_role(s, d, called, other);
    } else {
        report_help(s->diagnostics, d, "write in the stroke '%s = NAME', or another role in all but one",
                    row_of(place)->name);
    }
}

static void report_one_missing(struct scope *s, uint32_t stroke, const struct pair *p, const struct tools *free)
{
    enum member place = p->tool[OUTER] ? INNER : OUTER;
    const char *role = row_of(place)->name;
    uint32_t meant = likeliest(s, free, place, p->tool[OUTER] ? p->tool[OUTER] : p->tool[INNER]);
    struct diagnostic *d = begin_no_role(s, stroke, place, free);
    report_help(s->diagnostics, d,
                "write '%.*s' in the tool that is the %s, as in '%.*s', or '%s = %.*s' in the stroke",
                TEXT_ARGS(role_line(s, place)), role, TEXT_ARGS(name_of(s, meant)), role, TEXT_ARGS(name_of(s, meant)));
    edit_role(s, d, meant, place);
}

static void report_both_missing(struct scope *s, uint32_t stroke, const struct tools *free)
{
    uint32_t outer = likeliest(s, free, OUTER, 0), inner = likeliest(s, free, INNER, outer);
    struct text lines[2] = {arena_format(s->arena, "%s = %.*s", row_of(OUTER)->name, TEXT_ARGS(name_of(s, outer))),
                            arena_format(s->arena, "%s = %.*s", row_of(INNER)->name, TEXT_ARGS(name_of(s, inner)))};
    struct diagnostic *d = begin_no_role(s, stroke, OUTER, free);
    report_help(s->diagnostics, d,
                "write '%.*s' and '%.*s' in the stroke, or the other way round; or '%.*s' and '%.*s' in the tools",
                TEXT_ARGS(lines[0]), TEXT_ARGS(lines[1]), TEXT_ARGS(role_line(s, OUTER)),
                TEXT_ARGS(role_line(s, INNER)));
    edit_block(s, d, stroke,
               arena_format(s->arena, "%.*s\n        %.*s\n        ", TEXT_ARGS(lines[0]), TEXT_ARGS(lines[1])));
}

static void report_no_tool(struct scope *s, uint32_t stroke, enum member place)
{
    const char *role = row_of(place)->name;
    struct diagnostic *d = report(s->diagnostics, FAULT_no_role, definition_span(s, stroke), "%.*s has no %s",
                                  TEXT_ARGS(definition_words(s, stroke)), role);
    report_help(s->diagnostics, d, "define it, 'tool %s {', or say which tool it is: '%s = NAME' in the stroke", role,
                role);
}

static void report_no_role(struct scope *s, uint32_t stroke, const struct pair *p)
{
    uint32_t last;
    struct tools free = free_tools(s, stroke);
    for (int i = 0; i < 2; i++)
        if (!p->tool[i] && count_claims(s, (enum member)i, &last) > 1) {
            report_two_claims(s, stroke, (enum member)i);
            return;
        }
    if (free.count >= 2 && !p->tool[OUTER] && !p->tool[INNER])
        report_both_missing(s, stroke, &free);
    else if (free.count >= 2)
        report_one_missing(s, stroke, p, &free);
    else
        report_no_tool(s, stroke, p->tool[OUTER] ? INNER : OUTER);
}

static void note_side(struct scope *s, uint32_t stroke, const struct pair *p)
{
    struct text outer = name_of(s, p->tool[OUTER]);
    struct diagnostic *d =
        report(s->diagnostics, FAULT_assumed_role, definition_span(s, stroke),
               "'%.*s' is taken as the %s and '%.*s' as the %s, from the sides of the sizes they set", TEXT_ARGS(outer),
               row_of(OUTER)->name, TEXT_ARGS(name_of(s, p->tool[INNER])), row_of(INNER)->name);
    report_help(s->diagnostics, d, "write '%.*s' in '%.*s', or, if that is the %s, '%.*s'",
                TEXT_ARGS(role_line(s, OUTER)), TEXT_ARGS(outer), row_of(INNER)->name, TEXT_ARGS(role_line(s, INNER)));
}

/* A stroke that states both needs no telling, whatever it states. */
static bool needs_roles(const struct scope *s, uint32_t id)
{
    return definition_at(s, id)->kind == row_of(OUTER)->kind && !definition_at(s, id)->faulty &&
           !(stated_property(s, id, FOR_outer_tool) && stated_property(s, id, FOR_inner_tool));
}

void role_check(struct scope *s)
{
    uint32_t tools = 0;
    bool faulty = false;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++) {
        tools += is_tool(s, id);
        faulty |= is_kind_of_tool(s, id) && definition_at(s, id)->faulty;
    }
    for (uint32_t id = s->first_definition; id < definition_end(s) && tools > 1 && !faulty; id++) {
        if (!needs_roles(s, id))
            continue;
        struct pair p = roles_of_stroke(s, id);
        if (!p.tool[OUTER] || !p.tool[INNER]) {
            report_no_role(s, id, &p);
            return;
        }
        if (p.evidence == TOLD_BY_SIDE)
            note_side(s, id, &p);
    }
}
