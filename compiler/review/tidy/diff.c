/* A unified diff: lines that stand once in both texts are what it holds on to, then what is alike around them, and so on
 * between them. */
#include "compiler/review/tidy/tidy.h"
#include "runtime/base/map.h"

enum { CONTEXT = 3, DEPTH = 12 };

struct lines {
    ARRAY(struct text) text; /* each without its line end */
    ARRAY(uint32_t) id;      /* the same for the same text */
    bool open;               /* the last has no line end */
};

struct comparison {
    struct arena *arena;
    struct lines from, to;
    uint32_t *partner;                     /* of each line of `from`: its line of `to`, from 1; 0: none */
    uint32_t *seen_from, *seen_to, *where; /* by id: how often in the part looked at, and where in `to` */
};

struct part {
    uint32_t from, from_end, to, to_end;
};

/* ---- lines ------------------------------------------------------------------------------------------------------- */

static void split(struct lines *l, struct arena *a, struct text t)
{
    for (uint32_t at = 0; at < t.len;) {
        const char *newline = memchr(t.at + at, '\n', t.len - at);
        uint32_t end = newline ? (uint32_t)(newline - t.at) : t.len;
        *ARRAY_PUSH(a, &l->text) = (struct text){t.at + at, end - at};
        l->open = !newline;
        at = end + 1;
    }
}

struct numbering {
    struct map map;           /* hash to the first id with it */
    ARRAY(struct text) texts; /* by id, from 1 */
    ARRAY(uint32_t) next;     /* another id with the same hash */
};

static uint32_t number_of(struct numbering *n, struct arena *a, struct text t)
{
    uint64_t key = map_key(text_hash(t), t.len);
    uint32_t first = map_get(&n->map, key);
    for (uint32_t id = first; id; id = n->next.at[id])
        if (text_same(n->texts.at[id], t))
            return id;
    *ARRAY_PUSH(a, &n->texts) = t;
    *ARRAY_PUSH(a, &n->next) = first;
    map_set(&n->map, key, n->texts.count - 1);
    return n->texts.count - 1;
}

static void number_all(struct numbering *n, struct arena *a, struct lines *l)
{
    for (uint32_t i = 0; i < l->text.count; i++)
        *ARRAY_PUSH(a, &l->id) = number_of(n, a, l->text.at[i]);
}

/* ---- what is the same -------------------------------------------------------------------------------------------- */

static bool same(const struct comparison *c, uint32_t from, uint32_t to)
{
    bool last_from = from + 1 == c->from.text.count && c->from.open;
    bool last_to = to + 1 == c->to.text.count && c->to.open;
    return c->from.id.at[from] == c->to.id.at[to] && last_from == last_to;
}

/* Takes what is alike at both ends off the part. */
static struct part trim(struct comparison *c, struct part w)
{
    for (; w.from < w.from_end && w.to < w.to_end && same(c, w.from, w.to); w.from++, w.to++)
        c->partner[w.from] = w.to + 1;
    for (; w.from < w.from_end && w.to < w.to_end && same(c, w.from_end - 1, w.to_end - 1); w.from_end--, w.to_end--)
        c->partner[w.from_end - 1] = w.to_end;
    return w;
}

static void count_lines(struct comparison *c, struct part w, uint32_t by)
{
    for (uint32_t i = w.from; i < w.from_end; i++)
        c->seen_from[c->from.id.at[i]] = by ? c->seen_from[c->from.id.at[i]] + by : 0;
    for (uint32_t i = w.to; i < w.to_end; i++) {
        c->seen_to[c->to.id.at[i]] = by ? c->seen_to[c->to.id.at[i]] + by : 0;
        c->where[c->to.id.at[i]] = i;
    }
}

/* The longest row of lines that stand once in each text, in the same order in both: their lines in `from`. Piles of
 * cards: each goes on the first pile whose top lies further on in `to`. */
static uint32_t find_anchors(struct comparison *c, struct part w, uint32_t *anchors)
{
    struct arena *a = c->arena;
    uint32_t room = w.from_end - w.from, piles = 0;
    uint32_t *top = ARENA_ARRAY(a, room, uint32_t), *below = ARENA_ARRAY(a, room, uint32_t);
    for (uint32_t i = w.from; i < w.from_end; i++) {
        uint32_t id = c->from.id.at[i], low = 0, high = piles;
        if (c->seen_from[id] != 1 || c->seen_to[id] != 1 || !same(c, i, c->where[id]))
            continue;
        while (low < high) {
            uint32_t middle = (low + high) / 2;
            if (c->where[c->from.id.at[top[middle]]] < c->where[id])
                low = middle + 1;
            else
                high = middle;
        }
        below[i - w.from] = low ? top[low - 1] : UINT32_MAX;
        top[low] = i;
        piles += low == piles;
    }
    for (uint32_t n = piles, i = piles ? top[piles - 1] : 0; n > 0; i = below[i - w.from])
        anchors[--n] = i;
    return piles;
}

