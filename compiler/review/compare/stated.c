/* Compares what is stated: definitions and their properties, the order of steps, formulas, limits, cautions. */
#include "compiler/review/compare/parts.h"
#include "runtime/compare.h"

#include <math.h>

/* ---- properties ----------------------------------------------------------------------------------------------------- */

struct pair { /* one property of a definition that both sides have, or one of them */
    const struct property_entry *entry;
    uint32_t definition[2];
    const struct property *stated[2]; /* NULL: not stated */
    const struct side *side[2];
};

static struct site value_site(const struct property *p)
{
    return (struct site){p->site.file, p->value};
}

static const struct quantity *quantity_in(const struct pair *p, int i)
{
    const struct lowering *l = p->side[i]->recipe->lowering;
    atom name = interned(&p->side[i]->scope->names, text_of(p->entry->name));
    uint32_t q = name ? lowering_property(l, p->definition[i], name) : 0;
    return q ? &l->quantities.at[q] : NULL;
}

/* Returns the input of a value stated, or taken as standard, in plain numbers; NULL for any other value. */
static const struct input *input_of(const struct side *side, const struct quantity *q)
{
    const struct program *program = &side->recipe->lowering->program;
    if (!q || q->value.tag != LOW_NODE || program->nodes.at[q->value.id].op != OP_INPUT)
        return NULL;
    return &program->inputs.at[program->nodes.at[q->value.id].a];
}

/* Whether two statements give one value: 0.5 mm +/- 10 % and 0.5 mm +/- 0.05 mm; 90 deg and a standard of 90 deg. */
static bool same_value_of(struct matcher *m, const struct pair *p)
{
    if (!m->evaluated)
        return false;
    const struct quantity *a = quantity_in(p, 0), *b = quantity_in(p, 1);
    const struct input *x = input_of(p->side[0], a), *y = input_of(p->side[1], b);
    if (x && y)
        return same_value(x->nominal, y->nominal) && same_value(x->low, y->low) && same_value(x->high, y->high) &&
               a->banded == b->banded;
    if (!a || !b || a->value.tag != b->value.tag)
        return false;
    switch (a->value.tag) {
    case LOW_WORD:
        return text_same(a->value.text, b->value.text);
    case LOW_TRUTH:
        return a->value.truth == b->value.truth;
    case LOW_DEFINITION:
        return compare_match_id(m, ITEM_DEFINITION, a->value.id) == b->value.id;
    default:
        return false;
    }
}

static bool same_signature(struct matcher *m, const struct pair *p)
{
    uint32_t nodes[2];
    for (int i = 0; i < 2; i++)
        nodes[i] = node_find(file_at(p->side[i]->scope, p->stated[i]->site.file)->tree, p->stated[i]->site.node,
                             NODE_SIGNATURE);
    if (!nodes[0] || !nodes[1])
        return true; /* a table and an expression of a parameter differ in their values */
    return compare_same_part(m, (struct site){p->stated[0]->site.file, nodes[0]},
                             (struct site){p->stated[1]->site.file, nodes[1]});
}

static bool same_property(struct matcher *m, const struct pair *p)
{
    if (!p->stated[0] && !p->stated[1])
        return true;
    if (p->stated[0] && p->stated[1] && same_signature(m, p) &&
        compare_same_part(m, value_site(p->stated[0]), value_site(p->stated[1])))
        return true;
    return same_value_of(m, p);
}

/* Whether both sides inherit the property from one base, whose own row reports it. */
static bool told_at_base(struct matcher *m, const struct pair *p)
{
    if (!p->stated[0] || !p->stated[1])
        return false;
    uint32_t a = p->stated[0]->definition, b = p->stated[1]->definition;
    return a != p->definition[0] && b != p->definition[1] && compare_match_id(m, ITEM_DEFINITION, a) == b;
}

static bool is_table(const struct side *side, const struct property *p)
{
    return p && node_kind(file_at(side->scope, p->site.file)->tree, p->value) == NODE_TABLE;
}

static struct text side_words(struct matcher *m, const struct pair *p, int i)
{
    if (p->stated[i])
        return compare_words_of(m, p->side[i], value_site(p->stated[i]));
    if (p->entry->need != NEED_STANDARD)
        return TEXT("");
    if (strcmp(p->entry->standard, "only") == 0)
        return arena_format(m->arena, "the only %s", p->entry->type);
    if (strncmp(p->entry->standard, "role ", 5) == 0)
        return arena_format(m->arena, "the %s whose role is %s", p->entry->type, p->entry->standard + 5);
    return arena_format(m->arena, "%s (standard)", p->entry->standard);
}

