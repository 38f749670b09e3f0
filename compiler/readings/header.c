/* The first line: what parts its cells, and the name and unit of each column. */
#include "compiler/readings/parts.h"

#include "runtime/base/utf8.h"

static struct text trimmed(struct text t)
{
    while (t.len && (t.at[0] == ' ' || t.at[0] == '\t'))
        t = (struct text){t.at + 1, t.len - 1};
    while (t.len && (t.at[t.len - 1] == ' ' || t.at[t.len - 1] == '\t'))
        t.len--;
    return t;
}

/* ---- what parts the cells ---------------------------------------------------------------------------------------------- */

static const char separators[] = {',', ';', '\t'};
enum { SEPARATORS = sizeof separators };

static const char *const separator_words[SEPARATORS] = {"commas", "semicolons", "tabs"};
static const char *const separator_names[SEPARATORS] = {"comma", "semicolon", "tab"};

static void count_separators(struct text line, uint32_t count[SEPARATORS])
{
    bool quoted = false;
    for (uint32_t i = 0; i < line.len; i++) {
        quoted ^= line.at[i] == '"';
        for (int k = 0; k < SEPARATORS; k++)
            count[k] += !quoted && line.at[i] == separators[k];
    }
}

static struct text first_line(struct text bytes)
{
    uint32_t end = 0;
    while (end < bytes.len && bytes.at[end] != '\n' && bytes.at[end] != '\r')
        end++;
    return (struct text){bytes.at, end};
}

/* "sep=;" of spreadsheets: a line that says what parts the cells and nothing else. */
static bool states_separator(struct text line, char *separator)
{
    if (line.len != 5 || memcmp(line.at, "sep=", 4) != 0)
        return false;
    *separator = line.at[4];
    return true;
}

static void say_two_separators(struct readings *r, struct text line, const uint32_t count[SEPARATORS])
{
    int a = 0, b = SEPARATORS - 1;
    while (!count[a])
        a++;
    while (!count[b])
        b--;
    r->csv.raw = line;
    r->csv.line = r->csv.next_line;
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_separator, readings_place(r, 0, line.len),
                                  "%s and %s both stand in the header, and either may part the cells",
                                  separator_words[a], separator_words[b]);
    report_help(&r->diagnostics, d, "say which: --separator %s or --separator %s; or put names that hold one in quotes",
                separator_names[a], separator_names[b]);
}

/* The one that the header holds. False when there are two: said. */
static bool find_separator(struct readings *r)
{
    struct text bytes, line;
    uint32_t count[SEPARATORS] = {0}, kinds = 0;
    char found = r->options.separator;
    if (!csv_look_ahead(&r->csv, &bytes)) {
        readings_say_state(r, CSV_UNREADABLE);
        return false;
    }
    line = first_line(bytes);
    if (states_separator(line, &found)) {
        csv_separate(&r->csv, '\0');
        csv_next(&r->csv);
    } else if (!found) {
        count_separators(line, count);
        for (int k = 0; k < SEPARATORS; k++) {
            kinds += count[k] > 0;
            found = count[k] ? separators[k] : found;
        }
    }
    if (kinds > 1)
        say_two_separators(r, line, count);
    r->options.separator = found ? found : ',';
    csv_separate(&r->csv, r->options.separator);
    return kinds <= 1;
}

/* ---- a column ---------------------------------------------------------------------------------------------------------- */

/* Parts "name [unit]" at the bracket; false when there is none. */
static bool part_at(struct text head, char open, char close, struct text *name, struct text *unit)
{
    const char *at = memchr(head.at, open, head.len);
    if (!head.len || head.at[head.len - 1] != close || !at || at == head.at)
        return false;
    uint32_t lo = (uint32_t)(at - head.at);
    *name = trimmed((struct text){head.at, lo});
    *unit = trimmed((struct text){at + 1, head.len - lo - 2});
    return true;
}

/* "name/unit": the first solidus, for names have none. */
static bool part_at_solidus(struct text head, struct text *name, struct text *unit)
{
    const char *at = memchr(head.at, '/', head.len);
    if (!at || at == head.at)
        return false;
    uint32_t lo = (uint32_t)(at - head.at);
    *name = trimmed((struct text){head.at, lo});
    *unit = trimmed((struct text){at + 1, head.len - lo - 1});
    return true;
}

static void say_bad_unit(struct readings *r, const struct readings_column *c, const struct unit_error *error)
{
    struct diagnostic *d =
        report(&r->diagnostics, FAULT_readings_unit, c->span, "'%.*s' is no unit", TEXT_ARGS(c->unit_text));
    if (error->nearest.len)
        report_help(&r->diagnostics, d, "did you mean %.*s [%.*s]?", TEXT_ARGS(c->name), TEXT_ARGS(error->nearest));
    else if (error->advice.len)
        report_help(&r->diagnostics, d, "%.*s", TEXT_ARGS(error->advice));
}

static void read_unit(struct readings *r, struct readings_column *c)
{
    struct unit_error error;
    if (!c->unit_text.len || text_is(c->unit_text, "-"))
        c->unit_text = TEXT("1");
    c->has_unit = unit_read(c->unit_text, &c->unit, &error) == UNIT_OK;
    if (!c->has_unit)
        say_bad_unit(r, c, &error);
}

