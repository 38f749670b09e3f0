#include "grammar/lines.h"
#include "grammar/brackets.h"
#include "grammar/words.h"

void scan_faulty(struct scan *s, uint32_t token)
{
    *ARRAY_PUSH(s->arena, &s->faulty) = token;
    for (uint32_t i = s->faulty.count - 1; i > 0 && s->faulty.at[i - 1] > token; i--) {
        s->faulty.at[i] = s->faulty.at[i - 1];
        s->faulty.at[i - 1] = token;
    }
}

void scan_missing(struct scan *s, uint32_t before, enum token_kind kind)
{
    *ARRAY_PUSH(s->arena, &s->missing) = (struct missing){before, (uint8_t)kind};
}

/* ---- line ends --------------------------------------------------------------------------------------------------- */

/* Kinds behind which a statement goes on in the next line, or has not begun. */
static const bool goes_on[TOKEN_KIND_COUNT] = {
    [TOKEN_END] = true,     [TOKEN_NEWLINE] = true,       [TOKEN_OPEN_BRACE] = true,  [TOKEN_EQUALS] = true,
    [TOKEN_COMMA] = true,   [TOKEN_PLUS_MINUS] = true,    [TOKEN_RANGE] = true,       [TOKEN_PLUS] = true,
    [TOKEN_MINUS] = true,   [TOKEN_PLUS_TIGHT] = true,    [TOKEN_MINUS_TIGHT] = true, [TOKEN_TIMES] = true,
    [TOKEN_DIVIDE] = true,  [TOKEN_POWER] = true,         [TOKEN_LESS] = true,        [TOKEN_LESS_EQUAL] = true,
    [TOKEN_GREATER] = true, [TOKEN_GREATER_EQUAL] = true, [TOKEN_SAME] = true,        [TOKEN_DIFFERENT] = true,
    [TOKEN_IF] = true,      [TOKEN_THEN] = true,          [TOKEN_ELSE] = true,        [TOKEN_AND] = true,
    [TOKEN_OR] = true,      [TOKEN_NOT] = true,
};

uint32_t before_trivia(const struct scan *s, uint32_t token)
{
    while (token > 1 && is_trivia(s->kind[token - 1]))
        token--;
    return token - 1;
}

uint32_t line_end_before(const struct scan *s, uint32_t token)
{
    for (uint32_t i = before_trivia(s, token) + 1; i < token; i++)
        if (s->kind[i] == TOKEN_BREAK)
            return i;
    return 0;
}

/* 50 mm +0.1/-0.2 */
static bool has_slashed_sides(const struct scan *s, uint32_t from)
{
    for (uint32_t i = from; i + 1 < s->count; i++)
        if (s->kind[i] == TOKEN_DIVIDE && s->kind[i + 1] == TOKEN_MINUS_TIGHT)
            return true;
    return false;
}

static void report_sides(struct scan *s, uint32_t from, bool swapped)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_syntax, scan_token_span(s, from),
               swapped ? "the plus side of a tolerance stands first" : "the sides of a tolerance stand apart");
    report_help(s->diagnostics, d, "write each side with its unit, plus first: 50 mm +0.10 mm -0.05 mm");
    scan_faulty(s, from);
}

/* 50 mm -0.1 mm: one side of a tolerance, whose other is nothing. */
static bool report_one_side(struct scan *s, uint32_t sign)
{
    uint32_t before = before_trivia(s, sign), number = sign + 1, unit = number + 1;
    bool measured = s->kind[before] == TOKEN_UNIT && number < s->count && s->kind[number] == TOKEN_NUMBER &&
                    unit < s->count && s->kind[unit] == TOKEN_UNIT;
    if (!measured)
        return false;
    bool is_plus = s->kind[sign] == TOKEN_PLUS_TIGHT;
    struct text value = scan_text(s, s->at[sign], s->at[unit] + s->len[unit] - s->at[sign]);
    struct text none =
        arena_format(s->arena, "%c0 %.*s", is_plus ? '-' : '+', (int)s->len[unit], s->tree->bytes.at + s->at[unit]);
    struct text both = is_plus ? arena_format(s->arena, "%.*s %.*s", TEXT_ARGS(value), TEXT_ARGS(none))
                               : arena_format(s->arena, "%.*s %.*s", TEXT_ARGS(none), TEXT_ARGS(value));
    struct diagnostic *d = report(s->diagnostics, FAULT_missing_space, scan_span(s, s->at[sign], value.len),
                                  "one side of a tolerance by itself");
    report_help(s->diagnostics, d,
                "write both sides, '%.*s'; a sum or a difference has a space on both sides of its sign",
                TEXT_ARGS(both));
    report_edit(s->diagnostics, d, scan_span(s, s->at[sign], value.len), both);
    s->kind[sign] = is_plus ? TOKEN_PLUS : TOKEN_MINUS;
    return true;
}

