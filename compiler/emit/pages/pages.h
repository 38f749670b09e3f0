/* Pages: what is drawn. Built into strokewright-pages.so, which is opened only when a page is asked for, because
 * loading Cairo, Pango and Graphviz takes ten times as long as checking a recipe.
 *
 * In: a finished step table, or a window map or graph, and what is wanted of them. Out: the bytes of each page in a
 * buffer of the caller's. The shared object shows one thing, PAGES_SYMBOL. It keeps no state of its own, but the libraries
 * below it do: use it from one thread at a time, and never close it with dlclose(). */
#ifndef COMPILER_EMIT_PAGES_PAGES_H
#define COMPILER_EMIT_PAGES_PAGES_H

#include "compiler/judge/window_map.h"
#include "compiler/table/step_table.h"
#include "runtime/base/buffer.h"

enum page {
    PAGE_NONE,
    PAGE_TRAVELLER,
    PAGE_TOOL_SHEET,
    PAGE_INSPECTION,
    PAGE_FLOW_SVG,
    PAGE_FLOW_DOT,
    PAGE_REPORT,
    PAGE_TEMPERATURES_SVG,
    PAGE_FORCE_SVG,
    PAGE_MOVES_SVG,
    PAGE_MARGINS_SVG,
    PAGE_WINDOW_SVG, /* of request.window; the step table is not read */
    PAGE_GRAPH_SVG,  /* of request.graph; likewise */
    PAGE_COUNT
};

enum paper_format { PAPER_A4, PAPER_LETTER, PAPER_FORMAT_COUNT };
struct paper_size {
    const char *name;     /* "a4" */
    double width, height; /* upright, in points of 1/72 inch */
};
extern const struct paper_size paper_sizes[PAPER_FORMAT_COUNT];

struct pages_request {
    uint32_t wanted; /* bits by enum page: 1u << PAGE_TRAVELLER */
    enum paper_format paper;
    const struct window_map *window;
    enum language language; /* of the window */
    struct text graph;      /* in the Graphviz language, with a NUL behind it */
};

/* Fills out[] of the pages wanted, each initialised by the caller. False when something went wrong: *why then says what,
 * and no buffer has been written to. True: *why is empty, or says what a reader of the pages must know, such as characters
 * that no font has. It stands in the arena of out[PAGE_TRAVELLER] or is a literal. */
typedef bool pages_function(const struct step_table *, const struct pages_request *, struct buffer out[PAGE_COUNT],
                            struct text *why);

#define PAGES_SYMBOL "strokewright_pages"
extern pages_function strokewright_pages;

#endif
