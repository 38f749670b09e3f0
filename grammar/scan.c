/* From a source to its tokens. */
#include "grammar/scan.h"
#include "grammar/conflict.h"
#include "grammar/lines.h"
#include "runtime/base/utf8.h"

enum { BOM = 3, WORD = 8 };

/* ---- bytes that are no text -------------------------------------------------------------------------------------- */

/* Where the next byte stands that is NUL or not ASCII, eight bytes at a time: nearly all of a recipe is plain. */
static uint32_t plain_until(struct text b, uint32_t at, uint32_t until)
{
    const uint64_t low = 0x0101010101010101u, high = 0x8080808080808080u;
    for (; at + WORD <= until; at += WORD) {
        uint64_t word;
        memcpy(&word, b.at + at, WORD);
        if (((word - low) | word) & high)
            break;
    }
    while (at < until && b.at[at] && (unsigned char)b.at[at] < 0x80)
        at++;
    return at;
}

static uint32_t report_nuls(struct scan *s, uint32_t at)
{
    struct text b = s->tree->bytes;
    uint32_t hi = at;
    while (hi < b.len && !b.at[hi])
        hi++;
    struct diagnostic *d = report(s->diagnostics, FAULT_nul_byte, scan_span(s, at, hi - at),
                                  "%u NUL byte%s in the text", hi - at, hi - at == 1 ? "" : "s");
    report_help(s->diagnostics, d, "save the file as plain UTF-8 text");
    return hi;
}

static uint32_t report_invalid(struct scan *s, uint32_t at)
{
    static const char digits[] = "0123456789abcdef";
    struct text b = s->tree->bytes;
    char hex[4 * 5 + 1] = "";
    uint32_t hi = at, n = 0;
    for (; hi < b.len && !utf8_at(b, hi).valid; hi++)
        if (n + 5 < sizeof hex) {
            unsigned char byte = (unsigned char)b.at[hi];
            const char shown[5] = {' ', '0', 'x', digits[byte >> 4], digits[byte & 15]};
            memcpy(hex + n, shown, sizeof shown);
            n += sizeof shown;
        }
    struct diagnostic *d =
        report(s->diagnostics, FAULT_invalid_utf8, scan_span(s, at, hi - at), "%u byte%s not UTF-8:%.*s%s", hi - at,
               hi - at == 1 ? " is" : "s are", (int)n, hex, hi - at > 4 ? " ..." : "");
    report_help(s->diagnostics, d, "save the file as UTF-8; a degree sign from an old editor may be written 'degC'");
    return hi;
}

/* Characters that change the order in which text is shown: what a reviewer sees would not be what is computed. */
static bool turns_text(uint32_t point)
{
    return (point >= 0x202a && point <= 0x202e) || (point >= 0x2066 && point <= 0x2069);
}

static uint32_t check_character(struct scan *s, uint32_t at)
{
    struct utf8_char c = utf8_at(s->tree->bytes, at);
    if (!c.valid)
        return report_invalid(s, at);
    if (turns_text(c.point)) {
        struct diagnostic *d = report(s->diagnostics, FAULT_stray_character, scan_span(s, at, c.len),
                                      "the hidden character U+%04X turns the order of the text around", c.point);
        report_help(s->diagnostics, d, "delete it: a reader would see another text than the one that is compiled");
    }
    return at + c.len;
}

void scan_check_bytes(struct scan *s, uint32_t from, uint32_t until)
{
    struct text b = s->tree->bytes;
    for (uint32_t at = plain_until(b, from, until); at < until; at = plain_until(b, at, until))
        at = b.at[at] ? check_character(s, at) : report_nuls(s, at);
}

/* ---- the whole --------------------------------------------------------------------------------------------------- */

/* Four bytes a token is dense. Too little is mended by growth, which moves large pages apart; too much is given back. */
static void make_first_room(struct scan *s)
{
    uint32_t guess = s->tree->bytes.len / 4 + 64;
    array_reserve(s->arena, (void **)&s->at, 0, &s->room[0], guess, sizeof *s->at);
    array_reserve(s->arena, (void **)&s->len, 0, &s->room[1], guess, sizeof *s->len);
    array_reserve(s->arena, (void **)&s->kind, 0, &s->room[2], guess, sizeof *s->kind);
}

static void give_to_tree(struct scan *s)
{
    struct tree *t = s->tree;
    t->token_count = s->count;
    t->token_at = array_trim(s->arena, s->at, s->room[0], s->count, sizeof *s->at);
    t->token_len = array_trim(s->arena, s->len, s->room[1], s->count, sizeof *s->len);
    t->token_kind = array_trim(s->arena, s->kind, s->room[2], s->count, sizeof *s->kind);
}

struct tree *scan_source(struct scan *s, struct arena *a, struct text bytes, uint32_t file, struct diagnostics *g)
{
    struct tree *t = ARENA_NEW(a, struct tree);
    *t = (struct tree){.file = file, .bytes = bytes};
    *s = (struct scan){.arena = a, .diagnostics = g, .tree = t};
    make_first_room(s);
    scan_add(s, TOKEN_END, 0, 0); /* token 0 is none */
    bool marked = bytes.len >= BOM && memcmp(bytes.at, "\xef\xbb\xbf", BOM) == 0;
    if (marked)
        scan_add(s, TOKEN_BREAK, 0, BOM);
    if (report_conflict(a, bytes, file, g))
        scan_add(s, TOKEN_STRAY, marked ? BOM : 0, bytes.len - (marked ? BOM : 0));
    else
        scan(s, marked ? BOM : 0);
    scan_end(s, bytes.len);
    give_to_tree(s);
    return t;
}
