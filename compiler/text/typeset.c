#include "compiler/text/typeset.h"

#include "runtime/base/buffer.h"
#include "runtime/base/number.h"
#include "runtime/base/utf8.h"

#include <math.h>

enum {
    MOST_DECIMALS = 7, /* beyond these a number is easier to read as 2.61e-5 */
    ENOUGH = 2,        /* significant digits below which the unit's own decimals do not do */
    SIGNIFICANT = 4,
    COARSE = 3,    /* significant digits of what is known coarsely */
    SUPPRESSED = 6 /* decimals beyond those shown in which traces of a conversion between units are looked for */
};

#define NO_BREAK_SPACE "\xC2\xA0"
#define MINUS "\xE2\x88\x92"
#define PLUS_MINUS "\xC2\xB1"
#define ELLIPSIS "\xE2\x80\xA6"

/* ---- how many decimals -------------------------------------------------------------------------------------------- */

/* Of the leading digit: 0 for 1..9.99, -3 for 0.005. */
static int magnitude(double value)
{
    double v = fabs(value);
    return v > 0 && isfinite(v) ? (int)floor(log10(v) + 1e-12) : 0;
}

static bool whole_at(double value, int decimals)
{
    double scaled = fabs(value) * power_of_ten(decimals);
    return fabs(scaled - round(scaled)) <= 1e-6 && scaled < 1e15;
}

static int between(int value, int low, int high)
{
    return value < low ? low : value > high ? high : value;
}

/* A tolerance is shown whole when it is stated: 0.025 takes three decimals. A computed one is shown with two digits. */
static int decimals_of_tolerance(double tolerance)
{
    int two = between(1 - magnitude(tolerance), 0, MOST_DECIMALS + 2);
    for (int d = 0; d <= two + 1; d++)
        if (whole_at(tolerance, d) && tolerance * power_of_ten(d) >= 0.5)
            return d;
    return two;
}

static int decimals_of_product(double value)
{
    int significant = SIGNIFICANT - 1 - magnitude(value);
    return fabs(value) >= 1 ? between(significant, 0, 2) : fabs(value) >= 0.1 ? 3 : significant;
}

/* Of a factor such as 1.002089, growth or a shape factor, what counts is its difference from one. */
static int decimals_near_one(double value)
{
    double difference = fabs(value - 1);
    return difference > 0 && difference < 0.1 ? between(SIGNIFICANT - 1 - magnitude(difference), 0, MOST_DECIMALS) : 0;
}

static int drop_zeros(double value, int decimals, int least)
{
    double rounded = round(fabs(value) * power_of_ten(decimals));
    while (decimals > least && fmod(rounded, 10) == 0) {
        rounded /= 10;
        decimals--;
    }
    return decimals;
}

/* The unit's own for such a value, its last noughts still there. */
static int decimals_of_unit(const struct unit *u, double value)
{
    const struct unit_row *row = unit_row(u);
    int most = row ? row->decimals : decimals_of_product(value);
    if (!isfinite(value))
        return most;
    if (dim_none(u->dim) && u->factor == 1 && decimals_near_one(value) > most)
        most = decimals_near_one(value);
    return most;
}

static int least_decimals(const struct unit *u)
{
    const struct unit_row *row = unit_row(u);
    return row ? row->least : 0;
}

/* A point on a temperature scale is not small near the scale's zero. */
static int decimals_without_tolerance(const struct unit *u, double value)
{
    int most = decimals_of_unit(u, value);
    if (!isfinite(value) || u->point || value == 0)
        return most;
    if (magnitude(value) + most + 1 < ENOUGH)
        return SIGNIFICANT - 1 - magnitude(value);
    return magnitude(value) + most + 1 > 7 ? between(6 - magnitude(value), 0, most) : most;
}

static int without_noughts(const struct unit *u, double value, int decimals)
{
    int least = least_decimals(u);
    return isfinite(value) ? drop_zeros(value, decimals, least < decimals ? least : decimals) : decimals;
}

int decimals_for(const struct unit *u, double value, double tolerance)
{
    int most = decimals_of_unit(u, value), least = least_decimals(u);
    if (!isfinite(value))
        return most;
    if (tolerance > 0 && isfinite(tolerance)) {
        int shown = decimals_of_tolerance(tolerance);
        shown = shown > least ? shown : least;
        /* A value that needs more digits than its tolerance is given one more: rounding must not eat up the band. */
        if (whole_at(value, shown) || shown >= most)
            return shown;
        return whole_at(value, most) ? drop_zeros(value, most, shown) : shown + 1;
    }
    return without_noughts(u, value, decimals_without_tolerance(u, value));
}

