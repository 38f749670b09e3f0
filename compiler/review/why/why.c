#include "compiler/review/why/parts.h"

#include <math.h>

const char *const why_sort_names[] = {
    [WHY_STATED] = "stated",   [WHY_STANDARD] = "standard", [WHY_ABSENT] = "absent",   [WHY_DERIVED] = "derived",
    [WHY_FORMULA] = "formula", [WHY_FUNCTION] = "function", [WHY_BUILTIN] = "built-in"};

struct ordering { /* of the points that are shown */
    struct why_collector *c;
    uint32_t depth;
    uint32_t *same;  /* by point: the first point of the same call, or itself */
    uint32_t *level; /* by point: 1 + levels below what was asked; 0: not shown */
    uint32_t *home;  /* by point: the point below which it is shown; 0: asked for */
    uint32_t *entry; /* by point */
    uint32_t room;   /* of these arrays */
    ARRAY(uint32_t) queue;
};

/* ---- collecting -------------------------------------------------------------------------------------------------------- */

/* Walks points down to the depth, and past it where a value is missing. */
static void collect(struct why_collector *c, uint32_t depth)
{
    for (uint32_t i = 1; i < c->points.count; i++)
        if (c->points.at[i].depth <= depth || why_valueless(c, c->points.at[i].result.low))
            why_walk_point(c, i);
}

/* ---- one call, one point ----------------------------------------------------------------------------------------------- */

static uint64_t call_hash(const struct why_collector *c, const struct why_point *p)
{
    uint64_t hash = 0xcbf29ce484222325u ^ map_key(p->sort, p->callee) ^ (uint64_t)p->of << 40;
    for (uint32_t i = 0; i < p->argument_count; i++) {
        double si = why_si(c, p->arguments[i].low);
        uint64_t bits;
        memcpy(&bits, &si, sizeof bits);
        hash = (hash ^ bits) * 0x9E3779B97F4A7C15u, hash ^= hash >> 29;
    }
    return hash;
}

static bool same_call(const struct why_collector *c, const struct why_point *a, const struct why_point *b)
{
    if (a->sort != b->sort || a->callee != b->callee || a->of != b->of || a->argument_count != b->argument_count)
        return false;
    for (uint32_t i = 0; i < a->argument_count; i++)
        if (why_si(c, a->arguments[i].low) != why_si(c, b->arguments[i].low)) /* NaN: not the same */
            return false;
    return true;
}

/* Makes calls of one formula with the same values one derivation. */
static void find_same(struct ordering *o)
{
    struct why_collector *c = o->c;
    struct map first;
    map_init(&first, c->arena);
    for (uint32_t i = 1; i < c->points.count; i++) {
        const struct why_point *p = &c->points.at[i];
        o->same[i] = i;
        if (p->sort < WHY_FORMULA)
            continue;
        uint64_t hash = call_hash(c, p);
        uint32_t known = map_get(&first, hash);
        if (known && same_call(c, &c->points.at[known], p))
            o->same[i] = known;
        else if (!known)
            map_set(&first, hash, i);
    }
}

/* ---- what is shown where ------------------------------------------------------------------------------------------------ */

/* Whether a read is shown; past the depth only those that explain a missing value are. */
static bool counts(const struct ordering *o, const struct why_point *p, const struct why_read *r, uint32_t levels)
{
    const struct why_collector *c = o->c;
    if (!r->point || r->closed)
        return false;
    if (levels < o->depth || p->alias)
        return true;
    return why_valueless(c, p->result.low) && !r->asked && why_valueless(c, c->points.at[r->point].result.low);
}

static void reach(struct ordering *o, uint32_t point, uint32_t home, uint32_t level)
{
    if (o->level[point])
        return;
    o->level[point] = level;
    o->home[point] = home;
    *ARRAY_PUSH(o->c->arena, &o->queue) = point;
}

/* Places points level by level, so that each stands as near to the asked value as possible. */
static void place(struct ordering *o, const uint32_t *roots, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++)
        reach(o, roots[i], 0, 1);
    for (uint32_t i = 0; i < o->queue.count; i++) {
        uint32_t point = o->queue.at[i];
        const struct why_point *p = &o->c->points.at[point];
        for (uint32_t k = 0; k < p->reads.count; k++)
            if (counts(o, p, &p->reads.at[k], o->level[point] - 1))
                reach(o, o->same[p->reads.at[k].point], point, o->level[point] + !p->alias);
    }
}