/* A + or - that touches the value behind it is the sign of a tolerance when there is one of each, 50 mm +0.10 mm
 * -0.05 mm; else it lacks a space. */
static void settle_signs(struct scan *s)
{
    uint32_t plus = 0, minus = 0, from = s->tight;
    s->tight = 0;
    for (uint32_t i = from; i < s->count; i++) {
        plus += s->kind[i] == TOKEN_PLUS_TIGHT;
        minus += s->kind[i] == TOKEN_MINUS_TIGHT && ends_value(s->kind[before_trivia(s, i)]);
    }
    if (plus == 1 && minus == 1 && s->kind[from] == TOKEN_PLUS_TIGHT)
        return;
    if (plus == 1 && (minus == 1 || has_slashed_sides(s, from))) {
        report_sides(s, from, minus == 1);
        return;
    }
    if (plus + minus == 1 && report_one_side(s, from))
        return;
    for (uint32_t i = from; i < s->count; i++) {
        if (s->kind[i] != TOKEN_PLUS_TIGHT &&
            !(s->kind[i] == TOKEN_MINUS_TIGHT && ends_value(s->kind[before_trivia(s, i)])))
            continue;
        bool is_plus = s->kind[i] == TOKEN_PLUS_TIGHT;
        struct diagnostic *d =
            report(s->diagnostics, FAULT_missing_space, scan_token_span(s, i),
                   "a %s sign between two values needs a space on both sides", is_plus ? "plus" : "minus");
        report_help(s->diagnostics, d,
                    is_plus ? "write 'a + b'; for a tolerance write both sides, 50 mm +0.10 mm -0.05 mm"
                            : "write 'a - b'; for a tolerance write both sides, 50 mm +0.10 mm -0.05 mm");
        report_edit(s->diagnostics, d, scan_token_span(s, i), is_plus ? TEXT("+ ") : TEXT("- "));
        s->kind[i] = is_plus ? TOKEN_PLUS : TOKEN_MINUS;
    }
}

void lines_end_statement(struct scan *s)
{
    if (s->tight)
        settle_signs(s);
    if (s->deep_from && !s->too_deep)
        brackets_end_deep(s, s->count);
    s->seen_above = s->seen;
    s->prefix_above = s->prefix;
    s->seen = 0;
    s->first = 0;
    s->prefix = 0;
}

void scan_line_end(struct scan *s, uint32_t at, uint32_t len)
{
    uint32_t token = scan_add(s, TOKEN_BREAK, at, len);
    s->line = s->count;
    if (s->texts)
        brackets_close_texts(s, token);
    if (s->inside == TOKEN_OPEN || goes_on[s->kind[s->last]])
        return;
    lines_end_statement(s);
    s->kind[token] = TOKEN_NEWLINE;
    s->last = token;
}

void lines_join(struct scan *s)
{
    if (s->kind[s->last] != TOKEN_NEWLINE)
        return;
    s->joined = s->last;
    s->kind[s->last] = TOKEN_BREAK;
    s->last = before_trivia(s, s->last);
    s->seen = s->seen_above;
    s->prefix = s->prefix_above;
}

static bool in_rule(const struct scan *s)
{
    return s->inside == TOKEN_OPEN_BRACE && s->brackets.at[s->brackets.count - 1].seen & SEEN_RULE;
}

static bool in_table(const struct scan *s)
{
    return s->inside == TOKEN_OPEN_BRACE && s->brackets.at[s->brackets.count - 1].seen & SEEN_TABLE;
}

