#include "runtime/base/number.h"

#include <float.h>
#include <math.h>
#include <stdio.h>

/* ---- reading ------------------------------------------------------------------------------------------------------ */

/* 767 digits decide every case between two doubles; of the rest it only matters whether they are all zero. */
enum { DIGITS_KEPT = 800, EXPONENT_LIMIT = 1000000000 };

struct decimal { /* digits * 10^exponent */
    char digits[DIGITS_KEPT + 1];
    int count;
    int64_t exponent;
    bool negative;
};

static bool digit_at(struct text t, uint32_t i)
{
    return i < t.len && t.at[i] >= '0' && t.at[i] <= '9';
}

static void take_digit(struct decimal *d, char c, bool fraction)
{
    if (d->count < DIGITS_KEPT) {
        if (d->count || c != '0')
            d->digits[d->count++] = c;
        d->exponent -= fraction;
        return;
    }
    if (c != '0' && d->count == DIGITS_KEPT) { /* a 1 for all that follows keeps it off the halfway point */
        d->digits[d->count++] = '1';
        d->exponent--;
    }
    d->exponent += !fraction;
}

/* Digits with single underscores between them. Returns where they end, or 0 when there are none or one is misplaced. */
static uint32_t take_digits(struct text t, uint32_t i, struct decimal *d, bool fraction)
{
    if (!digit_at(t, i))
        return 0;
    for (; digit_at(t, i); i++) {
        take_digit(d, t.at[i], fraction);
        if (i + 1 < t.len && t.at[i + 1] == '_' && !digit_at(t, ++i + 1))
            return 0;
    }
    return i;
}

static uint32_t take_exponent(struct text t, uint32_t i, struct decimal *d)
{
    bool down = i < t.len && t.at[i] == '-';
    if (down || (i < t.len && t.at[i] == '+'))
        i++;
    if (!digit_at(t, i))
        return 0;
    int64_t e = 0;
    for (; digit_at(t, i); i++)
        if (e < EXPONENT_LIMIT)
            e = e * 10 + (t.at[i] - '0');
    d->exponent += down ? -e : e;
    return i;
}

static bool take_number(struct text t, struct decimal *d)
{
    d->negative = t.len && t.at[0] == '-';
    uint32_t i = take_digits(t, d->negative, d, false);
    if (i && i < t.len && t.at[i] == '.')
        i = take_digits(t, i + 1, d, true);
    if (i && i < t.len && (t.at[i] == 'e' || t.at[i] == 'E'))
        i = take_exponent(t, i + 1, d);
    return i && i == t.len;
}

/* Whole numbers large enough for 801 digits over 10^1127 and 55 bits more. Little end first. */
enum { WORDS = 128 };

struct whole {
    uint32_t word[WORDS];
    int count;
};

static void whole_scale(struct whole *w, uint32_t factor, uint32_t add)
{
    uint64_t carry = add;
    for (int i = 0; i < w->count; i++) {
        carry += (uint64_t)w->word[i] * factor;
        w->word[i] = (uint32_t)carry;
        carry >>= 32;
    }
    if (carry)
        w->word[w->count++] = (uint32_t)carry;
}

static void whole_power_of_ten(struct whole *w, int64_t power)
{
    for (; power >= 9; power -= 9)
        whole_scale(w, 1000000000u, 0);
    for (; power > 0; power--)
        whole_scale(w, 10, 0);
}

static int whole_bits(const struct whole *w)
{
    int bits = 32 * (w->count - 1);
    for (uint32_t top = w->word[w->count - 1]; top; top >>= 1)
        bits++;
    return bits;
}

static void whole_shift_up(struct whole *w, int bits)
{
    int words = bits / 32;
    memmove(w->word + words, w->word, (size_t)w->count * sizeof w->word[0]);
    memset(w->word, 0, (size_t)words * sizeof w->word[0]);
    w->count += words;
    whole_scale(w, 1u << (bits % 32), 0);
}

static void whole_halve(struct whole *w)
{
    for (int i = 0; i < w->count; i++)
        w->word[i] = w->word[i] >> 1 | (i + 1 < w->count ? w->word[i + 1] << 31 : 0);
    if (w->count > 1 && !w->word[w->count - 1])
        w->count--;
}

