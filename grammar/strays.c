/* What is not of the language: marks of other languages, look-alikes, bytes that no token begins with. */
#include "grammar/brackets.h"
#include "grammar/lines.h"
#include "grammar/numbers.h"
#include "grammar/words.h"
#include "runtime/base/utf8.h"

void scan_foreign_mark(struct scan *s, enum token_kind kind, uint32_t at, uint32_t len)
{
    struct text meant = word_of_kind((uint8_t)kind);
    struct diagnostic *d = report(s->diagnostics, FAULT_syntax, scan_span(s, at, len),
                                  "'%.*s' is not a mark of the language", (int)len, s->tree->bytes.at + at);
    report_help(s->diagnostics, d, "write '%.*s'", TEXT_ARGS(meant));
    report_edit(s->diagnostics, d, scan_span(s, at, len), meant);
    scan_operator(s, kind, at, len);
}

static uint32_t end_of_line(const struct scan *s, uint32_t at)
{
    const char *end = memchr(s->tree->bytes.at + at, '\n', s->window_end - at);
    return end ? (uint32_t)(end - s->tree->bytes.at) : s->window_end;
}

/* Behind the closing mark, in whichever line it stands; without one the comment ends with its line. */
static uint32_t end_of_comment(const struct scan *s, uint32_t at, bool closes)
{
    struct text b = s->tree->bytes;
    for (uint32_t i = at + 2; closes && i + 1 < s->window_end; i++)
        if (b.at[i] == '*' && b.at[i + 1] == '/')
            return i + 2;
    return end_of_line(s, at);
}

uint32_t scan_foreign_comment(struct scan *s, uint32_t at, uint32_t mark)
{
    bool closes = s->tree->bytes.at[at + 1] == '*';
    uint32_t hi = end_of_comment(s, at, closes), line = end_of_line(s, at);
    while (hi > at + mark && s->tree->bytes.at[hi - 1] == '\r')
        hi--;
    struct text inner = scan_text(s, at + mark, hi - at - mark - (closes && hi > at + 3 ? 2 : 0));
    while (inner.len && inner.at[inner.len - 1] == ' ')
        inner.len--;
    struct diagnostic *d = report(s->diagnostics, FAULT_syntax, scan_span(s, at, mark),
                                  "'%.*s' is not a mark of the language", (int)mark, s->tree->bytes.at + at);
    report_help(s->diagnostics, d,
                hi <= line ? "a comment begins with #" : "a comment begins with #, in each of its lines");
    if (hi == line || (hi < line && s->tree->bytes.at[hi] == '\r'))
        report_edit(s->diagnostics, d, scan_span(s, at, hi - at), arena_format(s->arena, "#%.*s", TEXT_ARGS(inner)));
    scan_add(s, hi <= line ? TOKEN_COMMENT : TOKEN_STRAY, at, hi - at);
    return hi - at;
}

uint32_t scan_double_minus(struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    char before = at ? b.at[at - 1] : '\n', behind = at + 2 < s->window_end ? b.at[at + 2] : '\n';
    if (strchr(" \t\n", before) && strchr(" \t-\r\n", behind))
        return scan_foreign_comment(s, at, 2);
    scan_sign(s, TOKEN_MINUS, at, 1);
    return 1;
}

/* Characters that look like one of the language, and what is taken in their place. */
static const struct look_alike {
    const char *bytes;
    const char *name;
    uint8_t kind;
} look_alikes[] = {
    {"\xc3\x97", "a multiplication cross", TOKEN_TIMES},
    {"\xc3\xb7", "a division sign", TOKEN_DIVIDE},
    {"\xe2\x88\x92", "a typographic minus", TOKEN_MINUS},
    {"\xe2\x80\x90", "a typographic hyphen", TOKEN_MINUS},
    {"\xe2\x80\x91", "a typographic hyphen", TOKEN_MINUS},
    {"\xe2\x80\x93", "a dash", TOKEN_MINUS},
    {"\xe2\x80\x94", "a dash", TOKEN_MINUS},
    {"\xe2\x89\xa4", "a less-or-equal sign", TOKEN_LESS_EQUAL},
    {"\xe2\x89\xa5", "a greater-or-equal sign", TOKEN_GREATER_EQUAL},
    {"\xe2\x89\xa0", "a not-equal sign", TOKEN_DIFFERENT},
    {"\xe2\x80\xa6", "an ellipsis", TOKEN_RANGE},
    {"\xe2\x80\x9c", "a curly quote", TOKEN_TEXT},
    {"\xe2\x80\x9d", "a curly quote", TOKEN_TEXT},
    {"\xe2\x80\x9e", "a curly quote", TOKEN_TEXT},
    {"\xc2\xab", "an angled quote", TOKEN_TEXT},
    {"\xc2\xbb", "an angled quote", TOKEN_TEXT},
    {"\xe2\x80\x98", "a curly quote", TOKEN_TEXT},
    {"\xe2\x80\x99", "a curly quote", TOKEN_TEXT},
    {"'", "a single quote", TOKEN_TEXT},
    {"`", "a back quote", TOKEN_TEXT},
    {"\xc2\xa0", "a no-break space", TOKEN_STRAY},
    {"\xe2\x80\xaf", "a no-break space", TOKEN_STRAY},
    {"\xe2\x80\x89", "a thin space", TOKEN_STRAY},
};

