/* Days of the Gregorian calendar. */
#ifndef RUNTIME_BASE_DATE_H
#define RUNTIME_BASE_DATE_H

#include <stdbool.h>

static inline bool day_exists(int year, int month, int day)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1] + (month == 2 && leap);
}

#endif