void lines_note(struct scan *s)
{
    uint8_t kind = s->kind[s->last];
    if (kind < TOKEN_BECAUSE || kind > TOKEN_LABEL || s->first != s->last || in_rule(s))
        return;
    uint32_t end = before_trivia(s, s->last);
    if (s->kind[end] != TOKEN_NEWLINE || before_trivia(s, end) == s->block)
        return;
    s->kind[end] = TOKEN_BREAK;
    s->first = 0;
    s->seen = s->seen_above;
}

void scan_end(struct scan *s, uint32_t at)
{
    if (s->texts)
        brackets_close_texts(s, s->count);
    if (s->inside == TOKEN_OPEN)
        brackets_close_parens(s, s->count);
    s->too_deep = 0;
    lines_end_statement(s);
    uint8_t before = s->kind[s->last];
    if (before != TOKEN_NEWLINE && before != TOKEN_END && before != TOKEN_OPEN_BRACE)
        scan_missing(s, s->count, TOKEN_NEWLINE);
    if (s->inside)
        brackets_close_braces(s);
    scan_take(s, TOKEN_END, at, 0);
}

/* ---- statements that run into each other ------------------------------------------------------------------------- */

static const char *what_is_missing(const struct scan *s, uint32_t token)
{
    return s->kind[token] == TOKEN_COMMA ? "the next item of the list" : "a value";
}

void lines_end_line(struct scan *s, uint32_t line_end)
{
    s->kind[line_end] = TOKEN_NEWLINE;
    if (s->last < line_end)
        s->last = line_end;
}

/* The statement above stops behind a mark that wants a value; it ends with its line all the same. */
static void end_unfinished(struct scan *s, uint32_t token)
{
    uint32_t mark = before_trivia(s, token), line_end = line_end_before(s, token);
    struct text t = scan_text(s, s->at[mark], s->len[mark]);
    struct span behind = scan_span(s, s->at[mark] + s->len[mark], 0);
    lines_end_line(s, line_end);
    if (s->faulty.count && s->faulty.at[s->faulty.count - 1] > mark)
        return; /* what was to be the value was told already */
    struct diagnostic *d = report(s->diagnostics, FAULT_syntax, behind, "%s is missing behind '%.*s'",
                                  what_is_missing(s, mark), TEXT_ARGS(t));
    report_help(s->diagnostics, d,
                s->kind[mark] == TOKEN_EQUALS ? "write the value behind '=', or leave the line out"
                                              : "complete the line; the next statement begins below it");
    scan_faulty(s, mark);
}

/* Whether a statement begins above this token and wants a value. */
static bool is_unfinished(const struct scan *s, uint32_t token)
{
    uint8_t before = s->kind[before_trivia(s, token)];
    bool begun = before != TOKEN_END && before != TOKEN_NEWLINE && before != TOKEN_OPEN_BRACE;
    return begun && goes_on[before] && line_end_before(s, token);
}

void lines_end_above(struct scan *s, uint32_t token)
{
    if (s->inside == TOKEN_OPEN)
        brackets_close_parens(s, token);
    else if (is_unfinished(s, token))
        end_unfinished(s, token);
    else
        return;
    lines_end_statement(s);
}

void scan_item(struct scan *s)
{
    if (!starts_statement(s) && line_end_before(s, s->count))
        lines_end_above(s, s->count);
}

/* The blanks its line begins with. */
static struct text indent_of(const struct scan *s, uint32_t token)
{
    const char *bytes = s->tree->bytes.at;
    uint32_t lo = s->at[token], hi;
    while (lo && bytes[lo - 1] != '\n')
        lo--;
    for (hi = lo; bytes[hi] == ' ' || bytes[hi] == '\t';)
        hi++;
    return scan_text(s, lo, hi - lo);
}

/* A comma in front of the word parts the two. */
static void two_on_a_line(struct scan *s, uint32_t word)
{
    struct text name = scan_text(s, s->at[word], s->len[word]);
    uint32_t before = before_trivia(s, word),
             from = s->at[before] + (s->kind[before] == TOKEN_COMMA ? 0 : s->len[before]);
    struct diagnostic *d =
        report(s->diagnostics, FAULT_syntax, scan_token_span(s, word), "a second statement on one line");
    report_help(s->diagnostics, d, "one fact a line: begin a new line in front of '%.*s'", TEXT_ARGS(name));
    if (report_kept(s->diagnostics, d))
        report_edit(s->diagnostics, d, scan_span(s, from, s->at[word] - from),
                    arena_format(s->arena, "\n%.*s", TEXT_ARGS(indent_of(s, word))));
    if (s->kind[before] == TOKEN_COMMA)
        s->kind[before] = TOKEN_STRAY;
    scan_missing(s, word, TOKEN_NEWLINE);
    s->kind[word] = TOKEN_NAME;
}

