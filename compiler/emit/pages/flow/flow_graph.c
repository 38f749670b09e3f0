/* The flow diagram as a graph of Graphviz: written out as DOT, or laid out by dot.
 *
 * Graphviz is told the size of every symbol, so its own idea of fonts does not matter. Its plugins are linked in and
 * listed here, so it reads no configuration and searches for none. No memory of the arena is asked for while a graph
 * stands: the arena may jump out, and the graph would be lost. */
#include "compiler/emit/pages/flow/flow.h"

#include "compiler/emit/escape.h"

#include <graphviz/gvc.h>
#include <graphviz/gvplugin.h>
#include <stdio.h>

extern gvplugin_library_t gvplugin_dot_layout_LTX_library, gvplugin_core_LTX_library;

static const lt_symlist_t plugins[] = {{"gvplugin_dot_layout_LTX_library", &gvplugin_dot_layout_LTX_library},
                                       {"gvplugin_core_LTX_library", &gvplugin_core_LTX_library},
                                       {NULL, NULL}};

static int be_quiet(char *message)
{
    (void)message;
    return 0;
}

/* ---- building ----------------------------------------------------------------------------------------------------- */

/* libcgraph takes char * and copies what it is given. */
static char *given(const char *name)
{
    union {
        const char *ours;
        char *theirs;
    } both = {name};
    return both.theirs;
}

static void set(void *object, const char *name, const char *value)
{
    agset(object, given(name), given(value));
}

static void declare(Agraph_t *g, int kind, const char *name, const char *standard)
{
    agattr(g, kind, given(name), given(standard));
}

static void set_length(void *object, const char *name, double points)
{
    char inches[32];
    long hundredths = (long)(points / 72 * 10000 + 0.5); /* printf's %f would ask the locale for its point */
    snprintf(inches, sizeof inches, "%ld.%04ld", hundredths / 10000, hundredths % 10000);
    set(object, name, inches);
}

static void declare_attributes(Agraph_t *g)
{
    declare(g, AGRAPH, "rankdir", "TB");
    declare(g, AGRAPH, "nodesep", "0.38");
    declare(g, AGRAPH, "ranksep", "0.32");
    declare(g, AGRAPH, "rank", "");
    declare(g, AGNODE, "label", "");
    declare(g, AGNODE, "shape", "box");
    declare(g, AGNODE, "style", "");
    declare(g, AGNODE, "group", "");
    declare(g, AGNODE, "fontname", FONT_FAMILY);
    declare(g, AGEDGE, "label", "");
    declare(g, AGEDGE, "style", "");
    declare(g, AGEDGE, "dir", "forward");
    declare(g, AGEDGE, "constraint", "true");
    declare(g, AGEDGE, "weight", "1");
    declare(g, AGEDGE, "fontname", FONT_FAMILY);
}

/* Names of the Graphviz shapes nearest to the symbols. */
static const struct {
    const char *shape, *style;
} shape_names[] = {[SYMBOL_PROCESS] = {"box", ""},         [SYMBOL_PREPARATION] = {"hexagon", ""},
                   [SYMBOL_MANUAL] = {"invtrapezium", ""}, [SYMBOL_DECISION] = {"diamond", ""},
                   [SYMBOL_DELAY] = {"box", ""},           [SYMBOL_TERMINATOR] = {"box", "rounded"},
                   [SYMBOL_CONNECTOR] = {"circle", ""},    [SYMBOL_NOTE] = {"plaintext", ""}};

static bool in_chain(const struct flow_node *n)
{
    return n->number || strcmp(n->id, "start") == 0 || strcmp(n->id, "end") == 0;
}

static Agnode_t *build_node(Agraph_t *g, const struct flow_node *n, const char *label, bool sized)
{
    Agnode_t *node = agnode(g, given(n->id), 1);
    set(node, "label", label);
    set(node, "shape", sized ? "box" : shape_names[n->symbol].shape);
    set(node, "style", sized ? "" : shape_names[n->symbol].style);
    set(node, "group", in_chain(n) ? "chain" : "");
    if (sized) {
        set_length(node, "width", n->width);
        set_length(node, "height", n->height);
    }
    return node;
}

/* What stands at the right of a step stands in its row. Rows have no names: libcgraph sorts subgraphs by a number that
 * it makes from the address of the name, so with names the same diagram would be written in another order each time. */
static void build_row(Agraph_t *g, Agnode_t *from, Agnode_t *to)
{
    Agraph_t *row = agsubg(g, NULL, 1);
    set(row, "rank", "same");
    agsubnode(row, from, 1);
    agsubnode(row, to, 1);
}

