#include "runtime/base/buffer.h"
#include "runtime/base/array.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

void buffer_init(struct buffer *b, struct arena *arena)
{
    *b = (struct buffer){.arena = arena};
}

static void reserve(struct buffer *b, uint32_t extra)
{
    if (b->room - b->count < extra)
        ARRAY_RESERVE(b->arena, b, extra);
}

void buffer_put(struct buffer *b, struct text t)
{
    reserve(b, t.len);
    if (t.len)
        memcpy(b->at + b->count, t.at, t.len);
    b->count += t.len;
}

void buffer_putc(struct buffer *b, char c)
{
    reserve(b, 1);
    b->at[b->count++] = c;
}

void buffer_printf(struct buffer *b, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, format, args);
    if (n > 0) {
        reserve(b, (uint32_t)n + 1);
        vsnprintf(b->at + b->count, (size_t)n + 1, format, again);
        b->count += (uint32_t)n;
    }
    va_end(again);
    va_end(args);
}

void buffer_pad(struct buffer *b, char c, uint32_t count)
{
    reserve(b, count);
    if (count)
        memset(b->at + b->count, c, count);
    b->count += count;
}

struct text buffer_text(const struct buffer *b)
{
    return (struct text){b->at, b->count};
}

static int write_all(int fd, struct text t)
{
    while (t.len) {
        ssize_t n = write(fd, t.at, t.len);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return n < 0 ? errno : EIO;
        t.at += n;
        t.len -= (uint32_t)n;
    }
    return 0;
}

/* A device or a pipe of that name is not replaced by a file; a folder rename() itself refuses. */
static int in_the_way(const char *path)
{
    struct stat st;
    if (lstat(path, &st) || S_ISREG(st.st_mode) || S_ISLNK(st.st_mode) || S_ISDIR(st.st_mode))
        return 0;
    return EEXIST;
}

/* The rights of a new file: mkstemp makes them private, and what a shop prints is for everyone the umask allows. */
static mode_t usual_rights(void)
{
    mode_t mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

/* kept: what was there before is replaced only where it may be written to, and its rights stay. */
static int write_part(const char *path, struct text bytes, bool kept)
{
    struct stat before;
    bool replaces = kept && stat(path, &before) == 0;
    int way = replaces && !(before.st_mode & 0222) ? EROFS : in_the_way(path);
    if (way)
        return way;
    mode_t rights = replaces ? before.st_mode & 07777 : usual_rights();
    size_t n = strlen(path) + sizeof ".part-XXXXXX";
    char *part = malloc(n);
    if (!part)
        return ENOMEM;
    snprintf(part, n, "%s.part-XXXXXX", path);
    int fd = mkstemp(part), fault = fd < 0 ? errno : 0;
    if (fd >= 0) {
        if ((fault = write_all(fd, bytes)) == 0 && (fchmod(fd, rights) || (kept && fsync(fd))))
            fault = errno;
        if (close(fd) && !fault)
            fault = errno;
        if (!fault && rename(part, path))
            fault = errno;
        if (fault)
            unlink(part);
    }
    free(part);
    return fault;
}

int buffer_write_file(const char *path, struct text bytes)
{
    return write_part(path, bytes, false);
}

int buffer_write_kept(const char *path, struct text bytes)
{
    return write_part(path, bytes, true);
}

int buffer_read_file(struct arena *arena, const char *path, struct text *bytes)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        return errno;
    struct buffer b;
    char piece[4096];
    buffer_init(&b, arena);
    for (size_t n; (n = fread(piece, 1, sizeof piece, f)) > 0;)
        buffer_put(&b, (struct text){piece, (uint32_t)n});
    int fault = ferror(f) ? EIO : 0;
    fclose(f);
    *bytes = buffer_text(&b);
    return fault;
}
