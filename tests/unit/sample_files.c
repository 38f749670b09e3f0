#include "tests/unit/sample_files.h"

#include "runtime/base/buffer.h"

#include <check.h>
#include <stdio.h>

bool read_sample(struct arena *arena, const char *path, struct text *bytes)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        return false;
    struct buffer b;
    char piece[4096];
    buffer_init(&b, arena);
    for (size_t n; (n = fread(piece, 1, sizeof piece, f)) > 0;)
        buffer_put(&b, (struct text){piece, (uint32_t)n});
    fclose(f);
    *bytes = buffer_text(&b);
    return true;
}

struct text file_bytes(struct arena *arena, const char *path)
{
    struct text bytes = TEXT("");
    ck_assert_msg(read_sample(arena, path, &bytes), "%s is not there", path);
    return bytes;
}
