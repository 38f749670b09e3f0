/* A comparison as one HTML page that needs nothing else: no script, no font, no picture. Light or dark as the reader's
 * screen is; printed, black on white. What came from a recipe passes escape_put_xml() and nothing else. */
#include "compiler/emit/escape.h"
#include "compiler/review/compare/compare.h"

#include <math.h>

static const char style[] =
    ":root{--paper:#fbfaf7;--ink:#1f2328;--soft:#66696e;--rule:#cfccc4;--band:#f1efe9;--in:#1e6b3a;--out:#a3341f;"
    "--mark:#8a5a00}\n"
    "@media (prefers-color-scheme:dark){:root{--paper:#191b1e;--ink:#e4e2dc;--soft:#9b9d9f;--rule:#3b3e42;"
    "--band:#212428;--in:#7cc794;--out:#f0907c;--mark:#e0b25c}}\n"
    "html{background:var(--paper);color:var(--ink);font:15px/1.45 \"DejaVu Sans\",Verdana,sans-serif}\n"
    "body{max-width:70em;margin:2em auto;padding:0 1.2em}\n"
    "h1{font-size:1.5em;font-weight:600;margin:0}\n"
    "h2{font-size:1.05em;font-weight:600;margin:2.2em 0 .5em;padding-bottom:.25em;border-bottom:2px solid var(--ink)}\n"
    "p.part{color:var(--soft);margin:.1em 0 1.2em}\n"
    "dl{display:grid;grid-template-columns:max-content auto;gap:.15em 1em;margin:0}\n"
    "dt{color:var(--soft)}dd{margin:0;overflow-wrap:anywhere}\n"
    "p.sum{margin:1.2em 0;padding:.7em 1em;background:var(--band);border-left:4px solid var(--soft)}\n"
    "p.sum.worse{border-color:var(--out)}p.sum.same{border-color:var(--in)}\n"
    "p.note{border-left:4px solid var(--mark);padding:.2em 1em;margin:.6em 0}\n"
    "table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}\n"
    "th{text-align:left;font-weight:400;font-size:.85em;color:var(--soft);border-bottom:1px solid var(--rule);"
    "padding:.2em .7em .2em 0}\n"
    "td{vertical-align:top;border-bottom:1px solid var(--rule);padding:.35em .7em .35em 0;overflow-wrap:anywhere}\n"
    "td.how{color:var(--soft);white-space:nowrap;font-size:.85em;padding-top:.5em;overflow-wrap:normal}\n"
    "td.name{font-weight:600}td.where{color:var(--soft);font-size:.85em;padding-top:.5em}\n"
    "td.num{text-align:right;white-space:nowrap}td.what{overflow-wrap:break-word}td.where{min-width:5.5em}\n"
    "td small{display:block;color:var(--soft);font-weight:400}\n"
    "tr.added td.how,tr.better td.how{color:var(--in)}tr.removed td.how,tr.worse td.how{color:var(--out)}\n"
    "tr.worse td.how{font-weight:600}\n"
    "@media print{:root{--paper:#fff;--ink:#000;--soft:#444;--rule:#bbb;--band:#fff;--in:#000;--out:#000;--mark:#000}"
    "html{font-size:9.5pt}body{max-width:none;margin:0;padding:0}tr{break-inside:avoid}thead{display:table-header-"
    "group}"
    "h2{break-after:avoid}details>summary{display:none}}\n";

/* ---- text -------------------------------------------------------------------------------------------------------------- */

