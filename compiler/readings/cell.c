#include "compiler/readings/cell.h"

#include "runtime/base/number.h"

#include <math.h>

enum { LONGEST = 64, EXACT_DIGITS = 15, GROUP = 3 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Bytes of a mark between groups of digits that is no decimal sign anywhere; 0: there is none here. */
static uint32_t group_mark(struct text t, uint32_t i)
{
    static const char *const marks[] = {" ", "'", "\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x99"};
    for (size_t k = 0; k < sizeof marks / sizeof marks[0]; k++) {
        uint32_t len = (uint32_t)strlen(marks[k]);
        if (t.len - i >= len && memcmp(t.at + i, marks[k], len) == 0)
            return len;
    }
    return 0;
}

/* ---- the decimal sign ------------------------------------------------------------------------------------------------ */

struct signs { /* points and commas of a cell */
    uint32_t points, commas;
    uint32_t last;         /* place of the last of either */
    uint32_t before;       /* digits in front of the first */
    uint32_t behind;       /* digits behind the last */
    bool number, exponent; /* nothing else stands in it but what numbers are made of */
};

static bool count_sign(struct text t, uint32_t i, struct signs *s)
{
    if (t.at[i] != '.' && t.at[i] != ',')
        return false;
    s->points += t.at[i] == '.';
    s->commas += t.at[i] == ',';
    s->last = i;
    s->behind = 0;
    return true;
}

static struct signs signs_of(struct text t)
{
    struct signs s = {.number = t.len && t.len < LONGEST};
    for (uint32_t i = t.len && (t.at[0] == '-' || t.at[0] == '+'), mark; s.number && i < t.len; i++) {
        if (is_digit(t.at[i])) {
            s.before += !s.points && !s.commas;
            s.behind++;
        } else if ((t.at[i] == 'e' || t.at[i] == 'E') && s.behind) {
            s.exponent = true;
            break;
        } else if ((mark = group_mark(t, i)) && s.behind) {
            i += mark - 1;
        } else if (!count_sign(t, i, &s)) {
            s.number = false;
        }
    }
    return s;
}

/* Whether a lone sign may part thousands: 1 to 3 digits in front, no leading zero, three behind. */
static bool may_be_thousands(struct text t, const struct signs *s)
{
    char first = t.at[t.at[0] == '-' || t.at[0] == '+'];
    return s->before >= 1 && s->before <= GROUP && first != '0' && s->behind == GROUP && !s->exponent;
}

enum sign_evidence cell_sign(struct text t)
{
    struct signs s = signs_of(t);
    uint32_t count = s.points + s.commas;
    if (!s.number || !count)
        return SIGN_IN_NONE;
    bool point_last = t.at[s.last] == '.';
    if (count == 1 && may_be_thousands(t, &s))
        return SIGN_IN_EITHER;
    if (count == 1 || (s.points && s.commas))
        return point_last ? SIGN_IN_POINT : SIGN_IN_COMMA;
    return point_last ? SIGN_IN_COMMA : SIGN_IN_POINT; /* several of one kind part thousands */
}

/* ---- numbers --------------------------------------------------------------------------------------------------------- */

/* Sign, digits, decimal sign, digits and nothing else, few enough to be exact: the form of nearly every cell. */
static bool read_short(struct text t, char sign, double *value)
{
    uint32_t i = t.len && t.at[0] == '-', digits = 0, decimals = 0;
    uint64_t whole = 0;
    bool fraction = false;
    for (; i < t.len; i++) {
        if (t.at[i] == sign && !fraction && digits) {
            fraction = true;
            continue;
        }
        if (!is_digit(t.at[i]))
            return false;
        whole = whole * 10 + (uint64_t)(t.at[i] - '0');
        digits++;
        decimals += fraction;
        if (digits > EXACT_DIGITS)
            return false;
    }
    if (!digits || (fraction && !decimals))
        return false;
    *value = (double)whole / power_of_ten((int)decimals);
    *value = t.at[0] == '-' ? -*value : *value;
    return true;
}

/* The mark between groups that stands here: a blank of any kind, or the sign that is not the decimal one; its bytes. */
static uint32_t mark_at(struct text t, uint32_t i, char sign)
{
    char other = sign == SIGN_POINT ? SIGN_COMMA : SIGN_POINT;
    return t.at[i] == other ? 1 : group_mark(t, i);
}

static bool is_group(struct text t, uint32_t i)
{
    for (uint32_t k = 0; k < GROUP; k++)
        if (i + k >= t.len || !is_digit(t.at[i + k]))
            return false;
    return i + GROUP >= t.len || !is_digit(t.at[i + GROUP]);
}

/* As a recipe writes it, without marks between groups. 0: it is no number, or has no digit. */
static uint32_t plain_form(struct text t, char sign, char out[LONGEST + 2])
{
    uint32_t n = 0, i = t.at[0] == '+';
    bool fraction = false, digit = false;
    if (i < t.len && t.at[i] == '-')
        out[n++] = t.at[i++];
    if (i < t.len && t.at[i] == sign)
        out[n++] = '0';
    for (uint32_t mark; i < t.len; i++) {
        bool behind_digit = n && is_digit(out[n - 1]);
        digit |= is_digit(t.at[i]);
        if (t.at[i] == sign && !fraction && behind_digit) {
            fraction = true;
            if (i + 1 < t.len && is_digit(t.at[i + 1]))
                out[n++] = '.';
        } else if (!fraction && behind_digit && (mark = mark_at(t, i, sign)) && is_group(t, i + mark)) {
            i += mark - 1;
        } else if (is_digit(t.at[i]) || strchr("eE+-", t.at[i])) {
            out[n++] = t.at[i];
        } else {
            return 0;
        }
    }
    return digit ? n : 0;
}

/* A lone sign of the other kind parts no thousands that anybody could be sure of. */
static bool has_other_sign(struct text t, char sign)
{
    struct signs s = signs_of(t);
    uint32_t own = sign == SIGN_POINT ? s.points : s.commas, other = sign == SIGN_POINT ? s.commas : s.points;
    return s.number && ((other == 1 && !own) || (own && other && t.at[s.last] != sign));
}

static bool says_no_reading(struct text t)
{
    static const char *const words[] = {"nan", "n/a", "na", "#n/a", "-", "--", "---", "null", "over", "under"};
    for (size_t k = 0; k < sizeof words / sizeof words[0]; k++) {
        uint32_t i = 0;
        while (i < t.len && words[k][i] && (t.at[i] | ((t.at[i] >= 'A' && t.at[i] <= 'Z') << 5)) == words[k][i])
            i++;
        if (i == t.len && !words[k][i])
            return true;
    }
    return false;
}

enum cell_says cell_number(struct text t, enum decimal_sign sign, double *value)
{
    char plain[LONGEST + 2];
    if (!t.len)
        return CELL_EMPTY;
    if (read_short(t, (char)sign, value))
        return CELL_NUMBER;
    if (says_no_reading(t))
        return CELL_NO_READING;
    if (t.len >= LONGEST || memchr(t.at, 0, t.len))
        return CELL_TEXT;
    if (has_other_sign(t, (char)sign))
        return CELL_OTHER_SIGN;
    uint32_t len = plain_form(t, (char)sign, plain);
    return len && number_read((struct text){plain, len}, value) == NUMBER_OK ? CELL_NUMBER : CELL_TEXT;
}

/* ---- times ----------------------------------------------------------------------------------------------------------- */

struct clock {
    struct text rest;
};

static bool take(struct clock *c, char mark)
{
    if (!c->rest.len || c->rest.at[0] != mark)
        return false;
    c->rest = (struct text){c->rest.at + 1, c->rest.len - 1};
    return true;
}

/* So many digits, or one less where `least` says so. */
static bool take_digits(struct clock *c, uint32_t most, uint32_t least, int *value)
{
    uint32_t n = 0;
    for (*value = 0; n < most && n < c->rest.len && is_digit(c->rest.at[n]); n++)
        *value = *value * 10 + (c->rest.at[n] - '0');
    c->rest = (struct text){c->rest.at + n, c->rest.len - n};
    return n >= least;
}

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static bool is_date(int year, int month, int day)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return year >= 1970 && month >= 1 && month <= 12 && day >= 1 &&
           day <= days[month - 1] + (month == 2 && is_leap(year));
}