static bool is_word_of_letters(const struct scan *s, uint32_t token)
{
    struct text t = scan_text(s, s->at[token], s->len[token]);
    for (uint32_t i = 0; i < t.len; i++)
        if (t.at[i] < 'a' || t.at[i] > 'z')
            return false;
    return true;
}

/* A = where the statement has one already, or in parentheses: the statement above was not finished, or two stand on one
 * line, or a comparison is meant. */
static enum token_kind second_equals(struct scan *s, uint32_t at)
{
    uint32_t word = s->last, before = before_trivia(s, word);
    bool is_word = s->kind[word] == TOKEN_NAME || is_key_word(s->kind[word]);
    if (is_word && line_end_before(s, word)) {
        s->kind[word] = TOKEN_NAME;
        lines_end_above(s, word);
        return TOKEN_EQUALS;
    }
    bool unit = s->kind[word] == TOKEN_UNIT && is_word_of_letters(s, word); /* x = 1 y = 2: y was taken for a unit */
    bool parted =
        s->kind[before] == TOKEN_COMMA && s->seen & SEEN_EQUALS && ends_value(s->kind[before_trivia(s, before)]);
    if ((is_word || unit) && s->inside != TOKEN_OPEN && (parted || ends_value(s->kind[before]))) {
        two_on_a_line(s, word);
        lines_end_statement(s);
        return TOKEN_EQUALS;
    }
    if (!ends_value(s->kind[word]))
        return TOKEN_EQUALS;
    struct diagnostic *d =
        report(s->diagnostics, FAULT_syntax, scan_span(s, at, 1), "'=' states a value; it does not compare");
    report_help(s->diagnostics, d, "write '=='");
    report_edit(s->diagnostics, d, scan_span(s, at, 1), TEXT("=="));
    return TOKEN_SAME;
}

/* In front of = a key word is a name. */
static void name_key_word(struct scan *s)
{
    uint32_t word = s->last;
    if (s->first == word && !(s->seen & SEEN_EQUALS)) {
        s->kind[word] = TOKEN_NAME;
        s->seen = 0;
    } else if (s->first == word && s->joined > before_trivia(s, word)) {
        s->kind[s->joined] = TOKEN_NEWLINE; /* then = 5, at the start of a line */
        s->kind[word] = TOKEN_NAME;
        lines_end_statement(s);
    }
}

static bool is_digit(const struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    return at < b.len && b.at[at] >= '0' && b.at[at] <= '9';
}

/* Whether a statement reads KIND [NAME] [like NAME], or begins as a rule does: the head of a block. */
static bool is_head(const struct scan *s, uint32_t from, uint32_t end)
{
    uint32_t names = 0;
    if (s->kind[from] == TOKEN_LIMIT || s->kind[from] == TOKEN_CAUTION || s->kind[from] == TOKEN_DERIVE)
        return true;
    for (uint32_t i = from; i < end; i++) {
        if (!is_trivia(s->kind[i]) && s->kind[i] != TOKEN_NAME && s->kind[i] != TOKEN_LIKE)
            return false;
        names += s->kind[i] == TOKEN_NAME;
    }
    return names >= 1 && names <= 3;
}

/* NAME = where only definitions stand: below a line that could head a block, its brace was left out. */
static void open_missing_brace(struct scan *s)
{
    uint32_t end = before_trivia(s, s->last), from = end;
    if (s->kind[end] != TOKEN_NEWLINE || s->seen_above & SEEN_EQUALS)
        return;
    while (from > 1 && s->kind[from - 1] != TOKEN_NEWLINE && s->kind[from - 1] != TOKEN_OPEN_BRACE &&
           s->kind[from - 1] != TOKEN_CLOSE_BRACE)
        from--;
    while (is_trivia(s->kind[from]))
        from++;
    uint32_t last = before_trivia(s, end);
    if (from > last || !is_head(s, from, end))
        return;
    struct text head = scan_text(s, s->at[from], s->at[last] + s->len[last] - s->at[from]);
    struct diagnostic *d = report(s->diagnostics, FAULT_syntax, scan_span(s, s->at[last] + s->len[last], 0),
                                  "'{' is missing behind '%.*s'", TEXT_ARGS(head));
    report_help(s->diagnostics, d, "the facts of a definition stand in braces: '%.*s {'", TEXT_ARGS(head));
    report_edit(s->diagnostics, d, scan_span(s, s->at[last] + s->len[last], 0), TEXT(" {"));
    s->kind[end] = TOKEN_BREAK;
    scan_missing(s, end, TOKEN_OPEN_BRACE);
    brackets_open_block(s, last, s->seen_above);
}