static struct ordering order(struct why_collector *c, const uint32_t *roots, uint32_t count, uint32_t depth)
{
    struct ordering o = {.c = c, .depth = depth, .room = c->points.count};
    o.same = ARENA_ARRAY(c->arena, o.room, uint32_t);
    o.level = ARENA_ARRAY(c->arena, o.room, uint32_t);
    o.home = ARENA_ARRAY(c->arena, o.room, uint32_t);
    o.entry = ARENA_ARRAY(c->arena, o.room, uint32_t);
    find_same(&o);
    place(&o, roots, count);
    return o;
}

/* ---- entries ------------------------------------------------------------------------------------------------------------ */

static void set_place(struct why_collector *c, struct why_entry *e, struct span span)
{
    struct sources *s = c->lowering->scope->sources;
    if (!span.file)
        return;
    e->file = source_at(s, span.file)->path;
    e->line = place_of(s, span.file, span.lo).line;
}

static void fill_named(struct why_collector *c, const struct why_point *p, struct why_entry *e)
{
    struct strokewright_recipe *r = c->recipe;
    const struct lowering *l = c->lowering;
    const struct quantity *q = &l->quantities.at[p->quantity];
    e->name = q->path;
    e->label = q->entry ? text_of(q->entry->label) : note_text(l, q->site, TOKEN_LABEL);
    e->source = note_text(l, q->site, TOKEN_SOURCE);
    e->shown = shown_value(&r->steps, p->quantity);
    set_place(c, e, site_span(l->scope, q->site));
    if (q->value.tag == LOW_TEXT)
        e->shown = shown_words(&r->steps, filled_text(&r->steps, (struct site){q->site.file, p->value.node}, 0));
    if (p->sort == WHY_ABSENT && q->entry) {
        e->owner = q->entry->need == NEED_STANDARD ? TEXT("") : definition_words(l->scope, q->definition);
        set_place(c, e, definition_span(l->scope, q->definition));
    }
}

/* "h13.expansion(200 degC)", "growth(2.7e-5 /K, 200 degC)" */
static struct text call_name(struct why_collector *c, const struct why_point *p)
{
    struct scope *s = c->lowering->scope;
    struct text name;
    if (p->sort == WHY_FORMULA) {
        name = atom_text(&s->names, formula_at(s, p->callee)->name);
    } else if (p->sort == WHY_BUILTIN) {
        name = text_of(function_table[p->callee].name);
    } else {
        const struct definition *d = definition_at(s, p->of);
        struct text owner = d->name ? atom_text(&s->names, d->name) : text_of(kind_table[d->kind].name);
        name = arena_format(c->arena, "%.*s.%s", TEXT_ARGS(owner), property_at(s, p->callee)->entry->name);
    }
    for (uint32_t i = 0; i < p->argument_count; i++) {
        const struct unit *unit = &p->arguments[i].unit;
        struct text words = typeset_quantity(c->arena, why_si(c, p->arguments[i].low), unit, SPELL_ASCII);
        name = arena_format(c->arena, "%.*s%s%.*s", TEXT_ARGS(name), i ? ", " : "(", TEXT_ARGS(words));
    }
    return p->argument_count ? arena_format(c->arena, "%.*s)", TEXT_ARGS(name)) : name;
}

static struct shown shown_number(struct why_collector *c, double si, const struct unit *unit)
{
    struct unit known = unit->factor ? *unit : (struct unit){.factor = 1};
    struct shown s = {.value = unit_from_si(&known, si), .low = NAN, .high = NAN};
    s.unit = typeset_unit(c->arena, &known, SPELL_ASCII);
    s.text = typeset_quantity(c->arena, si, &known, SPELL_ASCII);
    s.print = typeset_quantity(c->arena, si, &known, SPELL_PRINT);
    return s;
}

static void fill_call(struct why_collector *c, const struct why_point *p, struct why_entry *e)
{
    const struct lowering *l = c->lowering;
    e->name = call_name(c, p);
    e->shown = shown_number(c, why_si(c, p->result.low), &p->result.unit);
    if (p->sort == WHY_BUILTIN) {
        e->label = text_of(function_table[p->callee].doc);
        e->source = text_of(function_table[p->callee].source);
        return;
    }
    struct site site =
        p->sort == WHY_FORMULA ? formula_at(l->scope, p->callee)->site : property_at(l->scope, p->callee)->site;
    e->label = p->sort == WHY_FUNCTION ? text_of(property_at(l->scope, p->callee)->entry->label) : TEXT("");
    e->source = note_text(l, site, TOKEN_SOURCE);
    set_place(c, e, site_span(l->scope, site));
}

