#include "compiler/model/fingerprint.h"

#include "compiler/model/fingerprint_reach.h"
#include "compiler/model/spelling.h"

#include <nettle/base16.h>
#include <nettle/sha2.h>
#include <stdlib.h>

/* ---- hashing ----------------------------------------------------------------------------------------------------- */

struct hashing {
    struct sha256_ctx state;
    struct arena *arena;
};

static void begin(struct hashing *h, struct arena *a)
{
    h->arena = a;
    sha256_init(&h->state);
}

static void add(struct hashing *h, struct text t)
{
    sha256_update(&h->state, t.len, (const uint8_t *)t.at);
}

static struct text finish(struct hashing *h)
{
    uint8_t digest[SHA256_DIGEST_SIZE];
    char hex[HASH_DIGITS];
    sha256_digest(&h->state, sizeof digest, digest);
    base16_encode_update(hex, sizeof digest, digest);
    return arena_text(h->arena, (struct text){hex, HASH_DIGITS});
}

/* Tokens with a blank behind each, statements with a line end: where a line ends may decide what a note belongs to. In
 * front of a brace it is layout. */
static void add_tokens(struct hashing *h, const struct tree *t, uint32_t first, uint32_t last)
{
    bool ended = false;
    for (uint32_t i = first; i <= last; i++) {
        uint8_t kind = t->token_kind[i];
        ended = ended || kind == TOKEN_NEWLINE;
        if (kind <= TOKEN_STRAY)
            continue;
        if (ended && kind != TOKEN_CLOSE_BRACE)
            add(h, TEXT("\n"));
        ended = false;
        add(h, spelling_of(h->arena, t, i));
        add(h, TEXT(" "));
    }
}

static void add_node(struct hashing *h, const struct tree *t, uint32_t node)
{
    add_tokens(h, t, node_at(t, node)->first, node_at(t, node)->last);
}

/* ---- parts ------------------------------------------------------------------------------------------------------- */

static const struct tree *tree_of(const struct scope *s, struct site site)
{
    return file_at(s, site.file)->tree;
}

static struct fingerprint_part *add_part(struct fingerprint *f, struct arena *a, enum fingerprint_what what)
{
    struct fingerprint_part *p = ARRAY_PUSH(a, &f->parts);
    *p = (struct fingerprint_part){.what = what, .kind = TEXT(""), .name = TEXT(""), .file = TEXT("")};
    return p;
}

/* A file says what its items say; `use` is replaced by what it brings in, a part of its own. */
static void add_files(struct fingerprint *f, struct arena *a, const struct scope *s)
{
    for (uint32_t i = 0; i < s->files.count; i++) {
        const struct tree *t = s->files.at[i].tree;
        struct hashing h;
        begin(&h, a);
        NODE_EACH_CHILD (t, t->root, n) {
            if (node_kind(t, n) == NODE_USE)
                continue;
            add_node(&h, t, n);
            add(&h, TEXT("\n"));
        }
        struct fingerprint_part *p = add_part(f, a, i ? FINGERPRINT_USED : FINGERPRINT_RECIPE);
        p->name = source_at(s->sources, t->file)->path;
        p->hash = finish(&h);
    }
}

static void add_site(struct fingerprint *f, struct arena *a, const struct scope *s, struct site site, const char *kind,
                     struct text name)
{
    const struct tree *t = tree_of(s, site);
    struct hashing h;
    begin(&h, a);
    add_node(&h, t, site.node);
    struct fingerprint_part *p = add_part(f, a, FINGERPRINT_LIBRARY);
    p->kind = text_of(kind);
    p->name = name;
    p->file = source_at(s->sources, t->file)->path;
    p->hash = finish(&h);
}

/* With the head of its block: what it is derived for, and what that is called in it. */
static void add_derived(struct fingerprint *f, struct arena *a, const struct scope *s, const struct derived *d)
{
    const struct tree *t = tree_of(s, d->site);
    struct hashing h;
    begin(&h, a);
    add(&h, arena_format(a, "derive for each %s as %.*s\n", kind_table[d->kind].name,
                         TEXT_ARGS(atom_text(&s->names, d->variable))));
    add_node(&h, t, d->site.node);
    struct fingerprint_part *p = add_part(f, a, FINGERPRINT_LIBRARY);
    p->kind = TEXT("derived");
    p->name = arena_format(a, "%s.%.*s", kind_table[d->kind].name, TEXT_ARGS(atom_text(&s->names, d->name)));
    p->file = source_at(s->sources, t->file)->path;
    p->hash = finish(&h);
}

