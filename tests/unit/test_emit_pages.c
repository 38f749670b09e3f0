/* The drawn pages, through the shared object's entry point, as the command uses it.
 *
 *   test_emit_pages                     runs the tests
 *   test_emit_pages --write DIR NAME    writes every output of a sample into DIR, for the checks by other programs;
 *                                       NAME is lid, long, empty, or words that stand in every text
 *
 * link: -lcgraph
 */
#include "compiler/emit/emit.h"
#include "tests/unit/sample_table.h"

#include <check.h>
#include <dlfcn.h>
#include <graphviz/cgraph.h>
#include <stdio.h>
#include <stdlib.h>

static struct arena arena;
static struct buffer out[PAGE_COUNT];

static pages_function *load_pages(void)
{
    const char *build = getenv("B");
    struct text path = arena_format(&arena, "%s/strokewright-pages.so", build ? build : "build");
    void *object = dlopen(path.at, RTLD_NOW | RTLD_LOCAL | RTLD_NODELETE);
    if (!object) {
        fprintf(stderr, "%s\n", dlerror());
        exit(EXIT_FAILURE);
    }
    pages_function *function = NULL;
    *(void **)&function = dlsym(object, PAGES_SYMBOL);
    return function;
}

/* What is made of a step table and of nothing else. */
static bool is_of_table(int page)
{
    return page != PAGE_WINDOW_SVG && page != PAGE_GRAPH_SVG;
}

enum { OTHERS = 1u << PAGE_WINDOW_SVG | 1u << PAGE_GRAPH_SVG };
static struct pages_request request = {.wanted = ~1u & ~(unsigned)OTHERS, .paper = PAPER_A4};

static bool make(const struct step_table *t)
{
    struct text why = TEXT("");
    for (int i = 0; i < PAGE_COUNT; i++)
        buffer_init(&out[i], &arena);
    bool made = load_pages()(t, &request, out, &why);
    if (!made)
        fprintf(stderr, "%.*s\n", TEXT_ARGS(why));
    return made;
}

static struct text page(enum page which)
{
    return arena_text(&arena, buffer_text(&out[which]));
}

static void setup(void)
{
    arena_init(&arena, NULL);
}

static void teardown(void)
{
    arena_free(&arena);
}

static bool has(struct text t, const char *words)
{
    size_t n = strlen(words);
    for (uint32_t i = 0; i + n <= t.len; i++)
        if (memcmp(t.at + i, words, n) == 0)
            return true;
    return false;
}

/* ---- PDF ---------------------------------------------------------------------------------------------------------- */

static void check_pdf(struct text pdf)
{
    ck_assert_uint_gt(pdf.len, 1000);
    ck_assert(memcmp(pdf.at, "%PDF-1.", 7) == 0);
    ck_assert(has((struct text){pdf.at + pdf.len - 8, 8}, "%%EOF"));
}

START_TEST(same_table_same_bytes)
{
    struct text first[PAGE_COUNT];
    ck_assert(make(sample_table(&arena)));
    for (int i = PAGE_NONE + 1; i < PAGE_COUNT; i++)
        first[i] = page(i);
    check_pdf(first[PAGE_TRAVELLER]);
    ck_assert(make(sample_table(&arena)));
    for (int i = PAGE_NONE + 1; i < PAGE_COUNT; i++)
        ck_assert((first[i].len || !is_of_table(i)) && text_same(first[i], page(i)));
}
END_TEST

START_TEST(its_date_is_the_recipes)
{
    ck_assert(make(sample_table(&arena)));
    ck_assert(has(page(PAGE_TRAVELLER), "/CreationDate (20261102000000Z)"));
}
END_TEST

START_TEST(a_date_that_is_none_is_not_todays)
{
    struct step_table *t = sample_table(&arena);
    t->date = TEXT("2026-11-0x");
    ck_assert(make(t));
    ck_assert(has(page(PAGE_TRAVELLER), "/CreationDate (19700101000000Z)"));
}
END_TEST

START_TEST(a_head_alone_makes_a_page)
{
    ck_assert(make(sample_empty_table(&arena)));
    check_pdf(page(PAGE_TRAVELLER));
}
END_TEST

static uint32_t pages_of(struct text pdf)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i + 12 < pdf.len; i++)
        count += memcmp(pdf.at + i, "/Type /Page ", 12) == 0;
    return count;
}

START_TEST(more_rows_more_pages)
{
    ck_assert(make(sample_table(&arena)));
    uint32_t few = pages_of(page(PAGE_TRAVELLER));
    ck_assert(make(sample_long_table(&arena, 40, 60)));
    uint32_t many = pages_of(page(PAGE_TRAVELLER));
    ck_assert_uint_ge(few, 3);
    ck_assert_uint_ge(many, few + 6);
}
END_TEST