/* Finds the row at a value, or the two rows around it; false when it is outside the table. */
static bool rows_around(const double *x, uint32_t count, double at, uint32_t found[2], uint32_t *rows)
{
    if (!count || !(at >= x[0] && at <= x[count - 1]))
        return false;
    uint32_t i = 0;
    while (i + 1 < count && x[i + 1] <= at)
        i++;
    found[0] = i;
    found[1] = i + 1;
    *rows = x[i] == at || i + 1 == count ? 1 : 2;
    return true;
}

static void fill_rows(struct why_collector *c, const struct why_point *p, struct why_entry *e)
{
    uint32_t curve = p->sort == WHY_FUNCTION ? map_get(&c->lowering->curves, p->callee) : 0, x[2], y[2] = {0};
    struct why_rows *r = &e->rows;
    if (!curve || !p->argument_count)
        return;
    const struct curve *k = &c->lowering->program.curves.at[curve - 1];
    bool grid = k->y_count && p->argument_count > 1;
    if (!rows_around(k->x, k->x_count, why_si(c, p->arguments[0].low), x, &r->rows))
        return;
    if (grid && !rows_around(k->y, k->y_count, why_si(c, p->arguments[1].low), y, &r->columns)) {
        r->rows = 0;
        return;
    }
    for (uint32_t i = 0; i < r->rows; i++) {
        r->at[i] = shown_number(c, k->x[x[i]], &p->arguments[0].unit);
        for (uint32_t j = 0; j < (grid ? r->columns : 1); j++)
            r->value[i][j] = shown_number(c, k->z[grid ? x[i] * k->y_count + y[j] : x[i]], &p->result.unit);
    }
    for (uint32_t j = 0; j < r->columns; j++)
        r->across[j] = shown_number(c, k->y[y[j]], &p->arguments[1].unit);
}

static void fill_why_not(struct why_collector *c, const struct why_point *p, struct why_entry *e)
{
    const struct reason *why = why_no_value(c->lowering, &c->recipe->values, p->result.low);
    e->why_not = reason_words(c->arena, c->lowering->scope, why, SPELL_ASCII);
    for (uint32_t i = 0; why && i < p->argument_count; i++)
        e->inherited |= why_valueless(c, p->arguments[i].low);
}

static struct why_entry entry_of(struct why_collector *c, const struct why_point *p)
{
    struct why_entry e = {.sort = p->sort};
    if (p->quantity)
        fill_named(c, p, &e);
    else
        fill_call(c, p, &e);
    fill_why_not(c, p, &e);
    fill_rows(c, p, &e);
    why_fill_expression(c, p, &e);
    return e;
}

/* ---- inputs ------------------------------------------------------------------------------------------------------------- */

static struct why_input *input_of(struct why_entry *e, uint32_t entry)
{
    for (uint32_t i = 0; i < e->inputs.count; i++)
        if (e->inputs.at[i].entry == entry)
            return &e->inputs.at[i];
    return NULL;
}

static void add_input(struct why *w, uint32_t from, struct why_input input)
{
    struct why_input *known = input_of(&w->entries.at[from], input.entry);
    if (known) {
        known->asked &= input.asked;
        return;
    }
    *ARRAY_PUSH(w->arena, &w->entries.at[from].inputs) = input;
}

static void emit_entry(struct why *w, struct ordering *o, uint32_t point)
{
    *ARRAY_PUSH(w->arena, &w->entries) = entry_of(o->c, &o->c->points.at[point]);
    o->entry[point] = w->entries.count - 1;
}

/* Emits an entry, then the entries whose home it is. */
static void emit_tree(struct why *w, struct ordering *o, uint32_t point)
{
    const struct why_point *p = &o->c->points.at[point];
    emit_entry(w, o, point);
    for (uint32_t k = 0; k < p->reads.count; k++) {
        uint32_t to = o->same[p->reads.at[k].point];
        if (counts(o, p, &p->reads.at[k], o->level[point] - 1) && o->home[to] == point && !o->entry[to])
            emit_tree(w, o, to);
    }
}

