/* Writes the tables of the language reference from the tables the compiler itself reads, so that the page cannot drift.
 *
 *   reference grammar/LANGUAGE.md            rewrites what stands between the markers
 *   reference --check grammar/LANGUAGE.md    exits 1 when that would change anything
 *
 * A marker is a line <!-- generated: NAME -->; its part ends with <!-- end of generated part -->. The rest of the page is
 * written by hand and kept. */
#include "compiler/model/schema.h"
#include "compiler/text/diagnostic.h"
#include "compiler/text/unit.h"
#include "compiler/tools/reference_library.h"
#include "runtime/base/buffer.h"

#include <stdio.h>
#include <stdlib.h>

enum { EXIT_CURRENT = 0, EXIT_STALE = 1, EXIT_WRONG_USE = 2 };

#define MARKER "<!-- generated: "
#define MARKER_END " -->"
#define PART_END "<!-- end of generated part -->"

/* In a cell of a table a bar would begin the next cell. */
static void put_cell(struct buffer *b, const char *z)
{
    for (; *z; z++) {
        if (*z == '|')
            buffer_putc(b, '\\');
        buffer_putc(b, *z == '\n' ? ' ' : *z);
    }
}

/* ---- kinds -------------------------------------------------------------------------------------------------------- */

static void put_words(struct buffer *b, const char *words)
{
    while (*words) {
        size_t n = strcspn(words, "|");
        buffer_printf(b, "`%.*s`", (int)n, words);
        words += n + (words[n] == '|');
        if (*words)
            buffer_put(b, strchr(words, '|') ? TEXT(", ") : TEXT(" or "));
    }
}

static void put_form(struct buffer *b, const struct property_entry *p)
{
    switch (p->form) {
    case FORM_QUANTITY:
        buffer_printf(b, "`%s`", p->type);
        break;
    case FORM_BAND:
        buffer_printf(b, "`%s` with its band", p->type);
        break;
    case FORM_RANGE:
        buffer_printf(b, "range `%s`", p->type);
        break;
    case FORM_FUNCTION:
        buffer_printf(b, "function `%s`", p->type);
        break;
    case FORM_REFERENCE:
        buffer_printf(b, "a `%s`", p->type);
        break;
    case FORM_REFERENCES:
        buffer_printf(b, "one or more `%s`", p->type);
        break;
    case FORM_WORD:
        put_words(b, p->type);
        break;
    case FORM_TEXT:
        buffer_put(b, TEXT("text"));
        break;
    case FORM_DATE:
        buffer_put(b, TEXT("date"));
        break;
    case FORM_TRUTH:
        buffer_put(b, TEXT("`true` or `false`"));
        break;
    }
}

static const char *role_word(const struct property_entry *p)
{
    static const char *const words[] = {
        [ROLE_FACT] = "", [ROLE_HELD] = "held", [ROLE_WANTED] = "wanted", [ROLE_SET] = "set"};
    return words[p->role];
}

static void put_need(struct buffer *b, const struct property_entry *p)
{
    switch (p->need) {
    case NEED_REQUIRED:
        buffer_put(b, TEXT("required"));
        break;
    case NEED_OPTIONAL:
        buffer_put(b, TEXT("optional"));
        break;
    case NEED_CHOICE:
        buffer_printf(b, "one of *%s*", p->standard);
        break;
    case NEED_STANDARD:
        if (strcmp(p->standard, "only") == 0)
            buffer_printf(b, "else the only `%s`", p->type);
        else if (strncmp(p->standard, "role ", 5) == 0)
            buffer_printf(b, "else the one whose role is `%s`", p->standard + 5);
        else
            buffer_printf(b, "else `%s`", p->standard);
        break;
    }
}

/* "ram-speed" says no more than "ram speed". */
static bool label_is_name(const struct property_entry *p)
{
    const char *a = p->label, *b = p->name;
    while (*a && (*a == *b || (*a == ' ' && *b == '-')))
        a++, b++;
    return *a == *b;
}

/* On which papers it is shown beside its own place. */
static void put_papers(struct buffer *b, const struct property_entry *p)
{
    bool set_up = serves(p, FOR_set_up), toolroom = serves(p, FOR_toolroom);
    bool measured = serves(p, FOR_measured) || serves(p, FOR_measured_at_most);
    if (set_up || toolroom || measured)
        buffer_printf(b, " *Shown on: %s%s%s%s%s.*", set_up ? "set-up card" : "", set_up && toolroom ? ", " : "",
                      toolroom ? "tool sheet" : "", (set_up || toolroom) && measured ? ", " : "",
                      measured ? "inspection sheet" : "");
}

/* What its value can be, and what it usually is. */
static void put_bounds(struct buffer *b, const struct property_entry *p)
{
    if (p->can)
        buffer_printf(b, "%s%s", p->can, p->whole ? ", whole" : "");
    if (p->usual)
        buffer_printf(b, "%susually %s", p->can ? "; " : "", p->usual);
}