START_TEST(a_step_longer_than_a_page_is_not_lost)
{
    struct step_table *t = sample_table(&arena);
    struct buffer b;
    buffer_init(&b, &arena);
    for (int i = 0; i < 400; i++)
        buffer_put(&b, TEXT("Wipe the tool, look, and wipe again. "));
    t->steps.at[2].instruction = buffer_text(&b);
    for (int i = 0; i < 60; i++) {
        struct setting copy = t->steps.at[3].settings.at[0];
        *ARRAY_PUSH(&arena, &t->steps.at[3].settings) = copy;
    }
    ck_assert(make(t));
    check_pdf(page(PAGE_TRAVELLER));
}
END_TEST

/* ---- SVG ---------------------------------------------------------------------------------------------------------- */

static const char *const svg_tags[] = {"?xml", "svg", "title", "desc", "rect", "g", "path", "text"};

static bool is_svg_tag(struct text t)
{
    for (size_t i = 0; i < sizeof svg_tags / sizeof svg_tags[0]; i++)
        if (text_is(t, svg_tags[i]))
            return true;
    return false;
}

/* Walks the file as a reader of XML does; every element must be one that we write. Gives how many there are. */
static uint32_t check_svg(struct text svg)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < svg.len; i++) {
        if (svg.at[i] != '<')
            continue;
        uint32_t from = i + 1 + (svg.at[i + 1] == '/'), to = from;
        while (strcspn(svg.at + to, " />?\n") && to < svg.len)
            to++;
        to += svg.at[to] == '?' && to == from ? 4 : 0;
        ck_assert_msg(is_svg_tag((struct text){svg.at + from, to - from}), "<%.*s>", (int)(to - from), svg.at + from);
        bool quoted = false;
        for (; i < svg.len && (quoted || svg.at[i] != '>'); i++)
            quoted ^= svg.at[i] == '"';
        count++;
    }
    return count;
}