static bool is_word(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

/* Spells values as on paper; texts of the recipe stay as they are. */
static struct text print_spelling(struct arena *a, struct text t)
{
    static const struct {
        const char *plain, *print;
        bool word; /* only as a whole word */
    } rows[] = {{"+/-", "±", false}, {"->", "→", false},    {"degC", "°C", true}, {"degF", "°F", true},
                {"um", "µm", true},  {" deg", "°", true},   {"^2", "²", false},   {"^3", "³", false},
                {"*", "·", false},   {" .. ", " … ", false}};
    struct buffer b;
    buffer_init(&b, a);
    for (uint32_t i = 0; i < t.len;) {
        bool done = false;
        for (size_t k = 0; k < sizeof rows / sizeof rows[0] && !done; k++) {
            uint32_t n = (uint32_t)strlen(rows[k].plain);
            if (i + n > t.len || memcmp(t.at + i, rows[k].plain, n) != 0)
                continue;
            bool inside =
                (i && is_word(t.at[i - 1]) && rows[k].plain[0] != ' ') || (i + n < t.len && is_word(t.at[i + n]));
            if (rows[k].word && inside)
                continue;
            buffer_put(&b, text_of(rows[k].print));
            i += n;
            done = true;
        }
        if (done)
            continue;
        bool digit = i && t.at[i - 1] >= '0' && t.at[i - 1] <= '9', next = i + 1 < t.len;
        bool joins =
            t.at[i] == ' ' && digit && next && (t.at[i + 1] == '%' || t.at[i + 1] == '/' || is_word(t.at[i + 1]));
        bool minus = t.at[i] == '-' && (!i || t.at[i - 1] == ' ') && next && t.at[i + 1] >= '0' && t.at[i + 1] <= '9';
        buffer_put(&b, joins ? TEXT("\xC2\xA0") : minus ? TEXT("\xE2\x88\x92") : (struct text){t.at + i, 1});
        i++;
    }
    return buffer_text(&b);
}

static bool is_value(const struct compare_row *r)
{
    return r->section != COMPARE_CAUTION &&
           (r->section != COMPARE_STATED || !isnan(r->after_value) || !isnan(r->before_value));
}

static void put_text(struct buffer *b, const struct compare_row *r, struct text t)
{
    escape_put_xml(b, is_value(r) ? print_spelling(b->arena, t) : t);
}

static void put_cell(struct buffer *b, const char *class, struct text t)
{
    buffer_printf(b, "<td%s%s%s>", class[0] ? " class=\"" : "", class, class[0] ? "\"" : "");
    escape_put_xml(b, t);
    buffer_put(b, TEXT("</td>"));
}

static void put_value(struct buffer *b, const struct compare_row *r, struct text t, bool number)
{
    buffer_put(b, number ? TEXT("<td class=\"num\">") : TEXT("<td>"));
    put_text(b, r, t);
    buffer_put(b, TEXT("</td>"));
}

/* ---- tables ------------------------------------------------------------------------------------------------------------ */

static void put_row(struct buffer *b, const struct comparison *c, const struct compare_row *r)
{
    bool stated = r->section == COMPARE_STATED, verdict = r->section == COMPARE_VERDICT;
    bool number = r->section == COMPARE_SIZE || r->section == COMPARE_SET || r->section == COMPARE_VALUE;
    const char *how = r->worse ? "worse" : compare_how_names[r->how];
    if (verdict && r->how == COMPARE_CHANGED && text_is(r->change, "better"))
        how = "better";
    buffer_printf(b, "<tr class=\"%s\"><td class=\"how\">%s</td><td class=\"name\">", how, how);
    escape_put_xml(b, r->subject);
    if (r->label.len && !stated && r->section != COMPARE_SIZE) {
        buffer_put(b, TEXT("<small>"));
        escape_put_xml(b, r->label);
        buffer_put(b, TEXT("</small>"));
    }
    buffer_put(b, TEXT("</td>"));
    if (stated)
        put_cell(b, "what", r->what);
    put_value(b, r, r->before, number && !isnan(r->before_value));
    put_value(b, r, r->after, number && !isnan(r->after_value));
    put_value(b, r, verdict ? TEXT("") : compare_change(b->arena, r), false);
    if (stated)
        put_cell(b, "where", compare_place(b->arena, c, r));
    buffer_put(b, TEXT("</tr>\n"));
}

static void put_section(struct buffer *b, const struct comparison *c, uint32_t first)
{
    enum compare_section section = c->rows.at[first].section;
    bool stated = section == COMPARE_STATED;
    buffer_put(b, TEXT("<h2>"));
    escape_put_xml(b, print_spelling(b->arena, text_of(compare_section_titles[section])));
    buffer_put(b, TEXT("</h2>\n<table><thead><tr><th></th>"));
    buffer_put(b, stated ? TEXT("<th>In</th><th>What</th>") : TEXT("<th>What</th>"));
    bool number = section == COMPARE_SIZE || section == COMPARE_SET || section == COMPARE_VALUE;
    buffer_printf(b, "<th%s>Old</th><th%s>New</th>", number ? " style=\"text-align:right\"" : "",
                  number ? " style=\"text-align:right\"" : "");
    buffer_printf(b, "<th>%s</th>%s</tr></thead>\n<tbody>\n",
                  section == COMPARE_VERDICT  ? ""
                  : section == COMPARE_MARGIN ? "Margin"
                                              : "Change",
                  stated ? "<th>Where</th>" : "");
    for (uint32_t i = first; i < first + c->count[section]; i++)
        put_row(b, c, &c->rows.at[i]);
    buffer_put(b, TEXT("</tbody></table>\n"));
}

/* ---- page -------------------------------------------------------------------------------------------------------------- */

static void put_side(struct buffer *b, const char *which, const struct compare_side *s)
{
    buffer_printf(b, "<dt>%s</dt><dd>", which);
    const struct {
        const char *before;
        struct text text;
    } parts[] = {{"", s->path}, {", revision ", s->revision}, {" of ", s->date}, {", ", s->status}};
    for (int i = 0; i < 4; i++)
        if (parts[i].text.len) {
            buffer_put(b, text_of(parts[i].before));
            escape_put_xml(b, parts[i].text);
        }
    buffer_put(b, TEXT("</dd>\n"));
}

static bool got_worse(const struct comparison *c)
{
    for (uint32_t i = 0; i < c->rows.count; i++)
        if (c->rows.at[i].section == COMPARE_VERDICT && c->rows.at[i].worse)
            return true;
    return false;
}

void compare_html(struct buffer *b, const struct comparison *c)
{
    const struct compare_side *s = c->new.title.len ? &c->new : &c->old;
    struct text title = s->title.len ? s->title : s->path;
    buffer_put(b, TEXT("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                       "<meta name=\"viewport\" content=\"width=device-width\">\n"
                       "<meta name=\"color-scheme\" content=\"light dark\">\n<title>"));
    escape_put_xml(b, title);
    buffer_printf(b, "</title>\n<style>\n%s</style>\n</head>\n<body>\n<h1>", style);
    escape_put_xml(b, title);
    buffer_put(b, TEXT("</h1>\n<p class=\"part\">"));
    if (s->part.len) {
        buffer_put(b, TEXT("Part "));
        escape_put_xml(b, s->part);
    }
    buffer_put(b, TEXT("</p>\n<dl>\n"));
    put_side(b, "Old", &c->old);
    put_side(b, "New", &c->new);
    buffer_printf(b, "</dl>\n<p class=\"sum%s\">", c->same ? " same" : got_worse(c) ? " worse" : "");
    escape_put_xml(b, compare_summary(b->arena, c));
    buffer_put(b, TEXT("</p>\n"));
    for (uint32_t i = 0; i < c->notes.count; i++) {
        buffer_put(b, TEXT("<p class=\"note\">"));
        escape_put_xml(b, c->notes.at[i]);
        buffer_put(b, TEXT("</p>\n"));
    }
    for (uint32_t i = 0; i < c->rows.count; i += c->count[c->rows.at[i].section])
        put_section(b, c, i);
    buffer_put(b, TEXT("</body>\n</html>\n"));
}
