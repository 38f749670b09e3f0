/* The lossless syntax tree.
 *
 * In: one source's bytes. Out: every token (comments and line ends too; blanks are the gaps between tokens) and a tree
 * of uniform nodes over them, built even when the text has faults. Semantic stages read it through the views below.
 * Owned by the arena given to parse(). Node and token 0 are "none"; numbering starts at 1.
 *
 * The scanner and the parser are in grammar/; they know shapes, not the words of the trade. */
#ifndef COMPILER_MODEL_SYNTAX_H
#define COMPILER_MODEL_SYNTAX_H

#include "compiler/text/diagnostic.h"

/* Token kinds; the parser's numbering follows this list (grammar/recipe.y asserts it). */
enum token_kind {
    TOKEN_END,
    TOKEN_NEWLINE, /* line end that ends a statement */
    TOKEN_BREAK,   /* trivia: line end inside ( ), after an operator, = or ',' , or a blank line */
    TOKEN_COMMENT, /* trivia: # to the end of the line */
    TOKEN_STRAY,   /* trivia: bytes no token begins with; reported by the scanner */
    TOKEN_NAME,
    TOKEN_NUMBER,
    TOKEN_UNIT,      /* the unit that follows a number after one space */
    TOKEN_UNIT_TYPE, /* [mm] */
    TOKEN_DATE,
    TOKEN_TEXT,      /* "..." without {expression} */
    TOKEN_TEXT_HEAD, /* "...{ */
    TOKEN_TEXT_MID,  /* }...{ */
    TOKEN_TEXT_TAIL, /* }..." */
    /* clang-format off */ /* by what they are for, not one a line */
    /* key words */
    TOKEN_USE, TOKEN_LET, TOKEN_DERIVE, TOKEN_FORMULA, TOKEN_LIMIT, TOKEN_REQUIRE, TOKEN_WAIVE, TOKEN_CAUTION,
    TOKEN_STEPS, TOKEN_LIKE, TOKEN_FOR, TOKEN_EACH, TOKEN_AS, TOKEN_TABLE, TOKEN_TO, TOKEN_FIND, TOKEN_PREFER,
    TOKEN_UNTIL, TOKEN_BECAUSE, TOKEN_BY, TOKEN_SOURCE, TOKEN_REMEDY, TOKEN_LABEL, TOKEN_IF, TOKEN_THEN, TOKEN_ELSE, TOKEN_AND,
    TOKEN_OR, TOKEN_NOT, TOKEN_TRUE, TOKEN_FALSE,
    /* marks */
    TOKEN_OPEN_BRACE, TOKEN_CLOSE_BRACE, TOKEN_OPEN, TOKEN_CLOSE, TOKEN_COMMA, TOKEN_COLON, TOKEN_DOT, TOKEN_EQUALS,
    TOKEN_PLUS_MINUS, /* +/- or ± */
    TOKEN_RANGE,      /* .. */
    TOKEN_PLUS, TOKEN_MINUS, TOKEN_PLUS_TIGHT, /* + directly before a digit: 50 mm +0.10 mm -0.05 mm */
    TOKEN_MINUS_TIGHT, /* - directly before what it negates */
    TOKEN_TIMES, TOKEN_DIVIDE, TOKEN_POWER,
    TOKEN_LESS, TOKEN_LESS_EQUAL, TOKEN_GREATER, TOKEN_GREATER_EQUAL, TOKEN_SAME, TOKEN_DIFFERENT, /* == != */
    TOKEN_HOLE, /* ? behind = */
    /* clang-format on */
    TOKEN_KIND_COUNT
};

enum node_kind {
    NODE_NONE,
    NODE_FILE,  /* items */
    NODE_ERROR, /* tokens that fit no rule; kept byte for byte */
    /* items */
    NODE_DEFINITION, /* NAME kind, [NAME name], [LIKE], then PROPERTY... */
    NODE_LIKE,       /* NAME */
    NODE_PROPERTY,   /* NAME, [SIGNATURE], value, [SPREAD], NOTE...   (also `name "text"`: flag NODE_BARE) */
    NODE_SIGNATURE,  /* PARAMETER..., UNIT_TYPE result */
    NODE_PARAMETER,  /* NAME, UNIT_TYPE */
    NODE_UNIT_TYPE,  /* leaf */
    NODE_NOTE,       /* leading key word because, by, source, remedy or label; TEXT */
    NODE_USE,        /* TEXT */
    NODE_LET,        /* PATH, [UNIT_TYPE], expression or tolerance, [SPREAD], NOTE... */
    NODE_PATH,       /* NAME . NAME ... */
    NODE_DERIVE,     /* NAME kind, NAME variable, DERIVED... */
    NODE_DERIVED,    /* NAME, [UNIT_TYPE], expression, NOTE... */
    NODE_FORMULA,    /* NAME, SIGNATURE, expression, NOTE... */
    NODE_LIMIT,      /* NAME, [EACH], then PROPERTY and NOTE... */
    NODE_CAUTION,    /* as LIMIT */
    NODE_EACH,       /* NAME kind, [NAME variable], [expression]   (also an argument: sum(each step as s: s.time)) */
    NODE_REQUIRE,    /* expression, NOTE... */
    NODE_WAIVE,      /* NAME limit, [NAME subject], [DATE], NOTE... */
    NODE_STEPS,      /* DEFINITION... */
    /* values */
    NODE_TOLERANCE,   /* nominal or a table, half width or percentage */
    NODE_TOLERANCES,  /* nominal, plus, minus (both as written, unsigned) */
    NODE_SPREAD,      /* NAME shape, SPREAD_FACT...: how a held value lies in its band */
    NODE_SPREAD_FACT, /* NAME, NUMBER */
    NODE_RANGE,       /* low, high */
    NODE_FIND,        /* low, high, [half width], [NAME prefer] */
    NODE_HOLE,        /* leaf: the value is not known yet */
    NODE_LIST,        /* two or more expressions */
    NODE_TABLE,       /* UNIT_TYPE in, [UNIT_TYPE across], UNIT_TYPE out, ROW... */
    NODE_ROW,         /* NUMBER or NAME head, NUMBER... */
    /* expressions */
    NODE_NUMBER,  /* leaf: NUMBER [UNIT]; a minus may lead in a table row (flag NODE_NEGATIVE) */
    NODE_TEXT,    /* leaf, or the expressions inside { } in order */
    NODE_DATE,    /* leaf */
    NODE_BOOLEAN, /* leaf: op is TOKEN_TRUE or TOKEN_FALSE */
    NODE_NAME,    /* leaf */
    NODE_MEMBER,  /* expression, NAME */
    NODE_CALL,    /* callee, argument... */
    NODE_PAREN,   /* expression */
    NODE_UNARY,   /* op, expression */
    NODE_BINARY,  /* op, left, right */
    NODE_IF,      /* condition, then, else */
    NODE_KIND_COUNT
};