static void build_edge(Agraph_t *g, const struct flow_edge *e, Agnode_t *const *nodes, bool sized)
{
    static const char *const names[] = {
        [FLOW_NEXT] = "next", [FLOW_ASIDE] = "aside", [FLOW_NOTE] = "note", [FLOW_BACK] = "back"};
    if (e->from == NO_NODE || e->to == NO_NODE)
        return;
    Agedge_t *edge = agedge(g, nodes[e->from], nodes[e->to], given(names[e->relation]), 1);
    if (e->label.len && !sized)
        set(edge, "label", e->label.at);
    if (e->relation == FLOW_NEXT)
        set(edge, "weight", "100");
    if (e->relation == FLOW_BACK)
        set(edge, "constraint", "false");
    if (e->relation == FLOW_NOTE) {
        set(edge, "style", "dashed");
        set(edge, "dir", "none");
    }
    if (e->relation == FLOW_ASIDE || e->relation == FLOW_NOTE)
        build_row(g, nodes[e->from], nodes[e->to]);
}

/* labels: one for each node, for a graph that is written; NULL for one that is laid out, sized, rework left away:
 * its lines are ours to draw. */
static void build_graph(Agraph_t *g, const struct flow *f, const char *const *labels, Agnode_t **nodes)
{
    bool sized = !labels;
    declare_attributes(g);
    if (sized) {
        declare(g, AGNODE, "width", "1");
        declare(g, AGNODE, "height", "1");
        declare(g, AGNODE, "fixedsize", "true");
        set_length(g, "nodesep", f->aside);
    }
    for (uint32_t i = 0; i < f->nodes.count; i++)
        nodes[i] = build_node(g, &f->nodes.at[i], sized ? "" : labels[i], sized);
    for (uint32_t i = 0; i < f->edges.count; i++)
        if (!sized || f->edges.at[i].relation != FLOW_BACK)
            build_edge(g, &f->edges.at[i], nodes, sized);
}

/* ---- DOT ---------------------------------------------------------------------------------------------------------- */

static int put_to_stream(void *stream, const char *z)
{
    return stream_put(stream, z, strlen(z)) ? (int)strlen(z) : EOF;
}

static int flush_nothing(void *stream)
{
    (void)stream;
    return 0;
}

static const char *label_of(struct arena *a, const struct flow_node *n)
{
    struct buffer b;
    buffer_init(&b, a);
    if (n->number)
        buffer_printf(&b, "%u  ", n->number);
    escape_put_dot(&b, n->what);
    if (n->detail.len) {
        buffer_put(&b, TEXT("\\n"));
        escape_put_dot(&b, n->detail);
    }
    return arena_text(a, buffer_text(&b)).at;
}

bool flow_dot(struct arena *arena, const struct step_table *t, struct stream *out)
{
    struct flow *f = flow_collect(arena, t, flow_whole(t));
    const char **labels = ARENA_ARRAY(arena, f->nodes.count, const char *);
    Agnode_t **nodes = ARENA_ARRAY(arena, f->nodes.count, Agnode_t *);
    for (uint32_t i = 0; i < f->nodes.count; i++)
        labels[i] = label_of(arena, &f->nodes.at[i]);
    Agiodisc_t io = {.putstr = put_to_stream, .flush = flush_nothing};
    Agdisc_t disc = {&AgMemDisc, &AgIdDisc, &io};
    agusererrf before = agseterrf(be_quiet);
    Agraph_t *g = agopen((char *)"flow", Agdirected, &disc);
    if (g) {
        build_graph(g, f, labels, nodes);
        agattr(g, AGRAPH, (char *)"fingerprint", (char *)"");
        set(g, "fingerprint", arena_text(arena, t->fingerprint).at);
        agwrite(g, out);
        agclose(g);
    }
    agseterrf(before);
    return g && !out->failed;
}

/* ---- layout ------------------------------------------------------------------------------------------------------- */

static void read_places(struct flow *f, Agraph_t *g, Agnode_t *const *nodes)
{
    double top = GD_bb(g).UR.y; /* Graphviz counts upwards */
    for (uint32_t i = 0; i < f->nodes.count; i++) {
        f->nodes.at[i].x = ND_coord(nodes[i]).x;
        f->nodes.at[i].y = top - ND_coord(nodes[i]).y;
    }
}

const char *flow_layout(struct flow *f)
{
    Agnode_t **nodes = ARENA_ARRAY(f->arena, f->nodes.count, Agnode_t *);
    const char *fault = "Graphviz could not lay out the flow diagram";
    agusererrf before = agseterrf(be_quiet);
    GVC_t *context = gvContextPlugins(plugins, 0);
    Agraph_t *g = context ? agopen((char *)"flow", Agdirected, NULL) : NULL;
    if (g) {
        build_graph(g, f, NULL, nodes);
        if (gvLayout(context, g, "dot") == 0) {
            read_places(f, g, nodes);
            fault = NULL;
            gvFreeLayout(context, g);
        }
        agclose(g);
    }
    if (context)
        gvFreeContext(context);
    agseterrf(before);
    return fault;
}

