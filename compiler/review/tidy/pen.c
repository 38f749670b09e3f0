#include "compiler/review/tidy/pen.h"
#include "compiler/model/spelling.h"
#include "runtime/base/utf8.h"

uint32_t text_columns(struct text t)
{
    return utf8_is_plain(t) ? t.len : utf8_columns(t);
}

struct text pen_spelling(const struct pen *p, uint32_t token)
{
    return spelling_of(p->arena, p->tree, token);
}

/* Widths and breaks of everything, summed up, so that those of any part are a difference. */
static void measure(struct pen *p)
{
    const struct tree *t = p->tree;
    uint32_t end = 0, forced = 0;
    uint8_t before = TOKEN_END;
    for (uint32_t i = 1; i < t->token_count; i++) {
        uint8_t kind = t->token_kind[i];
        if (kind > TOKEN_STRAY) {
            end += spelling_gap(before, kind) + text_columns(pen_spelling(p, i));
            forced += (kind == TOKEN_IF && before == TOKEN_ELSE) || kind == TOKEN_OPEN_BRACE;
            before = kind;
        } else
            forced += kind == TOKEN_COMMENT;
        p->end[i] = end;
        p->forced[i] = forced;
    }
}

void pen_init(struct pen *p, struct arena *a, const struct tree *t, struct tidied *result)
{
    *p = (struct pen){.arena = a, .tree = t, .done = 1, .fresh = true, .result = result};
    p->end = arena_grow(a, NULL, t->token_count * sizeof *p->end);
    p->forced = arena_grow(a, NULL, t->token_count * sizeof *p->forced);
    p->end[0] = p->forced[0] = 0;
    buffer_init(&p->out, a);
    measure(p);
}

uint32_t pen_width(const struct pen *p, uint32_t first, uint32_t last)
{
    return p->end[last] - p->end[first] + text_columns(pen_spelling(p, first));
}

/* ---- lines ------------------------------------------------------------------------------------------------------- */

static void end_line(struct pen *p)
{
    buffer_putc(&p->out, '\n');
    p->fresh = true;
    p->column = 0;
    p->line++;
}

static void begin_line(struct pen *p, uint32_t token)
{
    uint32_t indent = p->indent < TIDY_INDENT_MOST ? p->indent : TIDY_INDENT_MOST;
    buffer_pad(&p->out, ' ', indent);
    p->column = indent;
    p->fresh = false;
    p->leader = token;
}

void pen_line(struct pen *p, uint32_t indent)
{
    if (!p->fresh)
        end_line(p);
    p->indent = indent;
}

void pen_to(struct pen *p, uint32_t column)
{
    if (p->column + 1 < column) {
        buffer_pad(&p->out, ' ', column - 1 - p->column);
        p->column = column - 1;
    }
}

/* ---- comments ---------------------------------------------------------------------------------------------------- */

static struct text comment_text(const struct pen *p, uint32_t token)
{
    struct text t = token_text(p->tree, token);
    while (t.len && strchr(" \t\r", t.at[t.len - 1]))
        t.len--;
    return t;
}

static void put_comment_line(struct pen *p, uint32_t token)
{
    if (!p->fresh)
        end_line(p);
    begin_line(p, token);
    buffer_put(&p->out, comment_text(p, token));
    end_line(p);
}

static void put_comment_behind(struct pen *p, uint32_t token)
{
    *ARRAY_PUSH(p->arena, &p->behind) = (struct behind){p->out.count, p->column, p->line};
    buffer_put(&p->out, TEXT("  "));
    buffer_put(&p->out, comment_text(p, token));
    end_line(p);
}

/* ---- tokens ------------------------------------------------------------------------------------------------------ */

void pen_start(struct pen *p, uint32_t token)
{
    if (p->started == token)
        return;
    for (; p->done < token; p->done++)
        if (p->tree->token_kind[p->done] == TOKEN_COMMENT)
            put_comment_line(p, p->done);
    if (p->fresh)
        begin_line(p, token);
    else if (spelling_gap(p->tree->token_kind[p->last], p->tree->token_kind[token])) {
        buffer_putc(&p->out, ' ');
        p->column++;
    }
    p->started = token;
}

void pen_put(struct pen *p, uint32_t token)
{
    pen_start(p, token);
    struct text text = pen_spelling(p, token);
    buffer_put(&p->out, text);
    p->column += text_columns(text);
    p->last = token;
    p->done = token + 1;
    if (p->tree->token_kind[p->done] == TOKEN_COMMENT)
        put_comment_behind(p, p->done++);
}

void pen_put_all(struct pen *p, uint32_t first, uint32_t last)
{
    for (uint32_t i = first; i <= last; i++)
        if (p->tree->token_kind[i] > TOKEN_STRAY)
            pen_put(p, i);
}

/* ---- between statements ------------------------------------------------------------------------------------------ */

void pen_copy(struct pen *p, struct part part)
{
    uint32_t lo = part.lo, hi = part.hi;
    struct text b = p->tree->bytes;
    while (lo > p->written && b.at[lo - 1] != '\n')
        lo--;
    const char *newline = hi < b.len ? memchr(b.at + hi, '\n', b.len - hi) : NULL;
    uint32_t end = newline ? (uint32_t)(newline - b.at) : b.len;
    lo = lo < p->written ? p->written : lo;
    const struct tree *t = p->tree;
    while (p->done + 1 < t->token_count && t->token_at[p->done] + t->token_len[p->done] <= end)
        p->done++;
    if (lo >= end)
        return;
    p->indent = 0;
    pen_line(p, 0);
    for (uint32_t at = lo; at < end;) {
        const char *next = memchr(b.at + at, '\n', end - at);
        uint32_t stop = next ? (uint32_t)(next - b.at) : end;
        buffer_put(&p->out, (struct text){b.at + at, stop - at});
        end_line(p);
        at = stop + 1;
    }
    p->written = end + 1;
    *ARRAY_PUSH(p->arena, &p->result->kept) =
        (struct kept_lines){lo, end - (b.at[end - 1] == '\n')}; /* bytes; tidy() makes lines of them */
}

static bool is_line_end(const struct tree *t, uint32_t token)
{
    uint8_t kind = t->token_kind[token];
    return (kind == TOKEN_NEWLINE || kind == TOKEN_BREAK) && t->bytes.at[t->token_at[token]] != '\xef';
}

void pen_between(struct pen *p, uint32_t until, uint32_t indent, bool *start)
{
    const struct tree *t = p->tree;
    uint32_t ends = 0;
    pen_line(p, indent);
    for (uint32_t i = p->done; i < until; i = p->done) {
        uint8_t kind = t->token_kind[i];
        p->done = i + 1;
        if (is_line_end(t, i)) {
            ends++;
            continue;
        }
        if (kind <= TOKEN_BREAK) /* a byte order mark */
            continue;
        if (ends > 1 && !*start)
            end_line(p);
        p->indent = indent;
        if (kind == TOKEN_COMMENT)
            put_comment_line(p, i);
        else {
            p->done = i;
            pen_copy(p, (struct part){t->token_at[i], t->token_at[i] + t->token_len[i]});
            p->done = p->done > i ? p->done : i + 1;
        }
        *start = false;
        ends = 0;
    }
    if (ends > 1 && !*start && t->token_kind[until] != TOKEN_CLOSE_BRACE && t->token_kind[until] != TOKEN_END)
        end_line(p);
    p->indent = indent;
}
