/* The scanner, the parser and the tree: nothing lost, the right shapes, no fall over hostile bytes. */
#include "compiler/model/syntax.h"

#include "tests/unit/sample_files.h"
#include "tests/unit/sample_sources.h"

#include <check.h>
#include <glob.h>
#include <stdlib.h>

static struct tree *parse_text(struct text bytes)
{
    return parse(&arena, &sources, source_add(&sources, TEXT("test.recipe"), bytes), &ds);
}

/* ---- nothing lost ---- */

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* Tokens stand in order, do not overlap, and what lies between them is blanks: so tokens and gaps are the whole file. */
static void ck_lossless(const struct tree *t)
{
    uint32_t at = 0;
    for (uint32_t i = 1; i < t->token_count; i++) {
        ck_assert_uint_ge(t->token_at[i], at);
        for (; at < t->token_at[i]; at++)
            ck_assert_msg(is_blank(t->bytes.at[at]), "byte %u is in no token", at);
        at = t->token_at[i] + t->token_len[i];
    }
    ck_assert_uint_eq(at, t->bytes.len);
    ck_assert_int_eq(t->token_kind[t->token_count - 1], TOKEN_END);
}

/* Every node's tokens exist, children lie inside their parent and in order, and depth is bounded. */
static void ck_sound(const struct tree *t, uint32_t node)
{
    const struct node *n = node_at(t, node);
    ck_assert_uint_le(n->first, n->last);
    ck_assert_uint_lt(n->last, t->token_count);
    ck_assert_uint_le(n->depth, NODE_DEPTH_LIMIT);
    uint32_t before = 0;
    NODE_EACH_CHILD (t, node, c) {
        ck_assert_uint_ge(node_at(t, c)->first, before);
        ck_assert(node_at(t, c)->first >= n->first && node_at(t, c)->last <= n->last);
        ck_assert_uint_lt(node_at(t, c)->depth, n->depth);
        before = node_at(t, c)->first;
        ck_sound(t, c);
    }
}

START_TEST(recipes_lose_nothing)
{
    static const char *const where[] = {"recipes/library/*.recipe", "recipes/demo/*.recipe", "recipes/demo/*/*.recipe"};
    uint32_t read = 0;
    for (int i = 0; i < 3; i++) {
        glob_t found;
        if (glob(where[i], 0, NULL, &found) != 0)
            continue;
        for (size_t k = 0; k < found.gl_pathc; k++, read++) {
            struct tree *t = parse_text(file_bytes(&arena, found.gl_pathv[k]));
            ck_lossless(t);
            ck_sound(t, t->root);
        }
        globfree(&found);
    }
    ck_assert_msg(read > 10, "run from the top of the repository");
    ck_assert_uint_eq(ds.errors, 0);
}
END_TEST

/* Pieces of the language and bytes that are not, thrown together. The seed is fixed, so a failure comes again. */
START_TEST(random_bytes_lose_nothing)
{
    static const char *const pieces[] = {"recipe a {",
                                         "}",
                                         "\n",
                                         "x = 1 mm",
                                         "\"t {x} y\"",
                                         "\"",
                                         "{",
                                         "(",
                                         ")",
                                         "# c\n",
                                         "let a =",
                                         "limit l {",
                                         "steps {",
                                         "table [K] to [mm] {",
                                         "1: 2",
                                         "\x00",
                                         "\xff\xfe",
                                         "é",
                                         "50 mm +0.1 mm -0.1 mm",
                                         "+/-",
                                         "..",
                                         "if a then b else c",
                                         "f(each x as y: y.z)",
                                         "2026-11-02",
                                         "\\",
                                         "because \"b\"",
                                         "\xef\xbb\xbf",
                                         "\r\n",
                                         "5mm",
                                         "a = 5\xe2\x80\xafmm",
                                         "a = 1,5\xc2\xa0mm",
                                         "a = 3 \xe2\x80\x93 5 mm",
                                         "\xef\xbc\x95 mm",
                                         "a-b - c",
                                         "find 1 .. 2",
                                         ";",
                                         "[",
                                         "]",
                                         "^",
                                         "use \"f\"",
                                         "like b",
                                         "derive for each k as v {"};
    srand(7);
    for (int round = 0; round < 3000; round++) {
        char *bytes = arena_alloc(&arena, 4096);
        uint32_t n = 0;
        for (int k = rand() % 24; k > 0; k--) {
            const char *piece = pieces[(size_t)rand() % (sizeof pieces / sizeof pieces[0])];
            uint32_t len = *piece ? (uint32_t)strlen(piece) : 1;
            for (uint32_t i = 0; i < len; i++)
                bytes[n++] = piece[i];
            bytes[n++] = rand() % 3 ? ' ' : '\n';
        }
        struct tree *t = parse_text((struct text){bytes, n});
        ck_lossless(t);
        ck_sound(t, t->root);
    }
}
END_TEST

