/* A budget for the terminal: aligned, in the recipe's units. */
#include "compiler/review/budget/budget.h"

#include <math.h>

enum { FREEDOM = 5, SPREAD, COLUMNS };

/* ---- the table --------------------------------------------------------------------------------------------------- */

struct cells {
    struct text at[COLUMNS];
};

/* Numbers are aligned right and their units left beside them; a column is as wide as both. */
struct widths {
    uint32_t head[COLUMNS], tail[COLUMNS];
    bool hidden[COLUMNS]; /* all rows are equal, so it is printed once, below */
};

static uint32_t head_length(struct text t)
{
    const char *blank = memchr(t.at, ' ', t.len);
    return blank ? (uint32_t)(blank - t.at) : t.len;
}

static bool is_number_column(int column)
{
    return column >= 1 && column <= 5;
}

static void widen(struct widths *w, const struct cells *c, bool title)
{
    for (int i = 0; i < COLUMNS; i++) {
        uint32_t head = !title && is_number_column(i) ? head_length(c->at[i]) : 0, tail = c->at[i].len - head;
        if (title && is_number_column(i))
            continue;
        w->head[i] = head > w->head[i] ? head : w->head[i];
        w->tail[i] = tail > w->tail[i] ? tail : w->tail[i];
    }
}

/* Widens a column to its title. */
static void widen_for_titles(struct widths *w, const struct cells *c)
{
    for (int i = 0; i < COLUMNS; i++)
        if (is_number_column(i) && c->at[i].len > w->head[i] + w->tail[i])
            w->head[i] += c->at[i].len - w->head[i] - w->tail[i];
}

static void put_cells(struct buffer *b, const struct widths *w, const struct cells *c, bool title)
{
    uint32_t line = b->count;
    for (int i = 0; i < COLUMNS; i++) {
        if (w->hidden[i])
            continue;
        uint32_t width = w->head[i] + w->tail[i], head = title || !is_number_column(i) ? 0 : head_length(c->at[i]);
        uint32_t before = title && is_number_column(i) ? width - c->at[i].len : w->head[i] - head;
        if (!is_number_column(i))
            before = 0;
        buffer_printf(b, "  %*s%.*s%*s", (int)before, "", TEXT_ARGS(c->at[i]), (int)(width - before - c->at[i].len),
                      "");
    }
    while (b->count > line && b->at[b->count - 1] == ' ')
        b->count--;
    buffer_putc(b, '\n');
}

static struct text percent(struct arena *a, double share)
{
    if (share > 0 && share < 0.001)
        return TEXT("<0.1 %");
    return arena_format(a, "%.*s %%", TEXT_ARGS(typeset_number(a, 100 * share, 1)));
}

static struct text freedom_words(struct arena *a, double freedom, const char *unlimited)
{
    bool whole = fabs(freedom - round(freedom)) < 1e-6 * freedom || freedom >= 100;
    if (freedom > 1e6) /* no table of Student's t tells them apart */
        return text_of(unlimited);
    return typeset_number(a, freedom, whole ? 0 : 2);
}

static struct cells cells_of(struct arena *a, const struct budget *u, const struct budget_row *r)
{
    struct unit unit = finer_unit(r->unit, r->part->standard);
    return (struct cells){{r->name, small_amount(a, r->part->standard, &unit, 2, SPELL_ASCII),
                           slope_text(a, r->part->sensitivity, &u->fine, &unit, SPELL_ASCII),
                           small_amount(a, r->part->contribution, &u->fine, 2, SPELL_ASCII), percent(a, r->part->share),
                           freedom_words(a, r->part->freedom, "-"), text_of(r->spread)}};
}

static bool is_same_throughout(const struct cells *rows, uint32_t count, int column)
{
    for (uint32_t i = 1; i < count; i++)
        if (!text_same(rows[i].at[column], rows[0].at[column]))
            return false;
    return count > 1;
}

static void put_line(struct buffer *b, const char *what, struct text value, const char *more)
{
    buffer_printf(b, "  %-44s  %.*s%s\n", what, TEXT_ARGS(value), more);
}

