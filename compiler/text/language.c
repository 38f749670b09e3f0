#include "compiler/text/language.h"

const struct language_row language_table[LANGUAGE_COUNT] = {
    [LANGUAGE_EN] = {"en", "English", "nplurals=2; plural=(n != 1);", false},
    [LANGUAGE_DE] = {"de", "Deutsch", "nplurals=2; plural=(n != 1);", true},
    [LANGUAGE_ES] = {"es", "español", "nplurals=2; plural=(n != 1);", true},
    [LANGUAGE_JA] = {"ja", "日本語", "nplurals=1; plural=0;", false},
};

enum language language_of(struct text code)
{
    enum language l = LANGUAGE_EN;
    while (l < LANGUAGE_COUNT && !text_is(code, language_table[l].code))
        l++;
    return l;
}