enum { NODE_DEPTH_LIMIT = 200 }; /* deeper is the fault nested-too-deep */
enum { NODE_BARE = 1, NODE_NEGATIVE = 2, NODE_BROKEN = 4 /* a fault was reported inside */ };

struct node {
    uint8_t kind, flags;
    uint8_t op;           /* token kind of the operator or leading key word */
    uint8_t depth;        /* of the tree below it; bounded, so that walkers may recurse */
    uint32_t first, last; /* tokens, inclusive; 0 for an empty node */
    uint32_t child, next;
};

/* A token whose spelling was refused. Further on it counts as what was meant, so that one slip is one fault; as nothing
 * where that is not sure. */
struct mended_token {
    uint32_t token;
    struct text text;
};

struct tree {
    uint32_t file;
    struct text bytes;
    uint32_t token_count, node_count; /* including the unused 0th */
    uint32_t *token_at;               /* where each token starts */
    uint8_t *token_kind;
    uint32_t *token_len;
    struct node *nodes;
    uint32_t root;                     /* the NODE_FILE */
    ARRAY(struct mended_token) mended; /* by token */
};

/* Notes what a token counts as from now on; what was noted first stands. */
void tree_mend(struct arena *, struct tree *, uint32_t token, struct text meant);

/* Scans and parses one source. Always gives a tree; faults go to the diagnostics. */
struct tree *parse(struct arena *, struct sources *, uint32_t file, struct diagnostics *);

/* ---- views -------------------------------------------------------------------------------------------------------- */
static inline const struct node *node_at(const struct tree *t, uint32_t n)
{
    return &t->nodes[n];
}
static inline enum node_kind node_kind(const struct tree *t, uint32_t n)
{
    return t->nodes[n].kind;
}
static inline uint32_t node_child(const struct tree *t, uint32_t n)
{
    return t->nodes[n].child;
}
/* It has a tolerance behind it. */
static inline bool node_is_banded(const struct tree *t, uint32_t n)
{
    return node_kind(t, n) == NODE_TOLERANCE || node_kind(t, n) == NODE_TOLERANCES;
}
/* Of a tolerance on all of a table or a formula, +/- 2 %, that table or formula; 0 when it is none. */
static inline uint32_t scaled_value(const struct tree *t, uint32_t n)
{
    uint32_t first = node_is_banded(t, n) ? node_child(t, n) : 0;
    return first && node_kind(t, first) != NODE_NUMBER ? first : 0;
}
static inline uint32_t node_next(const struct tree *t, uint32_t n)
{
    return t->nodes[n].next;
}

#define NODE_EACH_CHILD(tree, parent, n) for (uint32_t n = node_child((tree), (parent)); n; n = node_next((tree), n))

uint32_t node_nth(const struct tree *, uint32_t parent, uint32_t index);  /* 0 when there are fewer */
uint32_t node_find(const struct tree *, uint32_t parent, enum node_kind); /* first child of that kind, or 0 */
uint32_t node_count_children(const struct tree *, uint32_t parent);
struct span node_span(const struct tree *, uint32_t n);
struct text node_text(const struct tree *,
                      uint32_t n); /* the bytes from first to last token; of a NAME, as it should be spelled */
struct span token_span(const struct tree *, uint32_t token);
struct text token_meant(const struct tree *, uint32_t token); /* its bytes, or what it was mended to */
static inline struct text token_text(const struct tree *t, uint32_t token)
{
    return (struct text){t->bytes.at + t->token_at[token], t->token_len[token]};
}

/* Of a leaf NODE_TEXT: the text meant, quotes off and escapes (\" \\ \{ \n) resolved. Interpolated: the piece before
 * the index-th { }, or after the last. */
struct text text_piece(struct arena *, const struct tree *, uint32_t text, uint32_t index);
/* The whole text meant, with what stands inside { } as it is written: how the catalogues know a text of the library. */
struct text text_pattern(struct arena *, const struct tree *, uint32_t text);
/* The note of that key word (TOKEN_SOURCE, ...) under a property, limit, ..., or 0. */
uint32_t node_note(const struct tree *, uint32_t parent, enum token_kind);
/* The value of PROPERTY, LET, DERIVED, FORMULA: behind the name, and the signature or unit type if there is one; 0: none. */
uint32_t node_value(const struct tree *, uint32_t n);

#endif
