/* Words, numbers, texts, and bytes that are none of these. Private to grammar/. `at` is a place in the source. */
#ifndef GRAMMAR_WORDS_H
#define GRAMMAR_WORDS_H

#include "grammar/scan.h"

/* TOKEN_NAME, or the key word it is. */
enum token_kind word_kind(const char *word, uint32_t len);

enum { KEY_WORD_SIZE = 8 }; /* the longest has seven letters */

extern const struct key_words_of {
    uint8_t lengths;  /* how long they are, a bit for each length: most names are told from them by that */
    uint8_t kinds[5]; /* ends with a 0 */
} key_words_of[26];   /* by initial */

static inline bool may_be_key_word(const char *word, uint32_t len)
{
    return len < KEY_WORD_SIZE && key_words_of[(unsigned char)(word[0] - 'a')].lengths >> len & 1;
}

struct text word_of_kind(uint8_t kind); /* how a key word or mark is written */

void scan_key_word(struct scan *, enum token_kind, uint32_t at, uint32_t len);
uint32_t scan_wrong_name(struct scan *, uint32_t at, uint32_t len); /* Die_1 */

void scan_unit_type(struct scan *, uint32_t at, uint32_t len);
void scan_date(struct scan *, uint32_t at, uint32_t len);
/* These give how many bytes they took, which may be less than len: 5 if, 100 to. */
uint32_t scan_dotted_number(struct scan *, uint32_t at, uint32_t len); /* 0.5.0, .5, 5. */
uint32_t scan_measure(struct scan *, uint32_t at, uint32_t len);       /* 5 mm */
uint32_t scan_tight_measure(struct scan *, uint32_t at, uint32_t len); /* 5mm */

uint32_t scan_comment(struct scan *, uint32_t at);
uint32_t scan_text_from(struct scan *, uint32_t at); /* at a quote, or at the } behind an {expression} */

/* Marks of other languages; each is told, and taken for what was meant. */
void scan_foreign_mark(struct scan *, enum token_kind, uint32_t at, uint32_t len);
uint32_t scan_foreign_comment(struct scan *, uint32_t at, uint32_t mark);
uint32_t scan_double_minus(struct scan *, uint32_t at); /* -- begins a comment elsewhere */
uint32_t scan_hole(struct scan *, uint32_t at);         /* ? */
uint32_t scan_stray(struct scan *, uint32_t at);        /* ; ' $ and whole characters; gives the bytes it took */

#endif
