/* Scanning: bytes to the token array of a tree. Private to grammar/.
 *
 * One pass over the bytes. Beside finding tokens it settles what depends on the lines and brackets around them: which
 * line ends end a statement, which brackets are never closed, whether a key word is used as a name. Slips that can mean
 * one thing only (a missing space, a colon for =) are reported here and the token is what was meant, so that the parser
 * meets as few faulty statements as can be. */
#ifndef GRAMMAR_SCAN_H
#define GRAMMAR_SCAN_H

#include "compiler/model/syntax.h"

enum { BRACKET_LIMIT = 150, PREFIX_LIMIT = 150 };

/* What the statement had so far. */
enum { SEEN_EQUALS = 1, SEEN_REQUIRE = 2, SEEN_TABLE = 4, SEEN_RULE = 8, SEEN_STEPS = 16 };

struct bracket { /* an open brace, parenthesis or text with {expression} */
    uint32_t token;
    uint8_t kind; /* TOKEN_OPEN_BRACE, TOKEN_OPEN, TOKEN_TEXT_HEAD */
    uint8_t seen; /* in front of it, of its statement */
};

struct missing { /* a token that should stand in front of another */
    uint32_t before;
    uint8_t kind;
};

struct scan {
    struct arena *arena;
    struct diagnostics *diagnostics;
    struct tree *tree;
    /* The token arrays, which become the tree's. */
    uint32_t *at, *len;
    uint8_t *kind;
    uint32_t count;
    uint32_t room[3]; /* of at, len, kind */

    const char *window;             /* the copy flex works on ... */
    uint32_t window_at, window_end; /* ... and where in the source that is */

    uint32_t last;   /* the last token that counts, 0 at the start */
    uint32_t first;  /* the key word this statement begins with, or 0 */
    uint32_t line;   /* the first token behind the last line end */
    uint32_t joined; /* the last line end that did not end a statement because of what follows it */
    uint32_t block;  /* the last brace that ended a block of statements */
    uint32_t tight;  /* the first + or - of this statement that touches what follows it, behind a value; or 0 */
    uint32_t prefix; /* how many not, if, ^ and leading minus this statement has */
    uint8_t inside;  /* kind of the innermost open bracket, or 0 */
    uint8_t seen;
    uint8_t seen_above; /* as the last statement ended, in case the next line goes on with it */
    uint32_t prefix_above;
    bool told_return;   /* a carriage return by itself was reported */
    uint32_t texts;     /* open texts */
    uint32_t text_from; /* where the outermost begins */
    uint32_t pieces;    /* how many pieces it has so far */
    uint32_t too_deep;  /* brackets beyond the limit */
    uint32_t deep_from; /* the first token of what is nested too deep, or 0 */
    ARRAY(struct bracket) brackets;

    ARRAY(struct missing) missing; /* in order */
    ARRAY(uint32_t) faulty;        /* tokens whose fault was reported and could not be mended, in order */
};

void scan(struct scan *, uint32_t from);
void scan_check_bytes(struct scan *, uint32_t from, uint32_t until); /* reports NULs and what is not UTF-8 */
struct tree *scan_source(struct scan *, struct arena *, struct text bytes, uint32_t file, struct diagnostics *);

/* ---- tokens ------------------------------------------------------------------------------------------------------ */

/* Room was made for as many tokens as the window has bytes. */
static inline uint32_t scan_add(struct scan *s, enum token_kind kind, uint32_t at, uint32_t len)
{
    uint32_t token = s->count++;
    s->at[token] = at;
    s->len[token] = len;
    s->kind[token] = (uint8_t)kind;
    return token;
}

/* A token that counts. */
static inline void scan_take(struct scan *s, enum token_kind kind, uint32_t at, uint32_t len)
{
    s->last = scan_add(s, kind, at, len);
}

static inline bool is_trivia(uint8_t kind)
{
    return kind >= TOKEN_BREAK && kind <= TOKEN_STRAY;
}

static inline bool is_key_word(uint8_t kind)
{
    return kind >= TOKEN_USE && kind <= TOKEN_FALSE;
}

/* Whether a value may end with a token of this kind. */
static inline bool ends_value(uint8_t kind)
{
    return kind == TOKEN_NAME || kind == TOKEN_NUMBER || kind == TOKEN_UNIT || kind == TOKEN_CLOSE ||
           kind == TOKEN_DATE || kind == TOKEN_TEXT || kind == TOKEN_TEXT_TAIL || kind == TOKEN_TRUE ||
           kind == TOKEN_FALSE;
}

static inline bool starts_statement(const struct scan *s)
{
    uint8_t before = s->kind[s->last];
    return before == TOKEN_NEWLINE || before == TOKEN_OPEN_BRACE || before == TOKEN_END;
}

static inline struct span scan_span(const struct scan *s, uint32_t at, uint32_t len)
{
    return (struct span){s->tree->file, at, at + len};
}

static inline struct span scan_token_span(const struct scan *s, uint32_t token)
{
    return scan_span(s, s->at[token], s->len[token]);
}

static inline struct text scan_text(const struct scan *s, uint32_t at, uint32_t len)
{
    return (struct text){s->tree->bytes.at + at, len};
}

/* A fault in `token` was reported that leaves its statement in doubt: no syntax fault there is told as well. */
void scan_faulty(struct scan *, uint32_t token);
/* A token of that kind should stand in front of `before`. */
void scan_missing(struct scan *, uint32_t before, enum token_kind);

#endif
