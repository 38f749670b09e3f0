/* Drawing pages: opens the shared object that can, when it is needed. */
#ifndef COMPILER_CLI_PAGES_H
#define COMPILER_CLI_PAGES_H

#include "compiler/emit/pages/pages.h"
#include "runtime/base/crew.h"

struct pages { /* stays where it is until it is closed */
    struct crew *crew;
    struct task opening;
    const struct pages_maker *maker;
    struct pages_shop *shop;
    char why[1024]; /* when there is no maker */
};

/* Loads what draws and its fonts beside the caller's own work, which takes as long as compiling a recipe; what goes wrong
 * is told when a page is drawn. */
void pages_open(struct pages *, struct crew *);
/* False and *why when the shared object is not there or the pages could not be drawn. */
bool pages_draw(struct pages *, const struct step_table *, const struct pages_request *, struct buffer out[PAGE_COUNT],
                struct text *why);
void pages_close(struct pages *);

/* The three in a row. */
bool draw_pages(const struct step_table *, const struct pages_request *, struct buffer out[PAGE_COUNT],
                struct text *why);

#endif
