#include "grammar/words.h"
#include "grammar/brackets.h"
#include "grammar/lines.h"
#include "grammar/numbers.h"
#include "runtime/base/date.h"
#include "runtime/base/utf8.h"

/* ---- key words --------------------------------------------------------------------------------------------------- */

static const char spelling[TOKEN_KIND_COUNT][KEY_WORD_SIZE] = {
    [TOKEN_USE] = "use",       [TOKEN_LET] = "let",         [TOKEN_DERIVE] = "derive",   [TOKEN_FORMULA] = "formula",
    [TOKEN_LIMIT] = "limit",   [TOKEN_REQUIRE] = "require", [TOKEN_WAIVE] = "waive",     [TOKEN_CAUTION] = "caution",
    [TOKEN_STEPS] = "steps",   [TOKEN_LIKE] = "like",       [TOKEN_FOR] = "for",         [TOKEN_EACH] = "each",
    [TOKEN_AS] = "as",         [TOKEN_TABLE] = "table",     [TOKEN_TO] = "to",           [TOKEN_FIND] = "find",
    [TOKEN_PREFER] = "prefer", [TOKEN_UNTIL] = "until",     [TOKEN_BECAUSE] = "because", [TOKEN_BY] = "by",
    [TOKEN_SOURCE] = "source", [TOKEN_REMEDY] = "remedy",   [TOKEN_LABEL] = "label",     [TOKEN_IF] = "if",
    [TOKEN_THEN] = "then",     [TOKEN_ELSE] = "else",       [TOKEN_AND] = "and",         [TOKEN_OR] = "or",
    [TOKEN_NOT] = "not",       [TOKEN_TRUE] = "true",       [TOKEN_FALSE] = "false",     [TOKEN_OPEN_BRACE] = "{",
    [TOKEN_CLOSE_BRACE] = "}", [TOKEN_OPEN] = "(",          [TOKEN_CLOSE] = ")",         [TOKEN_COMMA] = ",",
    [TOKEN_COLON] = ":",       [TOKEN_DOT] = ".",           [TOKEN_EQUALS] = "=",        [TOKEN_PLUS_MINUS] = "+/-",
    [TOKEN_RANGE] = "..",      [TOKEN_PLUS] = "+",          [TOKEN_MINUS] = "-",         [TOKEN_PLUS_TIGHT] = "+",
    [TOKEN_MINUS_TIGHT] = "-", [TOKEN_TIMES] = "*",         [TOKEN_DIVIDE] = "/",        [TOKEN_POWER] = "^",
    [TOKEN_LESS] = "<",        [TOKEN_LESS_EQUAL] = "<=",   [TOKEN_GREATER] = ">",       [TOKEN_GREATER_EQUAL] = ">=",
    [TOKEN_SAME] = "==",       [TOKEN_DIFFERENT] = "!=",    [TOKEN_HOLE] = "?",          [TOKEN_COMMENT] = "#",
};

struct text word_of_kind(uint8_t kind)
{
    return text_of(spelling[kind]);
}

#define LENGTH(n) (uint8_t)(1 << (n))

const struct key_words_of key_words_of[26] = {
    ['a' - 'a'] = {LENGTH(2) | LENGTH(3), {TOKEN_AS, TOKEN_AND}},
    ['b' - 'a'] = {LENGTH(2) | LENGTH(7), {TOKEN_BECAUSE, TOKEN_BY}},
    ['c' - 'a'] = {LENGTH(7), {TOKEN_CAUTION}},
    ['d' - 'a'] = {LENGTH(6), {TOKEN_DERIVE}},
    ['e' - 'a'] = {LENGTH(4), {TOKEN_EACH, TOKEN_ELSE}},
    ['f' - 'a'] = {LENGTH(3) | LENGTH(4) | LENGTH(5) | LENGTH(7), {TOKEN_FORMULA, TOKEN_FOR, TOKEN_FIND, TOKEN_FALSE}},
    ['i' - 'a'] = {LENGTH(2), {TOKEN_IF}},
    ['l' - 'a'] = {LENGTH(3) | LENGTH(4) | LENGTH(5), {TOKEN_LET, TOKEN_LIMIT, TOKEN_LIKE, TOKEN_LABEL}},
    ['n' - 'a'] = {LENGTH(3), {TOKEN_NOT}},
    ['o' - 'a'] = {LENGTH(2), {TOKEN_OR}},
    ['p' - 'a'] = {LENGTH(6), {TOKEN_PREFER}},
    ['r' - 'a'] = {LENGTH(6) | LENGTH(7), {TOKEN_REQUIRE, TOKEN_REMEDY}},
    ['s' - 'a'] = {LENGTH(5) | LENGTH(6), {TOKEN_STEPS, TOKEN_SOURCE}},
    ['t' - 'a'] = {LENGTH(2) | LENGTH(4) | LENGTH(5), {TOKEN_TABLE, TOKEN_TO, TOKEN_THEN, TOKEN_TRUE}},
    ['u' - 'a'] = {LENGTH(3) | LENGTH(5), {TOKEN_USE, TOKEN_UNTIL}},
    ['w' - 'a'] = {LENGTH(5), {TOKEN_WAIVE}},
};