static bool whole_less(const struct whole *a, const struct whole *b)
{
    if (a->count != b->count)
        return a->count < b->count;
    for (int i = a->count - 1; i >= 0; i--)
        if (a->word[i] != b->word[i])
            return a->word[i] < b->word[i];
    return false;
}

static void whole_subtract(struct whole *a, const struct whole *b)
{
    uint64_t borrow = 0;
    for (int i = 0; i < a->count; i++) {
        uint64_t d = (uint64_t)a->word[i] - (i < b->count ? b->word[i] : 0) - borrow;
        a->word[i] = (uint32_t)d;
        borrow = d >> 63;
    }
    while (a->count > 1 && !a->word[a->count - 1])
        a->count--;
}

/* floor(over / under) when it has at most 55 bits; over keeps the remainder, under is used up. */
static uint64_t whole_divide(struct whole *over, struct whole *under)
{
    uint64_t quotient = 0;
    whole_shift_up(under, 55);
    for (int bit = 0; bit <= 55; bit++) {
        quotient <<= 1;
        if (!whole_less(over, under)) {
            whole_subtract(over, under);
            quotient |= 1;
        }
        whole_halve(under);
    }
    return quotient;
}

/* quotient * 2^-shift, and a little more when inexact, to the nearest double. */
static double nearest_double(uint64_t quotient, int shift, bool inexact)
{
    int bits = 64;
    while (!(quotient >> (bits - 1)))
        bits--;
    int top = bits - 1 - shift; /* the value lies in [2^top, 2^(top+1)) */
    int precision = top >= DBL_MIN_EXP - 1 ? DBL_MANT_DIG : DBL_MANT_DIG - (DBL_MIN_EXP - 1 - top);
    if (precision < 0)
        return 0;
    int drop = bits - precision;
    uint64_t kept = quotient >> drop, rest = quotient & ((UINT64_C(1) << drop) - 1), half = UINT64_C(1) << (drop - 1);
    if (rest > half || (rest == half && (inexact || kept % 2)))
        kept++;
    return ldexp((double)kept, drop - shift);
}

static double exact_value(const struct decimal *d)
{
    struct whole over = {.count = 1}, under = {.word = {1}, .count = 1};
    for (int i = 0; i < d->count; i++)
        whole_scale(&over, 10, (uint32_t)(d->digits[i] - '0'));
    whole_power_of_ten(d->exponent >= 0 ? &over : &under, d->exponent >= 0 ? d->exponent : -d->exponent);
    int shift = 54 - (whole_bits(&over) - whole_bits(&under)); /* leaves a quotient of 54 or 55 bits */
    if (shift > 0)
        whole_shift_up(&over, shift);
    else if (shift < 0)
        whole_shift_up(&under, -shift);
    uint64_t quotient = whole_divide(&over, &under);
    return nearest_double(quotient, shift, over.count > 1 || over.word[0]);
}