static bool only_definitions(const struct scan *s)
{
    return s->brackets.count == 0 ||
           (s->inside == TOKEN_OPEN_BRACE && s->brackets.at[s->brackets.count - 1].seen & SEEN_STEPS);
}

/* Inside `as normal(k 2, ...)`, where nothing is assigned: the shape's `(` is reached back over facts alone. */
static bool in_spread(const struct scan *s)
{
    uint32_t at = s->last;
    if (s->inside != TOKEN_OPEN || s->kind[at] != TOKEN_NAME)
        return false;
    while (at && (s->kind[at] == TOKEN_NAME || s->kind[at] == TOKEN_NUMBER || s->kind[at] == TOKEN_UNIT ||
                  s->kind[at] == TOKEN_COMMA || s->kind[at] == TOKEN_STRAY))
        at = before_trivia(s, at);
    uint32_t shape = at && s->kind[at] == TOKEN_OPEN ? before_trivia(s, at) : 0;
    return shape && s->kind[shape] == TOKEN_NAME && s->kind[before_trivia(s, shape)] == TOKEN_AS;
}

static void report_spread_equals(struct scan *s, uint32_t at)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_syntax, scan_span(s, at, 1), "what is known of a spread is written without '='");
    report_help(s->diagnostics, d, "write 'k 2', the name and its number");
    struct text bytes = s->tree->bytes;
    bool blank = at + 1 < bytes.len && bytes.at[at + 1] == ' ';
    report_edit(s->diagnostics, d, scan_span(s, at, 1 + blank), TEXT(""));
    scan_take(s, TOKEN_STRAY, at, 1);
}

void scan_equals(struct scan *s, uint32_t at)
{
    if (in_spread(s)) {
        report_spread_equals(s, at);
        return;
    }
    if (is_key_word(s->kind[s->last]))
        name_key_word(s);
    if (only_definitions(s) && !s->seen && s->kind[s->last] == TOKEN_NAME)
        open_missing_brace(s);
    enum token_kind kind = TOKEN_EQUALS;
    if (s->inside == TOKEN_OPEN || s->inside == TOKEN_TEXT_HEAD || s->seen & (SEEN_EQUALS | SEEN_REQUIRE))
        kind = second_equals(s, at);
    if (kind == TOKEN_EQUALS)
        s->seen |= SEEN_EQUALS;
    scan_take(s, kind, at, 1);
    if (kind == TOKEN_SAME)
        scan_faulty(s, s->last);
}

static bool states(const struct scan *s)
{
    return s->inside != TOKEN_OPEN && s->inside != TOKEN_TEXT_HEAD && !(s->seen & (SEEN_EQUALS | SEEN_REQUIRE)) &&
           !in_table(s);
}

static void equals_instead(struct scan *s, uint32_t at, uint32_t len)
{
    if (is_key_word(s->kind[s->last]))
        name_key_word(s);
    struct diagnostic *d = report(s->diagnostics, FAULT_syntax, scan_span(s, at, len),
                                  "a value is stated with '=', not with '%.*s'", (int)len, s->tree->bytes.at + at);
    report_help(s->diagnostics, d, "write '='");
    report_edit(s->diagnostics, d, scan_span(s, at, len), TEXT("="));
    s->seen |= SEEN_EQUALS;
    scan_take(s, TOKEN_EQUALS, at, len);
}

void scan_same(struct scan *s, uint32_t at)
{
    if (states(s) && !starts_statement(s))
        equals_instead(s, at, 2);
    else
        scan_take(s, TOKEN_SAME, at, 2);
}