enum token_kind word_kind(const char *word, uint32_t len)
{
    char padded[KEY_WORD_SIZE] = "";
    if (word[0] < 'a' || word[0] > 'z' || !may_be_key_word(word, len))
        return TOKEN_NAME;
    memcpy(padded, word, len);
    for (const uint8_t *kind = key_words_of[word[0] - 'a'].kinds; *kind; kind++)
        if (memcmp(spelling[*kind], padded, sizeof padded) == 0)
            return *kind;
    return TOKEN_NAME;
}

/* Words that go on with the line above when they begin one. */
static bool goes_on(enum token_kind kind)
{
    return kind == TOKEN_AND || kind == TOKEN_OR || kind == TOKEN_THEN || kind == TOKEN_ELSE;
}

static uint8_t seen_by(enum token_kind kind)
{
    switch (kind) {
    case TOKEN_REQUIRE:
        return SEEN_REQUIRE;
    case TOKEN_LIMIT:
    case TOKEN_CAUTION:
        return SEEN_RULE;
    case TOKEN_STEPS:
        return SEEN_STEPS;
    default:
        return 0;
    }
}

/* `caution` without a name behind it is no item but the signal word, which may stand at the start of a line. */
static bool is_signal_word(const struct scan *s, uint32_t behind)
{
    struct text b = s->tree->bytes;
    while (behind < b.len && (b.at[behind] == ' ' || b.at[behind] == '\t'))
        behind++;
    return behind == b.len || b.at[behind] < 'a' || b.at[behind] > 'z';
}

void scan_key_word(struct scan *s, enum token_kind kind, uint32_t at, uint32_t len)
{
    if (s->kind[s->last] == TOKEN_DOT) {
        scan_take(s, TOKEN_NAME, at, len);
        return;
    }
    if (kind <= TOKEN_STEPS && !(kind == TOKEN_CAUTION && is_signal_word(s, at + len)))
        scan_item(s);
    bool starts = starts_statement(s);
    if (goes_on(kind) && s->kind[s->last] == TOKEN_NEWLINE)
        lines_join(s);
    scan_take(s, kind, at, len);
    if (starts) {
        s->first = s->last;
        s->seen |= seen_by(kind);
    }
    if (kind == TOKEN_TABLE)
        s->seen |= SEEN_TABLE;
    else if (kind == TOKEN_NOT || kind == TOKEN_IF)
        scan_prefix(s, s->last);
}

/* ---- names ------------------------------------------------------------------------------------------------------- */

static bool is_upper(char c)
{
    return c >= 'A' && c <= 'Z';
}

/* As a name is written: lower case, hyphens for underscores, none at the ends. */
static struct text mended_name(struct arena *a, struct text wrong)
{
    char *out = arena_alloc(a, (size_t)2 * wrong.len);
    uint32_t n = 0;
    for (uint32_t i = 0; i < wrong.len; i++) {
        char c = wrong.at[i];
        bool hump = i && is_upper(c) && wrong.at[i - 1] >= 'a' && wrong.at[i - 1] <= 'z'; /* insideRadius */
        if (hump)
            out[n++] = '-';
        if (c != '_')
            out[n++] = is_upper(c) ? (char)(c - 'A' + 'a') : c;
        else if (n && i + 1 < wrong.len && out[n - 1] != '-')
            out[n++] = '-';
    }
    return (struct text){out, n};
}