static void put_property(struct buffer *b, const struct property_entry *p)
{
    buffer_printf(b, "| `%s` | ", p->name);
    put_form(b, p);
    buffer_printf(b, " | %s | ", role_word(p));
    put_need(b, p);
    buffer_put(b, TEXT(" | "));
    put_bounds(b, p);
    buffer_put(b, TEXT(" | "));
    if (!label_is_name(p)) {
        put_cell(b, p->label);
        buffer_put(b, TEXT(": "));
    }
    put_cell(b, p->doc);
    put_papers(b, p);
    buffer_put(b, TEXT(" |\n"));
}

static void put_kind_facts(struct buffer *b, enum kind kind)
{
    const struct kind_entry *k = &kind_table[kind];
    if (k->family)
        buffer_printf(b, " Has the properties of every [`%s`](#%s) too.", kind_table[k->family].name,
                      kind_table[k->family].name);
    if (k->flags & KIND_ABSTRACT)
        buffer_put(b, TEXT(" A family: not written itself."));
    if (k->flags & KIND_SINGLE)
        buffer_put(b, TEXT(" At most one."));
    if (k->flags & KIND_UNNAMED)
        buffer_put(b, TEXT(" Takes no name."));
    if (k->flags & KIND_SELECTED)
        buffer_printf(b, " The bare word `%s` means the one that `recipe.%s` names.", k->name, k->name);
    if (k->flags & KIND_BESIDE)
        buffer_put(b, TEXT(" Runs beside the press."));
    for (int i = 0; i < MOST_ORDERS && k->after[i].first; i++)
        buffer_printf(b, " Stands after a `%s`, where there is one.", kind_table[k->after[i].first].name);
}

static void put_kinds(struct buffer *b)
{
    for (int kind = KIND_NONE + 1; kind < KIND_COUNT; kind++) {
        buffer_printf(b, "### %s\n\n%s", kind_table[kind].name, kind_table[kind].doc);
        put_kind_facts(b, (enum kind)kind);
        buffer_put(b, TEXT("\n\n| property | value | role | need | can be | meaning |\n|---|---|---|---|---|---|\n"));
        for (uint32_t i = 0; i < property_count; i++)
            if (property_table[i].kind == (enum kind)kind)
                put_property(b, &property_table[i]);
        buffer_putc(b, '\n');
    }
}

/* ---- units, functions, faults ------------------------------------------------------------------------------------- */

static void put_units(struct buffer *b)
{
    uint32_t count;
    const struct unit_row *row = unit_rows(&count);
    buffer_put(b, TEXT("| unit | also | meaning | in SI, exact | measures |\n|---|---|---|---|---|\n"));
    for (uint32_t i = 0; i < count; i++, row++) {
        struct text measured = dim_words(b->arena, row->unit.dim, row->unit.point);
        buffer_printf(b, "| `%s` | %s%s%s | %s | %s | %.*s |\n", row->name, *row->also ? "`" : "", row->also,
                      *row->also ? "`" : "", row->meaning, row->factor, TEXT_ARGS(measured));
    }
    buffer_putc(b, '\n');
}

static void put_functions(struct buffer *b)
{
    static const struct {
        const char *name, *types, *doc, *source;
    } functions[] = {
#define FUNCTION(id, name, types, evaluate, doc, source) {name, types, doc, source},
#include "runtime/functions.def"
#undef FUNCTION
    };
    buffer_put(b, TEXT("| function | arguments and result | meaning | source |\n|---|---|---|---|\n"));
    for (size_t i = 0; i < sizeof functions / sizeof functions[0]; i++) {
        buffer_printf(b, "| `%s` | `%s` | ", functions[i].name, functions[i].types);
        put_cell(b, functions[i].doc);
        buffer_put(b, TEXT(" | "));
        put_cell(b, functions[i].source);
        buffer_put(b, TEXT(" |\n"));
    }
    buffer_putc(b, '\n');
}

/* What a recipe may say behind a label. */
static void put_purposes(struct buffer *b)
{
    buffer_put(b, TEXT("| for | meaning |\n|---|---|\n"));
    for (int i = 1; i < PURPOSE_COUNT; i++)
        if (purpose_table[i].by == PURPOSE_OF_ANYBODY)
            buffer_printf(b, "| `%s` | %s |\n", purpose_table[i].word, purpose_table[i].doc);
}

static void put_spreads(struct buffer *b)
{
    static const struct {
        const char *name, *facts, *doc, *source;
    } spreads[] = {
#define SPREAD(id, name, facts, doc, source) {name, facts, doc, source},
#include "runtime/spreads.def"
#undef SPREAD
    };
    buffer_put(b, TEXT("| spread | may be told | meaning | source |\n|---|---|---|---|\n"));
    for (size_t i = 0; i < sizeof spreads / sizeof spreads[0]; i++) {
        buffer_printf(b, "| `%s` | ", spreads[i].name);
        for (const char *at = spreads[i].facts; *at; at += strcspn(at, " "), at += *at == ' ') {
            bool needed = *at == '!';
            buffer_printf(b, "%s`%.*s`%s", at == spreads[i].facts ? "" : ", ", (int)strcspn(at + needed, " "),
                          at + needed, needed ? " (needed)" : "");
        }
        buffer_put(b, TEXT(" | "));
        put_cell(b, spreads[i].doc);
        buffer_put(b, TEXT(" | "));
        put_cell(b, spreads[i].source);
        buffer_put(b, TEXT(" |\n"));
    }
    buffer_put(b, TEXT("\nOf several that are needed exactly one is said.\n\n"));
}

