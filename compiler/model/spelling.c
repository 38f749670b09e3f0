#include "compiler/model/spelling.h"
#include "runtime/base/buffer.h"

/* What units may be written with, and the plain spelling of it. */
static const struct {
    const char *from, *to;
} plain[] = {
    {"\xc2\xb0", "deg"}, /* degC, degF and the angle */
    {"\xc2\xb5", "u"},   /* the micro sign ... */
    {"\xce\xbc", "u"},   /* ... and the Greek letter */
    {"\xc2\xb2", "^2"},  {"\xc2\xb3", "^3"}, {"\xc2\xb7", "*"},
};
enum { PLAIN_COUNT = sizeof plain / sizeof plain[0], SIGN = 2 /* bytes of each */, LONGEST = 3 };

static bool is_plain(struct text t)
{
    for (uint32_t i = 0; i < t.len; i++)
        if ((unsigned char)t.at[i] >= 0x80)
            return false;
    return true;
}

static uint32_t sign_at(struct text t, uint32_t at)
{
    uint32_t i = 0;
    while (i < PLAIN_COUNT && (at + SIGN > t.len || memcmp(t.at + at, plain[i].from, SIGN) != 0))
        i++;
    return i;
}

static struct text without_signs(struct arena *a, struct text unit)
{
    char *out = arena_alloc(a, (size_t)unit.len * LONGEST + 1);
    uint32_t n = 0;
    for (uint32_t at = 0; at < unit.len;) {
        uint32_t sign = sign_at(unit, at);
        if (sign == PLAIN_COUNT) {
            out[n++] = unit.at[at++];
            continue;
        }
        struct text to = text_of(plain[sign].to);
        memcpy(out + n, to.at, to.len);
        n += to.len;
        at += SIGN;
    }
    return (struct text){out, n};
}

static bool same_unit(struct text a, struct text b)
{
    struct unit one, other;
    struct unit_error error;
    return unit_read(a, &one, &error) == UNIT_OK && unit_read(b, &other, &error) == UNIT_OK &&
           dim_same(one.dim, other.dim) && one.factor == other.factor && one.offset == other.offset &&
           one.point == other.point;
}

/* Only where the plain spelling reads as the same unit: what is no unit stays as it is. */
static struct text plain_unit(struct arena *a, struct text unit)
{
    if (is_plain(unit))
        return unit;
    struct text other = without_signs(a, unit);
    return same_unit(unit, other) ? other : unit;
}

static struct text plain_unit_type(struct arena *a, struct text type)
{
    struct text inner = {type.at + 1, type.len - 2};
    while (inner.len && strchr(" \t", inner.at[0]))
        inner = (struct text){inner.at + 1, inner.len - 1};
    while (inner.len && strchr(" \t", inner.at[inner.len - 1]))
        inner.len--;
    struct text spelled = plain_unit(a, inner);
    if (spelled.at == inner.at && inner.len + 2 == type.len)
        return type;
    return arena_format(a, "[%.*s]", TEXT_ARGS(spelled));
}

struct text spelling_of(struct arena *a, const struct tree *t, uint32_t token)
{
    struct text text = token_text(t, token);
    switch (t->token_kind[token]) {
    case TOKEN_PLUS_MINUS:
        return is_plain(text) ? text : TEXT("+/-");
    case TOKEN_TIMES:
        return is_plain(text) ? text : TEXT("*");
    case TOKEN_UNIT:
        return plain_unit(a, text);
    case TOKEN_UNIT_TYPE:
        return plain_unit_type(a, text);
    default:
        return text;
    }
}

/* ---- lines ------------------------------------------------------------------------------------------------------- */

bool spelling_gap(uint8_t before, uint8_t kind)
{
    switch (before) {
    case TOKEN_OPEN:
    case TOKEN_DOT:
    case TOKEN_PLUS_TIGHT:
    case TOKEN_MINUS_TIGHT:
    case TOKEN_TEXT_HEAD:
    case TOKEN_TEXT_MID:
    case TOKEN_END:
        return false;
    default:
        break;
    }
    switch (kind) {
    case TOKEN_COMMA:
    case TOKEN_COLON:
    case TOKEN_CLOSE:
    case TOKEN_TEXT_MID:
    case TOKEN_TEXT_TAIL:
        return false;
    case TOKEN_DOT: /* "40 .size" means nothing, yet it is not "40.size" */
        return before == TOKEN_NUMBER;
    case TOKEN_OPEN: /* of a call, or of a formula's arguments */
        return before != TOKEN_NAME && before != TOKEN_CLOSE;
    case TOKEN_CLOSE_BRACE:
        return before != TOKEN_OPEN_BRACE;
    default:
        return true;
    }
}

struct text spelling_line(struct arena *a, const struct tree *t, uint32_t first, uint32_t last)
{
    struct buffer b;
    uint8_t before = TOKEN_END;
    buffer_init(&b, a);
    for (uint32_t i = first; i <= last; i++) {
        uint8_t kind = t->token_kind[i];
        if (kind <= TOKEN_STRAY)
            continue;
        if (spelling_gap(before, kind))
            buffer_putc(&b, ' ');
        buffer_put(&b, spelling_of(a, t, i));
        before = kind;
    }
    return buffer_text(&b);
}