static const struct look_alike *look_alike_at(const struct scan *s, uint32_t at)
{
    struct text rest = scan_text(s, at, s->tree->bytes.len - at);
    for (uint32_t i = 0; i < sizeof look_alikes / sizeof *look_alikes; i++) {
        struct text t = text_of(look_alikes[i].bytes);
        if (rest.len >= t.len && memcmp(rest.at, t.at, t.len) == 0)
            return &look_alikes[i];
    }
    return NULL;
}

/* Whether a closing quote of this kind begins at `at`: one of the same sort, whichever way it curls. */
static uint32_t closing_quote(const struct scan *s, uint32_t at)
{
    const struct look_alike *l = look_alike_at(s, at);
    if (s->tree->bytes.at[at] == '"')
        return 1;
    return l && l->kind == TOKEN_TEXT ? (uint32_t)strlen(l->bytes) : 0;
}

static bool is_line_end(const struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    return b.at[at] == '\n' || (b.at[at] == '\r' && at + 1 < b.len && b.at[at + 1] == '\n');
}

/* A text in quotes of another kind, taken as the text it was meant to be. */
static uint32_t scan_odd_text(struct scan *s, const struct look_alike *odd, uint32_t at)
{
    uint32_t open = (uint32_t)strlen(odd->bytes), close = at + open, mark = 0;
    while (close < s->window_end && !is_line_end(s, close) && !(mark = closing_quote(s, close)))
        close++;
    uint32_t len = close + mark - at;
    struct diagnostic *d =
        report(s->diagnostics, FAULT_stray_character, scan_span(s, at, open), "%s does not begin a text", odd->name);
    if (mark && report_kept(s->diagnostics, d)) {
        struct text inner = scan_text(s, at + open, close - at - open);
        report_help(s->diagnostics, d, "texts stand in plain double quotes: \"%.*s\"",
                    (int)(inner.len > 40 ? 0 : inner.len), inner.at);
        report_edit(s->diagnostics, d, scan_span(s, at, len), arena_format(s->arena, "\"%.*s\"", TEXT_ARGS(inner)));
    } else
        report_help(s->diagnostics, d, "texts stand in plain double quotes: \"...\"");
    scan_take(s, TOKEN_TEXT, at, len);
    scan_faulty(s, s->last);
    return len;
}

static uint32_t scan_look_alike(struct scan *s, const struct look_alike *l, uint32_t at)
{
    uint32_t len = (uint32_t)strlen(l->bytes);
    if (l->kind == TOKEN_TEXT)
        return scan_odd_text(s, l, at);
    if (l->kind == TOKEN_MINUS && scan_dash(s, at, len))
        return len;
    struct text meant = l->kind == TOKEN_STRAY ? TEXT(" ") : word_of_kind(l->kind);
    struct diagnostic *d =
        report(s->diagnostics, FAULT_stray_character, scan_span(s, at, len), "%s means nothing here", l->name);
    report_help(s->diagnostics, d, l->kind == TOKEN_STRAY ? "write an ordinary space" : "write '%.*s'",
                TEXT_ARGS(meant));
    report_edit(s->diagnostics, d, scan_span(s, at, len), meant);
    bool behind_number = s->kind[s->last] == TOKEN_NUMBER && s->at[s->last] + s->len[s->last] == at;
    if (l->kind == TOKEN_STRAY && behind_number) {
        uint32_t number = s->last, unit = scan_unit_behind(s, at + len);
        if (unit) { /* which belongs to its number only if nothing stands between them */
            tree_mend(s->arena, s->tree, number, scan_text(s, s->at[number], s->len[number]));
            s->len[number] += len;
            return len + unit;
        }
    }
    if (l->kind == TOKEN_STRAY)
        scan_add(s, TOKEN_STRAY, at, len);
    else if (l->kind == TOKEN_MINUS)
        scan_sign(s, TOKEN_MINUS, at, len);
    else
        scan_operator(s, l->kind, at, len);
    return len;
}