START_TEST(the_diagram_shows_every_step)
{
    const struct step_table *t = sample_table(&arena);
    ck_assert(make(t));
    struct text svg = page(PAGE_FLOW_SVG);
    check_svg(svg);
    for (uint32_t i = 0; i < t->steps.count; i++) {
        struct text number = arena_format(&arena, ">%u</text>", t->steps.at[i].number);
        ck_assert_msg(has(svg, number.at), "step %u is missing", t->steps.at[i].number);
    }
    static const char *const words[] = {"accept", "rework", "scrap", "Scrap", "Start", "End", "beside the"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        ck_assert_msg(has(svg, arena_format(&arena, ">%s</text>", words[i]).at), "%s is missing", words[i]);
}
END_TEST

START_TEST(units_are_in_print)
{
    ck_assert(make(sample_table(&arena)));
    ck_assert(has(page(PAGE_FLOW_SVG), "ram speed\xC2\xA0"
                                       "25\xC2\xA0mm/s"));
}
END_TEST

/* ---- DOT ---------------------------------------------------------------------------------------------------------- */

/* As libcgraph itself reads the file back. */
static Agraph_t *read_dot(struct text dot)
{
    Agraph_t *g = agmemread(dot.at);
    ck_assert_ptr_nonnull(g);
    return g;
}

static const char *attribute(Agraph_t *g, const char *node, const char *name)
{
    Agnode_t *n = agnode(g, (char *)node, 0);
    ck_assert_msg(n, "%s is missing", node);
    return agget(n, (char *)name);
}

START_TEST(the_graph_has_the_shapes_of_iso_5807)
{
    ck_assert(make(sample_table(&arena)));
    Agraph_t *g = read_dot(page(PAGE_FLOW_DOT));
    /* ISO 5807:1985: preparation is a hexagon, manual operation a trapezium wider at its top, decision a rhombus,
     * terminator a box with round ends. */
    ck_assert_str_eq(attribute(g, "s10", "shape"), "hexagon");
    ck_assert_str_eq(attribute(g, "s20", "shape"), "invtrapezium");
    ck_assert_str_eq(attribute(g, "s30", "shape"), "box");
    ck_assert_str_eq(attribute(g, "s60", "shape"), "diamond");
    ck_assert_str_eq(attribute(g, "start", "style"), "rounded");
    ck_assert_str_eq(attribute(g, "s40", "label"), "40  Form the part in one stroke\\nram speed\xC2\xA0"
                                                   "25\xC2\xA0mm/s, hold\xC2\xA0"
                                                   "1.2\xC2\xA0s, pressing\xC2\xA0"
                                                   "5.0\xC2\xA0MPa");
    agclose(g);
}
END_TEST

START_TEST(the_graph_has_the_branches)
{
    static const struct {
        const char *from, *to, *label;
    } branches[] = {{"s60", "end", "accept"}, {"s60", "s30", "rework"}, {"s60", "x60", "scrap"}, {"s10", "s20", ""}};
    ck_assert(make(sample_table(&arena)));
    Agraph_t *g = read_dot(page(PAGE_FLOW_DOT));
    for (size_t i = 0; i < sizeof branches / sizeof branches[0]; i++) {
        Agnode_t *from = agnode(g, (char *)branches[i].from, 0), *to = agnode(g, (char *)branches[i].to, 0);
        Agedge_t *e = from && to ? agedge(g, from, to, NULL, 0) : NULL;
        ck_assert_msg(e, "%s to %s is missing", branches[i].from, branches[i].to);
        ck_assert_str_eq(agget(e, "label"), branches[i].label);
    }
    agclose(g);
}
END_TEST

/* ---- words that would break out ----------------------------------------------------------------------------------- */

static const char *const hostile[] = {
    "</text><script>alert(1)</script>",
    "\" onload=\"alert(1)",
    "' onload='alert(1)",
    "<![CDATA[ ]]> &lt; &#x3c; &nbsp;",
    "\"; evil [label=\"x\"]; \"",
    "back\\",
    "\\\"] evil [x=\\\"",
    "\\N \\G \\l \\x",
    "<b>html</b>",
    "<>",
    "-->",
    "%s %n %d {x} ${y} `z`",
    "\x01\x1B[2J\x7F\xFF\xC3\n\t",
    "\xE2\x80\xAE turned \xEF\xBF\xBE",
    "=cmd|' /C calc'!A0",
    "\xE6\xB8\xA9\xE5\xBA\xA6 \xD7\x98\xD7\x9E\xD7\xA4 \xF0\x9F\x94\xA5",
    "-",
    "200 degC +/- 4 K .. -5",
    "",
    " ",
    "wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
};

START_TEST(no_words_break_out)
{
    ck_assert(make(sample_table(&arena)));
    Agraph_t *plain = read_dot(page(PAGE_FLOW_DOT));
    int nodes = agnnodes(plain), edges = agnedges(plain);
    agclose(plain);
    ck_assert(make(sample_hostile_table(&arena, text_of(hostile[_i]))));
    check_pdf(page(PAGE_TRAVELLER));
    for (int i = PAGE_FLOW_SVG; i < PAGE_COUNT; i++)
        if (i != PAGE_FLOW_DOT && i != PAGE_REPORT && is_of_table(i))
            check_svg(page(i));
    Agraph_t *g = read_dot(page(PAGE_FLOW_DOT));
    ck_assert_int_eq(agnnodes(g), nodes);
    ck_assert_int_eq(agnedges(g), edges);
    ck_assert(!aghtmlstr(agget(agnode(g, "s10", 0), "label")));
    agclose(g);
}
END_TEST

/* ---- writing samples ---------------------------------------------------------------------------------------------- */

static const struct step_table *sample_named(const char *name)
{
    if (strcmp(name, "lid") == 0)
        return sample_table(&arena);
    if (strcmp(name, "long") == 0)
        return sample_long_table(&arena, 40, 60);
    if (strcmp(name, "empty") == 0)
        return sample_empty_table(&arena);
    return sample_hostile_table(&arena, text_of(name));
}

static int write_samples(const char *folder, const char *name)
{
    arena_init(&arena, NULL);
    const struct step_table *t = sample_named(name);
    int status = make(t) ? EXIT_SUCCESS : EXIT_FAILURE;
    for (uint32_t i = 0; i < output_count && status == EXIT_SUCCESS; i++) {
        struct buffer b;
        buffer_init(&b, &arena);
        if (output_table[i].fill)
            output_table[i].fill(&b, t);
        struct text bytes = buffer_text(output_table[i].fill ? &b : &out[output_table[i].page]);
        if (buffer_write_file(arena_format(&arena, "%s/%s", folder, output_table[i].file).at, bytes))
            status = EXIT_FAILURE;
    }
    arena_free(&arena);
    return status;
}

int main(int argc, char **argv)
{
    if (argc == 4 && strcmp(argv[1], "--write") == 0)
        return write_samples(argv[2], argv[3]);
    Suite *suite = suite_create("pages");
    TCase *cases = tcase_create("pages");
    tcase_set_timeout(cases, 120);
    tcase_add_checked_fixture(cases, setup, teardown);
    tcase_add_test(cases, same_table_same_bytes);
    tcase_add_test(cases, its_date_is_the_recipes);
    tcase_add_test(cases, a_date_that_is_none_is_not_todays);
    tcase_add_test(cases, a_head_alone_makes_a_page);
    tcase_add_test(cases, more_rows_more_pages);
    tcase_add_test(cases, a_step_longer_than_a_page_is_not_lost);
    tcase_add_test(cases, the_diagram_shows_every_step);
    tcase_add_test(cases, units_are_in_print);
    tcase_add_test(cases, the_graph_has_the_shapes_of_iso_5807);
    tcase_add_test(cases, the_graph_has_the_branches);
    tcase_add_loop_test(cases, no_words_break_out, 0, (int)(sizeof hostile / sizeof hostile[0]));
    suite_add_tcase(suite, cases);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
