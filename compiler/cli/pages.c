#include "compiler/cli/pages.h"

#include <dlfcn.h>
#include <limits.h>
#include <stdio.h>
#include <unistd.h>

#define PAGES_FILE "strokewright-pages.so"

/* Beside the command, as it is built; or in ../lib/strokewright, as it is installed. */
static void *load_object(void)
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

static pages_function *find_function(struct arena *a, struct text *why)
{
    pages_function *function = NULL;
    void *object = load_object();
    const char *error = object ? NULL : dlerror();
    if (object)
        *(void **)&function = dlsym(object, PAGES_SYMBOL);
    if (object && !function)
        *why = TEXT(PAGES_FILE " is of another version");
    else if (!object)
        *why = arena_format(a, "%s cannot be loaded: %s", PAGES_FILE,
                            error ? error : "it is neither beside the command nor in ../lib/strokewright");
    return function;
}

bool draw_pages(const struct step_table *table, const struct pages_request *request, struct buffer out[PAGE_COUNT],
                struct text *why)
{
    pages_function *draw = find_function(out[PAGE_TRAVELLER].arena, why);
    return draw && draw(table, request, out, why);
}
