/* Words and tables of the report: escaping, languages and directions in one place. */
#include "compiler/emit/pages/report/report.h"

#include "compiler/emit/escape.h"
#include "compiler/emit/pages/papers/traveller.h"
#include "compiler/text/said.h"
#include "runtime/base/utf8.h"

enum { WHOLE_MOST = 20 }; /* letters of a word that is not parted even on a phone */

void put_markup(struct report *r, const char *markup)
{
    buffer_put(r->out, text_of(markup));
}

void put_words_of(struct report *r, struct text words)
{
    put_xml(r->out, print_text(r->arena, words));
}

void put_said(struct report *r, const char *english)
{
    put_words_of(r, said(r->table->language, english));
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
        put_markup(r, whole ? "<span class=\"whole\">" : "");
        put_xml(r->out, word);
        put_markup(r, whole ? "</span>" : "");
        while (end < t.len && t.at[end] == ' ')
            buffer_putc(r->out, t.at[end++]);
    }
}

void put_own(struct report *r, const char *element, struct text words)
{
    if (!words.len)
        return;
    buffer_printf(r->out, "<%s dir=\"auto\" lang=\"%s\">", element, language_tag(words));
    put_kept(r, words);
    buffer_printf(r->out, "</%.*s>", (int)strcspn(element, " "), element);
}

/* What may be ours is in the table's language, unless its letters say otherwise. */
void put_either(struct report *r, const char *element, struct text words)
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

void put_capital(struct report *r, const char *element, struct text words)
{
    put_either(r, element, capital(r->arena, words));
}

void put_heading(struct report *r, const char *id, const char *english)
{
    buffer_printf(r->out, "\n<section id=\"%s\" aria-labelledby=\"%s-head\">\n<h2 id=\"%s-head\">", id, id, id);
    put_said(r, english);
    put_markup(r, "</h2>\n");
}

/* ---- tables ------------------------------------------------------------------------------------------------------- */

static const char *const class_names[] = {
    [COLUMN_WORDS] = "", [COLUMN_NUMBER] = " class=\"number\"", [COLUMN_FIELD] = " class=\"paper\""};

static void put_title(struct report *r, const struct report_column *c)
{
    put_words_of(r, c->form == COLUMN_FIELD ? said_in(r->table->language, "head", c->title)
                                            : said(r->table->language, c->title));
}

/* On a narrow screen a row becomes a card; the roles say that it is a table still. */
void table_begin(struct report *r, const char *class_name, const char *caption, const struct report_column *columns,
                 uint32_t count)
{
    buffer_printf(r->out, "<table role=\"table\" class=\"%s\"><caption>", class_name);
    put_said(r, caption);
    put_markup(r, "</caption>\n<thead role=\"rowgroup\"><tr role=\"row\">");
    for (uint32_t i = 0; i < count; i++) {
        buffer_printf(r->out, "<th role=\"columnheader\" scope=\"col\"%s>", class_names[columns[i].form]);
        put_title(r, &columns[i]);
        put_markup(r, "</th>");
    }
    put_markup(r, "</tr></thead>\n<tbody role=\"rowgroup\">\n");
}

void table_end(struct report *r)
{
    put_markup(r, "</tbody></table>\n");
}

void cell_begin(struct report *r, const struct report_column *c)
{
    buffer_printf(r->out, "<td role=\"cell\"%s data-label=\"", class_names[c->form]);
    put_title(r, c);
    put_markup(r, "\">");
}

void cell_words(struct report *r, const struct report_column *c, struct text words)
{
    cell_begin(r, c);
    put_words_of(r, words);
    put_markup(r, "</td>");
}

void cell_own(struct report *r, const struct report_column *c, struct text words)
{
    cell_begin(r, c);
    put_either(r, "bdi", words);
    put_markup(r, "</td>");
}

void cell_field(struct report *r, const struct report_column *c)
{
    cell_begin(r, c);
    put_markup(r, "<span class=\"field\"></span></td>");
}

/* A range has no value of its own: its band is its text, and is told once. Words may be the recipe's own. */
void cell_shown(struct report *r, const struct report_column *c, const struct shown *s)
{
    bool range = text_same(s->print, s->print_band);
    cell_begin(r, c);
    if (!range)
        put_either(r, "bdi class=\"value\"", s->print);
    if (s->print_band.len) {
        put_markup(r, range ? "<bdi class=\"value range\">" : " <bdi class=\"band\">");
        put_words_of(r, s->print_band);
        put_markup(r, "</bdi>");
    }
    put_markup(r, "</td>");
}
