#include "compiler/text/diagnostic.h"

/* Costs are in half edits, so that a hyphen more or less can count as half a slip. */
enum { EDIT = 2, HYPHEN = 1, LONGEST = 96, FAR = 1 << 16 };

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c == '_' ? '-' : c;
}

static uint32_t least(uint32_t a, uint32_t b)
{
    return a < b ? a : b;
}

static uint32_t gap_cost(char c)
{
    return c == '-' || c == '_' || c == ' ' ? HYPHEN : EDIT;
}

/* Optimal string alignment: insertions, deletions, replacements and swaps of neighbours. Gives up, with FAR, as soon as
 * no alignment can come below the bound. */
static uint32_t distance(struct text a, struct text b, uint32_t bound)
{
    uint32_t rows[3][LONGEST + 1], *before = rows[0], *above = rows[1], *row = rows[2];
    above[0] = 0;
    for (uint32_t j = 1; j <= b.len; j++)
        above[j] = above[j - 1] + gap_cost(b.at[j - 1]);
    for (uint32_t i = 1; i <= a.len; i++) {
        char c = lower(a.at[i - 1]), last = i > 1 ? lower(a.at[i - 2]) : '\0';
        uint32_t lowest = row[0] = above[0] + gap_cost(c);
        for (uint32_t j = 1; j <= b.len; j++) {
            char d = lower(b.at[j - 1]);
            uint32_t cost = least(above[j] + gap_cost(c), row[j - 1] + gap_cost(d));
            cost = least(cost, above[j - 1] + (c == d ? 0 : EDIT));
            if (i > 1 && j > 1 && c == lower(b.at[j - 2]) && d == last)
                cost = least(cost, before[j - 2] + EDIT);
            lowest = least(lowest, row[j] = cost);
        }
        if (lowest > bound + EDIT) /* a swap looks two rows up */
            return FAR;
        uint32_t *spare = before;
        before = above, above = row, row = spare;
    }
    return above[b.len];
}

/* How far a slip of the pen may go: a third of the word. Of one or two letters only the case or a hyphen may differ. */
static uint32_t tolerated(uint32_t len)
{
    uint32_t edits = len < 3 ? 0 : len < 5 ? 1 : len < 9 ? 2 : 3;
    return edits * EDIT + HYPHEN;
}

/* ---- names made of the same words ---- */

static struct text next_word(struct text *rest)
{
    uint32_t n = 0;
    while (n < rest->len && lower(rest->at[n]) != '-')
        n++;
    struct text word = {rest->at, n};
    n += n < rest->len;
    *rest = (struct text){rest->at + n, rest->len - n};
    return word;
}

static bool has_word(struct text name, struct text word)
{
    while (name.len) {
        struct text w = next_word(&name);
        if (w.len == word.len && (w.len == 0 || distance(w, word, 0) == 0))
            return true;
    }
    return false;
}

static bool has_words_of(struct text name, struct text words)
{
    if (!words.len)
        return false;
    while (words.len)
        if (!has_word(name, next_word(&words)))
            return false;
    return true;
}

/* `radius-inside` for `inside-radius`, or `radius` where only one candidate has that word. */
static struct text by_words(struct text wrong, const struct text *candidates, uint32_t count)
{
    struct text found = TEXT("");
    uint32_t matches = 0;
    for (uint32_t i = 0; i < count; i++) {
        if (candidates[i].len > LONGEST || !has_words_of(candidates[i], wrong))
            continue;
        if (candidates[i].len == wrong.len)
            return candidates[i];
        found = candidates[i];
        matches++;
    }
    return matches == 1 && wrong.len > 2 ? found : TEXT("");
}

/* Names of several words: each word by itself is a slip of the other's, lower-radius is none of corner-radius. */
static bool words_near(struct text a, struct text b)
{
    while (a.len && b.len) {
        struct text x = next_word(&a), y = next_word(&b);
        if (!a.len != !b.len)
            return true; /* other numbers of words */
        uint32_t longer = x.len > y.len ? x.len : y.len, bound = longer < 3 ? EDIT : tolerated(longer);
        if (x.len <= LONGEST && y.len <= LONGEST && distance(x, y, bound) > bound)
            return false;
    }
    return true;
}

struct text nearest(struct text wrong, const struct text *candidates, uint32_t count)
{
    if (!wrong.len || wrong.len > LONGEST)
        return TEXT("");
    uint32_t bound = tolerated(wrong.len), best = bound + 1;
    struct text found = TEXT("");
    for (uint32_t i = 0; i < count; i++) {
        struct text c = candidates[i];
        uint32_t apart = c.len > wrong.len ? c.len - wrong.len : wrong.len - c.len;
        if (!c.len || c.len > LONGEST || apart * HYPHEN > bound || !words_near(wrong, c))
            continue;
        uint32_t d = distance(wrong, c, best);
        if (d < best || (d == best && found.len && text_order(c, found) < 0))
            best = d, found = c;
    }
    if (found.len && best <= EDIT + HYPHEN)
        return found;
    struct text same_words = by_words(wrong, candidates, count); /* says more than two letters that differ */
    return same_words.len ? same_words : found;
}
