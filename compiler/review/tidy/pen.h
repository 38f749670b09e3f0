/* The pen that tidy writes with: tokens with the blanks between them, comments, line ends. Private to tidy. */
#ifndef COMPILER_REVIEW_TIDY_PEN_H
#define COMPILER_REVIEW_TIDY_PEN_H

#include "compiler/review/tidy/tidy.h"

enum { TIDY_WIDTH = 120, TIDY_INDENT = 4, TIDY_INDENT_MOST = 80 };

struct behind {      /* a comment behind a line: to be aligned with those of the adjacent lines */
    uint32_t at;     /* in the text written, where the line's last token ends */
    uint32_t column; /* there */
    uint32_t line;
};

struct pen {
    struct arena *arena;
    const struct tree *tree;
    struct buffer out;
    uint32_t *end;    /* by token: columns up to its end, were all written on one line */
    uint32_t *forced; /* by token: how many line breaks up to it cannot be left out */
    uint32_t column;  /* where the pen is */
    uint32_t indent;  /* of the next line */
    uint32_t line;    /* lines begun */
    bool fresh;       /* nothing stands on this line yet */
    uint32_t done;    /* the first token that was not looked at */
    uint32_t last;    /* the last token written */
    uint32_t started; /* the token that pen_start was called for */
    uint32_t leader;  /* the first token of this line */
    ARRAY(struct behind) behind;

    /* What is kept as it stands, see keep.c. */
    bool *keep;       /* by node: this statement; NULL when there is none */
    uint32_t written; /* up to where lines were copied */
    struct tidied *result;
};

void pen_init(struct pen *, struct arena *, const struct tree *, struct tidied *);

/* The comments before the token, and the blank or the indentation in front of it. */
void pen_start(struct pen *, uint32_t token);
void pen_put(struct pen *, uint32_t token); /* with pen_start, and the comment behind it */
void pen_put_all(struct pen *, uint32_t first, uint32_t last);
void pen_line(struct pen *, uint32_t indent); /* on to a new line, if anything stands on this one */
void pen_to(struct pen *, uint32_t column);   /* blanks, so that the blank before the next token ends there */

/* What stands between statements up to the token: comments, one blank line for any number. *start: nothing stands above
 * in this block, so no blank line is wanted; false when something was written. */
void pen_between(struct pen *, uint32_t until, uint32_t indent, bool *start);
struct part { /* bytes, half open */
    uint32_t lo, hi;
};

/* The whole lines of this part, as they stand. */
void pen_copy(struct pen *, struct part);

struct text pen_spelling(const struct pen *, uint32_t token);
/* The columns of the tokens on one line, and whether they may stand on one. */
uint32_t pen_width(const struct pen *, uint32_t first, uint32_t last);
static inline bool pen_free(const struct pen *p, uint32_t first, uint32_t last)
{
    return p->forced[first] == p->forced[last];
}

uint32_t text_columns(struct text);

static inline uint32_t next_token(const struct pen *p, uint32_t token)
{
    const uint8_t *kind = p->tree->token_kind;
    for (token++; kind[token] && kind[token] <= TOKEN_STRAY;)
        token++;
    return token;
}

static inline uint32_t previous_token(const struct pen *p, uint32_t token)
{
    const uint8_t *kind = p->tree->token_kind;
    for (token--; token && kind[token] <= TOKEN_STRAY;)
        token--;
    return token;
}

/* From the first to the last token that counts. */
static inline struct part part_of(const struct pen *p, uint32_t node)
{
    const struct tree *t = p->tree;
    uint32_t first = node_at(t, node)->first, last = node_at(t, node)->last;
    if (last > first && t->token_kind[last] <= TOKEN_COMMENT) /* where a brace is missing it ends with the line end */
        last = previous_token(p, last);
    return (struct part){t->token_at[first], t->token_at[last] + t->token_len[last]};
}

/* ---- the parts of tidy ------------------------------------------------------------------------------------------- */

/* A value at the pen's place; further lines at the indent; so many columns must follow on its last line. */
void lay_value(struct pen *, uint32_t node, uint32_t indent, uint32_t reserve);
void lay_signature(struct pen *, uint32_t node, uint32_t indent, uint32_t reserve);
void lay_table(struct pen *, uint32_t node, uint32_t indent);
/* The statements of a block, or of the file, up to the token that ends it. */
void lay_statements(struct pen *, uint32_t parent, uint32_t end, uint32_t indent);

/* Returns the text written, with the comments behind adjacent lines aligned. */
struct text align_comments(struct pen *);

/* Reads bytes as a recipe with no name; the faults are those of its text. */
const struct tree *read_tree(struct arena *, struct text bytes, struct diagnostics *);
/* Whether two trees have the same tokens, comments and nodes, whatever their layout. */
bool same_recipe(struct arena *, const struct tree *before, const struct tree *after);

/* Marks the statements that are kept as they stand. */
void find_kept(struct pen *, const struct diagnostics *);

#endif