static double si_of(const struct pair *p, int i)
{
    const struct quantity *q = quantity_in(p, i);
    const struct strokewright_recipe *r = p->side[i]->recipe;
    bool number = q && q->value.tag == LOW_NODE && q->shown_as_quantity;
    return number ? r->values.value[q->value.id] : NAN;
}

static double width_of(const struct pair *p, int i)
{
    const struct input *x = input_of(p->side[i], quantity_in(p, i));
    return x ? x->high - x->low : NAN;
}

/* Fills in how far the value moved, or how its band changed when the value did not. */
static void fill_change(struct matcher *m, const struct pair *p, struct compare_row *r)
{
    const struct quantity *q = m->evaluated ? quantity_in(p, 1) : NULL;
    if (!q || !q->shown_as_quantity)
        return;
    double before = si_of(p, 0), after = si_of(p, 1);
    compare_fill_numbers(m, r, before, after, q);
    double was = width_of(p, 0), is = width_of(p, 1);
    r->change = compare_change(m->arena, r);
    if (!r->change.len && !isnan(was) && !isnan(is) && !same_value(was, is))
        r->change = is == 0    ? TEXT("no band")
                    : was == 0 ? TEXT("has a band")
                    : is > was ? TEXT("wider band")
                               : TEXT("narrower band");
    else if (!r->change.len && same_value(before, after))
        r->change = TEXT("same value");
}

/* Whether a property describes the document and not how the part is made. */
static bool is_aside(const struct property_entry *p)
{
    static const enum purpose purposes[] = {FOR_revision, FOR_date, FOR_status, FOR_author};
    for (size_t i = 0; i < sizeof purposes / sizeof purposes[0]; i++)
        if (serves(p, purposes[i]))
            return true;
    return kind_table[p->kind].flags & KIND_HISTORY;
}

static void tell_property(struct matcher *m, const struct pair *p, struct text subject)
{
    bool is_new = p->stated[1], was = p->stated[0];
    struct compare_row *r = compare_add_row(m, COMPARE_STATED,
                                            is_new && was ? COMPARE_CHANGED
                                            : is_new      ? COMPARE_ADDED
                                                          : COMPARE_REMOVED);
    r->subject = subject;
    r->what = text_of(p->entry->name);
    r->label = text_of(p->entry->label);
    if (is_table(p->side[0], p->stated[0]) && is_table(p->side[1], p->stated[1]))
        compare_table_words(m, value_site(p->stated[0]), value_site(p->stated[1]), &r->before, &r->after);
    else {
        r->before = side_words(m, p, 0);
        r->after = side_words(m, p, 1);
    }
    r->aside = is_aside(p->entry);
    fill_change(m, p, r);
    compare_place_row(m, r, p->side[is_new], p->stated[is_new]->site);
}

/* ---- notes: because, source, remedy, label -------------------------------------------------------------------------- */

static const struct note_row {
    enum token_kind token;
    const char *name;
} note_table[] = {{TOKEN_BECAUSE, "because"},
                  {TOKEN_BY, "by"},
                  {TOKEN_REMEDY, "remedy"},
                  {TOKEN_SOURCE, "source"},
                  {TOKEN_LABEL, "label"}};

static struct text note_words(struct matcher *m, const struct side *side, struct site site, enum token_kind token)
{
    const struct tree *t = site.file ? file_at(side->scope, site.file)->tree : NULL;
    uint32_t note = t ? node_note(t, site.node, token) : 0;
    return note ? compare_words_of(m, side, (struct site){site.file, node_child(t, note)}) : TEXT("");
}