static bool has_foreign(struct text t)
{
    for (uint32_t i = 0; i < t.len; i++)
        if ((unsigned char)t.at[i] >= 0x80)
            return true;
    return false;
}

static void report_foreign_name(struct scan *s, uint32_t at, uint32_t len)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_stray_character, scan_span(s, at, len),
               "'%.*s' has letters that names do not have", (int)(len > 60 ? 60 : len), s->tree->bytes.at + at);
    report_help(s->diagnostics, d,
                "names are of a to z, digits and inner hyphens; other letters stand in texts and comments");
}

static void help_with_name(struct scan *s, struct diagnostic *d, struct text wrong, const char *rule)
{
    struct text mended = mended_name(s->arena, wrong);
    if (!mended.len || mended.at[0] < 'a') {
        report_help(s->diagnostics, d, "%s, and begin with a letter", rule);
        return;
    }
    report_help(s->diagnostics, d, "%s: write '%.*s'", rule, TEXT_ARGS(mended));
    report_edit(s->diagnostics, d, d->span, mended);
    tree_mend(s->arena, s->tree, s->count, mended); /* the token that comes next */
}

/* The key word it would be in lower case. */
static enum token_kind key_word_meant(struct text wrong)
{
    char lower[8];
    if (wrong.len >= sizeof lower)
        return TOKEN_NAME;
    for (uint32_t i = 0; i < wrong.len; i++)
        lower[i] = is_upper(wrong.at[i]) ? (char)(wrong.at[i] - 'A' + 'a') : wrong.at[i];
    return word_kind(lower, wrong.len);
}

uint32_t scan_wrong_name(struct scan *s, uint32_t at, uint32_t len)
{
    struct text wrong = scan_text(s, at, len);
    uint32_t sign = scan_drawing_sign(s, at);
    if (sign)
        return sign;
    if (has_foreign(wrong)) {
        report_foreign_name(s, at, len);
        scan_take(s, TOKEN_NAME, at, len);
        return len;
    }
    bool capitals = false;
    for (uint32_t i = 0; i < len; i++)
        capitals = capitals || is_upper(wrong.at[i]);
    enum token_kind kind = key_word_meant(wrong);
    struct diagnostic *d =
        report(s->diagnostics, FAULT_upper_case_name, scan_span(s, at, len), "'%.*s' is not written as a %s",
               TEXT_ARGS(wrong), kind == TOKEN_NAME ? "name" : "key word");
    if (report_kept(s->diagnostics, d))
        help_with_name(s, d, wrong,
                       kind != TOKEN_NAME ? "key words are lower case"
                       : capitals         ? "names are lower case, with hyphens inside"
                                          : "the parts of a name are joined by hyphens");
    if (kind == TOKEN_NAME)
        scan_take(s, TOKEN_NAME, at, len);
    else
        scan_key_word(s, kind, at, len);
    return len;
}

void scan_unit_type(struct scan *s, uint32_t at, uint32_t len)
{
    if (s->first && s->first == s->last) /* label [mm] = ... */
        s->kind[s->last] = TOKEN_NAME;
    scan_take(s, TOKEN_UNIT_TYPE, at, len);
}

/* ---- dates and numbers ------------------------------------------------------------------------------------------- */

static int digits_of(const char **at, const char *end)
{
    int value = 0;
    while (*at < end && **at >= '0' && **at <= '9')
        value = value * 10 + *(*at)++ - '0';
    ++*at; /* the hyphen */
    return value;
}

void scan_date(struct scan *s, uint32_t at, uint32_t len)
{
    const char *p = s->tree->bytes.at + at, *end = p + len;
    int year = digits_of(&p, end), month = digits_of(&p, end), day = digits_of(&p, end);
    bool exists = day_exists(year, month, day);
    if (!exists || len != 10) {
        struct text date = scan_text(s, at, len);
        struct diagnostic *d =
            report(s->diagnostics, FAULT_bad_date, scan_span(s, at, len),
                   exists ? "'%.*s' is not written as a date" : "there is no such day as %.*s", TEXT_ARGS(date));
        report_help(s->diagnostics, d, "dates are written year-month-day, as 2026-11-02");
        if (exists && report_kept(s->diagnostics, d))
            report_edit(s->diagnostics, d, scan_span(s, at, len),
                        arena_format(s->arena, "%04d-%02d-%02d", year, month, day));
    }
    scan_take(s, TOKEN_DATE, at, len);
}