static void add_column(struct readings *r, uint32_t i)
{
    const struct csv_cell *cell = &r->csv.cells.at[i];
    struct readings_column *c = ARRAY_PUSH(r->arena, &r->columns);
    c->head = c->name = arena_text(r->arena, trimmed(csv_plain(r->arena, cell)));
    c->span = readings_place(r, cell->lo, cell->hi);
    *ARRAY_PUSH(r->arena, &r->header) = c->head;
    uint32_t bad = utf8_valid_until(c->head);
    if (bad < c->head.len) {
        struct diagnostic *d =
            report(&r->diagnostics, FAULT_invalid_utf8, c->span, "the header holds bytes that are not UTF-8");
        report_help(&r->diagnostics, d, "save the file as UTF-8, or write the unit plainly: degC, um");
    } else if (part_at(c->head, '[', ']', &c->name, &c->unit_text) ||
               part_at(c->head, '(', ')', &c->name, &c->unit_text) ||
               part_at_solidus(c->head, &c->name, &c->unit_text)) {
        read_unit(r, c);
    }
}

/* ---- units in a row of their own ----------------------------------------------------------------------------------------- */

static bool has_units(const struct readings *r)
{
    for (uint32_t i = 0; i < r->columns.count; i++)
        if (r->columns.at[i].unit_text.len)
            return true;
    return false;
}

/* Every cell is a unit, perhaps in brackets, or empty; at least one is a unit, and none is a number. */
static bool is_row_of_units(const struct csv *row, uint32_t columns)
{
    uint32_t units = 0;
    double number;
    for (uint32_t i = 0; i < row->cells.count; i++) {
        struct text t = row->cells.at[i].text;
        struct unit unit;
        struct unit_error error;
        if (t.len > 2 && ((t.at[0] == '[' && t.at[t.len - 1] == ']') || (t.at[0] == '(' && t.at[t.len - 1] == ')')))
            t = (struct text){t.at + 1, t.len - 2};
        if (!t.len || text_is(t, "-"))
            continue;
        if (cell_number(t, SIGN_POINT, &number) == CELL_NUMBER || unit_read(t, &unit, &error) != UNIT_OK)
            return false;
        units++;
    }
    return units > 0 && row->cells.count <= columns;
}

static void take_units(struct readings *r)
{
    for (uint32_t i = 0; i < r->csv.cells.count; i++) {
        struct text t = r->csv.cells.at[i].text;
        if (t.len > 2 && (t.at[0] == '[' || t.at[0] == '('))
            t = (struct text){t.at + 1, t.len - 2};
        r->columns.at[i].unit_text = arena_text(r->arena, t);
        if (t.len)
            read_unit(r, &r->columns.at[i]);
    }
}

/* The second row is looked at in a copy of the stream, and taken where it holds units. */
static void read_row_of_units(struct readings *r)
{
    struct csv ahead = readings_ahead(r);
    if (has_units(r) || csv_next(&ahead) != CSV_ROW || !is_row_of_units(&ahead, r->columns.count))
        return;
    csv_next(&r->csv);
    take_units(r);
    r->row_file = 0;
}

/* ---- the header ---------------------------------------------------------------------------------------------------------- */

static bool looks_like_data(const struct readings *r)
{
    double number;
    for (uint32_t i = 0; i < r->columns.count; i++)
        if (cell_number(r->columns.at[i].head, SIGN_POINT, &number) == CELL_NUMBER)
            return true;
    return false;
}

static bool say_no_header(struct readings *r, const char *what)
{
    uint32_t end = r->csv.raw.len;
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_header, readings_place(r, 0, end), "%s", what);
    report_help(&r->diagnostics, d,
                "the first line names the columns with their units: 'strokewright fit --template FILE' writes it");
    return false;
}

static void drop_empty_last(struct readings *r)
{
    if (r->columns.count > 1 && !r->columns.at[r->columns.count - 1].head.len)
        r->columns.count--; /* a separator stands at the end of each line */
}

static bool every_name_stated(struct readings *r)
{
    for (uint32_t i = 0; i < r->columns.count; i++)
        if (!r->columns.at[i].head.len) {
            struct diagnostic *d =
                report(&r->diagnostics, FAULT_readings_header, r->columns.at[i].span, "column %u has no name", i + 1);
            report_help(&r->diagnostics, d, "name it; a column that is only for the eye may be called 'note'");
            return false;
        }
    return true;
}

static bool read_header(struct readings *r)
{
    enum csv_state state = csv_next(&r->csv);
    while (state == CSV_ROW && !r->csv.raw.len) {
        r->blank_rows++;
        state = csv_next(&r->csv);
    }
    if (state == CSV_END) {
        r->csv.raw = TEXT("");
        return say_no_header(r, "there is nothing in this file");
    }
    if (state != CSV_ROW) {
        readings_say_state(r, state);
        return false;
    }
    for (uint32_t i = 0; i < r->csv.cells.count; i++)
        add_column(r, i);
    if (looks_like_data(r))
        return say_no_header(r, "the file begins with readings, and nothing says what they are");
    drop_empty_last(r);
    if (!every_name_stated(r))
        return false;
    r->row_file = 0;
    read_row_of_units(r);
    return r->diagnostics.errors == 0;
}

bool readings_open(struct readings *r, struct arena *arena, const struct sources *below, struct text path,
                   struct csv_input input, struct readings_options options)
{
    *r = (struct readings){.arena = arena, .path = path, .options = options, .last_time = NAN, .time = NAN};
    sources_init(&r->sources, arena, below);
    diagnostics_init(&r->diagnostics, arena);
    r->diagnostics.limit = 100;
    csv_begin(&r->csv, arena, input);
    if (!find_separator(r) || !read_header(r))
        return false;
    r->value = ARENA_ARRAY(arena, r->columns.count, double);
    return true;
}

struct text *readings_names(struct readings *r, uint32_t *count)
{
    struct text *names = ARENA_ARRAY(r->arena, r->columns.count, struct text);
    *count = r->columns.count;
    for (uint32_t i = 0; i < r->columns.count; i++)
        names[i] = r->columns.at[i].name;
    return names;
}
