/* What git answers: bytes come out of the pipe in place of its answers, to the questions for some files and a revision.
 * Nothing is taken for a file but what the answer says is one, of the length it says. */
#include "compiler/cli/git.h"

#include <fcntl.h>
#include <stdlib.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

/* What it says is not looked at. */
int complain(const char *format, ...)
{
    (void)format;
    return EXIT_USE;
}

/* Both ends: a pipe holds more than the answers are long. */
static bool answers(struct git *g, const uint8_t *data, size_t size)
{
    int ends[2];
    if (pipe(ends))
        return false;
    must(write(ends[1], data, size) == (ssize_t)size);
    close(ends[1]);
    g->from = ends[0];
    g->to = open("/dev/null", O_WRONLY);
    return true;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char *const files[] = {"lid.recipe", "shop/bay.recipe", "lid.recipe", "a\nb", ""};
    struct arena arena;
    if (size > 16384)
        return 0;
    arena_init(&arena, NULL);
    struct git g = {.arena = &arena, .to = -1, .from = -1};
    buffer_init(&g.got, &arena);
    intern_init(&g.names, &arena, NULL);
    if (answers(&g, data, size)) {
        for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
            struct text bytes = TEXT("");
            enum git_answer answer = git_read(&g, TEXT("HEAD~1"), text_of(files[i]), &bytes);
            must(answer != GIT_FOUND || bytes.len <= size);
            /* Every byte can be read. */
            must(answer != GIT_FOUND || !bytes.len || memchr(bytes.at, bytes.at[bytes.len - 1], bytes.len));
        }
        close(g.to);
        close(g.from);
    }
    arena_free(&arena);
    return 0;
}
