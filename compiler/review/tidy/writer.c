#include "compiler/model/spelling.h"
#include "compiler/review/tidy/parts.h"
#include "runtime/base/utf8.h"

static uint32_t tidy_columns(struct text t)
{
    return utf8_is_plain(t) ? t.len : utf8_columns(t);
}

static struct text tidy_spelling(const struct tidy_writer *w, uint32_t token)
{
    return spelling_of(w->arena, w->tree, token);
}

/* Widths and breaks of everything, summed up, so that those of any part are a difference. */
static void measure(struct tidy_writer *w)
{
    const struct tree *t = w->tree;
    uint32_t end = 0, forced = 0;
    uint8_t before = TOKEN_END;
    for (uint32_t i = 1; i < t->token_count; i++) {
        uint8_t kind = t->token_kind[i];
        if (kind > TOKEN_STRAY) {
            end += spelling_gap(before, kind) + tidy_columns(tidy_spelling(w, i));
            forced += (kind == TOKEN_IF && before == TOKEN_ELSE) || kind == TOKEN_OPEN_BRACE;
            before = kind;
        } else
            forced += kind == TOKEN_COMMENT;
        w->end[i] = end;
        w->forced[i] = forced;
    }
}

void tidy_begin(struct tidy_writer *w, struct arena *a, const struct tree *t, struct tidied *result)
{
    *w = (struct tidy_writer){.arena = a, .tree = t, .done = 1, .fresh = true, .result = result};
    w->end = arena_grow(a, NULL, t->token_count * sizeof *w->end);
    w->forced = arena_grow(a, NULL, t->token_count * sizeof *w->forced);
    w->end[0] = w->forced[0] = 0;
    buffer_init(&w->out, a);
    measure(w);
}

uint32_t tidy_width(const struct tidy_writer *w, uint32_t first, uint32_t last)
{
    return w->end[last] - w->end[first] + tidy_columns(tidy_spelling(w, first));
}

/* ---- lines ------------------------------------------------------------------------------------------------------- */

static void lines_end_line(struct tidy_writer *w)
{
    buffer_putc(&w->out, '\n');
    w->fresh = true;
    w->column = 0;
    w->line++;
}

static void begin_line(struct tidy_writer *w, uint32_t token)
{
    uint32_t indent = w->indent < TIDY_INDENT_MOST ? w->indent : TIDY_INDENT_MOST;
    buffer_pad(&w->out, ' ', indent);
    w->column = indent;
    w->fresh = false;
    w->leader = token;
}

void tidy_line(struct tidy_writer *w, uint32_t indent)
{
    if (!w->fresh)
        lines_end_line(w);
    w->indent = indent;
}

void tidy_pad_to(struct tidy_writer *w, uint32_t column)
{
    if (w->column + 1 < column) {
        buffer_pad(&w->out, ' ', column - 1 - w->column);
        w->column = column - 1;
    }
}

/* ---- comments ---------------------------------------------------------------------------------------------------- */

static struct text comment_text(const struct tidy_writer *w, uint32_t token)
{
    struct text t = token_text(w->tree, token);
    while (t.len && strchr(" \t\r", t.at[t.len - 1]))
        t.len--;
    return t;
}

static void put_comment_line(struct tidy_writer *w, uint32_t token)
{
    if (!w->fresh)
        lines_end_line(w);
    begin_line(w, token);
    buffer_put(&w->out, comment_text(w, token));
    lines_end_line(w);
}

static void put_comment_behind(struct tidy_writer *w, uint32_t token)
{
    *ARRAY_PUSH(w->arena, &w->comments) = (struct trailing_comment){w->out.count, w->column, w->line};
    buffer_put(&w->out, TEXT("  "));
    buffer_put(&w->out, comment_text(w, token));
    lines_end_line(w);
}

/* ---- tokens ------------------------------------------------------------------------------------------------------ */