static void put_faults(struct buffer *b)
{
    static const struct fault_entry faults[] = {
#define FAULT(id, slug, severity, title, explanation, example) {slug, severity, title, explanation, example},
#include "compiler/text/faults.def"
#undef FAULT
    };
    static const char *const severities[] = {
        [SEVERITY_NOTE] = "Note", [SEVERITY_WARNING] = "Warning", [SEVERITY_ERROR] = "Error"};
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++)
        buffer_printf(b, "#### `%s`\n\n%s: %s. %s\n\n```\n%s```\n\n", faults[i].slug, severities[faults[i].severity],
                      faults[i].title, faults[i].explanation, faults[i].example);
}

/* ---- the page ----------------------------------------------------------------------------------------------------- */

static const struct part {
    const char *name;
    void (*put)(struct buffer *);
} parts[] = {{"kinds", put_kinds},
             {"purposes", put_purposes},
             {"spreads", put_spreads},
             {"derived", reference_put_derived},
             {"formulas", reference_put_formulas},
             {"units", put_units},
             {"functions", put_functions},
             {"faults", put_faults}};

enum { PART_COUNT = sizeof parts / sizeof parts[0] };

static const struct part *part_of(struct text line)
{
    const uint32_t head = sizeof MARKER - 1, tail = sizeof MARKER_END - 1;
    if (line.len <= head + tail || memcmp(line.at, MARKER, head) != 0)
        return NULL;
    struct text name = {line.at + head, line.len - head - tail};
    for (int i = 0; i < PART_COUNT; i++)
        if (text_is(name, parts[i].name))
            return &parts[i];
    return NULL;
}

static struct text take_line(struct text *rest)
{
    const char *end = memchr(rest->at, '\n', rest->len);
    struct text line = {rest->at, end ? (uint32_t)(end - rest->at) : rest->len};
    uint32_t used = line.len + (end != NULL);
    *rest = (struct text){rest->at + used, rest->len - used};
    return line;
}

static bool skip_part(struct text *rest)
{
    while (rest->len)
        if (text_is(take_line(rest), PART_END))
            return true;
    return false;
}

/* The page with its parts made anew; false when a marker is unknown, missing or not closed. */
static bool renew(struct text old, struct buffer *b)
{
    int renewed = 0;
    while (old.len) {
        struct text line = take_line(&old);
        const struct part *part = part_of(line);
        bool marker = line.len >= sizeof MARKER - 1 && memcmp(line.at, MARKER, sizeof MARKER - 1) == 0;
        buffer_put(b, line);
        buffer_putc(b, '\n');
        if (marker && (!part || !skip_part(&old))) {
            fprintf(stderr, "reference: cannot renew %.*s\n", TEXT_ARGS(line));
            return false;
        }
        if (!part)
            continue;
        buffer_putc(b, '\n');
        part->put(b);
        buffer_put(b, TEXT(PART_END "\n"));
        renewed++;
    }
    if (renewed != PART_COUNT)
        fprintf(stderr, "reference: the page has %d of %d generated parts\n", renewed, (int)PART_COUNT);
    return renewed == PART_COUNT;
}

static int renew_page(struct arena *arena, const char *path, bool check)
{
    struct text old, page;
    struct buffer b;
    int fault = buffer_read_file(arena, path, &old);
    buffer_init(&b, arena);
    if (fault) {
        fprintf(stderr, "reference: %s: %s\n", path, strerror(fault));
        return EXIT_WRONG_USE;
    }
    if (!renew(old, &b))
        return EXIT_WRONG_USE;
    page = buffer_text(&b);
    if (text_same(page, old))
        return EXIT_CURRENT;
    if (check) {
        fprintf(stderr, "reference: the tables of %s are not current; make them anew with: reference %s\n", path, path);
        return EXIT_STALE;
    }
    if ((fault = buffer_write_file(path, page)) != 0)
        fprintf(stderr, "reference: %s: %s\n", path, strerror(fault));
    return fault ? EXIT_WRONG_USE : EXIT_CURRENT;
}

int main(int argc, char **argv)
{
    bool check = argc == 3 && strcmp(argv[1], "--check") == 0;
    if (argc != 2 + check || argv[1 + check][0] == '-') {
        fputs("usage: reference [--check] grammar/LANGUAGE.md\n", stderr);
        return EXIT_WRONG_USE;
    }
    struct arena arena;
    arena_init(&arena, NULL);
    int status = renew_page(&arena, argv[1 + check], check);
    arena_free(&arena);
    return status;
}