double rounded_toward(double value, int decimals, enum toward toward)
{
    double scale = power_of_ten(decimals), scaled = value * scale;
    if (!isfinite(scaled) || fabs(scaled) >= 1e15 || toward == TO_NEAREST || whole_at(value, decimals))
        return value;
    return (toward == TO_ABOVE ? ceil(scaled) : floor(scaled)) / scale;
}

struct end end_for(const struct unit *u, double si, enum toward toward, int further)
{
    double value = unit_from_si(u, si);
    int decimals = decimals_without_tolerance(u, value) + further;
    struct end end = {rounded_toward(value, decimals, toward), decimals};
    end.decimals = without_noughts(u, end.value, decimals);
    return end;
}

/* A time and a force come of coefficients that are known to a part in a hundred, and are read at a clock and a gauge. What
 * is stated with few decimals is shown as stated. */
static bool known_coarsely(const struct unit *u)
{
    static const struct dim time = {.exponent[DIM_TIME] = 12},
                            force = {.exponent[DIM_LENGTH] = 12, .exponent[DIM_MASS] = 12, .exponent[DIM_TIME] = -24};
    return dim_same(u->dim, time) || dim_same(u->dim, force);
}

struct end end_for_use(const struct unit *u, double si, enum toward toward)
{
    double value = unit_from_si(u, si);
    int own = decimals_without_tolerance(u, value);
    if (!known_coarsely(u) || !isfinite(value) || whole_at(value, decimals_for(u, value, 0)))
        return end_for(u, si, toward, 0);
    int decimals = between(COARSE - 1 - magnitude(value), 0, own);
    struct end end = {rounded_toward(value, decimals, toward), decimals};
    end.decimals = drop_zeros(end.value, decimals, 0);
    return end;
}

int decimals_for_computed(const struct unit *u, double value)
{
    int decimals = decimals_for(u, value, 0), own = decimals_for(u, 10 / 3.0, 0), two = ENOUGH - 1 - magnitude(value);
    return decimals > own && decimals > two ? (two > own ? two : own) : decimals;
}

int decimals_for_ends(const struct unit *u, double nominal, double lo, double hi)
{
    double value = unit_from_si(u, nominal);
    int above = decimals_for(u, value, (hi - nominal) / u->factor);
    int below = decimals_for(u, value, (nominal - lo) / u->factor);
    if (!(hi > nominal))
        return below;
    return !(nominal > lo) || above > below ? above : below;
}

/* ---- numbers ------------------------------------------------------------------------------------------------------ */

/* Of a number in units of its last decimal. */
static struct text placed(struct arena *arena, uint64_t digits, int decimals, bool minus)
{
    char out[32], *end = out + sizeof out, *at = end;
    for (int i = 0; digits || i <= decimals; i++, digits /= 10) {
        if (i == decimals && decimals)
            *--at = '.';
        *--at = (char)('0' + digits % 10);
    }
    if (minus)
        *--at = '-';
    return arena_text(arena, (struct text){at, (uint32_t)(end - at)});
}

/* Rounds decimal digits half to even (ISO 80000-1, annex B, rule A), so that 12.0125 mm rounds alike whether it was read
 * in mm, in inches or computed: as a whole number of what is left of its fifteen digits, of which up to six decide. */
static struct text rounded(struct arena *arena, double value, int decimals)
{
    int room = 14 - magnitude(value) - decimals, extra = room < SUPPRESSED ? room : SUPPRESSED;
    if (extra <= 0 || !isfinite(value))
        return number_fixed(arena, value, decimals);
    uint64_t part = (uint64_t)power_of_ten(extra), all = (uint64_t)round(fabs(value) * power_of_ten(decimals + extra));
    uint64_t kept = all / part, rest = all % part;
    kept += 2 * rest > part || (2 * rest == part && kept % 2);
    return placed(arena, kept, decimals, value < 0 && kept > 0);
}

static bool needs_exponent(double value, int decimals)
{
    double v = fabs(value);
    return v > 0 && isfinite(v) &&
           (decimals > MOST_DECIMALS || v >= 1e10 || (v < 1e-4 && decimals >= MOST_DECIMALS - 1));
}

