/* Words and tables of the report: escaping, languages and directions in one place. */
#include "compiler/emit/pages/report/report.h"

#include "compiler/emit/escape.h"
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"
#include "runtime/base/utf8.h"

enum { WHOLE_MOST = 20 }; /* letters of a word that is not parted even on a phone */

void report_markup(struct report *r, const char *markup)
{
    buffer_put(r->out, text_of(markup));
}

void report_text(struct report *r, struct text words)
{
    escape_put_xml(r->out, print_text(r->arena, words));
}

void report_said(struct report *r, const char *english)
{
    report_text(r, said(r->table->language, english));
}

/* Kana are Japanese and Hangul is Korean; Latin, Arabic and ideographs alone could be in many languages, and an empty
 * `lang` says so. Fonts for ideographs and voices that read aloud go by it. */
static const char *language_tag(struct text t)
{
    for (uint32_t at = 0; at < t.len;) {
        struct utf8_char c = utf8_at(t, at);
        if (c.point >= 0x3040 && c.point <= 0x30FF)
            return "ja";
        if (c.point >= 0xAC00 && c.point <= 0xD7A3)
            return "ko";
        at += c.len;
    }
    return "";
}

/* RL-204-1: a number with a hyphen in it, of a part or a drawing. */
static bool is_part_number(struct text word)
{
    for (uint32_t i = 1; i + 1 < word.len; i++)
        if (word.at[i] == '-' && word.at[i + 1] >= '0' && word.at[i + 1] <= '9')
            return word.len <= WHOLE_MOST;
    return false;
}

/* A browser breaks a line behind any hyphen; a number that is read out or looked for stays in one piece. */
static void put_kept(struct report *r, struct text words)
{
    struct text t = print_text(r->arena, words);
    for (uint32_t at = 0, end; at < t.len; at = end) {
        const char *blank = memchr(t.at + at, ' ', t.len - at);
        end = blank ? (uint32_t)(blank - t.at) : t.len;
        struct text word = {t.at + at, end - at};
        bool whole = is_part_number(word);
        report_markup(r, whole ? "<span class=\"whole\">" : "");
        escape_put_xml(r->out, word);
        report_markup(r, whole ? "</span>" : "");
        while (end < t.len && t.at[end] == ' ')
            buffer_putc(r->out, t.at[end++]);
    }
}

void report_own(struct report *r, const char *element, struct text words)
{
    if (!words.len)
        return;
    buffer_printf(r->out, "<%s dir=\"auto\" lang=\"%s\">", element, language_tag(words));
    put_kept(r, words);
    buffer_printf(r->out, "</%.*s>", (int)strcspn(element, " "), element);
}

/* What may be ours is in the table's language, unless its letters say otherwise. */
void report_either(struct report *r, const char *element, struct text words)
{
    const char *tag = language_tag(words);
    if (!words.len)
        return;
    if (*tag && strcmp(tag, language_table[r->table->language].code) != 0)
        buffer_printf(r->out, "<%s dir=\"auto\" lang=\"%s\">", element, tag);
    else
        buffer_printf(r->out, "<%s dir=\"auto\">", element);
    put_kept(r, words);
    buffer_printf(r->out, "</%.*s>", (int)strcspn(element, " "), element);
}

void report_capital(struct report *r, const char *element, struct text words)
{
    report_either(r, element, print_text_capital(r->arena, words));
}

void report_heading(struct report *r, const char *id, const char *english)
{
    buffer_printf(r->out, "\n<section id=\"%s\" aria-labelledby=\"%s-head\">\n<h2 id=\"%s-head\">", id, id, id);
    report_said(r, english);
    report_markup(r, "</h2>\n");
}

/* ---- tables ------------------------------------------------------------------------------------------------------- */

static const char *const class_names[] = {
    [COLUMN_WORDS] = "", [COLUMN_NUMBER] = " class=\"number\"", [COLUMN_FIELD] = " class=\"paper\""};

static void put_title(struct report *r, const struct report_column *c)
{
    report_text(r, c->form == COLUMN_FIELD ? said_in(r->table->language, "head", c->title)
                                           : said(r->table->language, c->title));
}

/* On a narrow screen a row becomes a card; the roles say that it is a table still. */
void report_table_begin(struct report *r, const char *class_name, const char *caption,
                        const struct report_column *columns, uint32_t count)
{
    buffer_printf(r->out, "<table role=\"table\" class=\"%s\"><caption>", class_name);
    report_said(r, caption);
    report_markup(r, "</caption>\n<thead role=\"rowgroup\"><tr role=\"row\">");
    for (uint32_t i = 0; i < count; i++) {
        buffer_printf(r->out, "<th role=\"columnheader\" scope=\"col\"%s>", class_names[columns[i].form]);
        put_title(r, &columns[i]);
        report_markup(r, "</th>");
    }
    report_markup(r, "</tr></thead>\n<tbody role=\"rowgroup\">\n");
}

void report_table_end(struct report *r)
{
    report_markup(r, "</tbody></table>\n");
}

void report_cell_begin(struct report *r, const struct report_column *c)
{
    buffer_printf(r->out, "<td role=\"cell\"%s data-label=\"", class_names[c->form]);
    put_title(r, c);
    report_markup(r, "\">");
}

void report_cell_text(struct report *r, const struct report_column *c, struct text words)
{
    report_cell_begin(r, c);
    report_text(r, words);
    report_markup(r, "</td>");
}

void report_cell_own(struct report *r, const struct report_column *c, struct text words)
{
    report_cell_begin(r, c);
    report_either(r, "bdi", words);
    report_markup(r, "</td>");
}

void report_cell_field(struct report *r, const struct report_column *c)
{
    report_cell_begin(r, c);
    report_markup(r, "<span class=\"field\"></span></td>");
}

/* A range has no value of its own: its band is its text, and is told once. Words may be the recipe's own. */
void report_cell_shown(struct report *r, const struct report_column *c, const struct shown *s)
{
    bool range = text_same(s->print, s->print_band);
    report_cell_begin(r, c);
    if (!range)
        report_either(r, "bdi class=\"value\"", s->print);
    if (s->print_band.len) {
        report_markup(r, range ? "<bdi class=\"value range\">" : " <bdi class=\"band\">");
        report_text(r, s->print_band);
        report_markup(r, "</bdi>");
    }
    report_markup(r, "</td>");
}