/* What is too much becomes stray, so that the rest reads as a number with its unit. */
uint32_t scan_dotted_number(struct scan *s, uint32_t at, uint32_t len)
{
    struct text t = scan_text(s, at, len);
    uint32_t stray = 1;
    struct diagnostic *d = report(s->diagnostics, FAULT_bad_number, scan_span(s, at, len),
                                  "'%.*s' is not written as a number", TEXT_ARGS(t));
    if (t.at[0] == '.') {
        report_help(s->diagnostics, d, "a digit stands in front of the point: 0%.*s", TEXT_ARGS(t));
        report_edit(s->diagnostics, d, scan_span(s, at, 0), TEXT("0"));
    } else if (t.at[len - 1] == '.') {
        report_help(s->diagnostics, d, "a digit stands behind the point: %.*s0", TEXT_ARGS(t));
        report_edit(s->diagnostics, d, scan_span(s, at + len, 0), TEXT("0"));
        scan_take(s, TOKEN_NUMBER, at, len - 1);
        at += len - 1;
        stray = len;
    } else {
        report_help(s->diagnostics, d,
                    "a number has one point, as in 0.50; digits are grouped by _, as in 3_500; a date is 2026-11-02");
        for (stray = len - 1; t.at[stray] != '.';)
            stray--;
        while (t.at[stray - 1] != '.')
            stray--;
    }
    scan_faulty(s, scan_add(s, TOKEN_STRAY, at, stray == len ? 1 : stray));
    return stray;
}

static uint32_t number_length(const char *p)
{
    uint32_t n = 0;
    while ((p[n] >= '0' && p[n] <= '9') || p[n] == '_' || (p[n] == '.' && p[n + 1] >= '0' && p[n + 1] <= '9'))
        n++;
    if (p[n] == 'e' || p[n] == 'E') {
        uint32_t sign = p[n + 1] == '+' || p[n + 1] == '-', digits = n + 1 + sign;
        while (p[digits] >= '0' && p[digits] <= '9')
            digits++;
        if (digits > n + 1 + sign)
            n = digits;
    }
    return n;
}

/* A key word behind a number is no unit: 20 mm if, 100 to 200. */
uint32_t scan_measure(struct scan *s, uint32_t at, uint32_t len)
{
    const char *p = s->window + (at - s->window_at);
    uint32_t number = 0, unit;
    while (p[number] != ' ' && p[number] != '\t')
        number++;
    for (unit = number; p[unit] == ' ' || p[unit] == '\t';)
        unit++;
    scan_take(s, TOKEN_NUMBER, at, number);
    if (word_kind(p + unit, len - unit) != TOKEN_NAME)
        return number;
    uint32_t more = scan_parted_scale(s, at + len, scan_text(s, at + unit, len - unit));
    len += more ? more : scan_rest_of_unit(s, at + len);
    scan_take(s, TOKEN_UNIT, at + unit, len - unit);
    return len;
}

uint32_t scan_tight_measure(struct scan *s, uint32_t at, uint32_t len)
{
    const char *p = s->window + (at - s->window_at);
    uint32_t number = number_length(p);
    bool word = word_kind(p + number, len - number) != TOKEN_NAME;
    struct span gap = scan_span(s, at + number, 0);
    struct diagnostic *d = report(s->diagnostics, FAULT_missing_space, scan_span(s, at, len), "a space is missing %s",
                                  word ? "behind the number" : "between number and unit");
    report_help(s->diagnostics, d, "write '%.*s %.*s'", (int)number, p, (int)(len - number), p + number);
    report_edit(s->diagnostics, d, gap, TEXT(" "));
    scan_take(s, TOKEN_NUMBER, at, number);
    if (word)
        return number;
    scan_take(s, TOKEN_UNIT, at + number, len - number);
    return len;
}

/* ---- comments and texts ------------------------------------------------------------------------------------------ */

/* The end of the line that `at` is in, without the carriage return of a line end. */
static uint32_t line_end(const struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    const char *end = memchr(b.at + at, '\n', b.len - at);
    uint32_t hi = end ? (uint32_t)(end - b.at) : b.len;
    return hi > at && b.at[hi - 1] == '\r' ? hi - 1 : hi;
}

uint32_t scan_comment(struct scan *s, uint32_t at)
{
    uint32_t len = line_end(s, at) - at;
    scan_add(s, TOKEN_COMMENT, at, len);
    return len;
}