/* ---- shapes ---- */

static const char *const kind_names[NODE_KIND_COUNT] = {[NODE_ERROR] = "error",
                                                        [NODE_DEFINITION] = "definition",
                                                        [NODE_LIKE] = "like",
                                                        [NODE_PROPERTY] = "property",
                                                        [NODE_SIGNATURE] = "signature",
                                                        [NODE_PARAMETER] = "parameter",
                                                        [NODE_UNIT_TYPE] = "unit-type",
                                                        [NODE_NOTE] = "note",
                                                        [NODE_USE] = "use",
                                                        [NODE_LET] = "let",
                                                        [NODE_PATH] = "path",
                                                        [NODE_DERIVE] = "derive",
                                                        [NODE_DERIVED] = "derived",
                                                        [NODE_FORMULA] = "formula",
                                                        [NODE_LIMIT] = "limit",
                                                        [NODE_CAUTION] = "caution",
                                                        [NODE_EACH] = "each",
                                                        [NODE_REQUIRE] = "require",
                                                        [NODE_WAIVE] = "waive",
                                                        [NODE_STEPS] = "steps",
                                                        [NODE_TOLERANCE] = "tolerance",
                                                        [NODE_TOLERANCES] = "tolerances",
                                                        [NODE_SPREAD] = "spread",
                                                        [NODE_SPREAD_FACT] = "spread-fact",
                                                        [NODE_RANGE] = "range",
                                                        [NODE_HOLE] = "hole",
                                                        [NODE_FIND] = "find",
                                                        [NODE_LIST] = "list",
                                                        [NODE_TABLE] = "table",
                                                        [NODE_ROW] = "row",
                                                        [NODE_NUMBER] = "number",
                                                        [NODE_TEXT] = "text",
                                                        [NODE_DATE] = "date",
                                                        [NODE_BOOLEAN] = "boolean",
                                                        [NODE_NAME] = "name",
                                                        [NODE_MEMBER] = "member",
                                                        [NODE_CALL] = "call",
                                                        [NODE_PAREN] = "paren",
                                                        [NODE_UNARY] = "unary",
                                                        [NODE_BINARY] = "binary",
                                                        [NODE_IF] = "if"};

static struct text shape(const struct tree *t, uint32_t node)
{
    enum node_kind kind = node_kind(t, node);
    if (!node_child(t, node))
        return arena_format(&arena, "%.*s", TEXT_ARGS(node_text(t, node)));
    struct text out = arena_format(&arena, "(%s", kind == NODE_FILE ? "" : kind_names[kind]);
    if (kind == NODE_BINARY || kind == NODE_UNARY)
        out = arena_format(&arena, "%.*s", TEXT_ARGS(TEXT("(")));
    NODE_EACH_CHILD (t, node, c) {
        out = arena_format(&arena, "%.*s%s%.*s", TEXT_ARGS(out), out.at[out.len - 1] == '(' ? "" : " ",
                           TEXT_ARGS(shape(t, c)));
    }
    return arena_format(&arena, "%.*s)", TEXT_ARGS(out));
}