int decimals_shown(const struct unit *u, double si)
{
    double value = unit_from_si(u, si);
    int decimals = decimals_for(u, value, 0);
    return needs_exponent(value, decimals) ? -1 : between(decimals, 0, MOST_DECIMALS);
}

/* 2.61e-5: as many digits as the decimals asked for show, at most seven. */
static struct text with_exponent(struct arena *arena, double value, int decimals, int *exponent)
{
    int digits = between(decimals + magnitude(value), 0, 6);
    *exponent = magnitude(value);
    double scaled = *exponent > 300 ? value / power_of_ten(*exponent - 10) / 1e10 : value / power_of_ten(*exponent);
    struct text t = rounded(arena, scaled, digits);
    if (memchr(t.at, '.', t.len))
        while (t.at[t.len - 1] == '0' || t.at[t.len - 1] == '.')
            if (t.at[--t.len] == '.')
                break;
    if (text_is(t, "10") || text_is(t, "-10")) { /* 9.99 rounded up */
        t.len--;
        ++*exponent;
    }
    return t;
}

static const char *not_a_number(double value)
{
    return isnan(value) ? SAY("not evaluated") : isinf(value) ? SAY("unlimited") : NULL;
}

struct text typeset_number(struct arena *arena, double value, int decimals)
{
    int exponent;
    if (not_a_number(value))
        return text_of(not_a_number(value));
    if (!needs_exponent(value, decimals))
        return rounded(arena, value, between(decimals, 0, MOST_DECIMALS));
    struct text t = with_exponent(arena, value, decimals, &exponent);
    return arena_format(arena, "%.*se%d", TEXT_ARGS(t), exponent);
}

static void put_raised(struct buffer *b, char c)
{
    static const char *const raised[] = {"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"};
    buffer_put(b, c == '-' ? TEXT("⁻") : c >= '0' && c <= '9' ? text_of(raised[c - '0']) : (struct text){&c, 1});
}

/* The decimal sign of print, in the one place that knows it. */
static void put_digits(struct buffer *b, struct text t, enum language language)
{
    const char *point = language_table[language].comma ? memchr(t.at, '.', t.len) : NULL;
    uint32_t whole = point ? (uint32_t)(point - t.at) : t.len;
    buffer_put(b, (struct text){t.at, whole});
    if (point) {
        buffer_putc(b, ',');
        buffer_put(b, (struct text){point + 1, t.len - whole - 1});
    }
}

/* In print with its minus sign, and 2.61 × 10⁻⁵. */
static void put_number(struct buffer *b, double value, int decimals, struct spelling spelling)
{
    if (not_a_number(value)) {
        buffer_put(b, said(spelling.language, not_a_number(value)));
        return;
    }
    struct text t = typeset_number(b->arena, value, decimals);
    if (!spelling.print) {
        buffer_put(b, t);
        return;
    }
    const char *e = memchr(t.at, 'e', t.len), *end = t.at + t.len;
    uint32_t from = t.at[0] == '-';
    if (from)
        buffer_put(b, TEXT(MINUS));
    put_digits(b, (struct text){t.at + from, (uint32_t)((e ? e : end) - t.at) - from}, spelling.language);
    if (!e)
        return;
    buffer_put(b, TEXT(NO_BREAK_SPACE "×" NO_BREAK_SPACE "10"));
    for (e++; e < end; e++)
        put_raised(b, *e);
}

/* ---- units -------------------------------------------------------------------------------------------------------- */

static const struct {
    const char *name, *print;
} printed_names[] = {
    {"um", "µm"}, {"degC", "°C"},  {"degF", "°F"},  {"degR", "°R"},
    {"deg", "°"}, {"arcmin", "′"}, {"arcsec", "″"}, {"permille", "‰"},
};

static struct text name_in(const struct unit_row *row, struct spelling spelling)
{
    for (size_t i = 0; spelling.print && i < sizeof printed_names / sizeof printed_names[0]; i++)
        if (strcmp(row->name, printed_names[i].name) == 0)
            return text_of(printed_names[i].print);
    return row->unit.spelling;
}

