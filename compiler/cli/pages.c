#include "compiler/cli/pages.h"

#include <dlfcn.h>
#include <limits.h>
#include <stdio.h>
#include <unistd.h>

#define PAGES_FILE "strokewright-pages.so"

/* Beside the command, as it is built; or in ../lib/strokewright, as it is installed. */
static void *open_pages(void)
{
    static const char *const places[] = {"/" PAGES_FILE, "/../lib/strokewright/" PAGES_FILE};
    char self[PATH_MAX], path[PATH_MAX + 64];
    ssize_t n = readlink("/proc/self/exe", self, sizeof self - 1);
    if (n <= 0)
        return NULL;
    self[n] = 0;
    char *slash = strrchr(self, '/');
    *slash = 0;
    for (int i = 0; i < 2; i++) {
        snprintf(path, sizeof path, "%s%s", self, places[i]);
        if (access(path, R_OK) == 0)
            return dlopen(path, RTLD_NOW | RTLD_LOCAL);
    }
    return NULL;
}

bool draw_pages(const struct step_table *table, const struct pages_request *request, struct buffer out[PAGE_COUNT],
                struct text *why)
{
    void *object = open_pages();
    if (!object) {
        const char *error = dlerror();
        *why = arena_format(out[PAGE_TRAVELLER].arena, "%s cannot be loaded: %s", PAGES_FILE,
                            error ? error : "it is neither beside the command nor in ../lib/strokewright");
        return false;
    }
    pages_function *draw;
    *(void **)&draw = dlsym(object, PAGES_SYMBOL);
    if (!draw) {
        *why = TEXT(PAGES_FILE " is of another version");
        return false;
    }
    return draw(table, request, out, why);
}
