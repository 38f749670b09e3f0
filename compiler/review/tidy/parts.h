/* The parts of tidy: a writer of tokens with the blanks between them, comments and line ends; what lays out statements and
 * values with it; what is kept as it stands; the check of the result. Shared by the files of this folder. */
#ifndef COMPILER_REVIEW_TIDY_PARTS_H
#define COMPILER_REVIEW_TIDY_PARTS_H

#include "compiler/review/tidy/tidy.h"

enum { TIDY_WIDTH = 120, TIDY_INDENT = 4, TIDY_INDENT_MOST = 80 };

struct trailing_comment { /* behind the tokens of a line; aligned with those of the adjacent lines at the end */
    uint32_t at;          /* offset in the output of the end of the line's last token */
    uint32_t column;      /* of that end */
    uint32_t line;
};

struct tidy_writer {
    struct arena *arena;
    const struct tree *tree;
    struct buffer out;
    uint32_t *end;    /* by token: column of its end if all tokens stood on one line */
    uint32_t *forced; /* by token: number of line breaks up to it that cannot be left out */
    uint32_t column;  /* of the end of the output */
    uint32_t indent;  /* of the next line */
    uint32_t line;    /* lines begun */
    bool fresh;       /* the current line is empty */
    uint32_t done;    /* first token not looked at */
    uint32_t last;    /* last token written */
    uint32_t started; /* last token given to tidy_start() */
    uint32_t leader;  /* first token of the current line */
    ARRAY(struct trailing_comment) comments;

    /* Statements kept as they stand, see keep.c. */
    bool *keep;       /* by node; NULL when there is none */
    uint32_t written; /* offset in the input up to which lines were copied */
    struct tidied *result;
};

struct part { /* bytes of the input, half open */
    uint32_t lo, hi;
};

/* ---- writer.c --------------------------------------------------------------------------------------------------------- */

void tidy_begin(struct tidy_writer *, struct arena *, const struct tree *, struct tidied *);

/* Writes the comments before the token, and the blank or the indentation in front of it. */
void tidy_start(struct tidy_writer *, uint32_t token);
/* Writes the token, after tidy_start(), and the comment behind it. */
void tidy_put(struct tidy_writer *, uint32_t token);
void tidy_put_all(struct tidy_writer *, uint32_t first, uint32_t last);
/* Ends the current line, unless it is empty. */
void tidy_line(struct tidy_writer *, uint32_t indent);
/* Writes blanks, so that the blank before the next token ends at the column. */
void tidy_pad_to(struct tidy_writer *, uint32_t column);

/* Writes what stands between statements up to the token: comments, and one blank line for any number. *start: it is the
 * first of its block, so no blank line is written; cleared when something was written. */
void tidy_between(struct tidy_writer *, uint32_t until, uint32_t indent, bool *start);
/* Copies the lines of the part as they stand. */
void tidy_copy(struct tidy_writer *, struct part);

/* The columns of the tokens on one line, and whether they may stand on one. */
uint32_t tidy_width(const struct tidy_writer *, uint32_t first, uint32_t last);
static inline bool tidy_fits_one_line(const struct tidy_writer *w, uint32_t first, uint32_t last)
{
    return w->forced[first] == w->forced[last];
}

/* The next or the previous token that is no comment and no line end. */
static inline uint32_t tidy_next_token(const struct tidy_writer *w, uint32_t token)
{
    const uint8_t *kind = w->tree->token_kind;
    for (token++; kind[token] && kind[token] <= TOKEN_STRAY;)
        token++;
    return token;
}

static inline uint32_t tidy_previous_token(const struct tidy_writer *w, uint32_t token)
{
    const uint8_t *kind = w->tree->token_kind;
    for (token--; token && kind[token] <= TOKEN_STRAY;)
        token--;
    return token;
}

/* The bytes of a node, from its first to its last token that is no comment and no line end. */
static inline struct part tidy_part_of(const struct tidy_writer *w, uint32_t node)
{
    const struct tree *t = w->tree;
    uint32_t first = node_at(t, node)->first, last = node_at(t, node)->last;
    if (last > first && t->token_kind[last] <= TOKEN_COMMENT) /* where a brace is missing it ends with the line end */
        last = tidy_previous_token(w, last);
    return (struct part){t->token_at[first], t->token_at[last] + t->token_len[last]};
}

/* ---- value.c, statement.c ---------------------------------------------------------------------------------------------- */

/* Writes a value; its further lines stand at the indent, and its last line leaves `reserve` columns free. */
void tidy_value(struct tidy_writer *, uint32_t node, uint32_t indent, uint32_t reserve);
void tidy_signature(struct tidy_writer *, uint32_t node, uint32_t indent, uint32_t reserve);
void tidy_table(struct tidy_writer *, uint32_t node, uint32_t indent);
/* Writes the statements of a block, or of the file, up to the token that ends it. */
void tidy_statements(struct tidy_writer *, uint32_t parent, uint32_t end, uint32_t indent);

/* ---- check.c, keep.c --------------------------------------------------------------------------------------------------- */

/* Reads bytes as a recipe with no name; the faults are those of its text. */
const struct tree *tidy_read(struct arena *, struct text bytes, struct diagnostics *);
/* Whether two trees have the same tokens, comments and nodes, whatever their layout. */
bool tidy_same_recipe(struct arena *, const struct tree *before, const struct tree *after);
/* Marks the statements that are kept as they stand. */
void tidy_find_kept(struct tidy_writer *, const struct diagnostics *);

#endif
