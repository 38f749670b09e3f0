/* Reading recipes and the files they use. */
#include "compiler/cli/cli.h"
#include "compiler/recipe.h"
#include "compiler/text/render.h"
#include "runtime/base/pool.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static enum fault read_bytes(struct arena *a, int fd, size_t size, struct text *bytes, struct text *why)
{
    char *at = arena_grow(a, NULL, size + 2);
    size_t got = 0;
    while (got < size) {
        ssize_t n = read(fd, at + got, size - got);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0) {
            *why = arena_text(a, text_of(strerror(errno)));
            return FAULT_unreadable_file;
        }
        if (n == 0)
            break;
        got += (size_t)n;
    }
    at[got] = at[got + 1] = 0;
    *bytes = (struct text){at, (uint32_t)got};
    return (enum fault)LOAD_OK;
}

enum fault read_file(struct arena *a, const char *path, struct text *bytes, struct text *why)
{
    struct stat st;
    /* Non-blocking, so that a named pipe is refused instead of waited for. */
    int fd = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0) {
        *why = arena_text(a, text_of(strerror(errno)));
        return errno == ENOENT ? FAULT_use_not_found : FAULT_unreadable_file;
    }
    enum fault fault = FAULT_unreadable_file;
    if (fstat(fd, &st))
        *why = arena_text(a, text_of(strerror(errno)));
    else if (!S_ISREG(st.st_mode)) {
        *why = S_ISDIR(st.st_mode) ? TEXT("it is a folder") : TEXT("it is not an ordinary file");
        fault = FAULT_not_a_file;
    } else if (st.st_size > SOURCE_LIMIT) {
        *why = TEXT("it is larger than 1 GiB");
        fault = FAULT_file_too_large;
    } else
        fault = read_bytes(a, fd, (size_t)st.st_size, bytes, why);
    close(fd);
    return fault;
}

/* ---- use ----------------------------------------------------------------------------------------------------------------------- */

/* ---- standard input ---------------------------------------------------------------------------------------------------- */

enum { STDIN_STEP = 1 << 16 }; /* bytes */

static enum fault read_stdin(struct arena *a, struct text *bytes, struct text *why)
{
    struct buffer b;
    buffer_init(&b, a);
    for (;;) {
        ARRAY_RESERVE(a, &b, STDIN_STEP + 2);
        ssize_t n = read(STDIN_FILENO, b.at + b.count, STDIN_STEP);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0) {
            *why = arena_text(a, text_of(strerror(errno)));
            return FAULT_unreadable_file;
        }
        b.count += (uint32_t)n;
        if (n == 0)
            break;
        if (b.count > SOURCE_LIMIT) {
            *why = TEXT("it is larger than 1 GiB");
            return FAULT_file_too_large;
        }
    }
    b.at[b.count] = b.at[b.count + 1] = 0;
    *bytes = buffer_text(&b);
    return (enum fault)LOAD_OK;
}

bool is_stdin(const char *path)
{
    return strcmp(path, "-") == 0;
}

struct text shown_path(const char *path)
{
    return is_stdin(path) ? TEXT("standard input") : text_of(path);
}

enum fault read_input(struct arena *a, const char *path, struct text *bytes, struct text *why)
{
    return is_stdin(path) ? read_stdin(a, bytes, why) : read_file(a, path, bytes, why);
}

static struct text folder_of(struct text path)
{
    uint32_t n = path.len;
    while (n && path.at[n - 1] != '/')
        n--;
    return (struct text){path.at, n};
}

static struct text real_path(struct arena *a, const char *path)
{
    char *real = realpath(path, NULL);
    struct text text = real ? arena_text(a, text_of(real)) : TEXT("");
    free(real);
    return text;
}

struct text tidy_path(struct arena *a, struct text path)
{
    char *out = arena_alloc(a, (size_t)path.len + 1);
    uint32_t n = 0;
    for (uint32_t i = 0; i < path.len;) {
        uint32_t end = i;
        while (end < path.len && path.at[end] != '/')
            end++;
        struct text part = {path.at + i, end - i};
        bool parent = text_is(part, "..") && n > 1 && !(n >= 3 && memcmp(out + n - 3, "../", 3) == 0);
        if (parent) {
            n--; /* the slash */
            while (n && out[n - 1] != '/')
                n--;
        } else if (!text_is(part, ".") && (part.len || i == 0)) {
            memcpy(out + n, part.at, part.len);
            n += part.len;
            if (end < path.len)
                out[n++] = '/';
        }
        i = end + 1;
    }
    return (struct text){out, n};
}

static enum fault load(void *context, struct arena *a, struct text from, struct text wanted, struct text *path,
                       struct text *bytes, struct text *why)
{
    struct loading *loading = context;
    if (!wanted.len || memchr(wanted.at, 0, wanted.len)) {
        *why = TEXT("the path is empty or has a NUL byte");
        return FAULT_use_not_found;
    }
    struct text folder = wanted.at[0] == '/' ? TEXT("") : folder_of(from);
    *path = tidy_path(a, arena_format(a, "%.*s%.*s", TEXT_ARGS(folder), TEXT_ARGS(wanted)));
    struct text z = arena_text(a, *path), real = real_path(a, z.at);
    bool inside = real.len > loading->root.len && memcmp(real.at, loading->root.at, loading->root.len) == 0 &&
                  (real.at[loading->root.len] == '/' || loading->root.len == 1);
    if (real.len && loading->root.len && !inside && !loading->options->allow_outside) {
        *why = TEXT("it lies outside the recipe's folder");
        *path = TEXT("");
        return FAULT_use_outside;
    }
    return read_file(a, z.at, bytes, why);
}

