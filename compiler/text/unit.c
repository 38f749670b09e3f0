#include "compiler/text/unit.h"

#include "runtime/base/number.h"
#include "runtime/base/utf8.h"

#include <math.h>

/* ---- the table ---------------------------------------------------------------------------------------------------- */

/* Dimensions of the rows: length, mass, time, temperature, angle. */
#define DIMENSION(l, m, t, k, a)                                                                                       \
    {                                                                                                                  \
        {                                                                                                              \
            DIM_UNIT *(l), DIM_UNIT *(m), DIM_UNIT *(t), DIM_UNIT *(k), DIM_UNIT *(a)                                  \
        }                                                                                                              \
    }
#define DIMENSION_NUMBER DIMENSION(0, 0, 0, 0, 0)
#define DIMENSION_LENGTH DIMENSION(1, 0, 0, 0, 0)
#define DIMENSION_VOLUME DIMENSION(3, 0, 0, 0, 0)
#define DIMENSION_MASS DIMENSION(0, 1, 0, 0, 0)
#define DIMENSION_TIME DIMENSION(0, 0, 1, 0, 0)
#define DIMENSION_TEMPERATURE DIMENSION(0, 0, 0, 1, 0)
#define DIMENSION_ANGLE DIMENSION(0, 0, 0, 0, 1)
#define DIMENSION_FORCE DIMENSION(1, 1, -2, 0, 0)
#define DIMENSION_PRESSURE DIMENSION(-1, 1, -2, 0, 0)
#define DIMENSION_ENERGY DIMENSION(2, 1, -2, 0, 0)
#define DIMENSION_POWER DIMENSION(2, 1, -3, 0, 0)

#define LITERAL(z)                                                                                                     \
    {                                                                                                                  \
        (z), sizeof(z) - 1                                                                                             \
    }