static const struct {
    const char *text, *shape;
} shapes[] = {
    {"use \"a.recipe\"\n", "((use \"a.recipe\"))"},
    {"tool die {\n  material = h13\n}\n", "((definition tool die (property material h13)))"},
    {"alloy b like a { }\n", "((definition alloy b (like a)))"},
    {"let a.b [mm] = 1 mm\n", "((let (path a b) [mm] 1 mm))"},
    {"let a = 1 + 2 * 3 ^ 2\n", "((let (path a) (1 (2 (3 2)))))"},
    {"let a = 2 ^ 3 ^ 4\n", "((let (path a) (2 (3 4))))"},
    {"let a = 9 - 4 - 3\n", "((let (path a) ((9 4) 3)))"},
    {"let a = -2 ^ 2\n", "((let (path a) ((2 2))))"},
    {"let a = not b and c or d\n", "((let (path a) (((b) c) d)))"},
    {"let a = if b then c else d + e\n", "((let (path a) (if b c (d e))))"},
    {"let a = f(x, g.h)(2)\n", "((let (path a) (call (call f x (member g h)) 2)))"},
    {"let a =\n  1 +\n  2\n", "((let (path a) (1 2)))"},
    {"let a = (1\n + 2)\n", "((let (path a) (paren (1 2))))"},
    {"let a = 1\n  source \"s\"\n", "((let (path a) 1 (note \"s\")))"},
    {"formula f(x [mm], t [degC]) [1] = x / (1 mm)\n",
     "((formula f (signature (parameter x [mm]) (parameter t [degC]) [1]) (x (paren 1 mm))))"},
    {"derive for each corner as c {\n  r [1] = c.a label \"r\"\n}\n",
     "((derive corner c (derived r [1] (member c a) (note \"r\"))))"},
    {"limit l for each draw as d {\n  value = d.a\n  at-most = 2\n  because \"b\"\n}\n",
     "((limit l (each draw d) (property value (member d a)) (property at-most 2) (note \"b\")))"},
    {"caution c { signal = warning\n text \"x\"\n }\n",
     "((caution c (property signal warning) (property text \"x\")))"},
    {"require a <= b because \"r\"\n", "((require (a b) (note \"r\")))"},
    {"waive l for rim until 2026-12-31 because \"r\"\n", "((waive l rim 2026-12-31 (note \"r\")))"},
    {"waive l until 2026-12-31 by \"q\"\n  because \"r\"\n", "((waive l 2026-12-31 (note \"q\") (note \"r\")))"},
    {"a b { by = 1 }\n", "((definition a b (property by 1)))"},
    {"steps {\n  task a { }\n}\n", "((steps (definition task a)))"},
    {"a b { x = 1 mm +/- 2 % }\n", "((definition a b (property x (tolerance 1 mm 2 %))))"},
    {"a b { x = 1 mm +0.1 mm -0.2 mm }\n", "((definition a b (property x (tolerances 1 mm 0.1 mm 0.2 mm))))"},
    {"a b { x = 1 mm +/- 2 mm as normal(k 2, doubt 25 %) source \"s\" }\n",
     "((definition a b (property x (tolerance 1 mm 2 mm) (spread normal (spread-fact k 2) (spread-fact doubt 25 %)) "
     "(note \"s\"))))"},
    {"let a [mm] = 1 mm +/- 2 mm as triangular\n", "((let (path a) [mm] (tolerance 1 mm 2 mm) (spread triangular)))"},
    {"a b { x = 1 mm .. 2 mm }\n", "((definition a b (property x (range 1 mm 2 mm))))"},
    {"a b { x = find 1 K .. 2 K prefer lowest }\n", "((definition a b (property x (find 1 K 2 K lowest))))"},
    {"a b { x = die, punch }\n", "((definition a b (property x (list die punch))))"},
    {"a b { limit = 1\n source = 2 }\n", "((definition a b (property limit 1) (property source 2)))"},
    {"a b { e(t [K]) [1] = table [K] to [1] {\n 1: 2\n -3: -4\n } source \"s\" }\n",
     "((definition a b (property e (signature (parameter t [K]) [1]) (table [K] [1] (row 1 2) (row -3 -4)) (note "
     "\"s\"))))"},
    {"a b { e = table [K], [1/s] to [1] {\n across: 1, 2\n 3: 4, 5\n } }\n",
     "((definition a b (property e (table [K] [1/s] [1] (row across 1 2) (row 3 4 5)))))"},
    {"let a = sum(each of h.between as t: t.mass)\n",
     "((let (path a) (call sum (each (member h between) t (member t mass)))))"},
    {"let a = count(each draw)\n", "((let (path a) (call count (each draw))))"},
    {"a b { t = \"x {y.z} w {2}\" }\n", "((definition a b (property t (text (member y z) 2))))"},
    {"let a = 24 degC - 3 K\n", "((let (path a) (24 degC 3 K)))"},
    {"let a = 1 /s\n", "((let (path a) 1 /s))"},
    {"let a = 5 / x\n", "((let (path a) (5 x)))"},
    {"let a = 5  mm\n", "((let (path a) 5  mm))"},
    {"let a = 1800 W/(m^2*K)\n", "((let (path a) 1800 W/(m^2*K)))"},
    {"let a = 200 °C\n", "((let (path a) 200 °C))"},
    {"let a = 12 % * b\n", "((let (path a) (12 % b)))"},
    {"a b { x = 1 mm±2 mm }\n", "((definition a b (property x (tolerance 1 mm 2 mm))))"},
    {"let a = b\n  + c\n  - d\n", "((let (path a) ((b c) d)))"},
    {"let a = if b\n  then c\n  else d\n", "((let (path a) (if b c d)))"},
    {"caution c {\n signal =\n caution\n text \"x\"\n }\n",
     "((caution c (property signal caution) (property text \"x\")))"},
    {"let a = b\n  or c\n  and (\n  d\n  )\n", "((let (path a) (b (c (paren d)))))"},
    {"let a = b and\n  not c\n", "((let (path a) (b (c))))"},
    {"a b {\n then = 1\n else = 2\n to = 3\n}\n",
     "((definition a b (property then 1) (property else 2) (property to 3)))"},
    {"let a = b.source.limit\n", "((let (path a) (member (member b source) limit)))"},
    {"let a.limit = 1\n", "((let (path a limit) 1))"},
    {"a b {\n table(x [mm]) [mm] = 2 * x\n}\n",
     "((definition a b (property table (signature (parameter x [mm]) [mm]) (2 x))))"},
    {"derive for each b as c {\n label [mm] = 1 mm\n}\n", "((derive b c (derived label [mm] 1 mm)))"},
    {"a b {\n x = 1\n  because \"r\"\n  source \"s\"\n}\n",
     "((definition a b (property x 1 (note \"r\") (note \"s\"))))"},
    {"a b {\n e = table [K] to [1] {\n  1: 2\n }\n  source \"s\"\n}\n",
     "((definition a b (property e (table [K] [1] (row 1 2)) (note \"s\"))))"},
    {"limit l {\n at-most = 2\n because \"b\"\n}\n", "((limit l (property at-most 2) (note \"b\")))"},
    {"caution c {\n signal = caution\n}\n", "((caution c (property signal caution)))"},
    {"let a = \"x {f(\"y\")} z\"\n", "((let (path a) (text (call f \"y\"))))"},
    {"let a = f()\n", "((let (path a) (call f)))"},
    {"a b { x = 2026-11-02 } # c", "((definition a b (property x 2026-11-02)))"},
    {"# only a comment\n", "# only a comment\n"},
    {"", ""},
};

