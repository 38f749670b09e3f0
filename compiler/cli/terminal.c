#include "compiler/cli/terminal.h"

#include "compiler/cli/cli.h"

#include "compiler/emit/columns.h"
#include "compiler/emit/escape.h"
#include "runtime/base/utf8.h"

#include <stdlib.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { NARROWEST = 20, WIDEST = 1000, USUAL = 80 };

static uint32_t width_of(int fd)
{
    const char *columns = getenv("COLUMNS");
    long asked = columns ? strtol(columns, NULL, 10) : 0;
    struct winsize size;
    if (asked >= NARROWEST && asked <= WIDEST)
        return (uint32_t)asked;
    if (ioctl(fd, TIOCGWINSZ, &size) == 0 && size.ws_col >= NARROWEST)
        return size.ws_col;
    return USUAL;
}

struct terminal terminal_of(FILE *to)
{
    struct terminal t = {.to = to};
    const char *no_color = getenv("NO_COLOR"), *term = getenv("TERM");
    if (!isatty(fileno(to)))
        return t;
    t.width = width_of(fileno(to));
    t.color = !(no_color && *no_color) && !(term && strcmp(term, "dumb") == 0);
    return t;
}

void terminal_wrap(const struct terminal *t, struct text text, uint32_t at, uint32_t hang)
{
    bool first = true;
    while (text.len) {
        uint32_t room = first ? at : hang, bytes = text.len;
        if (t->width)
            bytes = columns_line(text, t->width > room + 8 ? t->width - room : 8);
        if (!first)
            fprintf(t->to, "%*s", (int)hang, "");
        uint32_t shown = bytes;
        while (shown && text.at[shown - 1] == ' ')
            shown--;
        fwrite(text.at, 1, shown, t->to);
        text.at += bytes;
        text.len -= bytes;
        while (text.len && *text.at == ' ')
            text.at++, text.len--;
        if (text.len)
            fputc('\n', t->to);
        first = false;
    }
}

static struct text line_of(struct text text)
{
    const char *end = memchr(text.at, '\n', text.len);
    return (struct text){text.at, end ? (uint32_t)(end - text.at) : text.len};
}

void terminal_exact(FILE *to, struct text text)
{
    bool exact = !terminal_of(to).width;
    struct arena arena;
    if (exact && text.len)
        fwrite(text.at, 1, text.len, to);
    arena_init(&arena, out_of_memory());
    while (!exact && text.len) {
        struct text line = line_of(text), shown = escape_plain(&arena, line);
        fwrite(shown.at, 1, shown.len, to);
        text.at += line.len;
        text.len -= line.len;
        if (text.len) {
            fputc('\n', to);
            text.at++;
            text.len--;
        }
        arena_clear(&arena);
    }
    arena_free(&arena);
}

/* A line that would run over the edge could not be taken away again, so the path loses its beginning. */
void terminal_progress(const struct terminal *t, uint32_t number, uint32_t count, const char *what)
{
    if (!t->width || !t->color) /* a dumb terminal cannot take a line away */
        return;
    struct arena arena;
    arena_init(&arena, out_of_memory());
    struct text path = escape_plain(&arena, text_of(what));
    int used = fprintf(t->to, "\r\033[K%u of %u  ", number, count) - 4;
    while (path.len && used >= 0 && utf8_columns(path) + (uint32_t)used + 1 > t->width) {
        uint32_t len = utf8_at(path, 0).len;
        path.at += len;
        path.len -= len;
    }
    fwrite(path.at, 1, path.len, t->to);
    fflush(t->to);
    arena_free(&arena);
}

void terminal_done(const struct terminal *t)
{
    if (t->width && t->color) {
        fputs("\r\033[K", t->to);
        fflush(t->to);
    }
}