void scan_colon(struct scan *s, uint32_t at, uint32_t len)
{
    if (states(s) && !starts_statement(s))
        equals_instead(s, at, len);
    else
        scan_take(s, TOKEN_COLON, at, len);
}

/* ---- operators --------------------------------------------------------------------------------------------------- */

void scan_prefix(struct scan *s, uint32_t token)
{
    if (++s->prefix == PREFIX_LIMIT && !s->deep_from)
        brackets_begin_deep(s, token);
}

void scan_operator(struct scan *s, enum token_kind kind, uint32_t at, uint32_t len)
{
    if (kind != TOKEN_POWER && s->kind[s->last] == TOKEN_NEWLINE && !in_table(s))
        lines_join(s);
    scan_take(s, kind, at, len);
    if (kind == TOKEN_POWER)
        scan_prefix(s, s->last);
}

static bool is_blank(const struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    return at >= b.len || b.at[at] == ' ' || b.at[at] == '\t' || b.at[at] == '\n' || b.at[at] == '\r';
}

/* Between two values. */
static void scan_sum(struct scan *s, enum token_kind kind, uint32_t at, uint32_t len)
{
    uint32_t last = s->count - 1;
    bool parted = s->kind[last] == TOKEN_STRAY && s->at[last] + s->len[last] == at; /* by a blank of another kind */
    bool before = at == 0 || is_blank(s, at - 1) || parted, behind = is_blank(s, at + len);
    if (before && !behind && is_digit(s, at + len) && s->inside != TOKEN_OPEN) {
        scan_take(s, kind == TOKEN_PLUS ? TOKEN_PLUS_TIGHT : TOKEN_MINUS_TIGHT, at, len);
        if (!s->tight)
            s->tight = s->last;
        return;
    }
    if (!before || !behind) {
        const char *sign = kind == TOKEN_PLUS ? "+" : "-";
        struct diagnostic *d =
            report(s->diagnostics, FAULT_missing_space, scan_span(s, at, len),
                   "a %s sign between two values needs a space on both sides", kind == TOKEN_PLUS ? "plus" : "minus");
        report_help(s->diagnostics, d, kind == TOKEN_PLUS ? "write 'a + b'" : "write 'a - b'; a-b would be a name");
        if (report_kept(s->diagnostics, d))
            report_edit(s->diagnostics, d, scan_span(s, at, len),
                        arena_format(s->arena, "%s%s%s", before ? "" : " ", sign, behind ? "" : " "));
    }
    scan_take(s, kind, at, len);
}

/* In front of a value. */
static void scan_lone_sign(struct scan *s, enum token_kind kind, uint32_t at, uint32_t len)
{
    struct span span = scan_span(s, at, len);
    if (kind == TOKEN_PLUS && !is_blank(s, at + len)) {
        struct diagnostic *d =
            report(s->diagnostics, FAULT_syntax, span, "a plus sign in front of a value says nothing");
        report_help(s->diagnostics, d, "leave it out");
        report_edit(s->diagnostics, d, span, TEXT(""));
        scan_add(s, TOKEN_STRAY, at, len);
        return;
    }
    uint32_t blank = at + len;
    while (blank < s->tree->bytes.len && s->tree->bytes.at[blank] == ' ')
        blank++;
    if (kind == TOKEN_MINUS && blank > at + len && !is_blank(s, blank)) {
        struct diagnostic *d =
            report(s->diagnostics, FAULT_syntax, span, "a minus sign stands directly in front of what it negates");
        report_help(s->diagnostics, d, "leave the space behind it out");
        report_edit(s->diagnostics, d, (struct span){span.file, at + len, blank}, TEXT(""));
    }
    scan_take(s, kind == TOKEN_MINUS ? TOKEN_MINUS_TIGHT : kind, at, len);
    scan_prefix(s, s->last);
}

void scan_sign(struct scan *s, enum token_kind kind, uint32_t at, uint32_t len)
{
    uint8_t before = s->kind[s->last];
    bool joins = before == TOKEN_NEWLINE && !in_table(s);
    if (joins)
        lines_join(s);
    if (joins || ends_value(before) || before == TOKEN_CLOSE_BRACE) /* the last may end a table */
        scan_sum(s, kind, at, len);
    else
        scan_lone_sign(s, kind, at, len);
}
