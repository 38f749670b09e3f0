#include "compiler/model/bounds.h"

#include "runtime/base/number.h"
#include "runtime/compare.h"

#include <math.h>
#include <string.h>

static struct text trimmed(struct text t)
{
    while (t.len && t.at[0] == ' ')
        t = (struct text){t.at + 1, t.len - 1};
    while (t.len && t.at[t.len - 1] == ' ')
        t.len--;
    return t;
}

/* "0.2 mm": a number, and behind a blank its unit. */
static bool read_end(struct text t, double *si, struct unit *unit)
{
    struct unit_error error;
    t = trimmed(t);
    const char *blank = memchr(t.at, ' ', t.len);
    uint32_t digits = blank ? (uint32_t)(blank - t.at) : t.len, sign = t.len && t.at[0] == '-';
    struct text number = {t.at + sign, digits - sign};
    struct text behind = blank ? trimmed((struct text){blank, t.len - digits}) : TEXT("1");
    double value;
    if (number_read(number, &value) != NUMBER_OK || unit_read(behind, unit, &error) != UNIT_OK)
        return false;
    *si = unit_to_si(unit, sign ? -value : value);
    return true;
}

static bool begins(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

bool bounds_read(const char *text, struct bounds *out)
{
    const char *dots = strstr(text, " .. "), *more = strstr(text, " and more");
    *out = (struct bounds){.least = -INFINITY, .most = INFINITY, .above = begins(text, "above ")};
    if (out->above)
        return read_end(text_of(text + strlen("above ")), &out->least, &out->unit);
    if (more)
        return read_end((struct text){text, (uint32_t)(more - text)}, &out->least, &out->unit);
    return dots && read_end((struct text){text, (uint32_t)(dots - text)}, &out->least, &out->unit) &&
           read_end(text_of(dots + 4), &out->most, &out->unit) && out->least < out->most;
}

bool bounds_hold(const struct bounds *b, double si)
{
    bool low = b->above ? less_value(b->least, si) : !less_value(si, b->least);
    return low && !less_value(b->most, si);
}