/* Days since 1970-01-01 in the Gregorian calendar, counted from years that begin in March. */
static int64_t days_to(int year, int month, int day)
{
    int64_t y = month <= 2 ? year - 1 : year;
    int64_t from_march = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    return 365 * y + y / 4 - y / 100 + y / 400 + from_march - 719468;
}

static bool take_date(struct clock *c, int64_t *days)
{
    int year, month, day;
    struct clock from = *c;
    bool good = take_digits(c, 4, 4, &year) && take(c, '-') && take_digits(c, 2, 2, &month) && take(c, '-') &&
                take_digits(c, 2, 2, &day);
    if (!good) {
        *c = from;
        good = take_digits(c, 2, 1, &day) && take(c, '.') && take_digits(c, 2, 1, &month) && take(c, '.') &&
               take_digits(c, 4, 4, &year);
    }
    if (!good || !is_date(year, month, day))
        return false;
    *days = days_to(year, month, day);
    return true;
}

static double take_fraction(struct clock *c)
{
    double sum = 0, place = 0.1;
    while (c->rest.len && is_digit(c->rest.at[0])) {
        sum += place * (c->rest.at[0] - '0');
        place /= 10;
        take(c, c->rest.at[0]);
    }
    return sum;
}

static bool take_time_of_day(struct clock *c, double *seconds)
{
    int hour, minute, second = 0;
    double fraction = 0;
    if (!take_digits(c, 2, 2, &hour) || !take(c, ':') || !take_digits(c, 2, 2, &minute))
        return false;
    if (take(c, ':') && !take_digits(c, 2, 2, &second))
        return false;
    if (take(c, '.') || take(c, ','))
        fraction = take_fraction(c);
    *seconds = 3600 * hour + 60 * minute + second + fraction;
    return hour <= 24 && minute <= 59 && second <= 60;
}

static bool take_offset(struct clock *c, struct cell_time *time)
{
    int hour, minute;
    if (!c->rest.len)
        return true;
    time->zone = true;
    if (take(c, 'Z'))
        return !c->rest.len;
    bool west = c->rest.at[0] == '-';
    if (!take(c, '+') && !take(c, '-'))
        return false;
    if (!take_digits(c, 2, 2, &hour) || !take(c, ':') || !take_digits(c, 2, 2, &minute) || hour > 23 || minute > 59)
        return false;
    time->seconds += (west ? 60 : -60) * (60 * hour + minute);
    return !c->rest.len;
}

bool cell_time(struct text t, struct cell_time *time)
{
    struct clock c = {t};
    int64_t days;
    double of_day;
    *time = (struct cell_time){NAN, false};
    if (!take_date(&c, &days) || (!take(&c, 'T') && !take(&c, ' ')) || !take_time_of_day(&c, &of_day))
        return false;
    time->seconds = 86400.0 * (double)days + of_day;
    return take_offset(&c, time);
}