static void connect(struct why *w, const struct ordering *o, uint32_t point)
{
    const struct why_point *p = &o->c->points.at[point];
    uint32_t from = o->entry[point];
    for (uint32_t k = 0; k < p->reads.count; k++) {
        const struct why_read *r = &p->reads.at[k];
        uint32_t to = r->point ? o->same[r->point] : 0;
        if (counts(o, p, r, o->level[point] - 1))
            add_input(w, from, (struct why_input){o->entry[to], o->home[to] == point, r->asked});
        else if (to && !r->closed)
            w->entries.at[from].more = true;
    }
}

/* ---- what follows at once from what is shown ------------------------------------------------------------------------------ */

/* Whether a value is made only of values that are shown already. */
static bool follows(struct why_collector *c, const struct ordering *o, uint32_t quantity, struct why_point *p)
{
    uint32_t points = c->points.count, point = why_point_of(c, quantity, 0);
    bool good = point == points; /* else it is part of the graph already */
    if (!good)
        return false;
    c->probing = true;
    c->strange = false;
    why_walk_point(c, point);
    c->probing = false;
    *p = c->points.at[point];
    good = !c->strange && p->reads.count > 1 && !p->choices.count && p->result.low.tag == LOW_NODE;
    for (uint32_t i = 0; i < p->reads.count; i++)
        good = good && p->reads.at[i].point && p->reads.at[i].point < o->room && o->level[p->reads.at[i].point];
    return good;
}

static void add_also(struct why *w, struct ordering *o, uint32_t root, const struct why_point *p)
{
    if (why_valueless(o->c, p->result.low))
        return;
    *ARRAY_PUSH(w->arena, &w->entries) = entry_of(o->c, p);
    uint32_t entry = w->entries.count - 1;
    for (uint32_t i = 0; i < p->reads.count; i++)
        add_input(w, entry, (struct why_input){o->entry[p->reads.at[i].point], false, false});
    *ARRAY_PUSH(w->arena, &w->roots.at[root].also) = entry;
}

static void find_also(struct why *w, struct ordering *o, uint32_t root, uint32_t quantity)
{
    const struct lowering *l = o->c->lowering;
    const struct quantity q = l->quantities.at[quantity];
    if (q.sort != QUANTITY_DERIVED)
        return;
    enum kind kind = definition_at(l->scope, q.definition)->kind;
    for (uint32_t d = 1; d < derived_end(l->scope); d++) {
        const struct derived *row = derived_at(l->scope, d);
        uint32_t follower = lowering_derived(l, d, q.definition);
        struct why_point p;
        if (!follower || !kind_is(kind, row->kind) || find_derived(l->scope, kind, row->name) != d ||
            !note_text(l, row->site, TOKEN_LABEL).len)
            continue;
        if (follows(o->c, o, follower, &p))
            add_also(w, o, root, &p);
    }
}

/* ---- all of it ------------------------------------------------------------------------------------------------------------ */

struct why_asked {
    const uint32_t *quantities;
    uint32_t count, depth;
    struct why *made;
};

static void derive(struct strokewright_recipe *r, void *argument)
{
    struct why_asked *asked = argument;
    const uint32_t *quantities = asked->quantities, count = asked->count, depth = asked->depth;
    struct why *w = ARENA_NEW(&r->arena, struct why);
    struct why_collector *c = ARENA_NEW(&r->arena, struct why_collector);
    uint32_t *roots = ARENA_ARRAY(&r->arena, count, uint32_t);
    w->arena = &r->arena;
    ARRAY_PUSH(w->arena, &w->entries);
    why_collector_init(c, r);
    for (uint32_t i = 0; i < count; i++)
        roots[i] = why_point_of(c, quantities[i], 0);
    collect(c, depth);
    struct ordering o = order(c, roots, count, depth);
    for (uint32_t i = 0; i < count; i++) {
        if (!o.entry[roots[i]])
            emit_tree(w, &o, roots[i]);
        *ARRAY_PUSH(w->arena, &w->roots) = (struct why_root){.entry = o.entry[roots[i]]};
        why_fill_moves(r, quantities[i], &w->roots.at[i]);
    }
    for (uint32_t i = 0; i < o.queue.count; i++)
        connect(w, &o, o.queue.at[i]);
    for (uint32_t i = 0; i < count; i++)
        find_also(w, &o, i, quantities[i]);
    w->cut = c->cut;
    asked->made = w;
}

const struct why *why_derive(struct strokewright_recipe *r, const uint32_t *quantities, uint32_t count, uint32_t depth)
{
    struct why_asked asked = {quantities, count, depth, NULL};
    return r->evaluated && recipe_within_memory(r, derive, &asked) ? asked.made : NULL;
}
