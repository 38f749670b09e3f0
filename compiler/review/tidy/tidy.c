#include "compiler/model/spelling.h"
#include "compiler/review/tidy/parts.h"

/* ---- comments behind adjacent lines are aligned ------------------------------------------------------------------ */

enum { ALIGNED_MOST = 80 }; /* behind a longer line a comment follows as it comes */

static uint32_t group_end(const struct tidy_writer *w, uint32_t from, uint32_t *column)
{
    uint32_t i = from;
    *column = 0;
    do {
        if (w->comments.at[i].column <= ALIGNED_MOST && w->comments.at[i].column > *column)
            *column = w->comments.at[i].column;
        i++;
    } while (i < w->comments.count && w->comments.at[i].line == w->comments.at[i - 1].line + 1);
    return i;
}

static struct text tidy_align_comments(struct tidy_writer *w)
{
    struct text written = buffer_text(&w->out);
    struct buffer b;
    uint32_t done = 0;
    if (!w->comments.count)
        return written;
    buffer_init(&b, w->arena);
    for (uint32_t i = 0, end, column; i < w->comments.count; i = end)
        for (end = group_end(w, i, &column); i < end; i++) {
            const struct trailing_comment *c = &w->comments.at[i];
            buffer_put(&b, (struct text){written.at + done, c->at - done});
            if (c->column < column)
                buffer_pad(&b, ' ', column - c->column);
            done = c->at;
        }
    buffer_put(&b, (struct text){written.at + done, written.len - done});
    return buffer_text(&b);
}

/* ---- the whole --------------------------------------------------------------------------------------------------- */

/* Turns the byte offsets of kept lines into line numbers, and joins adjacent runs. */
static void number_lines(struct tidied *r, struct text bytes)
{
    uint32_t line = 1, at = 0, n = 0;
    for (uint32_t i = 0; i < r->kept.count; i++) {
        struct kept_lines k = r->kept.at[i], lines;
        for (; at < k.first; at++)
            line += bytes.at[at] == '\n';
        lines.first = line;
        for (; at < k.last; at++)
            line += bytes.at[at] == '\n';
        lines.last = line;
        if (n && lines.first <= r->kept.at[n - 1].last + 1)
            r->kept.at[n - 1].last = lines.last;
        else
            r->kept.at[n++] = lines;
    }
    r->kept.count = n;
}

static void keep_all(struct tidied *r, struct arena *a, struct text bytes)
{
    r->text = bytes;
    r->gave_up = true;
    r->kept.count = 0;
    *ARRAY_PUSH(a, &r->kept) = (struct kept_lines){0, bytes.len - (bytes.len && bytes.at[bytes.len - 1] == '\n')};
}

/* The last line ended as the others are: so what tidy writes is read again as what it was written from, also where
 * something is wrong in that line. */
static struct text with_last_end(struct arena *a, struct text bytes)
{
    if (!bytes.len || bytes.at[bytes.len - 1] == '\n' || bytes.len == UINT32_MAX)
        return bytes;
    char *at = arena_alloc(a, (size_t)bytes.len + 1);
    memcpy(at, bytes.at, bytes.len);
    at[bytes.len] = '\n';
    return (struct text){at, bytes.len + 1};
}

void tidy(struct tidied *r, struct arena *a, struct text bytes)
{
    struct diagnostics faults, faults_after;
    struct tidy_writer *w = ARENA_NEW(a, struct tidy_writer);
    *r = (struct tidied){.text = bytes};
    const struct tree *before = tidy_read(a, with_last_end(a, bytes), &faults);
    tidy_begin(w, a, before, r);
    tidy_find_kept(w, &faults);
    tidy_statements(w, before->root, before->token_count - 1, 0);
    r->text = tidy_align_comments(w);
    if (!tidy_same_recipe(a, before, tidy_read(a, r->text, &faults_after)))
        keep_all(r, a, bytes);
    number_lines(r, bytes);
    r->changed = !text_same(r->text, bytes);
}