static void compare_notes(struct matcher *m, struct site old, struct site new, struct text subject, const char *of)
{
    for (size_t i = 0; i < sizeof note_table / sizeof note_table[0]; i++) {
        struct text a = note_words(m, &m->old, old, note_table[i].token);
        struct text b = note_words(m, &m->new, new, note_table[i].token);
        if (text_same(a, b))
            continue;
        struct compare_row *r = compare_add_row(m, COMPARE_STATED,
                                                !a.len   ? COMPARE_ADDED
                                                : !b.len ? COMPARE_REMOVED
                                                         : COMPARE_CHANGED);
        r->subject = subject;
        r->what = of ? arena_format(m->arena, "%s, %s", of, note_table[i].name) : text_of(note_table[i].name);
        r->before = a;
        r->after = b;
        r->aside = true;
        compare_place_row(m, r, b.len ? &m->new : &m->old, b.len ? new : old);
    }
}

/* ---- definitions ---------------------------------------------------------------------------------------------------- */

static bool has_property(uint32_t kind, uint32_t row)
{
    return property_table[row].kind == (enum kind)kind || property_table[row].kind == kind_table[kind].family;
}

static const struct property *stated_in(const struct side *side, uint32_t definition, uint32_t row)
{
    atom name = side->property_atoms[row];
    uint32_t id = name ? find_property(side->scope, definition, name) : 0;
    return id ? property_at(side->scope, id) : NULL;
}

static void compare_definition(struct matcher *m, const struct item *old, const struct item *new)
{
    struct text subject = compare_item_words(m, &m->new, new);
    for (uint32_t i = 0; i < property_count; i++) {
        if (!has_property(new->kind, i))
            continue;
        struct pair p = {&property_table[i],
                         {old->id, new->id},
                         {stated_in(&m->old, old->id, i), stated_in(&m->new, new->id, i)},
                         {&m->old, &m->new}};
        if (told_at_base(m, &p))
            continue;
        if (!same_property(m, &p))
            tell_property(m, &p, subject);
        if (p.stated[0] && p.stated[1])
            compare_notes(m, p.stated[0]->site, p.stated[1]->site, subject, property_table[i].name);
    }
}

/* ---- everything else: by its parts ------------------------------------------------------------------------------------ */

static const struct tree *tree_of(const struct side *side, const struct item *item)
{
    return file_at(side->scope, item->site.file)->tree;
}

static void compare_part(struct matcher *m, const struct item *old, const struct item *new, uint32_t a, uint32_t b,
                         struct text what)
{
    struct site x = {old->site.file, a}, y = {new->site.file, b};
    if ((!a && !b) || (a && b && compare_same_part(m, x, y)))
        return;
    struct compare_row *r = compare_add_row(m, COMPARE_STATED,
                                            !a   ? COMPARE_ADDED
                                            : !b ? COMPARE_REMOVED
                                                 : COMPARE_CHANGED);
    r->subject = compare_item_words(m, &m->new, new);
    r->what = what;
    r->before = a ? compare_words_of(m, &m->old, x) : TEXT("");
    r->after = b ? compare_words_of(m, &m->new, y) : TEXT("");
    compare_place_row(m, r, b ? &m->new : &m->old, b ? y : x);
}

/* Compares the lines of a limit or a caution by name, in any order. */
static void compare_lines(struct matcher *m, const struct item *old, const struct item *new)
{
    const struct tree *s = tree_of(&m->old, old), *t = tree_of(&m->new, new);
    NODE_EACH_CHILD (t, new->site.node, n) {
        if (node_kind(t, n) != NODE_PROPERTY)
            continue;
        struct text name = node_text(t, node_child(t, n));
        compare_part(m, old, new, rule_line(s, old->site.node, arena_text(m->arena, name).at), node_value(t, n), name);
    }
    NODE_EACH_CHILD (s, old->site.node, n) {
        struct text name = node_kind(s, n) == NODE_PROPERTY ? node_text(s, node_child(s, n)) : TEXT("");
        if (name.len && !rule_line(t, new->site.node, arena_text(m->arena, name).at))
            compare_part(m, old, new, node_value(s, n), 0, name);
    }
}

static void compare_rule(struct matcher *m, const struct item *old, const struct item *new)
{
    const struct tree *s = tree_of(&m->old, old), *t = tree_of(&m->new, new);
    if (new->kind == NODE_REQUIRE)
        compare_part(m, old, new, node_child(s, old->site.node), node_child(t, new->site.node), TEXT(""));
    else {
        compare_part(m, old, new, node_find(s, old->site.node, NODE_EACH), node_find(t, new->site.node, NODE_EACH),
                     TEXT("for"));
        compare_lines(m, old, new);
    }
}

