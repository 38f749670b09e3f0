/* Braces that are never closed. Which of them it is shows from what stands inside: where an item begins that cannot
 * stand in the block, or stands no further in than the block itself, the brace is missing. Done only when the file
 * ends with braces open. */
#include "grammar/brackets.h"
#include "grammar/lines.h"

struct brackets_open_block {
    uint32_t token; /* the brace, or the token behind which it is missing */
    uint32_t indent;
    bool steps, table;
};

struct search {
    struct scan *scan;
    ARRAY(struct brackets_open_block) open;
    ARRAY(struct missing) found;
    uint32_t missing;   /* the next of the scanner's */
    uint32_t owed;      /* how many closing braces the file lacks */
    uint32_t statement; /* first token of the statement, 0 before it */
    uint32_t indent;    /* of its line */
    uint32_t line;      /* where the line begins */
    bool table;
};

static uint32_t next_that_counts(const struct scan *s, uint32_t token)
{
    do
        token++;
    while (token < s->count && is_trivia(s->kind[token]));
    return token;
}

static uint8_t kind_at(const struct scan *s, uint32_t token)
{
    return token < s->count ? s->kind[token] : TOKEN_END;
}

/* KIND [NAME] [like NAME] { */
static bool begins_definition(const struct scan *s, uint32_t token)
{
    if (kind_at(s, token) != TOKEN_NAME)
        return false;
    token = next_that_counts(s, token);
    if (kind_at(s, token) == TOKEN_NAME)
        token = next_that_counts(s, token);
    if (kind_at(s, token) == TOKEN_LIKE)
        token = next_that_counts(s, next_that_counts(s, token));
    return kind_at(s, token) == TOKEN_OPEN_BRACE;
}

static bool states_property(const struct scan *s, uint32_t token)
{
    uint8_t next = kind_at(s, next_that_counts(s, token));
    return kind_at(s, token) == TOKEN_NAME && (next == TOKEN_EQUALS || next == TOKEN_OPEN);
}

static bool stands_outside(const struct search *f, const struct brackets_open_block *block)
{
    const struct scan *s = f->scan;
    uint8_t kind = kind_at(s, f->statement);
    if (kind >= TOKEN_USE && kind <= TOKEN_STEPS)
        return true;
    if (block->table && states_property(s, f->statement))
        return true;
    return begins_definition(s, f->statement) && (!block->steps || f->indent <= block->indent);
}

static void report_unclosed(struct scan *s, const struct brackets_open_block *block, uint32_t before)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_unclosed_brace, scan_token_span(s, block->token), "this brace is never closed");
    if (before < s->count)
        report_label(s->diagnostics, d, scan_token_span(s, before),
                     block->table ? "the next property begins here" : "the next definition begins here");
    report_help(s->diagnostics, d, "close the block with } in a line of its own");
}

static void close_last(struct search *f, uint32_t before)
{
    struct scan *s = f->scan;
    struct brackets_open_block block = f->open.at[--f->open.count];
    if (kind_at(s, block.token) == TOKEN_OPEN_BRACE)
        report_unclosed(s, &block, before);
    *ARRAY_PUSH(s->arena, &f->found) = (struct missing){before, TOKEN_CLOSE_BRACE};
    *ARRAY_PUSH(s->arena, &f->found) = (struct missing){before, TOKEN_NEWLINE};
    f->owed--;
}

static void begin_statement(struct search *f, uint32_t token)
{
    f->statement = token;
    f->indent = f->scan->at[token] - f->line;
    f->table = false;
    while (f->owed && f->open.count && stands_outside(f, &f->open.at[f->open.count - 1]))
        close_last(f, token);
}

/* Opening braces that are themselves missing. */
static void take_missing(struct search *f, uint32_t token)
{
    struct scan *s = f->scan;
    for (; f->missing < s->missing.count && s->missing.at[f->missing].before <= token; f->missing++)
        if (s->missing.at[f->missing].kind == TOKEN_OPEN_BRACE) {
            *ARRAY_PUSH(s->arena, &f->open) =
                (struct brackets_open_block){.token = before_trivia(s, token), .indent = f->indent};
            f->statement = 0;
        }
}

/* It closed a block that was taken as closed earlier. */
static void drop_brace(struct search *f, uint32_t token)
{
    struct scan *s = f->scan;
    uint32_t next = next_that_counts(s, token);
    s->kind[token] = TOKEN_STRAY;
    if (kind_at(s, next) == TOKEN_NEWLINE)
        s->kind[next] = TOKEN_BREAK;
    scan_faulty(s, token);
    f->owed++;
}

static void step(struct search *f, uint32_t token)
{
    struct scan *s = f->scan;
    uint8_t kind = s->kind[token];
    take_missing(f, token);
    if (kind == TOKEN_NEWLINE || kind == TOKEN_BREAK)
        f->line = s->at[token] + s->len[token];
    if (kind == TOKEN_NEWLINE)
        f->statement = 0;
    if (kind == TOKEN_NEWLINE || is_trivia(kind))
        return;
    if (kind == TOKEN_CLOSE_BRACE) {
        if (f->open.count)
            f->open.count--;
        else
            drop_brace(f, token);
        f->statement = token;
        return;
    }
    if (!f->statement)
        begin_statement(f, token);
    f->table = f->table || kind == TOKEN_TABLE;
    if (kind == TOKEN_OPEN_BRACE) {
        bool steps = kind_at(s, f->statement) == TOKEN_STEPS;
        *ARRAY_PUSH(s->arena, &f->open) = (struct brackets_open_block){token, f->indent, steps, f->table};
        f->statement = 0;
    }
}

/* Both lists are in order; of two at one place that of the scanner comes first. */
static void merge(struct scan *s, const struct missing *found, uint32_t count)
{
    uint32_t own = s->missing.count;
    struct missing *old = ARENA_ARRAY(s->arena, own, struct missing);
    if (own)
        memcpy(old, s->missing.at, own * sizeof *old);
    s->missing.count = 0;
    for (uint32_t i = 0, j = 0; i < own || j < count;) {
        bool first = j == count || (i < own && old[i].before <= found[j].before);
        *ARRAY_PUSH(s->arena, &s->missing) = first ? old[i++] : found[j++];
    }
}

void brackets_close_braces(struct scan *s)
{
    struct search f = {.scan = s, .owed = s->brackets.count};
    for (uint32_t token = 1; token < s->count; token++)
        step(&f, token);
    while (f.owed && f.open.count)
        close_last(&f, s->count);
    merge(s, f.found.at, f.found.count);
}
