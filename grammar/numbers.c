#include "grammar/numbers.h"
#include "grammar/lines.h"
#include "grammar/words.h"
#include "runtime/base/number.h"
#include "runtime/base/utf8.h"

static char byte_at(const struct scan *s, uint32_t at)
{
    return at < s->window_end ? s->tree->bytes.at[at] : '\n';
}

static bool is_digit_at(const struct scan *s, uint32_t at)
{
    char c = byte_at(s, at);
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_space(char c)
{
    return c == ' ' || c == '\t';
}

static bool begins_with(const struct scan *s, uint32_t at, const char *bytes)
{
    size_t n = strlen(bytes);
    return at + n <= s->window_end && memcmp(s->tree->bytes.at + at, bytes, n) == 0;
}

static uint32_t over_blanks(const struct scan *s, uint32_t at)
{
    while (is_space(byte_at(s, at)))
        at++;
    return at;
}

/* ---- units ------------------------------------------------------------------------------------------------------- */

/* Bytes of one character that units are made of, 0 for another. */
static uint32_t unit_character(const struct scan *s, uint32_t at)
{
    static const char *const signs[] = {"\xc2\xb0", "\xc2\xb5", "\xc2\xba", "\xc2\xb2",
                                        "\xc2\xb3", "\xc2\xb7", "\xce\xbc"};
    char c = byte_at(s, at);
    if (is_letter(c) || is_digit_at(s, at) || (c && strchr("*/^%", c)))
        return 1;
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
        if (begins_with(s, at, signs[i]))
            return (uint32_t)strlen(signs[i]);
    return 0;
}

/* Up to the first byte that belongs to no unit; parentheses only in pairs. blanks: inside parentheses they belong to it. */
static uint32_t unit_end(const struct scan *s, uint32_t at, bool blanks)
{
    uint32_t open = 0, n, sound = at;
    for (;; at += n) {
        char c = byte_at(s, at);
        n = unit_character(s, at);
        if (c == '(' || (c == ')' && open)) {
            n = 1;
            open += c == '(' ? 1u : -1u;
        } else if (blanks && open && c == ' ') {
            n = 1;
        } else if (!n) {
            return sound;
        }
        sound = open ? sound : at + n;
    }
}

uint32_t scan_unit_behind(struct scan *s, uint32_t at)
{
    uint32_t from = over_blanks(s, at), end = from;
    char c = byte_at(s, from);
    if (is_letter(c) || c == '%' || c == '/' || (unit_character(s, from) > 1))
        end = unit_end(s, from, false);
    if (end == from || (c == '/' && !is_letter(byte_at(s, from + 1))))
        return 0;
    const char *word = s->tree->bytes.at + from;
    if (word_kind(word, end - from) != TOKEN_NAME)
        return 0;
    scan_take(s, TOKEN_UNIT, from, end - from);
    return end - at;
}

/* " / (m^2 * K)" with a capital letter, which no name has: the bytes up to its end, else 0. */
static uint32_t spaced_quotient(const struct scan *s, uint32_t at)
{
    uint32_t sign = over_blanks(s, at), open = byte_at(s, sign) == '/' ? over_blanks(s, sign + 1) : sign, i;
    bool capital = false;
    if (byte_at(s, open) != '(' || sign == at)
        return 0;
    for (i = open + 1; unit_character(s, i) || byte_at(s, i) == ' '; i++)
        capital = capital || (byte_at(s, i) >= 'A' && byte_at(s, i) <= 'Z');
    return capital && byte_at(s, i) == ')' ? i + 1 - at : 0;
}

uint32_t scan_rest_of_unit(const struct scan *s, uint32_t at)
{
    uint32_t spaced = spaced_quotient(s, at);
    if (spaced)
        return spaced;
    bool grouped = begins_with(s, at, "/(");
    if (!grouped && (!unit_character(s, at) || strchr("*/", byte_at(s, at))))
        return 0;
    return unit_end(s, at, true) - at;
}

static uint32_t word_length(const struct scan *s, uint32_t at)
{
    uint32_t n = 0;
    while (is_letter(byte_at(s, at + n)))
        n++;
    return n;
}

uint32_t scan_parted_scale(struct scan *s, uint32_t at, struct text unit)
{
    static const char *const scales[] = {"C", "F", "c", "f", "celsius", "fahrenheit", "Celsius", "Fahrenheit"};
    uint32_t from = over_blanks(s, at), n = word_length(s, from);
    struct text word = scan_text(s, from, n), meant = TEXT("");
    bool degree = text_is(unit, "deg") || text_is(unit, "degree") || text_is(unit, "degrees") ||
                  text_is(unit, "\xc2\xb0") || text_is(unit, "\xc2\xba");
    for (size_t i = 0; degree && i < sizeof scales / sizeof *scales; i++)
        if (text_is(word, scales[i]))
            meant = i % 2 ? TEXT("degF") : TEXT("degC");
    if (!meant.len)
        return 0;
    struct span span = scan_span(s, at - unit.len, unit.len + from - at + n);
    struct diagnostic *d = report(s->diagnostics, FAULT_unknown_unit, span, "a temperature scale is one word");
    report_help(s->diagnostics, d, "write '%.*s'", TEXT_ARGS(meant));
    report_edit(s->diagnostics, d, span, meant);
    tree_mend(s->arena, s->tree, s->count, meant);
    return from - at + n;
}

/* ---- commas in numbers ------------------------------------------------------------------------------------------- */

static bool is_table(const struct scan *s)
{
    return s->inside == TOKEN_OPEN_BRACE && s->brackets.at[s->brackets.count - 1].seen & SEEN_TABLE;
}

/* Digits with points and commas between them. */
static uint32_t run_end(const struct scan *s, uint32_t at)
{
    while (is_digit_at(s, at) || byte_at(s, at) == '_' ||
           ((byte_at(s, at) == ',' || byte_at(s, at) == '.') && is_digit_at(s, at + 1)))
        at++;
    return at;
}

struct run {
    uint32_t commas, points, last; /* last: place of the last of either */
    bool groups;     /* every part behind a separator but the last has three digits, the first one to three */
    uint32_t behind; /* digits behind the last separator */
};

static struct run run_of(struct text t)
{
    struct run r = {.groups = true};
    uint32_t part = 0;
    for (uint32_t i = 0; i < t.len; i++, part++) {
        if (t.at[i] != ',' && t.at[i] != '.')
            continue;
        bool first = r.commas + r.points == 0;
        r.groups = r.groups && (first ? part >= 1 && part <= 3 : part == 3);
        r.commas += t.at[i] == ',';
        r.points += t.at[i] == '.';
        r.last = i;
        part = UINT32_MAX; /* 0 behind the separator */
    }
    r.behind = t.len - r.last - 1;
    return r;
}

/* Without its separators but the one at `point`, which becomes a point; t.len: none. */
static struct text joined_digits(struct arena *a, struct text t, uint32_t point)
{
    char *out = arena_alloc(a, (size_t)t.len + 1);
    uint32_t n = 0;
    for (uint32_t i = 0; i < t.len; i++)
        if (i == point)
            out[n++] = '.';
        else if (t.at[i] != ',' && t.at[i] != '.')
            out[n++] = t.at[i];
    return (struct text){out, n};
}

/* The number that is meant; empty where it may be two. *thousands: its commas part thousands. */
static struct text number_meant(struct arena *a, struct text t, bool *thousands)
{
    struct run r = run_of(t);
    bool both = r.commas && r.points;
    *thousands = true;
    if (both && r.groups && t.at[r.last] == '.' && r.points == 1) /* 1,250.5 */
        return joined_digits(a, t, r.last);
    if (!r.points && r.commas > 1 && r.groups && r.behind == 3) /* 1,250,000 */
        return joined_digits(a, t, t.len);
    *thousands = false;
    if (both && r.groups && t.at[r.last] == ',' && r.commas == 1) /* 1.250,5 */
        return joined_digits(a, t, r.last);
    if (r.points || r.commas != 1 || (r.groups && r.behind == 3 && t.at[0] != '0'))
        return TEXT("");
    return joined_digits(a, t, r.last);
}

static void report_comma(struct scan *s, struct span span, struct text run, struct text meant, bool thousands)
{
    struct diagnostics *g = s->diagnostics;
    struct diagnostic *d = report(g, FAULT_bad_number, span,
                                  meant.len == 0 ? "a comma in a number may part thousands or decimals"
                                  : thousands    ? "a comma does not part thousands"
                                                 : "a comma does not part decimals");
    if (meant.len) {
        report_help(g, d, thousands ? "leave it out: '%.*s'" : "write a point: '%.*s'", TEXT_ARGS(meant));
        report_edit(g, d, span, meant);
        return;
    }
    struct text large = joined_digits(s->arena, run, run.len), small = joined_digits(s->arena, run, run_of(run).last);
    report_help(g, d, "write '%.*s' for the large number or '%.*s' for the small one", TEXT_ARGS(large),
                TEXT_ARGS(small));
}

/* A decimal comma would make two values of one, silently. */
uint32_t scan_comma(struct scan *s, uint32_t at)
{
    uint32_t last = s->last, end;
    if (s->kind[last] != TOKEN_NUMBER || s->inside == TOKEN_OPEN || is_table(s) || s->at[last] + s->len[last] != at ||
        !is_digit_at(s, at + 1)) {
        scan_take(s, TOKEN_COMMA, at, 1);
        return 1;
    }
    end = run_end(s, at);
    s->len[last] = end - s->at[last];
    bool thousands;
    struct text run = scan_text(s, s->at[last], s->len[last]), meant = number_meant(s->arena, run, &thousands);
    report_comma(s, scan_token_span(s, last), run, meant, thousands);
    tree_mend(s->arena, s->tree, last, meant);
    return end - at + scan_unit_behind(s, end);
}

/* ---- full-width characters --------------------------------------------------------------------------------------- */

/* The ASCII character a full-width one stands for, 0 for others. */
static char narrow(const struct scan *s, uint32_t at)
{
    struct utf8_char c = utf8_at(s->tree->bytes, at);
    return c.valid && c.point >= 0xff01 && c.point <= 0xff5e ? (char)(c.point - 0xfee0) : 0;
}

/* The run of them with the digits and points between; *out gets it in ASCII. */
static uint32_t wide_run(struct scan *s, uint32_t at, struct text *out)
{
    uint32_t hi = at;
    char *text = arena_alloc(s->arena, 64);
    *out = (struct text){text, 0};
    while (out->len < 64 && hi < s->window_end) {
        char c = narrow(s, hi);
        if (!c && !is_digit_at(s, hi) && byte_at(s, hi) != '.')
            break;
        text[out->len++] = c ? c : byte_at(s, hi);
        hi += c ? 3 : 1;
    }
    return hi - at;
}

uint32_t scan_wide(struct scan *s, uint32_t at)
{
    struct text meant;
    if (!narrow(s, at))
        return 0;
    uint32_t len = wide_run(s, at, &meant);
    struct diagnostic *d =
        report(s->diagnostics, FAULT_stray_character, scan_span(s, at, len), "these are full-width characters");
    report_help(s->diagnostics, d, "write '%.*s', with the keyboard's input method off", TEXT_ARGS(meant));
    report_edit(s->diagnostics, d, scan_span(s, at, len), meant);
    tree_mend(s->arena, s->tree, s->count, meant);
    double value;
    if (number_read(meant, &value) == NUMBER_OK) {
        scan_take(s, TOKEN_NUMBER, at, len);
        return len + scan_unit_behind(s, at + len);
    }
    if (is_letter(meant.at[0]))
        scan_take(s, TOKEN_NAME, at, len);
    else
        scan_add(s, TOKEN_STRAY, at, len);
    scan_faulty(s, s->count - 1);
    return len;
}

/* ---- signs of drawings ------------------------------------------------------------------------------------------- */

static uint32_t drawing_sign(const struct scan *s, uint32_t at)
{
    static const char *const signs[] = {"\xc3\x98", "\xc3\xb8", "\xe2\x8c\x80", "\xe2\x88\x85", "\xce\xa6", "\xcf\x86"};
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
        if (begins_with(s, at, signs[i]))
            return (uint32_t)strlen(signs[i]);
    return byte_at(s, at) == 'R' && s->kind[s->last] == TOKEN_EQUALS ? 1 : 0;
}

uint32_t scan_drawing_sign(struct scan *s, uint32_t at)
{
    uint32_t len = drawing_sign(s, at), number = over_blanks(s, at + len);
    if (!len || !is_digit_at(s, number))
        return 0;
    struct span span = scan_span(s, at, number - at);
    struct diagnostic *d = report(s->diagnostics, FAULT_stray_character, span, "a %s sign is not written",
                                  byte_at(s, at) == 'R' ? "radius" : "diameter");
    report_help(s->diagnostics, d, "leave it out: the name of the property says what the value is");
    report_edit(s->diagnostics, d, span, TEXT(""));
    scan_add(s, TOKEN_STRAY, at, len);
    return len;
}

uint32_t scan_inch_mark(struct scan *s, uint32_t at)
{
    uint32_t last = s->last;
    if (byte_at(s, at) != '"' || s->kind[last] != TOKEN_NUMBER || s->at[last] + s->len[last] != at)
        return 0;
    struct diagnostic *d = report(s->diagnostics, FAULT_unknown_unit, scan_span(s, at, 1), "an inch mark is no unit");
    report_help(s->diagnostics, d, "write '%.*s in'", TEXT_ARGS(scan_text(s, s->at[last], s->len[last])));
    report_edit(s->diagnostics, d, scan_span(s, at, 1), TEXT(" in"));
    tree_mend(s->arena, s->tree, s->count, TEXT("in"));
    scan_take(s, TOKEN_UNIT, at, 1);
    return 1;
}

/* ---- a dash for a range ------------------------------------------------------------------------------------------ */

static double value_of(struct text t)
{
    double value = 0;
    return number_read(t, &value) == NUMBER_OK ? value : 0;
}

/* The number in front of the dash and its unit, and the one behind it. */
struct dashed {
    uint32_t number, unit, next, next_end; /* tokens; unit 0: none; bytes */
};

static bool read_dashed(const struct scan *s, uint32_t behind, struct dashed *d)
{
    uint32_t last = s->last;
    *d = (struct dashed){.unit = s->kind[last] == TOKEN_UNIT ? last : 0};
    d->number = d->unit ? last - 1 : last;
    d->next = d->next_end = over_blanks(s, behind);
    while (is_digit_at(s, d->next_end) || (byte_at(s, d->next_end) == '.' && is_digit_at(s, d->next_end + 1)))
        d->next_end++;
    return s->kind[d->number] == TOKEN_NUMBER && d->next_end > d->next;
}

uint32_t scan_dash(struct scan *s, uint32_t at, uint32_t len)
{
    struct dashed d;
    if (s->inside == TOKEN_OPEN || !(s->seen & SEEN_EQUALS) || !read_dashed(s, at + len, &d))
        return 0;
    struct text low = scan_text(s, s->at[d.number], s->len[d.number]), high = scan_text(s, d.next, d.next_end - d.next);
    uint32_t from = over_blanks(s, d.next_end), end = unit_end(s, from, false);
    struct text unit = scan_text(s, from, end - from);
    if (value_of(low) >= value_of(high) || (!d.unit && !unit.len))
        return 0;
    struct span dash = scan_span(s, at, len), whole = scan_span(s, s->at[d.number], end - s->at[d.number]);
    struct diagnostic *g = report(s->diagnostics, FAULT_stray_character, dash, "a range is written with two points");
    struct text first = d.unit ? scan_text(s, s->at[d.unit], s->len[d.unit]) : unit;
    struct text range = arena_format(s->arena, "%.*s %.*s .. %.*s %.*s", TEXT_ARGS(low), TEXT_ARGS(first),
                                     TEXT_ARGS(high), TEXT_ARGS(unit));
    report_help(s->diagnostics, g, "write '%.*s'", TEXT_ARGS(range));
    report_edit(s->diagnostics, g, whole, range);
    if (!d.unit) { /* the unit stands at the end for both */
        tree_mend(s->arena, s->tree, s->count, unit);
        scan_take(s, TOKEN_UNIT, at, 0);
    }
    scan_take(s, TOKEN_RANGE, at, len);
    return len;
}
