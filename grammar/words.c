#include "grammar/words.h"

static struct span here(const struct scan *s, uint32_t offset, uint32_t length)
{
    return (struct span){s->tree->file, s->at + offset, s->at + offset + length};
}

static int two(const char *digits)
{
    return (digits[0] - '0') * 10 + digits[1] - '0';
}

void scan_date(struct scan *s, const char *date)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int year = two(date) * 100 + two(date + 2), month = two(date + 5), day = two(date + 8);
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    if (month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1] + (month == 2 && leap))
        return;
    struct diagnostic *d =
        report(s->diagnostics, FAULT_bad_date, here(s, 0, 10), "there is no such day as %.10s", date);
    report_help(s->diagnostics, d, "dates are written year-month-day, as 2026-11-02");
}

/* A number with its unit stuck to it: 5mm, 200degC. */
void scan_tight_unit(struct scan *s)
{
    struct span at = {s->tree->file, s->at, s->at};
    struct diagnostic *d =
        report(s->diagnostics, FAULT_missing_space, at, "a space is missing between number and unit");
    report_help(s->diagnostics, d, "write the number, one space, the unit");
    report_edit(s->diagnostics, d, at, TEXT(" "));
}

void scan_escapes(struct scan *s, const char *text, uint32_t length)
{
    for (uint32_t i = 0; i + 1 < length; i++) {
        if (text[i] != '\\')
            continue;
        i++;
        if (text[i] && strchr("\"\\{}n", text[i]))
            continue;
        uint32_t n = (unsigned char)text[i] < 0x80 ? 2 : 1;
        struct diagnostic *d = report(s->diagnostics, FAULT_unknown_escape, here(s, i - 1, n),
                                      "a text has no escape '\\%.*s'", (int)n - 1, text + i);
        report_help(s->diagnostics, d,
                    "it has \\\" for a quote, \\\\ for a backslash, \\{ for a brace, \\n for a new line");
    }
}

void scan_unfinished(struct scan *s, uint32_t length)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_unfinished_text, here(s, 0, length), "this text has no closing quote on its line");
    report_help(s->diagnostics, d, "close it with \"; for a new line inside a text write \\n");
}

void scan_wrong_name(struct scan *s, const char *name, uint32_t length)
{
    char *mended = arena_alloc(s->arena, length + 1);
    bool capitals = false;
    for (uint32_t i = 0; i < length; i++) {
        capitals = capitals || (name[i] >= 'A' && name[i] <= 'Z');
        mended[i] = name[i] == '_' ? '-' : name[i] >= 'A' && name[i] <= 'Z' ? (char)(name[i] - 'A' + 'a') : name[i];
    }
    struct diagnostic *d = report(s->diagnostics, FAULT_upper_case_name, here(s, 0, length),
                                  "'%.*s' is not written as a name", (int)length, name);
    report_help(s->diagnostics, d, "names are %s: write '%s'",
                capitals ? "lower case, with hyphens inside" : "joined by hyphens", mended);
    report_edit(s->diagnostics, d, here(s, 0, length), (struct text){mended, length});
    *ARRAY_PUSH(s->arena, &s->tree->mended) =
        (struct mended_name){s->tree->token_count, {mended, length}}; /* the token that comes next */
}

/* Curly quotes around a text, as a word processor sets them. */
void scan_curly_text(struct scan *s, const char *text, uint32_t length)
{
    struct diagnostic *d =
        report(s->diagnostics, FAULT_stray_character, here(s, 0, length), "curly quotes do not begin or end a text");
    report_help(s->diagnostics, d, "texts stand in plain double quotes");
    report_edit(s->diagnostics, d, here(s, 0, length), arena_format(s->arena, "\"%.*s\"", (int)length - 6, text + 3));
}

void scan_stray(struct scan *s, const char *bytes, uint32_t length)
{
    static const struct {
        char byte;
        const char *help;
    } known[] = {{';', "a statement ends with its line; leave the semicolon out"},
                 {'\'', "texts stand in double quotes: \"...\""},
                 {'`', "texts stand in double quotes: \"...\""},
                 {'!', "write 'not', or != for 'is not'"},
                 {'&', "write 'and'"},
                 {'|', "write 'or'"},
                 {'_', "names are joined by hyphens"},
                 {'[', "a unit type is closed with ] on the same line: [mm]"},
                 {'"', "close the text with another \""}};
    struct diagnostic *d = report(s->diagnostics, FAULT_stray_character, here(s, 0, length),
                                  "'%.*s' means nothing here", (int)(length > 24 ? 24 : length), bytes);
    if (length >= 3 && memcmp(bytes, "\xe2\x80", 2) == 0 && strchr("\x98\x99\x9c\x9d\x9e", bytes[2])) {
        report_help(s->diagnostics, d, "texts stand in plain double quotes: \"...\"");
        return;
    }
    for (uint32_t i = 0; i < sizeof known / sizeof known[0]; i++)
        if (bytes[0] == known[i].byte) {
            report_help(s->diagnostics, d, "%s", known[i].help);
            return;
        }
    report_help(s->diagnostics, d, "leave it out, or put it into a text or a comment");
}
