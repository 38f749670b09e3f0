#include "compiler/text/diagnostic.h"

const struct fault_entry fault_table[FAULT_COUNT] = {
#define FAULT(id, slug, severity, title, explanation, example) {slug, severity, title, explanation, example},
#include "compiler/text/faults.def"
#undef FAULT
};

enum { SEEN_START = 64 };

void diagnostics_init(struct diagnostics *ds, struct arena *arena)
{
    *ds = (struct diagnostics){.arena = arena, .limit = DIAGNOSTIC_LIMIT, .seen_size = SEEN_START};
    ds->seen = ARENA_ARRAY(arena, SEEN_START, uint32_t);
    ds->scratch = ARENA_NEW(arena, struct diagnostic);
}

/* ---- the table of what was reported ---- */

static uint32_t hash_of(enum fault fault, struct span s, struct text message)
{
    uint32_t h = text_hash(message);
    const uint32_t parts[] = {(uint32_t)fault, s.file, s.lo, s.hi};
    for (uint32_t i = 0; i < sizeof parts / sizeof *parts; i++)
        h = (h ^ parts[i]) * 2654435761u, h ^= h >> 15;
    return h;
}

static bool is_of(const struct diagnostic *d, enum fault fault, struct span s, struct text message)
{
    return d->fault == fault && d->span.file == s.file && d->span.lo == s.lo && d->span.hi == s.hi &&
           text_same(d->message, message);
}

/* The slot that holds this diagnostic, or the free one where it belongs. Two limits may fail at one definition, so the
 * message counts too. */
static uint32_t *slot_of(struct diagnostics *ds, enum fault fault, struct span s, struct text message)
{
    uint32_t i = hash_of(fault, s, message) & (ds->seen_size - 1);
    while (ds->seen[i] && !is_of(ds->all.at[ds->seen[i] - 1], fault, s, message))
        i = (i + 1) & (ds->seen_size - 1);
    return &ds->seen[i];
}

static void seen_rebuild(struct diagnostics *ds)
{
    memset(ds->seen, 0, ds->seen_size * sizeof *ds->seen);
    for (uint32_t i = 0; i < ds->all.count; i++)
        *slot_of(ds, ds->all.at[i]->fault, ds->all.at[i]->span, ds->all.at[i]->message) = i + 1;
}

static void seen_grow(struct diagnostics *ds)
{
    ds->seen_size *= 2;
    ds->seen = ARENA_ARRAY(ds->arena, ds->seen_size, uint32_t);
    seen_rebuild(ds);
}

/* ---- reporting ---- */

static void count(struct diagnostics *ds, enum severity severity)
{
    ds->errors += severity == SEVERITY_ERROR;
    ds->warnings += severity == SEVERITY_WARNING;
}

static struct diagnostic *scratch(struct diagnostics *ds, enum fault fault, struct span span)
{
    *ds->scratch = (struct diagnostic){.fault = fault, .severity = fault_table[fault].severity, .span = span};
    return ds->scratch;
}

struct diagnostic *report(struct diagnostics *ds, enum fault fault, struct span span, const char *message, ...)
{
    enum severity severity = fault_table[fault].severity;
    if (ds->all.count >= ds->limit) {
        count(ds, severity);
        ds->dropped++;
        return scratch(ds, fault, span);
    }
    va_list args;
    va_start(args, message);
    struct text formatted = arena_format_v(ds->arena, message, args);
    va_end(args);
    uint32_t *slot = slot_of(ds, fault, span, formatted);
    if (*slot)
        return scratch(ds, fault, span);
    count(ds, severity);
    struct diagnostic *d = ARENA_NEW(ds->arena, struct diagnostic);
    *d = (struct diagnostic){.fault = fault, .severity = severity, .span = span, .message = formatted};
    *ARRAY_PUSH(ds->arena, &ds->all) = d;
    *slot = ds->all.count;
    if (ds->all.count > ds->seen_size / 2)
        seen_grow(ds);
    return d;
}

void report_here(struct diagnostics *ds, struct diagnostic *d, const char *text, ...)
{
    if (d == ds->scratch)
        return;
    va_list args;
    va_start(args, text);
    d->here = arena_format_v(ds->arena, text, args);
    va_end(args);
}

void report_label(struct diagnostics *ds, struct diagnostic *d, struct span span, const char *text, ...)
{
    if (d == ds->scratch)
        return;
    va_list args;
    va_start(args, text);
    struct text formatted = arena_format_v(ds->arena, text, args);
    va_end(args);
    *ARRAY_PUSH(ds->arena, &d->labels) = (struct label){span, formatted};
}

void report_help(struct diagnostics *ds, struct diagnostic *d, const char *text, ...)
{
    if (d == ds->scratch)
        return;
    va_list args;
    va_start(args, text);
    d->help = arena_format_v(ds->arena, text, args);
    va_end(args);
}

void report_edit(struct diagnostics *ds, struct diagnostic *d, struct span span, struct text replacement)
{
    if (d != ds->scratch)
        d->edit = (struct edit){span, arena_text(ds->arena, replacement)};
}

void report_withdraw(struct diagnostics *ds, enum fault fault, struct span s)
{
    uint32_t kept = 0;
    for (uint32_t i = 0; i < ds->all.count; i++) {
        const struct diagnostic *d = ds->all.at[i];
        if (d->fault == fault && d->span.file == s.file && d->span.lo == s.lo && d->span.hi == s.hi) {
            ds->errors -= d->severity == SEVERITY_ERROR;
            ds->warnings -= d->severity == SEVERITY_WARNING;
        } else
            ds->all.at[kept++] = ds->all.at[i];
    }
    if (kept < ds->all.count) {
        ds->all.count = kept;
        seen_rebuild(ds);
    }
}

/* ---- order ---- */

static bool after(const struct diagnostic *a, const struct diagnostic *b)
{
    return a->span.file != b->span.file ? a->span.file > b->span.file : a->span.lo > b->span.lo;
}

/* One pass of a merge sort, which keeps the order of report between equals: runs of `width` become runs of twice that. */
static void merge_runs(struct diagnostic **from, struct diagnostic **to, uint32_t n, uint32_t width)
{
    for (uint32_t lo = 0; lo < n; lo += 2 * width) {
        uint32_t mid = lo + width < n ? lo + width : n, hi = lo + 2 * width < n ? lo + 2 * width : n;
        uint32_t a = lo, b = mid;
        for (uint32_t i = lo; i < hi; i++)
            to[i] = b >= hi || (a < mid && !after(from[a], from[b])) ? from[a++] : from[b++];
    }
}

void diagnostics_sort(struct diagnostics *ds)
{
    uint32_t n = ds->all.count;
    struct diagnostic **spare = ARENA_ARRAY(ds->arena, n, struct diagnostic *);
    for (uint32_t width = 1; width < n; width *= 2) {
        merge_runs(ds->all.at, spare, n, width);
        memcpy(ds->all.at, spare, n * sizeof *spare);
    }
    seen_rebuild(ds);
}