static void compare_expression(struct matcher *m, const struct item *old, const struct item *new)
{
    const struct tree *s = tree_of(&m->old, old), *t = tree_of(&m->new, new);
    static const enum node_kind heads[] = {NODE_SIGNATURE, NODE_UNIT_TYPE};
    for (int i = 0; i < 2; i++)
        compare_part(m, old, new, node_find(s, old->site.node, heads[i]), node_find(t, new->site.node, heads[i]),
                     i == 0 ? TEXT("parameters") : TEXT("unit"));
    compare_part(m, old, new, node_value(s, old->site.node), node_value(t, new->site.node), TEXT(""));
}

bool compare_is_plain_let(const struct side *side, uint32_t let)
{
    const struct let *l = let_at(side->scope, let);
    const struct tree *t = file_at(side->scope, l->site.file)->tree;
    double value;
    struct unit unit;
    bool has_unit;
    return literal_of(t, node_value(t, l->site.node), &value, &unit, &has_unit);
}

/* Fills in how far a let that is a plain number moved; it gets no row among the derived values. */
static void fill_let(struct matcher *m, const struct item *old, const struct item *new, uint32_t rows)
{
    if (m->out->rows.count == rows || !m->evaluated || !compare_is_plain_let(&m->old, old->id) ||
        !compare_is_plain_let(&m->new, new->id))
        return;
    const struct lowering *s = m->old.recipe->lowering, *t = m->new.recipe->lowering;
    uint32_t a = lowering_let(s, old->id), b = lowering_let(t, new->id);
    compare_fill_numbers(m, &m->out->rows.at[m->out->rows.count - 1], quantity_si(&m->old.recipe->steps, a),
                         quantity_si(&m->new.recipe->steps, b), &t->quantities.at[b]);
}

static void compare_waiver(struct matcher *m, const struct item *old, const struct item *new)
{
    const struct tree *s = tree_of(&m->old, old), *t = tree_of(&m->new, new);
    compare_part(m, old, new, node_find(s, old->site.node, NODE_DATE), node_find(t, new->site.node, NODE_DATE),
                 TEXT("until"));
}

/* ---- items ------------------------------------------------------------------------------------------------------------ */

/* Returns what stands between the braces of an item, or behind its name. */
static struct text whole_words(struct matcher *m, const struct side *side, const struct item *item)
{
    const struct tree *t = tree_of(side, item);
    struct buffer b;
    buffer_init(&b, m->arena);
    bool lines = item->sort == ITEM_DEFINITION || (item->sort == ITEM_RULE && item->kind != NODE_REQUIRE);
    if (!lines) {
        uint32_t value = item->sort == ITEM_RULE    ? node_child(t, item->site.node)
                         : item->sort == ITEM_WAIVE ? node_find(t, item->site.node, NODE_DATE)
                                                    : node_value(t, item->site.node);
        return value ? compare_words_of(m, side, (struct site){item->site.file, value}) : TEXT("");
    }
    NODE_EACH_CHILD (t, item->site.node, n) {
        bool told = node_kind(t, n) == NODE_PROPERTY || node_kind(t, n) == NODE_NOTE || node_kind(t, n) == NODE_LIKE ||
                    node_kind(t, n) == NODE_EACH;
        if (!told)
            continue;
        buffer_put(&b, b.count ? TEXT("; ") : TEXT(""));
        buffer_put(&b, compare_words_of(m, side, (struct site){item->site.file, n}));
    }
    return buffer_text(&b);
}

static void tell_whole(struct matcher *m, const struct side *side, const struct item *item, bool added)
{
    struct compare_row *r = compare_add_row(m, COMPARE_STATED, added ? COMPARE_ADDED : COMPARE_REMOVED);
    r->subject = compare_item_words(m, side, item);
    *(added ? &r->after : &r->before) = whole_words(m, side, item);
    r->aside = item->sort == ITEM_DEFINITION && kind_table[item->kind].flags & KIND_HISTORY;
    compare_place_row(m, r, side, item->site);
}

