#include "tests/unit/sample_files.h"

#include "runtime/base/buffer.h"

#include <check.h>

bool read_sample(struct arena *arena, const char *path, struct text *bytes)
{
    return buffer_read_file(arena, path, bytes) == 0;
}

struct text file_bytes(struct arena *arena, const char *path)
{
    struct text bytes = TEXT("");
    ck_assert_msg(read_sample(arena, path, &bytes), "%s is not there", path);
    return bytes;
}
