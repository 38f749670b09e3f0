/* parse(): bytes to tokens to tree. */
#include "grammar/build.h"
#include "recipe.tab.h"
#include "runtime/base/utf8.h"

_Static_assert(NAME == TOKEN_NAME + 256 && TEXT_TAIL == TOKEN_TEXT_TAIL + 256 && FALSE == TOKEN_FALSE + 256 &&
                   OPEN_BRACE == TOKEN_OPEN_BRACE + 256 && DIFFERENT == TOKEN_DIFFERENT + 256,
               "the parser numbers tokens 256 above compiler/syntax.h");

enum { BOM = 3 };

void scan_token(struct scan *s, enum token_kind kind, uint32_t length)
{
    struct tree *t = s->tree;
    uint32_t last = t->token_count - 1;
    if (kind == TOKEN_STRAY && t->token_count > 1 && t->token_kind[last] == TOKEN_STRAY &&
        t->token_at[last] + t->token_len[last] == s->at) {
        t->token_len[last] += length; /* one run of stray bytes, one token */
        s->at += length;
        return;
    }
    if (t->token_count == s->room) {
        uint32_t room = s->room;
        array_reserve(s->arena, (void **)&t->token_at, t->token_count, &room, 1, sizeof *t->token_at);
        room = s->room;
        array_reserve(s->arena, (void **)&t->token_len, t->token_count, &room, 1, sizeof *t->token_len);
        array_reserve(s->arena, (void **)&t->token_kind, t->token_count, &s->room, 1, sizeof *t->token_kind);
    }
    t->token_at[t->token_count] = s->at;
    t->token_len[t->token_count] = length;
    t->token_kind[t->token_count++] = (uint8_t)kind;
    s->at += length;
}

/* Bytes that are not UTF-8, a run at a time, and the NUL bytes. */
static void check_bytes(struct tree *t, struct diagnostics *g)
{
    uint32_t at = 0;
    while (at < t->bytes.len) {
        uint32_t good = utf8_valid_until((struct text){t->bytes.at + at, t->bytes.len - at});
        const char *nul = memchr(t->bytes.at + at, 0, good);
        uint32_t lo = nul ? (uint32_t)(nul - t->bytes.at) : at + good, hi = lo;
        if (lo >= t->bytes.len)
            return;
        if (nul) {
            while (hi < t->bytes.len && !t->bytes.at[hi])
                hi++;
            struct diagnostic *d = report(g, FAULT_nul_byte, (struct span){t->file, lo, hi},
                                          "%u NUL byte%s in the text", hi - lo, hi - lo == 1 ? "" : "s");
            report_help(g, d, "save the file as plain UTF-8 text");
        } else {
            while (hi < t->bytes.len && (unsigned char)t->bytes.at[hi] >= 0x80 &&
                   !utf8_valid_until((struct text){t->bytes.at + hi, t->bytes.len - hi}))
                hi++;
            struct diagnostic *d = report(g, FAULT_invalid_utf8, (struct span){t->file, lo, hi},
                                          "%u byte%s not UTF-8, beginning with 0x%02x", hi - lo,
                                          hi - lo == 1 ? " is" : "s are", (unsigned char)t->bytes.at[lo]);
            report_help(g, d, "save the file as UTF-8; a degree sign from an old editor may be written 'degC'");
        }
        at = hi;
    }
}

static struct tree *scan_source(struct arena *a, struct text bytes, uint32_t file, struct diagnostics *g,
                                struct settled *settled)
{
    struct tree *t = ARENA_NEW(a, struct tree);
    struct scan s = {.arena = a, .diagnostics = g, .tree = t};
    *t = (struct tree){.file = file, .bytes = bytes};
    /* About five bytes a token; too little is mended by growth. */
    uint32_t guess = bytes.len / 5 + 64, room = 0;
    array_reserve(a, (void **)&t->token_at, 0, &room, guess, sizeof *t->token_at);
    room = 0;
    array_reserve(a, (void **)&t->token_len, 0, &room, guess, sizeof *t->token_len);
    array_reserve(a, (void **)&t->token_kind, 0, &s.room, guess, sizeof *t->token_kind);
    scan_token(&s, TOKEN_STRAY, 0); /* token 0 is none */
    if (bytes.len >= BOM && memcmp(bytes.at, "\xef\xbb\xbf", BOM) == 0)
        scan_token(&s, TOKEN_BREAK, BOM);
    check_bytes(t, g);
    scan(&s, (struct text){bytes.at + s.at, bytes.len - s.at});
    s.at = bytes.len;
    scan_token(&s, TOKEN_END, 0);
    settle(&s, settled);
    return t;
}

struct tree *parse(struct arena *a, struct sources *sources, uint32_t file, struct diagnostics *g)
{
    struct parser p = {.arena = a, .diagnostics = g, .token = 1, .given = 1};
    struct text bytes = source_at(sources, file)->bytes;
    p.tree = scan_source(a, bytes, file, g, &p.settled);
    array_reserve(a, (void **)&p.tree->nodes, 0, &p.room, bytes.len / 9 + 64, sizeof *p.tree->nodes);
    p.tree->nodes[0] = (struct node){0};
    p.tree->node_count = 1;
    recipe_parse(&p);
    if (!p.tree->root)
        p.tree->root =
            node_new(&p, NODE_FILE, 0, (struct token_range){1, p.tree->token_count - 1}, (struct list){0, 0});
    return p.tree;
}