void tidy_start(struct tidy_writer *w, uint32_t token)
{
    if (w->started == token)
        return;
    for (; w->done < token; w->done++)
        if (w->tree->token_kind[w->done] == TOKEN_COMMENT)
            put_comment_line(w, w->done);
    if (w->fresh)
        begin_line(w, token);
    else if (spelling_gap(w->tree->token_kind[w->last], w->tree->token_kind[token])) {
        buffer_putc(&w->out, ' ');
        w->column++;
    }
    w->started = token;
}

void tidy_put(struct tidy_writer *w, uint32_t token)
{
    tidy_start(w, token);
    struct text text = tidy_spelling(w, token);
    buffer_put(&w->out, text);
    w->column += tidy_columns(text);
    w->last = token;
    w->done = token + 1;
    if (w->tree->token_kind[w->done] == TOKEN_COMMENT)
        put_comment_behind(w, w->done++);
}

void tidy_put_all(struct tidy_writer *w, uint32_t first, uint32_t last)
{
    for (uint32_t i = first; i <= last; i++)
        if (w->tree->token_kind[i] > TOKEN_STRAY)
            tidy_put(w, i);
}

/* ---- between statements ------------------------------------------------------------------------------------------ */

void tidy_copy(struct tidy_writer *w, struct part part)
{
    uint32_t lo = part.lo, hi = part.hi;
    struct text b = w->tree->bytes;
    while (lo > w->written && b.at[lo - 1] != '\n')
        lo--;
    const char *newline = hi < b.len ? memchr(b.at + hi, '\n', b.len - hi) : NULL;
    uint32_t end = newline ? (uint32_t)(newline - b.at) : b.len;
    lo = lo < w->written ? w->written : lo;
    const struct tree *t = w->tree;
    while (w->done + 1 < t->token_count && t->token_at[w->done] + t->token_len[w->done] <= end)
        w->done++;
    if (lo >= end)
        return;
    w->indent = 0;
    tidy_line(w, 0);
    for (uint32_t at = lo; at < end;) {
        const char *next = memchr(b.at + at, '\n', end - at);
        uint32_t stop = next ? (uint32_t)(next - b.at) : end;
        buffer_put(&w->out, (struct text){b.at + at, stop - at});
        lines_end_line(w);
        at = stop + 1;
    }
    w->written = end + 1;
    *ARRAY_PUSH(w->arena, &w->result->kept) =
        (struct kept_lines){lo, end - (b.at[end - 1] == '\n')}; /* bytes; tidy() makes lines of them */
}

static bool is_line_end(const struct tree *t, uint32_t token)
{
    uint8_t kind = t->token_kind[token];
    return (kind == TOKEN_NEWLINE || kind == TOKEN_BREAK) && t->bytes.at[t->token_at[token]] != '\xef';
}

void tidy_between(struct tidy_writer *w, uint32_t until, uint32_t indent, bool *start)
{
    const struct tree *t = w->tree;
    uint32_t ends = 0;
    tidy_line(w, indent);
    for (uint32_t i = w->done; i < until; i = w->done) {
        uint8_t kind = t->token_kind[i];
        w->done = i + 1;
        if (is_line_end(t, i)) {
            ends++;
            continue;
        }
        if (kind <= TOKEN_BREAK) /* a byte order mark */
            continue;
        if (ends > 1 && !*start)
            lines_end_line(w);
        w->indent = indent;
        if (kind == TOKEN_COMMENT)
            put_comment_line(w, i);
        else {
            w->done = i;
            tidy_copy(w, (struct part){t->token_at[i], t->token_at[i] + t->token_len[i]});
            w->done = w->done > i ? w->done : i + 1;
        }
        *start = false;
        ends = 0;
    }
    if (ends > 1 && !*start && t->token_kind[until] != TOKEN_CLOSE_BRACE && t->token_kind[until] != TOKEN_END)
        lines_end_line(w);
    w->indent = indent;
}
