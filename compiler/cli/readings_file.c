#include "compiler/cli/readings_file.h"
#include "compiler/text/render.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

static ptrdiff_t read_some(void *context, char *at, size_t room)
{
    const struct readings_file *f = context;
    ssize_t got;
    do
        got = read(f->fd, at, room);
    while (got < 0 && errno == EINTR);
    return got;
}

/* ---- options --------------------------------------------------------------------------------------------------------------- */

struct named_sign {
    const char *name;
    char sign;
};
static const struct named_sign separators[] = {{"comma", ','}, {"semicolon", ';'}, {"tab", '\t'}};
static const struct named_sign decimals[] = {{"point", '.'}, {"comma", ','}};

static char sign_named(const struct named_sign *rows, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(rows[i].name, name) == 0)
            return rows[i].sign;
    return 0;
}

static bool read_options(const struct options *o, struct readings_options *out)
{
    *out = (struct readings_options){0};
    if (o->separator)
        out->separator = sign_named(separators, sizeof separators / sizeof separators[0], o->separator);
    if (o->separator && !out->separator) {
        complain("--separator takes comma, semicolon or tab, not '%s'", o->separator);
        return false;
    }
    if (o->decimal)
        out->sign = (enum decimal_sign)sign_named(decimals, sizeof decimals / sizeof decimals[0], o->decimal);
    if (o->decimal && !out->sign) {
        complain("--decimal takes point or comma, not '%s'", o->decimal);
        return false;
    }
    return true;
}

/* ---- the file ---------------------------------------------------------------------------------------------------------------- */

static bool open_file(struct readings_file *f, const char *path)
{
    struct stat st;
    f->fd = is_stdin(path) ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);
    if (f->fd < 0) {
        complain("cannot read %s: %s", path, strerror(errno));
        return false;
    }
    if (fstat(f->fd, &st) == 0 && S_ISDIR(st.st_mode)) {
        complain("cannot read %s: it is a folder", path);
        close_readings(f);
        return false;
    }
    return true;
}

bool open_readings(struct readings_file *f, struct arena *a, const char *path, const struct options *o, int *status)
{
    struct readings_options how;
    *status = EXIT_USE;
    if (!read_options(o, &how) || !open_file(f, path))
        return false;
    if (readings_open(&f->readings, a, NULL, shown_path(path), (struct csv_input){f, read_some}, how))
        return true;
    print_readings_faults(f, o);
    close_readings(f);
    *status = EXIT_FAULTS;
    return false;
}

void print_readings_faults(struct readings_file *f, const struct options *o)
{
    struct readings *r = &f->readings;
    struct buffer b;
    buffer_init(&b, r->arena);
    render_text(&b, &r->sources, &r->diagnostics,
                (struct render_style){.color = o->color, .width = o->width, .terminal = o->terminal});
    if (b.count)
        fwrite(b.at, 1, b.count, stderr);
}

void close_readings(struct readings_file *f)
{
    if (f->fd > STDIN_FILENO)
        close(f->fd);
    f->fd = -1;
}
