#include "runtime/base/number.h"

#include <float.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* ---- reading ------------------------------------------------------------------------------------------------------ */

/* 767 digits decide every case between two doubles; of the rest it only matters whether they are all zero. */
enum { DIGITS_KEPT = 800, EXPONENT_ROOM = 24, EXPONENT_LIMIT = 1000000000 };

struct decimal { /* digits * 10^exponent */
    char digits[DIGITS_KEPT + 1 + EXPONENT_ROOM];
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

/* The C library's strtod rounds correctly; without a decimal sign it reads the same in every locale. */
static double decimal_value(struct decimal *d)
{
    snprintf(d->digits + d->count, EXPONENT_ROOM, "e%" PRId64, d->exponent);
    return d->count ? strtod(d->digits, NULL) : 0;
}

enum number_fault number_read(struct text t, double *out)
{
    struct decimal d = {.count = 0};
    *out = 0;
    if (!take_number(t, &d))
        return NUMBER_MALFORMED;
    double value = decimal_value(&d);
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
    return decimal_value(&d) == value;
}

static void interval_next_up(struct printed *p)
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
        interval_next_up(&p);
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