START_TEST(reads_the_right_shape)
{
    struct tree *t = parse_text(text_of(shapes[_i].text));
    ck_lossless(t);
    ck_sound(t, t->root);
    struct text found = shape(t, t->root);
    ck_assert_msg(text_is(found, shapes[_i].shape), "%s gives %.*s", shapes[_i].text, TEXT_ARGS(found));
    ck_assert_uint_eq(ds.errors, 0);
}
END_TEST

/* ---- faults: one each, and the rest of the file is read ---- */

static const struct {
    const char *text;
    enum fault fault;
    uint32_t items; /* definitions and lets that are read all the same */
} faults[] = {
    {"let a = 1 +\nlet b = 2\n", FAULT_syntax, 2},
    {"let a = \nlet b = 2\nlet c = 3\n", FAULT_syntax, 3},
    {"let a 5\nlet b = 2\n", FAULT_syntax, 1},
    {"let a = 5mm\nlet b = 2\n", FAULT_missing_space, 2},
    {"let a = 5 mm-3 mm\nlet b = 2\n", FAULT_missing_space, 2},
    {"let A = 5\nlet b = 2\n", FAULT_upper_case_name, 2},
    {"let a = 5;\nlet b = 2\n", FAULT_stray_character, 2},
    {"let a = (5\nlet b = 2\n", FAULT_unclosed_paren, 2},
    {"a b {\n x = 1\nlet c = 2\n", FAULT_unclosed_brace, 2},
    {"a b {\n x = 1\n", FAULT_unclosed_brace, 1},
    {"a b {\n x = \"t\n y = 2\n}\n", FAULT_unfinished_text, 1},
    {"a b {\n x = \"t\\q\"\n}\n", FAULT_unknown_escape, 1},
    {"a b {\n x : 1\n y = 2\n}\n", FAULT_syntax, 1},
    {"a b {\n x = 1 y = 2\n}\nlet c = 1\n", FAULT_syntax, 2},
    {"a b\n x = 1\n}\nlet c = 1\n", FAULT_syntax, 2},
    {"}\nlet c = 1\n", FAULT_syntax, 1},
    {"let d = 2026-02-30\n", FAULT_bad_date, 1},
    {"let limit = 1\nlet b = 2\n", FAULT_syntax, 1},
};

