/* Window map: over one unknown how much margin each limit keeps, over two where every limit is proved.
 *
 * In: made by compiler/judge/window.c. Out: read by compiler/emit, which only arranges it. Values stand in the unit shown,
 * margins as shares of the bound (of a temperature, of a hundred kelvin). All in the recipe's arena. */
#ifndef COMPILER_JUDGE_WINDOW_MAP_H
#define COMPILER_JUDGE_WINDOW_MAP_H

#include "runtime/base/array.h"

enum window_state {
    WINDOW_PROVED,
    WINDOW_OPEN,   /* neither proved nor shown to be broken, at this fineness */
    WINDOW_REFUTED /* some limit is broken everywhere in it */
};

struct window_axis {
    struct text name;             /* "die.temperature" */
    struct text unit, print_unit; /* "degC", "°C"; empty: a pure number */
    double low, high;             /* the range it was looked for in */
    double chosen;                /* NaN: no value was found */
    uint32_t count;               /* points of the lines */
    double *at;                   /* ascending, the first low and the last high */
    struct text held;             /* "+/- 4 K", as the tolerance beside it; may be empty */
};

struct window_line {  /* a limit that depends on what is drawn */
    struct text name; /* "pull-in of body" */
    double *worst;    /* by point, the first axis counting slower: below 0 it is broken; NaN: no value, or idle there */
    double *above;    /* over two unknowns, of a limit within two bounds: the same for the upper one; else NULL */
    double least, most; /* of them */
    char letter; /* 'A' for the one that closes most of the map, and so on; 0: it closes nothing, or too little */
};

struct window_cell {
    double low[2], high[2];
    enum window_state state;
    uint32_t line; /* what is to blame for a cell that is not proved */
};

struct window_map {
    struct text title, part, revision, fingerprint;
    uint32_t axes; /* 1 or 2 */
    struct window_axis axis[2];
    bool proved_lines;   /* margins are proved; else they are of first order in the tolerances */
    bool without_waived; /* limits that are waived were left out */
    struct text others;  /* "sheet.width = 129 mm": unknowns that are not drawn; may be empty */
    ARRAY(struct window_line) lines;
    ARRAY(struct window_cell) cells; /* cover the ranges, without overlap */
};

#endif