static void tell_name(struct matcher *m, const struct item *old, const struct item *new)
{
    struct text a = compare_item_words(m, &m->old, old), b = compare_item_words(m, &m->new, new);
    bool unnamed = (new->sort == ITEM_RULE &&new->kind == NODE_REQUIRE) ||
                   (new->sort == ITEM_DEFINITION &&kind_table[new->kind].flags &KIND_HISTORY);
    if (text_same(a, b) || unnamed)
        return;
    struct compare_row *r = compare_add_row(m, COMPARE_STATED, COMPARE_RENAMED);
    r->subject = b;
    r->before = a;
    r->after = b;
    r->aside = true;
    compare_place_row(m, r, &m->new, new->site);
}

static void compare_item(struct matcher *m, const struct item *old, const struct item *new)
{
    tell_name(m, old, new);
    uint32_t rows = m->out->rows.count;
    switch (new->sort) {
    case ITEM_DEFINITION:
        compare_definition(m, old, new);
        return;
    case ITEM_RULE:
        compare_rule(m, old, new);
        break;
    case ITEM_WAIVE:
        compare_waiver(m, old, new);
        break;
    case ITEM_LET:
        compare_expression(m, old, new);
        fill_let(m, old, new, rows);
        break;
    default:
        compare_expression(m, old, new);
    }
    compare_notes(m, old->site, new->site, compare_item_words(m, &m->new, new), NULL);
}

/* ---- the order of steps ------------------------------------------------------------------------------------------------- */

static struct text behind(struct matcher *m, const struct side *side, uint32_t position)
{
    if (position <= 1)
        return TEXT("first");
    uint32_t before = side->scope->steps.at[position - 2];
    return arena_format(m->arena, "after %.*s", TEXT_ARGS(compare_definition_name(side->scope, before)));
}

/* Finds the longest sequence of steps in unchanged order, by the smallest last place of each length. */
static void find_kept(struct matcher *m, const uint32_t *place, uint32_t count, bool *kept)
{
    uint32_t *ends = ARENA_ARRAY(m->arena, count + 1, uint32_t), *before = ARENA_ARRAY(m->arena, count, uint32_t);
    uint32_t longest = 0;
    for (uint32_t i = 0; i < count; i++) {
        uint32_t low = 0, high = longest;
        while (low < high) {
            uint32_t middle = (low + high) / 2;
            if (place[ends[middle]] < place[i])
                low = middle + 1;
            else
                high = middle;
        }
        before[i] = low ? ends[low - 1] : count;
        ends[low] = i;
        longest = low == longest ? longest + 1 : longest;
    }
    for (uint32_t i = longest ? ends[longest - 1] : count; i < count; i = before[i])
        kept[i] = true;
}

static void compare_order(struct matcher *m)
{
    const struct scope *s = m->new.scope;
    uint32_t room = s->steps.count, count = 0;
    uint32_t *place = ARENA_ARRAY(m->arena, room, uint32_t), *ids = ARENA_ARRAY(m->arena, room, uint32_t);
    bool *kept = ARENA_ARRAY(m->arena, room, bool);
    for (uint32_t i = 0; i < room; i++) {
        uint32_t item = compare_item_of(&m->new, ITEM_DEFINITION, s->steps.at[i]);
        uint32_t old = item ? m->new.items.at[item].match : 0;
        if (!old)
            continue;
        ids[count] = s->steps.at[i];
        place[count++] = definition_at(m->old.scope, m->old.items.at[old].id)->step;
    }
    find_kept(m, place, count, kept);
    for (uint32_t i = 0; i < count; i++) {
        if (kept[i])
            continue;
        const struct item *item = &m->new.items.at[compare_item_of(&m->new, ITEM_DEFINITION, ids[i])];
        struct compare_row *r = compare_add_row(m, COMPARE_STATED, COMPARE_MOVED);
        r->subject = compare_item_words(m, &m->new, item);
        r->before = behind(m, &m->old, place[i]);
        r->after = behind(m, &m->new, definition_at(s, ids[i])->step);
        compare_place_row(m, r, &m->new, item->site);
    }
}

void compare_stated(struct matcher *m)
{
    for (uint32_t i = 1; i < m->new.items.count; i++) {
        const struct item *new = &m->new.items.at[i];
        if (new->match)
            compare_item(m, &m->old.items.at[new->match], new);
        else
            tell_whole(m, &m->new, new, true);
    }
    for (uint32_t i = 1; i < m->old.items.count; i++)
        if (!m->old.items.at[i].match)
            tell_whole(m, &m->old, &m->old.items.at[i], false);
    compare_order(m);
}