static void add_library(struct fingerprint *f, struct arena *a, const struct scope *s, const struct reach *r)
{
    for (uint32_t id = 1; id < s->first_definition; id++)
        if (r->definitions[id]) {
            const struct definition *d = definition_at(s, id);
            add_site(f, a, s, d->site, kind_table[d->kind].name, atom_text(&s->names, d->name));
        }
    for (uint32_t id = 1; id < s->first_let; id++)
        if (r->lets[id])
            add_site(f, a, s, let_at(s, id)->site, "let", atom_text(&s->names, let_at(s, id)->name));
    for (uint32_t id = 1; id < s->first_formula; id++)
        if (r->formulas[id])
            add_site(f, a, s, formula_at(s, id)->site, "formula", atom_text(&s->names, formula_at(s, id)->name));
    for (uint32_t id = 1; id < s->first_derived; id++)
        if (r->derived[id])
            add_derived(f, a, s, derived_at(s, id));
    for (uint32_t id = 1; id < s->first_rule; id++)
        if (r->rules[id]) {
            const struct rule *rule = rule_at(s, id);
            const char *kind = rule->what == NODE_LIMIT ? "limit" : rule->what == NODE_CAUTION ? "caution" : "require";
            add_site(f, a, s, rule->site, kind, atom_text(&s->names, rule->name));
        }
}

static void add_standard(struct fingerprint *f, struct arena *a, const struct property_entry *e)
{
    struct fingerprint_part *p = add_part(f, a, FINGERPRINT_STANDARD);
    p->kind = text_of(kind_table[e->kind].name);
    p->name = text_of(e->name);
    p->hash = text_of(e->standard);
}

/* Whether some definition of the recipe has the standard value; what there is one of at most has it unwritten too. */
static bool has_standard(const struct scope *s, const struct property_entry *e)
{
    atom name = interned(&s->names, text_of(e->name));
    if (kind_table[e->kind].flags & KIND_SINGLE && !s->kind_count[e->kind])
        return true;
    for (uint32_t i = 0; i < s->definitions.count; i++)
        if (kind_is(s->definitions.at[i].kind, e->kind) && (!name || !find_property(s, s->first_definition + i, name)))
            return true;
    return false;
}

/* What the recipe did not state and has all the same. */
static void add_standards(struct fingerprint *f, struct arena *a, const struct scope *s)
{
    for (uint32_t k = 0; k < property_count; k++)
        if (property_table[k].need == NEED_STANDARD && has_standard(s, &property_table[k]))
            add_standard(f, a, &property_table[k]);
}

/* ---- the whole --------------------------------------------------------------------------------------------------- */

static int by_name(const void *x, const void *y)
{
    const struct fingerprint_part *a = x, *b = y;
    int c = (a->what > b->what) - (a->what < b->what);
    c = c ? c : text_order(a->kind, b->kind);
    c = c ? c : text_order(a->name, b->name);
    return c ? c : text_order(a->hash, b->hash);
}

static int by_hash(const void *x, const void *y)
{
    return text_order(*(const struct text *)x, *(const struct text *)y);
}

/* Of a part all that counts: where a file lies does not. */
static struct text line_of(struct arena *a, const struct fingerprint_part *p)
{
    switch (p->what) {
    case FINGERPRINT_RECIPE:
        return arena_format(a, "recipe %.*s\n", TEXT_ARGS(p->hash));
    case FINGERPRINT_USED:
        return arena_format(a, "used %.*s\n", TEXT_ARGS(p->hash));
    default:
        return arena_format(a, "%.*s %.*s %.*s\n", TEXT_ARGS(p->kind), TEXT_ARGS(p->name), TEXT_ARGS(p->hash));
    }
}

/* The hash of the parts so far, whatever their order. */
static struct text whole_hash(struct fingerprint *f, struct arena *a)
{
    struct hashing h;
    struct text *lines = ARENA_ARRAY(a, f->parts.count, struct text);
    if (f->parts.count)
        qsort(f->parts.at, f->parts.count, sizeof *f->parts.at, by_name);
    for (uint32_t i = 0; i < f->parts.count; i++)
        lines[i] = line_of(a, &f->parts.at[i]);
    qsort(lines, f->parts.count, sizeof *lines, by_hash);
    begin(&h, a);
    add(&h, arena_format(a, "strokewright fingerprint 2\nphysics %d\n", PHYSICS_VERSION));
    for (uint32_t i = 0; i < f->parts.count; i++)
        add(&h, lines[i]);
    return finish(&h);
}

void fingerprint_of(struct fingerprint *f, struct arena *a, const struct scope *s)
{
    struct reach r;
    *f = (struct fingerprint){0};
    fingerprint_reach_find(&r, a, s);
    add_files(f, a, s);
    add_library(f, a, s, &r);
    add_standards(f, a, s);
    f->hash = whole_hash(f, a);
}

struct text fingerprint_of_own(struct arena *a, const struct scope *s)
{
    struct fingerprint f = {0};
    add_files(&f, a, s);
    return whole_hash(&f, a);
}