/* Up to 2^53 times or over up to 10^22: both exact, so one operation rounds once. */
static bool quick_value(const struct decimal *d, double *out)
{
    static const double tens[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                  1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    if (FLT_EVAL_METHOD != 0 || d->count > 15 || d->exponent > 22 || d->exponent < -22)
        return false;
    uint64_t m = 0;
    for (int i = 0; i < d->count; i++)
        m = m * 10 + (uint64_t)(d->digits[i] - '0');
    *out = d->exponent >= 0 ? (double)m * tens[d->exponent] : (double)m / tens[-d->exponent];
    return true;
}

enum number_fault number_read(struct text t, double *out)
{
    struct decimal d = {.count = 0};
    double value = 0;
    *out = 0;
    if (!take_number(t, &d))
        return NUMBER_MALFORMED;
    int64_t top = d.count + d.exponent; /* the value is below 10^top and at least a tenth of it */
    if (d.count && top > 310)
        value = HUGE_VAL;
    else if (d.count && top > -326 && !quick_value(&d, &value))
        value = exact_value(&d);
    *out = d.negative ? -value : value;
    return isinf(value) ? NUMBER_TOO_LARGE : NUMBER_OK;
}

/* ---- printing ----------------------------------------------------------------------------------------------------- */

/* The C library's printf is exact; only its decimal sign follows the locale, so the digits alone are taken from it. */
struct printed {
    char digits[24];
    int count, exponent; /* d.ddd * 10^exponent */
};

static struct printed significant(double value, int count)
{
    char raw[64];
    struct printed p = {.count = 0};
    const char *c = raw;
    snprintf(raw, sizeof raw, "%.*e", count - 1, value);
    for (; *c != 'e'; c++)
        if (*c >= '0' && *c <= '9')
            p.digits[p.count++] = *c;
    bool down = *++c == '-';
    while (*++c)
        p.exponent = p.exponent * 10 + (*c - '0');
    if (down)
        p.exponent = -p.exponent;
    return p;
}

static bool reads_back(const struct printed *p, double value)
{
    struct decimal d = {.count = 0};
    for (int i = 0; i < p->count; i++)
        take_digit(&d, p->digits[i], i > 0);
    d.exponent += p->exponent;
    double back;
    return (quick_value(&d, &back) ? back : exact_value(&d)) == value;
}

static void next_up(struct printed *p)
{
    int i = p->count - 1;
    for (; i >= 0 && p->digits[i] == '9'; i--)
        p->digits[i] = '0';
    if (i >= 0) {
        p->digits[i]++;
        return;
    }
    p->digits[0] = '1';
    p->exponent++;
}

static struct printed shortest(double value)
{
    /* Any decimal of 15 digits survives the way through a normal double, so fewer are found by dropping zeros. */
    for (int count = value < DBL_MIN ? 1 : 15; count < 17; count++) {
        struct printed p = significant(value, count);
        if (reads_back(&p, value))
            return p;
        /* The doubles below a power of two lie closer than those above: the nearest decimal may be too far
         * below when the next one above is not. */
        next_up(&p);
        if (reads_back(&p, value))
            return p;
    }
    return significant(value, 17);
}

static uint32_t lay_out(char *out, const struct printed *p)
{
    char *c = out;
    bool plain = p->exponent >= -5 && p->exponent < 15;
    int point = plain ? p->exponent : 0; /* digits before the point, less one */
    if (point < 0)
        *c++ = '0';
    for (int i = point < 0 ? point + 1 : 0; i < p->count || i <= point; i++) {
        if (i == point + 1)
            *c++ = '.';
        *c++ = i >= 0 && i < p->count ? p->digits[i] : '0';
    }
    if (!plain)
        c += sprintf(c, "e%d", p->exponent);
    return (uint32_t)(c - out);
}

static const char *not_finite(double value)
{
    return isnan(value) ? "nan" : isinf(value) ? (value < 0 ? "-inf" : "inf") : NULL;
}

struct text number_print(struct arena *arena, double value)
{
    char out[64];
    if (not_finite(value))
        return arena_text(arena, text_of(not_finite(value)));
    struct printed p = {.digits = "0", .count = 1};
    if (value != 0)
        p = shortest(fabs(value));
    while (p.count > 1 && p.digits[p.count - 1] == '0')
        p.count--;
    out[0] = '-';
    uint32_t sign = signbit(value) != 0;
    return arena_text(arena, (struct text){out, sign + lay_out(out + sign, &p)});
}

struct text number_fixed(struct arena *arena, double value, int decimals)
{
    enum { MOST_DECIMALS = 60 };
    char raw[DBL_MAX_10_EXP + MOST_DECIMALS + 32], out[sizeof raw], *c = out;
    if (not_finite(value))
        return arena_text(arena, text_of(not_finite(value)));
    decimals = decimals < 0 ? 0 : decimals > MOST_DECIMALS ? MOST_DECIMALS : decimals;
    int len = snprintf(raw, sizeof raw, "%.*f", decimals, fabs(value)), whole = 0;
    while (raw[whole] >= '0' && raw[whole] <= '9')
        whole++;
    bool nothing = strspn(raw, "0") == (size_t)whole && (int)strspn(raw + len - decimals, "0") >= decimals;
    if (value < 0 && !nothing)
        *c++ = '-';
    c = (char *)memcpy(c, raw, (size_t)whole) + whole;
    if (decimals)
        *c++ = '.';
    c = (char *)memcpy(c, raw + len - decimals, (size_t)decimals) + decimals;
    return arena_text(arena, (struct text){out, (uint32_t)(c - out)});
}

double power_of_ten(int exponent)
{
    static const double power[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                   1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    enum { MOST = sizeof power / sizeof power[0] - 1 };
    if (exponent < -MOST || exponent > MOST)
        return pow(10, exponent);
    return exponent < 0 ? 1 / power[-exponent] : power[exponent];
}