/* The power behind an atom, as written: "^-2", "^0.5", "^1/3", "²". */
static struct text power_at(struct text t, uint32_t at)
{
    struct utf8_char c = utf8_at(t, at);
    if (c.point == 0xB2 || c.point == 0xB3)
        return (struct text){t.at + at, c.len};
    uint32_t hi = at + (c.point == '^');
    while (hi > at && hi < t.len &&
           (strchr("0123456789.-", t.at[hi]) ||
            (t.at[hi] == '/' && hi + 1 < t.len && t.at[hi + 1] >= '0' && t.at[hi + 1] <= '9')))
        hi++;
    return (struct text){t.at + at, hi - at};
}

/* Whole ones raised in print, others after ^. */
static void put_power(struct buffer *b, struct text power, struct spelling spelling)
{
    if (power.len && power.at[0] != '^')
        power = utf8_at(power, 0).point == 0xB2 ? TEXT("^2") : TEXT("^3");
    bool whole = !memchr(power.at, '.', power.len) && !memchr(power.at, '/', power.len);
    if (!spelling.print || !whole)
        buffer_put(b, power);
    else
        for (uint32_t i = 1; i < power.len; i++)
            put_raised(b, power.at[i]);
}

static bool is_mark(char c)
{
    return c == '*' || c == '/' || c == '(' || c == ')' || c == '^';
}

/* The longest known name that begins here. */
static const struct unit_row *name_at(struct text t, uint32_t at, uint32_t *len)
{
    uint32_t hi = at;
    while (hi < t.len && !is_mark(t.at[hi]))
        hi += utf8_at(t, hi).len;
    for (; hi > at; hi--) {
        const struct unit_row *row = unit_row_of((struct text){t.at + at, hi - at});
        *len = hi - at;
        if (row)
            return row;
    }
    return NULL;
}

struct text typeset_unit(struct arena *arena, const struct unit *u, struct spelling spelling)
{
    struct text t = u->spelling;
    struct buffer b;
    buffer_init(&b, arena);
    if (!t.len || text_is(t, "1"))
        return TEXT("");
    if (u->row)
        return name_in(unit_row(u), spelling);
    uint32_t at = t.len > 1 && t.at[0] == '1' && t.at[1] == '/', len;
    while (at < t.len) {
        const struct unit_row *row = name_at(t, at, &len);
        if (row) {
            buffer_put(&b, name_in(row, spelling));
            struct text power = power_at(t, at + len);
            put_power(&b, power, spelling);
            at += len + power.len;
            continue;
        }
        struct utf8_char c = utf8_at(t, at);
        bool dot = c.point == '*' || c.point == 0xB7;
        buffer_put(&b, dot ? (spelling.print ? TEXT("·") : TEXT("*")) : (struct text){t.at + at, c.len});
        at += c.len;
    }
    return buffer_text(&b);
}

/* No space before the marks of an angle; before all else, the percent sign too, one that does not break
 * (SI Brochure, 9th edition, 5.4.3 and 5.4.7). */
static void put_unit(struct buffer *b, const struct unit *u, struct spelling spelling)
{
    struct text unit = typeset_unit(b->arena, u, spelling);
    bool mark = text_is(unit, "°") || text_is(unit, "′") || text_is(unit, "″");
    if (unit.len && !mark)
        buffer_put(b, spelling.print ? TEXT(NO_BREAK_SPACE) : TEXT(" "));
    buffer_put(b, unit);
}

/* ---- quantities --------------------------------------------------------------------------------------------------- */

static void put_quantity(struct buffer *b, double value, const struct unit *u, int decimals, struct spelling spelling)
{
    put_number(b, value, decimals, spelling);
    if (isfinite(value))
        put_unit(b, u, spelling);
}

struct text typeset_quantity_to(struct arena *arena, double si, const struct unit *u, int decimals,
                                struct spelling spelling)
{
    struct buffer b;
    buffer_init(&b, arena);
    put_quantity(&b, unit_from_si(u, si), u, decimals, spelling);
    return buffer_text(&b);
}

struct text typeset_quantity(struct arena *arena, double si, const struct unit *u, struct spelling spelling)
{
    return typeset_quantity_to(arena, si, u, decimals_for(u, unit_from_si(u, si), 0), spelling);
}

struct text typeset_figure(struct arena *arena, double value, int decimals, struct spelling spelling)
{
    struct buffer b;
    buffer_init(&b, arena);
    put_number(&b, value, decimals, spelling);
    return buffer_text(&b);
}