/* ---- any graph ---------------------------------------------------------------------------------------------------- */

/* Graphviz puts its version into a comment; the same graph must give the same bytes wherever it is drawn. */
static bool put_without_comments(struct stream *out, const char *svg, size_t length)
{
    bool good = true;
    for (const char *at = svg, *end = svg + length; at < end && good;) {
        bool comment = end - at > 3 && memcmp(at, "<!--", 4) == 0;
        const char *stop = comment ? strstr(at, "-->") : NULL;
        if (stop) {
            at = stop + 3 + (stop[3] == '\n');
            continue;
        }
        const char *next = memchr(at + 1, '<', (size_t)(end - at - 1));
        next = next ? next : end;
        good = stream_put(out, at, (size_t)(next - at));
        at = next;
    }
    return good;
}

enum { GRAPH_TYPE = 10, GRAPH_PAD = 9 }; /* points */

/* Names and labels of all nodes, each with a NUL behind it. */
static bool list_labels(const char *dot, struct stream *out)
{
    Agraph_t *g = agmemread(dot);
    bool good = g != NULL;
    for (Agnode_t *n = g ? agfstnode(g) : NULL; n && good; n = agnxtnode(g, n)) {
        const char *name = agnameof(n), *label = agget(n, (char *)"label");
        label = label ? label : "";
        good = stream_put(out, name, strlen(name) + 1) && stream_put(out, label, strlen(label) + 1);
    }
    if (g)
        agclose(g);
    return good;
}

struct graph_node {
    const char *name;
    double width, height; /* points */
};

/* How large a label is in our own type, which is the one it is drawn in: lines end in \\n. */
static void measure_label(struct typesetter *t, const char *label, struct graph_node *out)
{
    static const struct type type = {.size = GRAPH_TYPE};
    while (label) {
        const char *end = strstr(label, "\\n");
        struct text line = {label, end ? (uint32_t)(end - label) : (uint32_t)strlen(label)};
        const struct typeset *w = typesetter_set(t, line, type, 0);
        out->width = out->width > w->width ? out->width : w->width;
        out->height += GRAPH_TYPE * 1.2;
        label = end ? end + 2 : NULL;
    }
    out->width += 2 * GRAPH_PAD;
    out->height += GRAPH_PAD;
}

static struct graph_node *measure_labels(struct typesetter *t, const struct stream *labels, uint32_t *count)
{
    ARRAY(struct graph_node) nodes = {0};
    for (const char *at = labels->at, *end = at + labels->count; at < end;) {
        struct graph_node *n = ARRAY_PUSH(t->arena, &nodes);
        *n = (struct graph_node){.name = at};
        at += strlen(at) + 1;
        measure_label(t, at, n);
        at += strlen(at) + 1;
    }
    *count = nodes.count;
    return nodes.at;
}

static void set_sizes(Agraph_t *g, const struct graph_node *nodes, uint32_t count)
{
    declare(g, AGNODE, "width", "0.1");
    declare(g, AGNODE, "height", "0.1");
    declare(g, AGNODE, "fontname", FONT_FAMILY);
    declare(g, AGNODE, "fontsize", "10");
    for (uint32_t i = 0; i < count; i++) {
        Agnode_t *n = agnode(g, given(nodes[i].name), 0);
        if (!n)
            continue;
        set_length(n, "width", nodes[i].width);
        set_length(n, "height", nodes[i].height);
    }
}

static bool render_svg(const char *dot, const struct graph_node *nodes, uint32_t count, struct stream *out)
{
    bool good = false;
    GVC_t *context = gvContextPlugins(plugins, 0);
    Agraph_t *g = context ? agmemread(dot) : NULL;
    if (g)
        set_sizes(g, nodes, count);
    if (g && gvLayout(context, g, "dot") == 0) {
        char *svg = NULL;
        unsigned length = 0;
        good = gvRenderData(context, g, "svg", &svg, &length) == 0 && put_without_comments(out, svg, length);
        gvFreeRenderData(svg);
        gvFreeLayout(context, g);
    }
    if (g)
        agclose(g);
    if (context)
        gvFreeContext(context);
    return good;
}

bool flow_graph_svg(struct typesetter *t, const char *dot, struct stream *labels, struct stream *out)
{
    agusererrf before = agseterrf(be_quiet);
    uint32_t count = 0;
    bool good = list_labels(dot, labels);
    const struct graph_node *nodes = good ? measure_labels(t, labels, &count) : NULL;
    good = good && render_svg(dot, nodes, count, out);
    agseterrf(before);
    return good;
}