static bool is_last_in_line(const struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    while (at < b.len && (b.at[at] == ' ' || b.at[at] == '\t' || b.at[at] == '\r'))
        at++;
    return at == b.len || b.at[at] == '\n' || b.at[at] == '#';
}

/* Behind a semicolon the line is done; what else stands there is a statement of its own. */
static void scan_semicolon(struct scan *s, uint32_t at)
{
    bool listing = s->inside == TOKEN_OPEN, last = is_last_in_line(s, at + 1);
    struct diagnostic *d = report(s->diagnostics, FAULT_stray_character, scan_span(s, at, 1), "';' means nothing here");
    report_help(s->diagnostics, d,
                listing ? "what stands in parentheses is parted by commas"
                : last  ? "a statement ends with its line; leave the semicolon out"
                        : "a statement ends with its line; begin a new line here");
    if (listing || last)
        report_edit(s->diagnostics, d, scan_span(s, at, 1), listing ? TEXT(",") : TEXT(""));
    if (listing)
        scan_take(s, TOKEN_COMMA, at, 1);
    else if (s->inside != TOKEN_TEXT_HEAD && ends_value(s->kind[s->last])) {
        lines_end_statement(s);
        scan_take(s, TOKEN_NEWLINE, at, 1);
    } else
        scan_add(s, TOKEN_STRAY, at, 1);
}

/* The line ends of another age; one fault a file. The last byte of a file is one of CR and LF that was cut off. */
static void scan_lone_return(struct scan *s, uint32_t at)
{
    if (!s->told_return && at + 1 < s->tree->bytes.len) {
        struct diagnostic *d = report(s->diagnostics, FAULT_stray_character, scan_span(s, at, 1),
                                      "a carriage return by itself does not end a line");
        report_help(s->diagnostics, d, "save the file with LF, or CR and LF, at the end of each line");
        s->told_return = true;
    }
    scan_line_end(s, at, 1);
}

/* Bytes that begin nothing, up to a blank, a letter or a digit, as one token. */
static uint32_t stray_length(const struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    uint32_t hi = at + utf8_at(b, at).len;
    while (hi < b.len) {
        struct utf8_char c = utf8_at(b, hi);
        bool told = !c.valid || c.point == 0; /* for the whole file */
        bool odd = c.point >= 0x80 || strchr("$?@\\|~&", (int)c.point);
        if (!told && (!odd || look_alike_at(s, hi)))
            break;
        hi += c.len;
    }
    return hi - at;
}

static const char *help_with_stray(char first)
{
    static const struct {
        char byte;
        const char *help;
    } known[] = {{'!', "write 'not', or != for 'is not'"},
                 {'&', "write 'and'"},
                 {'|', "write 'or'"},
                 {'[', "a unit type is closed with ] on the same line: [mm]"},
                 {']', "a unit type is opened with [: [mm]"},
                 {'\\', "a backslash stands only in texts"}};
    for (uint32_t i = 0; i < sizeof known / sizeof known[0]; i++)
        if (first == known[i].byte)
            return known[i].help;
    return "leave it out, or put it into a text or a comment";
}

uint32_t scan_stray(struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    const struct look_alike *l = look_alike_at(s, at);
    if (l)
        return scan_look_alike(s, l, at);
    uint32_t sign = scan_drawing_sign(s, at), wide = sign ? 0 : scan_wide(s, at);
    if (sign || wide)
        return sign + wide;
    if (b.at[at] == ';' || b.at[at] == '\r') {
        (b.at[at] == ';' ? scan_semicolon : scan_lone_return)(s, at);
        return 1;
    }
    uint32_t len = stray_length(s, at), token = scan_add(s, TOKEN_STRAY, at, len);
    unsigned char first = (unsigned char)b.at[at];
    scan_faulty(s, token);
    struct utf8_char c = utf8_at(b, at);
    if (!c.valid || first == 0) /* told already, for the whole file */
        return len;
    struct diagnostic *d = first < ' ' || first == 0x7f
                               ? report(s->diagnostics, FAULT_stray_character, scan_span(s, at, len),
                                        "the control character 0x%02x means nothing here", first)
                               : report(s->diagnostics, FAULT_stray_character, scan_span(s, at, len),
                                        "'%.*s' means nothing here", (int)(len > 24 ? c.len : len), b.at + at);
    report_help(s->diagnostics, d, "%s", help_with_stray(b.at[at]));
    return len;
}

/* Where a value is wanted; elsewhere it means nothing. */
uint32_t scan_hole(struct scan *s, uint32_t at)
{
    if (!s->last || s->kind[s->last] != TOKEN_EQUALS)
        return scan_stray(s, at);
    scan_take(s, TOKEN_HOLE, at, 1);
    return 1;
}