static const struct unit_row rows[] = {
#define UNIT(name, also, meaning, factor, over, under, dimension, decimals, least)                                     \
    {name,     also, meaning, factor, {DIMENSION_##dimension, (double)(over) / (under), 0, false, LITERAL(name), 0},   \
     decimals, least},
#define SCALE(name, also, meaning, factor, over, under, offset, decimals)                                              \
    {                                                                                                                  \
        name,                                                                                                          \
        also,                                                                                                          \
        meaning,                                                                                                       \
        factor,                                                                                                        \
        {DIMENSION_TEMPERATURE, (double)(over) / (under), offset, true, LITERAL(name), 0},                             \
        decimals,                                                                                                      \
        0},
#include "compiler/text/units.def"
};

/* The same factors as two numbers, so that those of a product are rounded once too. */
static const struct ratio {
    double over, under;
} ratios[] = {
#define UNIT(name, also, meaning, factor, over, under, dimension, decimals, least) {over, under},
#define SCALE(name, also, meaning, factor, over, under, offset, decimals) {over, under},
#include "compiler/text/units.def"
};

#define COUNT(table) ((uint32_t)(sizeof(table) / sizeof(table)[0]))

const struct unit_row *unit_rows(uint32_t *count)
{
    *count = COUNT(rows);
    return rows;
}

static bool among(struct text word, const char *words)
{
    while (*words) {
        size_t n = strcspn(words, " ");
        if (text_same(word, (struct text){words, (uint32_t)n}))
            return true;
        words += n + (words[n] == ' ');
    }
    return false;
}

/* Of the spelling that is written; length and first letter spare most of the comparing. */
static const struct unit_row *row_named(struct text name)
{
    for (uint32_t i = 0; name.len && i < COUNT(rows); i++)
        if (rows[i].unit.spelling.len == name.len && rows[i].name[0] == name.at[0] && text_is(name, rows[i].name))
            return &rows[i];
    return NULL;
}

const struct unit_row *unit_row_of(struct text spelling)
{
    const struct unit_row *row = row_named(spelling);
    if (row || !spelling.len)
        return row;
    for (uint32_t i = 0; i < COUNT(rows); i++)
        if (*rows[i].also && among(spelling, rows[i].also))
            return &rows[i];
    return NULL;
}

static bool is_product(struct text spelling)
{
    for (uint32_t i = 0; i < spelling.len; i++)
        if (strchr("/*^(", spelling.at[i]))
            return true;
    return false;
}

const struct unit_row *unit_row(const struct unit *u)
{
    if (u->row)
        return &rows[u->row - 1];
    return is_product(u->spelling) ? NULL : unit_row_of(u->spelling.len ? u->spelling : TEXT("1"));
}

/* ---- reading ------------------------------------------------------------------------------------------------------ */

struct reader {
    struct text text;
    uint32_t at;
    struct unit *unit;
    double over, under; /* factor so far */
    uint32_t atoms;     /* atoms and operators read, for a scale that must stand alone */
    uint32_t scale_lo, scale_hi;
    struct unit_error *error;
};

static bool fail(struct reader *r, enum unit_fault fault, uint32_t lo, uint32_t hi)
{
    if (hi == lo && hi < r->text.len)
        hi += utf8_at(r->text, lo).len;
    *r->error = (struct unit_error){.fault = fault, .lo = lo, .hi = hi};
    return false;
}

static bool malformed(struct reader *r)
{
    return fail(r, UNIT_MALFORMED, r->at, r->at);
}

static uint32_t next_is(const struct reader *r, const char *z)
{
    size_t n = strlen(z);
    return r->text.len - r->at >= n && memcmp(r->text.at + r->at, z, n) == 0 ? (uint32_t)n : 0;
}

static bool take(struct reader *r, const char *z)
{
    uint32_t n = next_is(r, z);
    r->at += n;
    return n != 0;
}

static bool digit_next(const struct reader *r)
{
    return r->at < r->text.len && r->text.at[r->at] >= '0' && r->text.at[r->at] <= '9';
}

static bool take_digits(struct reader *r, double *out)
{
    uint32_t from = r->at;
    while (digit_next(r))
        r->at++;
    return number_read((struct text){r->text.at + from, r->at - from}, out) == NUMBER_OK;
}

static bool fraction_next(const struct reader *r, char mark)
{
    const char *c = r->text.at + r->at;
    return r->text.len - r->at >= 2 && c[0] == mark && c[1] >= '0' && c[1] <= '9';
}

/* ^2 ^-2 ^0.5 ^1/3. A solidus with a digit behind it belongs to the power: no atom begins with a digit. */
static bool take_power(struct reader *r, double *power)
{
    double sign = take(r, "-") ? -1 : 1, over, part = 0, under = 1;
    if (!take_digits(r, &over))
        return malformed(r);
    if (fraction_next(r, '.')) {
        uint32_t from = ++r->at;
        take_digits(r, &part);
        part /= pow(10, r->at - from);
    } else if (fraction_next(r, '/')) {
        r->at++;
        take_digits(r, &under);
    }
    *power = sign * (over + part) / under;
    return true;
}

static void take_raised(struct reader *r, double *power)
{
    if (take(r, "²"))
        *power = 2;
    else if (take(r, "³"))
        *power = 3;
}

static void scale_factor(struct reader *r, const struct ratio *ratio, double power)
{
    bool one = fabs(power) == 1; /* as nearly always */
    double over = one ? ratio->over : pow(ratio->over, fabs(power));
    double under = one ? ratio->under : pow(ratio->under, fabs(power));
    r->over *= power < 0 ? under : over;
    r->under *= power < 0 ? over : under;
}

static bool part_of_atom(const struct reader *r, uint32_t from)
{
    static const char *const wide[] = {"·", "²", "³"};
    if (r->at >= r->text.len || (r->at == from && digit_next(r)))
        return false;
    char c = r->text.at[r->at];
    if ((unsigned char)c < 0x80)
        return c == '\0' || !strchr("*/^().-+ ", c);
    for (size_t i = 0; i < COUNT(wide); i++)
        if (next_is(r, wide[i]))
            return false;
    return true;
}

static bool take_atom(struct reader *r, double sign)
{
    uint32_t from = r->at;
    while (part_of_atom(r, from))
        r->at += utf8_at(r->text, r->at).len;
    struct text spelling = {r->text.at + from, r->at - from};
    const struct unit_row *row = unit_row_of(spelling);
    if (!spelling.len)
        return malformed(r);
    if (!row) {
        fail(r, UNIT_UNKNOWN, from, r->at);
        unit_guess(spelling, r->error);
        return false;
    }
    uint32_t hi = r->at;
    double power = 1;
    if (!take(r, "^"))
        take_raised(r, &power);
    else if (!take_power(r, &power))
        return false;
    if (row->unit.point) {
        r->scale_lo = from;
        r->scale_hi = hi;
        r->atoms += r->at > hi;
    }
    struct dim dim;
    if (!dim_power(row->unit.dim, sign * power, &dim) || fabs(power) > 99)
        return fail(r, UNIT_EXPONENT, hi, r->at);
    r->unit->dim = dim_times(r->unit->dim, dim);
    r->unit->offset = row->unit.offset;
    r->unit->point = row->unit.point;
    scale_factor(r, &ratios[row - rows], sign * power);
    return true;
}

static bool take_factor(struct reader *r, double sign, int depth);

/* factor {"*" factor} ["/" factor]; nothing may follow the factor after a solidus. */
static bool take_product(struct reader *r, double sign, int depth)
{
    if (!take_factor(r, sign, depth))
        return false;
    for (;;) {
        if (take(r, "/"))
            return take_factor(r, -sign, depth);
        if (!take(r, "*") && !take(r, "·"))
            return true;
        if (!take_factor(r, sign, depth))
            return false;
    }
}

static bool take_factor(struct reader *r, double sign, int depth)
{
    enum { DEEPEST = 4 };
    r->atoms++;
    if (!take(r, "("))
        return take_atom(r, sign);
    r->atoms++;
    if (depth == DEEPEST)
        return malformed(r);
    return take_product(r, sign, depth + 1) && (take(r, ")") || malformed(r));
}

static bool take_unit(struct reader *r)
{
    bool one = take(r, "1");
    if (one && r->at == r->text.len)
        return true;
    r->atoms++;
    if (take(r, "/"))
        return take_factor(r, -1, 0);
    r->atoms--;
    return one ? malformed(r) : take_product(r, 1, 0);
}

enum unit_fault unit_read(struct text text, struct unit *out, struct unit_error *error)
{
    *error = (struct unit_error){.fault = UNIT_OK};
    const struct unit_row *whole = row_named(text); /* as most are */
    *out = whole ? whole->unit : (struct unit){.factor = 1};
    out->spelling = text;
    if (whole) {
        out->row = (uint8_t)(whole - rows + 1);
        return UNIT_OK;
    }
    struct reader r = {.text = text, .unit = out, .over = 1, .under = 1, .error = error};
    bool ok = take_unit(&r) && (r.at == text.len || malformed(&r));
    if (ok && r.scale_hi && r.atoms > 1)
        ok = fail(&r, UNIT_POINT_IN_PRODUCT, r.scale_lo, r.scale_hi);
    double factor = r.over / r.under;
    if (ok && (!isfinite(factor) || factor <= 0))
        ok = fail(&r, UNIT_EXPONENT, 0, text.len);
    if (ok)
        out->factor = factor;
    else
        *out = (struct unit){.factor = 1, .spelling = text};
    return error->fault;
}

/* ---- conversion --------------------------------------------------------------------------------------------------- */

/* A factor of 1/1000 has no exact double, 1000 has: dividing by it rounds once. 0: the factor is of no such kind. */
static double divisor_of(double factor)
{
    double whole = factor < 1 ? round(1 / factor) : 0;
    return whole > 1 && 1 / whole == factor ? whole : 0;
}

double unit_difference_to_si(const struct unit *u, double value)
{
    double divisor = divisor_of(u->factor);
    return divisor > 0 ? value / divisor : value * u->factor;
}

struct unit unit_step(struct unit unit)
{
    unit.point = false;
    unit.offset = 0;
    return unit;
}

struct unit unit_of_difference(struct unit unit)
{
    return unit.point && unit.factor == 1 ? unit_row_of(TEXT("K"))->unit : unit_step(unit);
}

double unit_to_si(const struct unit *u, double value)
{
    double si = unit_difference_to_si(u, value);
    return u->point ? si + u->offset : si;
}

double unit_from_si(const struct unit *u, double si)
{
    double divisor = divisor_of(u->factor), value = u->point ? si - u->offset : si;
    return divisor > 0 ? value * divisor : value / u->factor;
}
