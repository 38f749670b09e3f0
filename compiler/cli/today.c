/* The day that waivers are held against. Nothing else of the product knows the time or the environment. */
#include "compiler/cli/cli.h"
#include "runtime/base/date.h"

#include <errno.h>
#include <stdlib.h>
#include <time.h>

/* The day as "2026-11-25"; false for years that are not written with four digits. */
static bool write_day(const struct tm *day, char out[DAY_SIZE])
{
    int year = day->tm_year + 1900;
    return year >= 1000 && year <= 9999 && strftime(out, DAY_SIZE, "%Y-%m-%d", day) == DAY_SIZE - 1;
}

static bool day_as_written(const char *text, char out[DAY_SIZE])
{
    static const char form[] = "dddd-dd-dd";
    if (strlen(text) != sizeof form - 1)
        return false;
    for (int i = 0; form[i]; i++)
        if (form[i] == '-' ? text[i] != '-' : text[i] < '0' || text[i] > '9')
            return false;
    if (!day_exists(atoi(text), atoi(text + 5), atoi(text + 8)))
        return false;
    memcpy(out, text, DAY_SIZE);
    return true;
}

/* Seconds since 1970-01-01, of which the day in UTC counts, so that it is the same on every machine. */
static bool day_of_seconds(const char *text, char out[DAY_SIZE])
{
    char *end;
    struct tm day;
    errno = 0;
    long long seconds = strtoll(text, &end, 10);
    if (*text < '0' || *text > '9' || *end || errno)
        return false;
    time_t time = (time_t)seconds;
    return gmtime_r(&time, &day) && write_day(&day, out);
}

bool find_today(const struct options *o, char out[DAY_SIZE], const char **from)
{
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    struct tm day;
    if (o->date) {
        *from = "--date";
        if (day_as_written(o->date, out))
            return true;
        complain("--date '%s' is no day; write year, month and day, as in --date 2026-11-25", o->date);
        return false;
    }
    if (epoch) {
        *from = "SOURCE_DATE_EPOCH";
        if (day_of_seconds(epoch, out))
            return true;
        complain(
            "SOURCE_DATE_EPOCH is '%s'; it holds whole seconds since 1970-01-01, or is not set; --date goes before it",
            epoch);
        return false;
    }
    *from = "the computer's clock";
    time_t now = time(NULL);
    if (now != (time_t)-1 && localtime_r(&now, &day) && write_day(&day, out))
        return true;
    complain("the computer's clock gives no day; give it with --date 2026-11-25");
    return false;
}