static void put_same(struct buffer *b, const struct widths *w, const struct cells *row)
{
    if (w->hidden[SPREAD] || w->hidden[FREEDOM])
        buffer_putc(b, '\n');
    if (w->hidden[SPREAD])
        put_line(b, "spread of every input", row->at[SPREAD], "");
    if (w->hidden[FREEDOM])
        put_line(b, "degrees of freedom of every input", TEXT("unlimited"), "");
}

static void put_table(struct buffer *b, const struct budget *u)
{
    struct cells title = {{TEXT("input"), TEXT("standard"), TEXT("sensitivity"), TEXT("contribution"), TEXT("share"),
                           TEXT("freedom"), TEXT("spread")}};
    struct cells *rows = ARENA_ARRAY(b->arena, u->u.parts.count, struct cells);
    struct widths w = {{0}, {0}, {0}};
    widen(&w, &title, true);
    for (uint32_t i = 0; i < u->u.parts.count; i++) {
        rows[i] = cells_of(b->arena, u, &u->rows[i]);
        widen(&w, &rows[i], false);
    }
    widen_for_titles(&w, &title);
    w.hidden[SPREAD] = is_same_throughout(rows, u->u.parts.count, SPREAD);
    w.hidden[FREEDOM] = is_same_throughout(rows, u->u.parts.count, FREEDOM) && text_is(rows[0].at[FREEDOM], "-");
    buffer_putc(b, '\n');
    put_cells(b, &w, &title, true);
    for (uint32_t i = 0; i < u->u.parts.count; i++)
        put_cells(b, &w, &rows[i], false);
    put_same(b, &w, &rows[0]);
}

/* ---- what it comes to -------------------------------------------------------------------------------------------- */

/* Returns the decimals of the second digit of an uncertainty, in the unit of the quantity. */
static int decimals_beside(const struct budget *u, double uncertainty)
{
    double value = uncertainty / u->unit.factor;
    int decimals = value > 0 && isfinite(value) ? 1 - (int)floor(log10(value) + 1e-12) : 3;
    return decimals < 0 ? 0 : decimals;
}

static struct text estimate(struct arena *a, const struct budget *u, double si)
{
    double beside = u->u.combined > 0 ? u->u.combined : u->u.second_order;
    if (!(beside > 0))
        return typeset_quantity(a, si, &u->unit, SPELL_ASCII);
    return typeset_quantity_to(a, si, &u->unit, decimals_beside(u, beside), SPELL_ASCII);
}

static struct text pair(struct arena *a, const struct budget *u, const double ends[2])
{
    return arena_format(a, "%.*s .. %.*s", TEXT_ARGS(estimate(a, u, ends[0])), TEXT_ARGS(estimate(a, u, ends[1])));
}

static const char *coverage_words(struct arena *a, const struct budget *u, const char *format)
{
    double value = 100 * u->u.coverage;
    struct text percent = typeset_number(a, value, fabs(value - round(value)) < 1e-9 ? 0 : 2);
    return arena_format(a, format, (int)percent.len, percent.at).at;
}

static void put_bends(struct buffer *b, const struct budget *u)
{
    for (uint32_t i = 0; i < u->u.bends.count && i < 5; i++) {
        double variance = u->u.bends.at[i].variance;
        if (fabs(variance) < 1e-3 * u->u.second_order * u->u.second_order)
            break;
        bool own = u->u.bends.at[i].a == u->u.bends.at[i].b;
        struct text what =
            arena_format(b->arena, "  %s%.*s%s%.*s", variance < 0 ? "less, " : "", TEXT_ARGS(u->bends[i][0]),
                         own ? " by its bend" : " with ", TEXT_ARGS(own ? TEXT("") : u->bends[i][1]));
        put_line(b, what.at, small_amount(b->arena, sqrt(fabs(variance)), &u->fine, 3, SPELL_ASCII), "");
    }
}