static void put_end(struct buffer *b, double value, const struct unit *u, int decimals, enum toward toward,
                    struct spelling spelling)
{
    put_quantity(b, rounded_toward(value, decimals, toward), u, decimals, spelling);
}

struct text typeset_end(struct arena *arena, struct end end, const struct unit *u, struct spelling spelling)
{
    struct buffer b;
    buffer_init(&b, arena);
    put_quantity(&b, end.value, u, end.decimals, spelling);
    return buffer_text(&b);
}

/* Enough decimals to tell the ends apart, and to show the width itself with two digits. */
int decimals_of_band(const struct unit *u, double lo, double hi)
{
    double low = unit_from_si(u, lo), high = unit_from_si(u, hi), width = high - low;
    int a = decimals_for(u, low, 0), b = decimals_for(u, high, 0), decimals = a > b ? a : b;
    if (width > 1e-9 * fmax(fabs(low), fabs(high)) && width < 2 * power_of_ten(-decimals))
        decimals = between(1 - magnitude(width), decimals, MOST_DECIMALS);
    return decimals;
}

struct text typeset_bound(struct arena *arena, enum language language, const char *english, struct text value)
{
    return said_filled(arena, said(language, english), SAID_PARTS({"value", value}));
}

struct text typeset_band_to(struct arena *arena, double lo, double hi, const struct unit *u, int decimals,
                            struct spelling spelling)
{
    double low = unit_from_si(u, lo), high = unit_from_si(u, hi);
    bool inwards = rounded_toward(low, decimals, TO_ABOVE) <= rounded_toward(high, decimals, TO_BELOW);
    struct buffer b;
    buffer_init(&b, arena);
    put_end(&b, low, u, decimals, inwards ? TO_ABOVE : TO_NEAREST, spelling);
    buffer_put(&b, spelling.print ? TEXT(" " ELLIPSIS " ") : TEXT(" .. "));
    put_end(&b, high, u, decimals, inwards ? TO_BELOW : TO_NEAREST, spelling);
    return buffer_text(&b);
}

struct text typeset_band(struct arena *arena, double lo, double hi, const struct unit *u, struct spelling spelling)
{
    if (isnan(lo) || isnan(hi))
        return said(spelling.language, not_a_number(NAN));
    if (isinf(lo) || isinf(hi)) {
        double end = isinf(lo) ? hi : lo;
        if (isinf(end))
            return said(spelling.language, not_a_number(unit_from_si(u, end)));
        return typeset_bound(arena, spelling.language, isinf(lo) ? "at most {value}" : "at least {value}",
                             typeset_end(arena, end_for(u, end, isinf(lo) ? TO_BELOW : TO_ABOVE, 0), u, spelling));
    }
    return typeset_band_to(arena, lo, hi, u, decimals_of_band(u, lo, hi), spelling);
}

static void put_signed(struct buffer *b, double value, char sign, const struct unit *u, int decimals,
                       struct spelling spelling)
{
    if (value < 0)
        sign = sign == '-' ? '+' : '-';
    buffer_put(b, sign == '+' ? TEXT("+") : spelling.print ? TEXT(MINUS) : TEXT("-"));
    put_quantity(b, fabs(value), u, decimals, spelling);
}

struct text typeset_tolerance(struct arena *arena, double nominal, double lo, double hi, const struct unit *u,
                              struct spelling spelling)
{
    double plus = (hi - nominal) / u->factor, minus = (nominal - lo) / u->factor;
    struct unit step = u->point && u->factor == 1 ? unit_of_difference(*u) : *u;
    struct buffer b;
    buffer_init(&b, arena);
    if (!isfinite(plus) || !isfinite(minus) || (plus == 0 && minus == 0))
        return TEXT("");
    int decimals = decimals_for_ends(u, nominal, lo, hi);
    if (fabs(plus - minus) <= 1e-9 * fmax(fabs(plus), fabs(nominal / u->factor))) {
        buffer_put(&b, spelling.print ? TEXT(PLUS_MINUS NO_BREAK_SPACE) : TEXT("+/- "));
        put_quantity(&b, plus, &step, decimals, spelling);
        return buffer_text(&b);
    }
    put_signed(&b, plus, '+', &step, decimals, spelling);
    buffer_putc(&b, ' ');
    put_signed(&b, minus, '-', &step, decimals, spelling);
    return buffer_text(&b);
}