/* ---- a recipe ------------------------------------------------------------------------------------------------------------------- */

struct strokewright_library *load_library(const struct options *o)
{
    char today[DAY_SIZE];
    const char *from;
    if (!find_today(o, today, &from))
        return NULL;
    struct strokewright_library *l = strokewright_library_new();
    if (!l) {
        complain("out of memory");
        return NULL;
    }
    l->arena.exhausted = out_of_memory();
    l->today = arena_text(&l->arena, text_of(today));
    l->today_from = text_of(from);
    if (l->diagnostics.all.count) { /* a fault of the build, shown so that whoever changed the library sees it */
        diagnostics_sort(&l->diagnostics);
        struct buffer b;
        buffer_init(&b, &l->arena);
        render_text(&b, &l->sources, &l->diagnostics, (struct render_style){.width = 100});
        fwrite(b.at, 1, b.count, stderr);
    }
    return l;
}

struct diagnostics diagnostics_from(const struct diagnostics *all, enum severity least)
{
    struct diagnostics shown = *all;
    shown.all.at = ARENA_ARRAY(all->arena, all->all.count, struct diagnostic *);
    shown.all.count = 0;
    for (uint32_t i = 0; i < all->all.count; i++)
        if (all->all.at[i]->severity >= least)
            shown.all.at[shown.all.count++] = all->all.at[i];
    return shown;
}

void print_diagnostics(struct opened_recipe *o, const struct options *options, enum severity least)
{
    struct strokewright_recipe *r = o->recipe;
    struct diagnostics shown = diagnostics_from(&r->diagnostics, least);
    struct buffer b;
    buffer_init(&b, &r->arena);
    render_text(&b, &r->sources, &shown,
                (struct render_style){.color = options->color, .width = options->width, .terminal = options->terminal});
    if (b.count)
        fwrite(b.at, 1, b.count, stderr);
}

void begin_recipe(struct opened_recipe *o, const char *path, const struct options *options)
{
    *o = (struct opened_recipe){.loading = {.options = options}};
    arena_init(&o->arena, out_of_memory());
    struct text real = real_path(&o->arena, path), folder = folder_of(real);
    if (!real.len) /* of a file that is no more: the folder it is asked about from */
        o->loading.root = real_path(&o->arena, ".");
    else
        o->loading.root = folder.len > 1 ? (struct text){folder.at, folder.len - 1} : folder;
    o->loader = (struct loader){&o->loading, load};
}

/* The first half: the file's bytes, which stay in the arena. False when it cannot be read: said already. */
static bool read_recipe(struct opened_recipe *o, const char *path, const struct options *options, struct text *bytes)
{
    struct text why = TEXT("");
    begin_recipe(o, path, options);
    if (read_input(&o->arena, path, bytes, &why) == (enum fault)LOAD_OK)
        return true;
    complain("cannot read %.*s: %.*s", TEXT_ARGS(shown_path(path)), TEXT_ARGS(why));
    arena_free(&o->arena);
    return false;
}

bool open_recipe(struct opened_recipe *o, const struct strokewright_library *library, const struct demand *demand,
                 const char *path, const struct options *options)
{
    struct text bytes;
    return read_recipe(o, path, options, &bytes) && compile_opened(o, library, demand, shown_path(path), bytes);
}

static void compile_only(struct opened_recipe *o, const struct strokewright_library *library,
                         const struct demand *demand, struct text path, struct text bytes)
{
    o->recipe = recipe_compile(library, demand, path, bytes, &o->loader);
}

static bool has_compiled(struct opened_recipe *o, struct text path)
{
    if (o->recipe && o->recipe->state != STROKEWRIGHT_NO_MEMORY) {
        recipe_out_of_memory(o);
        return true;
    }
    complain("out of memory while reading %.*s", TEXT_ARGS(path));
    close_recipe(o);
    return false;
}

bool compile_opened(struct opened_recipe *o, const struct strokewright_library *library, const struct demand *demand,
                    struct text path, struct text bytes)
{
    compile_only(o, library, demand, path, bytes);
    return has_compiled(o, path);
}

struct compiling {
    const struct strokewright_library *library;
    const struct demand *demand;
    struct opened_recipe *to[2];
    const struct text *path, *bytes;
};

static void compile_side(void *compiling, uint32_t side, uint32_t worker)
{
    const struct compiling *c = compiling;
    (void)worker;
    compile_only(c->to[side], c->library, c->demand, c->path[side], c->bytes[side]);
}

bool compile_both(struct opened_recipe *old, struct opened_recipe *new, const struct strokewright_library *library,
                  const struct demand *demand, const struct text path[2], const struct text bytes[2])
{
    struct compiling both = {library, demand, {old, new}, path, bytes};
    pool_run(2, compile_side, NULL, &both);
    bool good = has_compiled(old, path[0]);
    if (!has_compiled(new, path[1]) && good)
        close_recipe(old);
    else if (!good && new->recipe)
        close_recipe(new);
    return good && new->recipe;
}

bool open_both(struct opened_recipe *old, struct opened_recipe *new, const struct strokewright_library *library,
               const struct demand *demand, const char *const path[2], const struct options *options)
{
    struct text bytes[2];
    if (!read_recipe(old, path[0], options, &bytes[0]))
        return false;
    if (!read_recipe(new, path[1], options, &bytes[1])) {
        close_recipe(old);
        return false;
    }
    return compile_both(old, new, library, demand, (const struct text[]){shown_path(path[0]), shown_path(path[1])},
                        bytes);
}

void close_recipe(struct opened_recipe *o)
{
    strokewright_free(o->recipe);
    o->recipe = NULL;
    arena_free(&o->arena);
}
