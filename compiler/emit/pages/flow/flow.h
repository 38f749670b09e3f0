/* The flow diagram: the steps, their decisions, and what runs beside the press, with symbols after ISO 5807.
 *
 * In: the steps of a step table, all or a stretch of them. Out: a DOT file, or a picture. Graphviz decides where the
 * symbols stand; the symbols and lines are drawn by us, so that type and rules agree with the rest of the page. */
#ifndef COMPILER_EMIT_PAGES_FLOW_FLOW_H
#define COMPILER_EMIT_PAGES_FLOW_FLOW_H

#include "compiler/emit/pages/drawing/drawing.h"
#include "compiler/emit/pages/drawing/stream.h"

enum flow_symbol { /* the outlines of enum step_shape, and some that are no steps */
                   SYMBOL_PROCESS,
                   SYMBOL_PREPARATION,
                   SYMBOL_MANUAL,
                   SYMBOL_DECISION,
                   SYMBOL_DELAY,
                   SYMBOL_TERMINATOR,
                   SYMBOL_CONNECTOR,
                   SYMBOL_NOTE
};

struct flow_node {
    enum flow_symbol symbol;
    char id[16];        /* "s10" */
    uint32_t number;    /* of the step; 0 for the others */
    bool beside;        /* runs beside the press */
    struct text what;   /* "Form the part in one stroke", "Start" */
    struct text detail; /* what is set: "ram speed 25 mm/s, hold 1.2 s" */
    const struct typeset *number_words, *what_words, *detail_words;
    double x, y, width, height; /* its middle and size, once it is laid out */
};

enum flow_relation {
    FLOW_NEXT,  /* down the chain */
    FLOW_ASIDE, /* to what stands at its right: scrap */
    FLOW_NOTE,  /* to a remark at its right */
    FLOW_BACK   /* rework: to a step further up */
};

struct flow_edge {
    enum flow_relation relation;
    uint32_t from, to;    /* nodes; FLOW_BACK that leaves the stretch has NO_NODE at one end */
    uint32_t step_number; /* FLOW_BACK: of the step it goes to */
    struct text label;    /* "accept", a NUL behind it; may be empty */
    const struct typeset *label_words;
};

enum { NO_NODE = UINT32_MAX };

struct flow {
    struct arena *arena;
    enum language language;
    ARRAY(struct flow_node) nodes;
    ARRAY(struct flow_edge) edges;
    double aside, lane; /* room that the labels need at the right and at the left of a decision */
};

struct flow_stretch {
    uint32_t first, end; /* indexes into the table's steps */
    char enters, leaves; /* letter of the connector at its ends; 0: start, end */
};

/* The whole diagram in the Graphviz language. False when memory runs out. */
bool flow_dot(struct arena *, const struct step_table *, struct stream *);
/* Any graph in the Graphviz language as an SVG, laid out and drawn by Graphviz, its boxes as large as their labels are in
 * our type. labels: room that the caller gives back, whatever happens. False when it cannot. */
bool flow_graph_svg(struct typesetter *, const char *dot, struct stream *labels, struct stream *);
/* A stretch as a picture; NULL with *why when Graphviz fails. */
const struct picture *flow_picture(struct typesetter *, const struct step_table *, struct flow_stretch,
                                   struct text *why);
/* Describes the whole diagram in words, for screen readers. */
struct text flow_text(struct arena *, const struct step_table *);
struct flow_stretch flow_whole(const struct step_table *);
enum { STRETCHES_MOST = 26 }; /* connectors are the letters of the alphabet */
/* One of `count` stretches of about the same length. */
struct flow_stretch flow_part(const struct step_table *, uint32_t i, uint32_t count);

/* ---- shared by the files of the flow diagram ---------------------------------------------------------------------- */

struct flow *flow_collect(struct arena *, const struct step_table *, struct flow_stretch);
/* Fills in where the nodes stand; NULL, or what went wrong. */
const char *flow_layout(struct flow *);
struct picture *flow_draw(struct typesetter *, const struct flow *);

#endif
