/* Drawing pages: loads the shared object that draws, when it is needed. */
#ifndef COMPILER_CLI_PAGES_H
#define COMPILER_CLI_PAGES_H

#include "compiler/emit/pages/pages.h"

/* False and *why when the shared object is not there or the pages could not be drawn; else as pages_function says. */
bool draw_pages(const struct step_table *, const struct pages_request *, struct buffer out[PAGE_COUNT],
                struct text *why);

#endif