static void put_result(struct buffer *b, const struct budget *u)
{
    struct arena *a = b->arena;
    buffer_putc(b, '\n');
    double moved = u->u.estimate - u->u.stated;
    if (fabs(moved) > 0.01 * u->u.combined)
        put_line(b, "stated value, which uneven bands move", estimate(a, u, u->u.stated), "");
    put_line(b, "combined standard uncertainty", small_amount(a, u->u.combined, &u->fine, 2, SPELL_ASCII), "");
    if (isnan(u->u.second_order))
        put_line(b, "  with second-order terms", TEXT("not evaluated: a neighbouring point has no value"), "");
    else
        put_line(b, "  with second-order terms", small_amount(a, u->u.second_order, &u->fine, 2, SPELL_ASCII), "");
    put_bends(b, u);
    put_line(b, "effective degrees of freedom", freedom_words(a, u->u.freedom, "unlimited"), "");
    struct text factor = arena_format(a, ", k = %.*s", TEXT_ARGS(typeset_number(a, u->u.factor, 2)));
    put_line(b, coverage_words(a, u, "expanded uncertainty, %.*s %%"),
             small_amount(a, u->u.expanded, &u->fine, 2, SPELL_ASCII), factor.at);
}

static void put_comparison(struct buffer *b, const struct budget *u, const char *what, const struct gum_comparison *c)
{
    struct arena *a = b->arena;
    if (isnan(c->tolerance)) {
        put_line(b, what, TEXT("not compared: nothing spreads at first order"), "");
        return;
    }
    struct text apart =
        arena_format(a, "%s: ends off by %.*s and %.*s, allowed %.*s", c->valid ? "validated" : "not validated",
                     TEXT_ARGS(small_amount(a, c->low, &u->fine, 2, SPELL_ASCII)),
                     TEXT_ARGS(small_amount(a, c->high, &u->fine, 2, SPELL_ASCII)),
                     TEXT_ARGS(small_amount(a, c->tolerance, &u->fine, 1, SPELL_ASCII)));
    put_line(b, what, apart, "");
}

static void put_samples(struct buffer *b, const struct budget *u)
{
    struct arena *a = b->arena;
    const struct monte_carlo *m = &u->samples;
    buffer_printf(b, "\n  Monte Carlo, %u samples, seed %llu\n", m->samples, (unsigned long long)u->seed);
    if (m->undefined)
        buffer_printf(b, "  In %u of them it has no value; the figures below are of the others.\n", m->undefined);
    if (isnan(m->standard))
        return;
    put_line(b, "mean", estimate(a, u, m->mean), "");
    put_line(b, "standard uncertainty", small_amount(a, m->standard, &u->fine, 2, SPELL_ASCII), "");
    put_line(b, coverage_words(a, u, "shortest %.*s %% interval"), pair(a, u, m->shortest), "");
    put_line(b, coverage_words(a, u, "symmetric %.*s %% interval"), pair(a, u, m->symmetric), "");
    put_comparison(b, u, "first order against it", &u->first_order);
    if (u->u.bends.count && isfinite(u->u.second_order))
        put_comparison(b, u, "second order against it", &u->second_order);
}

void budget_text(struct buffer *b, const struct budget *u)
{
    buffer_printf(b, "%.*s  ", TEXT_ARGS(u->name));
    if (u->why_not.len) {
        buffer_printf(b, "not evaluated: %.*s\n", TEXT_ARGS(u->why_not));
        return;
    }
    if (u->u.expanded > 0) {
        int decimals = decimals_beside(u, u->u.expanded);
        struct text half = decimals > 4 /* 92 nm instead of 0.000092 mm */
                               ? small_amount(b->arena, u->u.expanded, &u->fine, 2, SPELL_ASCII)
                               : typeset_quantity_to(b->arena, u->u.expanded, &u->step, decimals, SPELL_ASCII);
        buffer_printf(b, "%.*s +/- %.*s (%s)",
                      TEXT_ARGS(typeset_quantity_to(b->arena, u->u.estimate, &u->unit, decimals, SPELL_ASCII)),
                      TEXT_ARGS(half), coverage_words(b->arena, u, "%.*s %%"));
    } else {
        buffer_put(b, estimate(b->arena, u, u->u.estimate));
    }
    buffer_putc(b, '\n');
    if (!u->u.parts.count && !u->u.bends.count) {
        buffer_put(b, TEXT("  Nothing it is worked out from is stated with a band that is held.\n"));
        return;
    }
    if (u->u.parts.count)
        put_table(b, u);
    put_result(b, u);
    if (u->sampled)
        put_samples(b, u);
}
