#include "compiler/cli/pages.h"
#include "runtime/base/heap.h"

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

/* The loader's message is kept for the thread that it happened in, so it is written down. */
static void find_maker(struct pages *p)
{
    void *object = load_object();
    const char *error = object ? NULL : dlerror();
    if (object)
        *(const void **)&p->maker = dlsym(object, PAGES_SYMBOL);
    if (object && !p->maker)
        snprintf(p->why, sizeof p->why, PAGES_FILE " is of another version");
    else if (!object)
        snprintf(p->why, sizeof p->why, "%s cannot be loaded: %s", PAGES_FILE,
                 error ? error : "it is neither beside the command nor in ../lib/strokewright");
}

static void open_shop(void *pages)
{
    struct pages *p = pages;
    find_maker(p);
    if (p->maker)
        p->shop = p->maker->open();
}

void pages_open(struct pages *p, struct crew *crew)
{
    *p = (struct pages){.crew = crew};
    heap_for_each_thread();
    crew_offer(crew, &p->opening, open_shop, p);
}

bool pages_draw(struct pages *p, const struct step_table *table, const struct pages_request *request,
                struct buffer out[PAGE_COUNT], struct text *why)
{
    crew_finish(p->crew, &p->opening);
    if (p->maker)
        return p->maker->make(p->shop, table, request, out, why);
    *why = arena_text(out[PAGE_TRAVELLER].arena, text_of(p->why));
    return false;
}

void pages_close(struct pages *p)
{
    crew_finish(p->crew, &p->opening);
    if (p->maker)
        p->maker->close(p->shop);
}

bool draw_pages(const struct step_table *table, const struct pages_request *request, struct buffer out[PAGE_COUNT],
                struct text *why)
{
    struct pages pages;
    pages_open(&pages, request->crew);
    bool good = pages_draw(&pages, table, request, out, why);
    pages_close(&pages);
    return good;
}