static void compare(struct comparison *c, struct part w, uint32_t depth)
{
    w = trim(c, w);
    if (w.from == w.from_end || w.to == w.to_end || depth == DEPTH)
        return;
    uint32_t *anchors = ARENA_ARRAY(c->arena, w.from_end - w.from, uint32_t);
    count_lines(c, w, 1);
    uint32_t count = find_anchors(c, w, anchors);
    for (uint32_t i = 0; i < count; i++)
        c->partner[anchors[i]] = c->where[c->from.id.at[anchors[i]]] + 1;
    count_lines(c, w, 0);
    for (uint32_t i = 0; count && i <= count; i++) {
        struct part between = w;
        if (i > 0) {
            between.from = anchors[i - 1] + 1;
            between.to = c->partner[anchors[i - 1]];
        }
        if (i < count) {
            between.from_end = anchors[i];
            between.to_end = c->partner[anchors[i]] - 1;
        }
        compare(c, between, depth + 1);
    }
}

/* ---- writing ----------------------------------------------------------------------------------------------------- */

static void put_line(struct buffer *b, const struct lines *l, uint32_t i, char mark)
{
    buffer_putc(b, mark);
    buffer_put(b, l->text.at[i]);
    buffer_putc(b, '\n');
    if (i + 1 == l->text.count && l->open)
        buffer_put(b, TEXT("\\ No newline at end of file\n"));
}

/* The next place from here on where the texts differ; false at the end. */
static bool find_change(const struct comparison *c, uint32_t *from, uint32_t *to)
{
    while (*from < c->from.text.count && c->partner[*from] == *to + 1)
        ++*from, ++*to;
    return *from < c->from.text.count || *to < c->to.text.count;
}

static void pass_change(const struct comparison *c, uint32_t *from, uint32_t *to)
{
    while (*from < c->from.text.count && !c->partner[*from])
        ++*from;
    *to = *from < c->from.text.count ? c->partner[*from] - 1 : c->to.text.count;
}

static void put_range(struct buffer *b, char mark, uint32_t at, uint32_t count)
{
    buffer_printf(b, "%c%u", mark, count ? at + 1 : at);
    if (count != 1)
        buffer_printf(b, ",%u", count);
}

static void put_hunk(struct buffer *b, const struct comparison *c, struct part h)
{
    buffer_put(b, TEXT("@@ "));
    put_range(b, '-', h.from, h.from_end - h.from);
    buffer_putc(b, ' ');
    put_range(b, '+', h.to, h.to_end - h.to);
    buffer_put(b, TEXT(" @@\n"));
    for (uint32_t i = h.from, k = h.to; i < h.from_end || k < h.to_end;)
        if (i < h.from_end && c->partner[i] && c->partner[i] == k + 1) {
            put_line(b, &c->from, i++, ' ');
            k++;
        } else if (i < h.from_end && !c->partner[i])
            put_line(b, &c->from, i++, '-');
        else
            put_line(b, &c->to, k++, '+');
}

static void put_hunks(struct buffer *b, const struct comparison *c)
{
    uint32_t from = 0, to = 0;
    for (bool more = find_change(c, &from, &to); more;) {
        uint32_t before = from < CONTEXT ? from : CONTEXT;
        before = to < before ? to : before;
        struct part h = {from - before, from, to - before, to};
        do {
            pass_change(c, &from, &to);
            h.from_end = from;
            h.to_end = to;
            more = find_change(c, &from, &to);
        } while (more && from - h.from_end <= 2 * CONTEXT);
        uint32_t behind = c->from.text.count - h.from_end;
        behind = behind < CONTEXT ? behind : CONTEXT;
        h.from_end += behind;
        h.to_end += behind;
        put_hunk(b, c, h);
    }
}

void tidy_diff(struct buffer *b, struct text path, struct text from, struct text to)
{
    struct arena *a = b->arena;
    struct comparison c = {.arena = a};
    struct numbering n = {.texts = {0}};
    if (text_same(from, to))
        return;
    map_init(&n.map, a);
    ARRAY_PUSH(a, &n.texts);
    ARRAY_PUSH(a, &n.next);
    split(&c.from, a, from);
    split(&c.to, a, to);
    number_all(&n, a, &c.from);
    number_all(&n, a, &c.to);
    c.partner = ARENA_ARRAY(a, c.from.text.count + 1, uint32_t);
    c.seen_from = ARENA_ARRAY(a, n.texts.count, uint32_t);
    c.seen_to = ARENA_ARRAY(a, n.texts.count, uint32_t);
    c.where = ARENA_ARRAY(a, n.texts.count, uint32_t);
    compare(&c, (struct part){0, c.from.text.count, 0, c.to.text.count}, 0);
    buffer_printf(b, "--- %.*s\n+++ %.*s, tidy\n", TEXT_ARGS(path), TEXT_ARGS(path));
    put_hunks(b, &c);
}
