/* What an unknown or ill-formed unit was most likely meant to be. */
#include "compiler/text/unit.h"

static const struct slip {
    const char *wrong, *right, *advice;
} slips[] = {
#define INSTEAD(wrong, right) {wrong, right, ""},
#define ADVICE(wrong, sentence) {wrong, "", sentence},
#include "compiler/text/units.def"
};
enum { SLIPS = sizeof slips / sizeof slips[0] };

/* ---- unknown atoms ------------------------------------------------------------------------------------------------ */

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same_but_case(struct text a, struct text b)
{
    if (a.len != b.len)
        return false;
    for (uint32_t i = 0; i < a.len; i++)
        if (lower(a.at[i]) != lower(b.at[i]))
            return false;
    return true;
}

/* One letter more, less, other, or two neighbours swapped. Symbols of one or two letters are too near to each other. */
static bool one_slip(struct text a, struct text b)
{
    if (a.len < b.len) {
        struct text longer = b;
        b = a;
        a = longer;
    }
    if (b.len < 2 || a.len < 3 || a.len - b.len > 1)
        return false;
    uint32_t head = 0, tail = 0;
    while (head < b.len && lower(a.at[head]) == lower(b.at[head]))
        head++;
    while (tail < b.len - head && lower(a.at[a.len - 1 - tail]) == lower(b.at[b.len - 1 - tail]))
        tail++;
    uint32_t rest = a.len - head - tail;
    if (a.len > b.len || rest <= 1)
        return rest <= 1;
    return rest == 2 && lower(a.at[head]) == lower(b.at[head + 1]) && lower(a.at[head + 1]) == lower(b.at[head]);
}

/* The only row that is alike, or NULL when there is none or the choice is open. */
static const struct unit_row *only_row(struct text wrong, bool (*alike)(struct text, struct text))
{
    const struct unit_row *found = NULL;
    uint32_t count;
    const struct unit_row *rows = unit_rows(&count);
    for (uint32_t i = 0; i < count; i++) {
        if (!alike(wrong, rows[i].unit.spelling))
            continue;
        if (found)
            return NULL;
        found = &rows[i];
    }
    return found;
}

void unit_guess(struct text wrong, struct unit_error *e)
{
    for (size_t i = 0; i < SLIPS; i++)
        if (text_is(wrong, slips[i].wrong)) {
            e->nearest = text_of(slips[i].right);
            e->advice = text_of(slips[i].advice);
            return;
        }
    const struct unit_row *row = only_row(wrong, same_but_case);
    for (size_t i = 0; !row && i < SLIPS; i++)
        if (*slips[i].right && wrong.len > 2 && same_but_case(wrong, text_of(slips[i].wrong))) {
            e->nearest = text_of(slips[i].right);
            return;
        }
    row = row ? row : only_row(wrong, one_slip);
    e->nearest = row ? row->unit.spelling : TEXT("");
}

/* ---- ill-formed units -------------------------------------------------------------------------------------------- */

struct respelled {
    char *at;
    uint32_t len;
};

static void put(struct respelled *r, char c)
{
    if (r->len < UNIT_ROOM)
        r->at[r->len++] = c;
}

static bool is_unit_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

/* Whether a * belongs between the last character and this one. */
static bool wants_times(const struct respelled *r, char c, bool blank)
{
    char last = r->len ? r->at[r->len - 1] : 0;
    bool ended = is_unit_letter(last) || (last >= '0' && last <= '9') || last == ')';
    return ended && (is_unit_letter(c) || c == '(') && (blank || !is_unit_letter(last));
}

static bool group_follows(struct text t, uint32_t at)
{
    while (at < t.len && t.at[at] == ' ')
        at++;
    return at < t.len && t.at[at] == '(';
}

/* Powers as ^2, a * where it was left out; a second solidus divides by that too. */
static struct text respell(struct text wrong, char *room)
{
    struct respelled r = {room, 0};
    bool over = false, grouped = false, blank = false;
    for (uint32_t i = 0; i < wrong.len; i++) {
        char c = wrong.at[i];
        bool sign = c == '\xc2' && i + 1 < wrong.len;
        char second = sign ? wrong.at[i + 1] : 0;
        if (second == '\xb2' || second == '\xb3') {
            put(&r, '^');
            put(&r, second == '\xb2' ? '2' : '3');
            i++;
        } else if (second == '\xb7' || c == '*' || (c == '/' && over)) {
            put(&r, '*');
            i += sign;
        } else if (c == '/') {
            over = true;
            grouped = group_follows(wrong, i + 1);
            put(&r, '/');
            if (!grouped)
                put(&r, '(');
        } else if (c != ' ') {
            if (wants_times(&r, c, blank))
                put(&r, '*');
            if (c >= '0' && c <= '9' && r.len && is_unit_letter(r.at[r.len - 1]))
                put(&r, '^');
            put(&r, c);
        }
        blank = c == ' ';
    }
    if (over && !grouped)
        put(&r, ')');
    return (struct text){room, r.len};
}

/* (K) as K, where the text stands in room: a single atom stands without parentheses. */
static struct text without_parentheses(char *room, struct text t)
{
    const char *open = memchr(t.at, '(', t.len);
    uint32_t from = open ? (uint32_t)(open - t.at) : t.len;
    if (from == t.len || t.at[t.len - 1] != ')' || memchr(t.at + from, '*', t.len - from))
        return t;
    memmove(room + from, room + from + 1, t.len - from - 2);
    return (struct text){room, t.len - 2};
}

struct text unit_meant(struct text wrong, char room[UNIT_ROOM])
{
    struct unit unit;
    struct unit_error error;
    if (wrong.len > UNIT_ROOM / 2)
        return TEXT("");
    struct text meant = without_parentheses(room, respell(wrong, room));
    return !text_same(meant, wrong) && unit_read(meant, &unit, &error) == UNIT_OK ? meant : TEXT("");
}