START_TEST(tells_one_fault_and_goes_on)
{
    struct tree *t = parse_text(text_of(faults[_i].text));
    ck_lossless(t);
    ck_assert_msg(ds.all.count == 1, "%s gives %u faults", faults[_i].text, ds.all.count);
    ck_assert_int_eq(ds.all.at[0]->fault, faults[_i].fault);
    uint32_t items = 0;
    NODE_EACH_CHILD (t, t->root, n) {
        items += node_kind(t, n) != NODE_ERROR;
    }
    ck_assert_msg(items == faults[_i].items, "%s leaves %u items", faults[_i].text, items);
}
END_TEST

START_TEST(resolves_texts)
{
    struct tree *t = parse_text(TEXT("use \"a\\\"b\\\\c\\{d\\ne\"\nlet q = \"x {1} y {2} z\"\n"));
    uint32_t use = node_child(t, t->root);
    ck_assert(text_is(text_piece(&arena, t, node_child(t, use), 0), "a\"b\\c{d\ne"));
    uint32_t text = node_value(t, node_next(t, use));
    ck_assert_int_eq(node_kind(t, text), NODE_TEXT);
    ck_assert(text_is(text_piece(&arena, t, text, 0), "x "));
    ck_assert(text_is(text_piece(&arena, t, text, 1), " y "));
    ck_assert(text_is(text_piece(&arena, t, text, 2), " z"));
}
END_TEST

