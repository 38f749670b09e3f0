/* How branches are drawn beside the rows of a history: one column a branch, the main one first. */
#include "compiler/review/history.h"

struct lanes {
    struct arena *arena;
    const struct history *history;
    uint32_t *children;   /* by row: those that were not drawn yet */
    uint32_t *lane;       /* by row */
    bool *main;           /* by row: on the way of first parents from the last */
    ARRAY(uint32_t) tips; /* by lane: the last row drawn in it, from 1; 0: the lane is free */
};

static uint32_t parent_of(const struct history *h, uint32_t row, int which)
{
    return h->rows.at[row].parents[which];
}

static bool is_one_line(const struct history *h)
{
    for (uint32_t i = 0; i < h->rows.count; i++)
        if (parent_of(h, i, 1) || (i && parent_of(h, i, 0) != i))
            return false;
    return true;
}

static struct lanes make_lanes(const struct history *h)
{
    struct lanes l = {.arena = h->arena, .history = h};
    l.children = ARENA_ARRAY(h->arena, h->rows.count, uint32_t);
    l.lane = ARENA_ARRAY(h->arena, h->rows.count, uint32_t);
    l.main = ARENA_ARRAY(h->arena, h->rows.count, bool);
    for (uint32_t i = 0; i < h->rows.count; i++)
        for (int k = 0; k < 2; k++)
            if (parent_of(h, i, k))
                l.children[parent_of(h, i, k) - 1]++;
    for (uint32_t row = h->rows.count; row; row = parent_of(h, row - 1, 0))
        l.main[row - 1] = true;
    *ARRAY_PUSH(l.arena, &l.tips) = 0; /* the main lane is never given to another */
    return l;
}

static uint32_t lane_of(const struct lanes *l, uint32_t tip)
{
    uint32_t lane = 0;
    while (lane < l->tips.count && l->tips.at[lane] != tip)
        lane++;
    return lane;
}

/* The lane of a row: of its first parent where that is still free to go on, else the first that is free. */
static uint32_t choose_lane(struct lanes *l, uint32_t row)
{
    uint32_t parent = parent_of(l->history, row, 0);
    if (l->main[row])
        return 0;
    uint32_t lane = parent && !l->main[parent - 1] ? lane_of(l, parent) : l->tips.count;
    for (uint32_t i = 1; i < l->tips.count && lane == l->tips.count; i++)
        if (!l->tips.at[i])
            lane = i;
    if (lane == l->tips.count)
        *ARRAY_PUSH(l->arena, &l->tips) = 0;
    return lane;
}

/* Each lane that is open as a bar, with another sign in one of them. */
static char *draw(const struct lanes *l, uint32_t lane, char sign)
{
    char *out = arena_alloc(l->arena, l->tips.count + 1);
    for (uint32_t i = 0; i < l->tips.count; i++)
        out[i] = l->tips.at[i] ? '|' : ' ';
    if (lane < l->tips.count)
        out[lane] = sign;
    return out;
}

static struct text drawn(const struct lanes *l, char *out)
{
    uint32_t n = l->tips.count;
    while (n && out[n - 1] == ' ')
        n--;
    return (struct text){out, n};
}

/* A line from one lane to another further right. */
static struct text draw_link(const struct lanes *l, uint32_t from, uint32_t to, char sign)
{
    char *out = draw(l, to, sign);
    for (uint32_t i = from + 1; i < to; i++)
        out[i] = out[i] == '|' ? '+' : '-';
    return drawn(l, out);
}

static struct text draw_between(const struct lanes *l, uint32_t a, uint32_t b, bool fork)
{
    if (a == b || a >= l->tips.count || b >= l->tips.count)
        return TEXT("");
    return a < b ? draw_link(l, a, b, fork ? '\\' : '/') : draw_link(l, b, a, fork ? '/' : '\\');
}

static void close_lane(struct lanes *l, uint32_t row)
{
    uint32_t lane = row && !--l->children[row - 1] ? lane_of(l, row) : l->tips.count;
    if (lane < l->tips.count && lane)
        l->tips.at[lane] = 0;
}

static struct history_lanes draw_row(struct lanes *l, uint32_t row)
{
    uint32_t first = parent_of(l->history, row, 0), second = parent_of(l->history, row, 1);
    uint32_t lane = choose_lane(l, row);
    struct history_lanes out = {0};
    l->lane[row] = lane;
    if (first && lane != l->lane[first - 1])
        out.fork = draw_between(l, l->lane[first - 1], lane, true);
    if (second)
        out.merge = draw_between(l, lane, l->lane[second - 1], false);
    close_lane(l, first);
    close_lane(l, second);
    l->tips.at[lane] = row + 1;
    out.row = drawn(l, draw(l, lane, '*'));
    if (!l->children[row] && lane)
        l->tips.at[lane] = 0;
    return out;
}

const struct history_lanes *history_draw(const struct history *h)
{
    if (is_one_line(h))
        return NULL;
    struct lanes l = make_lanes(h);
    struct history_lanes *out = ARENA_ARRAY(h->arena, h->rows.count, struct history_lanes);
    for (uint32_t i = 0; i < h->rows.count; i++)
        out[i] = draw_row(&l, i);
    return out;
}