static void report_escape(struct scan *s, uint32_t at)
{
    struct utf8_char c = utf8_at(s->tree->bytes, at + 1);
    struct diagnostic *d =
        report(s->diagnostics, FAULT_unknown_escape, scan_span(s, at, 1 + c.len), "a text has no escape '\\%.*s'",
               c.valid ? (int)c.len : 0, s->tree->bytes.at + at + 1);
    report_help(s->diagnostics, d,
                "it has \\\" for a quote, \\\\ for a backslash, \\{ for a brace, \\n for a new line");
}

static void report_unfinished(struct scan *s, uint32_t at, uint32_t hi)
{
    struct diagnostic *d = report(s->diagnostics, FAULT_unfinished_text, (struct span){s->tree->file, at, hi},
                                  "this text has no closing quote on its line");
    report_help(s->diagnostics, d, "close it with \"; a new line inside a text is written \\n");
}

static void report_control(struct scan *s, uint32_t at)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_stray_character, scan_span(s, at, 1),
               "a text cannot hold the control character 0x%02x", (unsigned char)s->tree->bytes.at[at]);
    report_help(s->diagnostics, d, "delete it; a new line inside a text is written \\n");
}

/* From behind the opening mark to the closing quote, the { of an expression, or the end of the line. */
static uint32_t text_end(struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    for (; at < b.len; at++) {
        unsigned char c = (unsigned char)b.at[at];
        if (c == '"' || c == '{' || c == '\n')
            return at;
        if (c == '\\') {
            if (at + 1 >= b.len || b.at[at + 1] == '\n' || b.at[at + 1] == '\r')
                continue;
            if (!strchr("\"\\{}n", b.at[at + 1]) || !b.at[at + 1])
                report_escape(s, at);
            at++;
        } else if ((c < ' ' && c != '\t' && c != 0 && !(c == '\r' && at + 1 < b.len && b.at[at + 1] == '\n')) ||
                   c == 0x7f)
            report_control(s, at);
    }
    return at;
}

enum { TEXT_BYTES = 20000, TEXT_VALUES = 200 }; /* more take minutes to set, and no page has room for them */

/* Of the piece of a text from `at` to `hi`: counts it and reports a text that is too long, once. */
static void check_length(struct scan *s, uint32_t at, uint32_t hi, bool middle)
{
    if (s->texts > (middle ? 1u : 0u))
        return; /* a text inside {expression} is part of the one around it */
    s->text_from = middle ? s->text_from : at;
    s->pieces = middle ? s->pieces + 1 : 0;
    bool longer = hi - s->text_from > TEXT_BYTES && at - s->text_from <= TEXT_BYTES,
         many = s->pieces == TEXT_VALUES + 1;
    if (!longer && !many)
        return;
    struct diagnostic *d =
        report(s->diagnostics, FAULT_text_too_long, scan_span(s, s->text_from, 1),
               longer ? "this text has more than %d bytes" : "this text has more than %d values in braces",
               longer ? TEXT_BYTES : TEXT_VALUES);
    report_help(s->diagnostics, d, "shorten it; a longer document is named by its title and kept beside the recipe");
}

uint32_t scan_text_from(struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    bool middle = b.at[at] == '}';
    uint32_t inch = scan_inch_mark(s, at);
    if (inch)
        return inch;
    if (middle && s->inside == TOKEN_OPEN)
        brackets_close_parens(s, s->count);
    uint32_t end = text_end(s, at + 1);
    bool finished = end < b.len && b.at[end] != '\n';
    uint32_t len = finished ? end + 1 - at : line_end(s, at) - at;
    check_length(s, at, at + len, middle);
    if (!middle)
        lines_note(s);
    if (finished && b.at[end] == '{') {
        scan_take(s, middle ? TOKEN_TEXT_MID : TOKEN_TEXT_HEAD, at, len);
        if (!middle)
            scan_open_text(s, s->last);
        return len;
    }
    if (!finished && !s->texts) /* else the text around it is told */
        report_unfinished(s, at, at + len);
    scan_take(s, middle ? TOKEN_TEXT_TAIL : TOKEN_TEXT, at, len);
    if (!finished)
        scan_faulty(s, s->last);
    if (middle)
        scan_close_text(s);
    return len;
}