/* A statement's span goes from its first to its last token, notes in lines below included. */
START_TEST(spans_hold_the_statement)
{
    struct tree *t = parse_text(TEXT("# c\nlet a = 1 +\n  2\n  source \"s\" # d\n\nb c {\n  x = -5 mm\n}\n"));
    uint32_t let = node_child(t, t->root), definition = node_next(t, let);
    ck_assert(text_is(node_text(t, let), "let a = 1 +\n  2\n  source \"s\""));
    ck_assert(text_is(node_text(t, node_value(t, let)), "1 +\n  2"));
    ck_assert(text_is(node_text(t, node_note(t, let, TOKEN_SOURCE)), "source \"s\""));
    ck_assert(text_is(node_text(t, definition), "b c {\n  x = -5 mm\n}"));
    uint32_t property = node_nth(t, definition, 2);
    ck_assert(text_is(node_text(t, property), "x = -5 mm"));
    struct span s = node_span(t, node_value(t, property));
    ck_assert_uint_eq(s.hi - s.lo, 5);
    ck_assert_uint_eq(node_value(t, node_find(t, property, NODE_NOTE)), 0);
}
END_TEST

/* Behind a fault in the head of a block the block is read all the same; a property that is stated badly is there. */
START_TEST(faulty_statements_leave_what_they_can)
{
    static const struct {
        const char *text, *shape;
    } left[] = {
        {"a b {\n x = 1 2\n y = 3\n}\n", "((definition a b (property x 1 2) (property y 3)))"},
        {"a b {\n x 1\n y = 3\n}\n", "((definition a b (property x 1) (property y 3)))"},
        {"a b {\n x =\n}\n", "((definition a b (property x)))"},
        {"a b 5 {\n x = 1\n}\n", "((definition a b (property x 1)))"},
        {"steps {\n a b 5 {\n  x = 1\n }\n c d {\n }\n}\n",
         "((steps (definition a b (property x 1)) (definition c d)))"},
        {"steps x {\n a b {\n }\n}\n", "((steps (definition a b)))"},
        {"formula f(x [mm]) [mm] = x x\n", "((formula f (signature (parameter x [mm]) [mm]) x x))"},
        {"require a a because \"r\"\n", "((require a a because \"r\"))"},
        {"a b {\n e = table [K] to [1] {\n  1: 2\n  3 4\n  5: 6\n }\n}\n",
         "((definition a b (property e (table [K] [1] (row 1 2) (row 5 6)))))"},
    };
    for (size_t i = 0; i < sizeof left / sizeof left[0]; i++) {
        diagnostics_init(&ds, &arena);
        struct tree *t = parse_text(text_of(left[i].text));
        struct text found = shape(t, t->root);
        ck_assert_msg(text_is(found, left[i].shape), "%s leaves %.*s", left[i].text, TEXT_ARGS(found));
        ck_assert_uint_eq(ds.errors, 1);
        ck_sound(t, t->root);
    }
}
END_TEST

static uint32_t count_kind(const struct tree *t, enum token_kind kind)
{
    uint32_t count = 0;
    for (uint32_t i = 1; i < t->token_count; i++)
        count += t->token_kind[i] == kind;
    return count;
}

START_TEST(line_ends_of_each_sort)
{
    static const char *const same[] = {"let a = 1\nlet b = 2\n", "let a = 1\r\nlet b = 2\r\n",
                                       "\xef\xbb\xbflet a = 1\r\n\r\nlet b = 2", "let a =\r\n 1 # c\r\nlet b = 2\n"};
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        struct tree *t = parse_text(text_of(same[i]));
        ck_lossless(t);
        ck_assert(text_is(shape(t, t->root), "((let (path a) 1) (let (path b) 2))"));
        ck_assert_uint_le(count_kind(t, TOKEN_NEWLINE), 2);
    }
    ck_assert_uint_eq(ds.errors, 0);
}
END_TEST

static uint32_t put(char *to, const char *text)
{
    uint32_t n = 0;
    for (; text[n]; n++)
        to[n] = text[n];
    return n;
}

/* Tokens longer than any buffer, and bytes that the scanner tells of as runs. */
START_TEST(long_lines_are_read)
{
    enum { LONG = 3000000 };
    static const char *const heads[] = {"# ", "let a = \"", "let ", "let a = 1", "", ""};
    static const char fill[] = {'x', 'x', 'x', '1', '\0', '\xff'};
    for (size_t i = 0; i < sizeof fill; i++) {
        char *bytes = arena_alloc(&arena, LONG + 100);
        uint32_t n = put(bytes, heads[i]);
        memset(bytes + n, fill[i], LONG);
        n += LONG;
        n += put(bytes + n, "\nlet b = 2\n");
        diagnostics_init(&ds, &arena);
        struct tree *t = parse_text((struct text){bytes, n});
        ck_lossless(t);
        ck_assert_uint_lt(t->token_count, 20);
        ck_assert_uint_le(ds.errors, 2); /* an open text, and that it is too long */
        uint32_t last = node_child(t, t->root);
        while (node_next(t, last))
            last = node_next(t, last);
        ck_assert(text_is(node_text(t, last), "let b = 2"));
    }
}
END_TEST

/* More faults than are kept are counted, and cost neither time nor memory without bound. */
START_TEST(countless_faults_are_counted)
{
    enum { LINES = 200000, LINE = 8 };
    char *bytes = arena_alloc(&arena, (size_t)LINE * LINES);
    uint32_t n = 0;
    for (uint32_t i = 0; i < LINES; i++)
        n += put(bytes + n, "x = = A\n");
    struct tree *t = parse_text((struct text){bytes, n});
    ck_lossless(t);
    ck_assert_uint_eq(ds.all.count, DIAGNOSTIC_LIMIT);
    ck_assert_uint_ge(ds.errors, LINES);
}
END_TEST

/* What would once have needed a stack or a time without bound. */
START_TEST(deep_nesting_ends_in_a_fault)
{
    static const char *const deep[] = {"(", "not ", "-", "1 + ", "1 ^ ", "if a then 1 else ", "f(", "a b {\n"};
    for (size_t i = 0; i < sizeof deep / sizeof deep[0]; i++) {
        struct {
            char *at;
            size_t n;
        } b = {arena_alloc(&arena, 2000000), 0};
        size_t piece = strlen(deep[i]);
        memcpy(b.at, "let x = ", 8);
        b.n = i + 1 < sizeof deep / sizeof deep[0] ? 8 : 0;
        while (b.n + piece < 1000000)
            memcpy(b.at + b.n, deep[i], piece), b.n += piece;
        b.at[b.n++] = '1';
        b.at[b.n++] = '\n';
        struct tree *t = parse_text((struct text){b.at, (uint32_t)b.n});
        ck_lossless(t);
        ck_assert_uint_gt(ds.errors, 0);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("syntax");
    TCase *tests = tcase_create("syntax");
    tcase_set_timeout(tests, 120);
    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, recipes_lose_nothing);
    tcase_add_test(tests, random_bytes_lose_nothing);
    tcase_add_loop_test(tests, reads_the_right_shape, 0, (int)(sizeof shapes / sizeof shapes[0]));
    tcase_add_loop_test(tests, tells_one_fault_and_goes_on, 0, (int)(sizeof faults / sizeof faults[0]));
    tcase_add_test(tests, resolves_texts);
    tcase_add_test(tests, spans_hold_the_statement);
    tcase_add_test(tests, faulty_statements_leave_what_they_can);
    tcase_add_test(tests, line_ends_of_each_sort);
    tcase_add_test(tests, long_lines_are_read);
    tcase_add_test(tests, countless_faults_are_counted);
    tcase_add_test(tests, deep_nesting_ends_in_a_fault);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
