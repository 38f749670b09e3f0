/* The frame of the report: head, contents, sections in their order, foot. */
#include "compiler/emit/pages/report/report.h"

#include "compiler/emit/escape.h"
#include "compiler/text/said.h"

#include <nettle/base64.h>
#include <nettle/sha2.h>

/* ---- what may run ------------------------------------------------------------------------------------------------- */

/* Nothing is loaded, and of scripts only ours runs, known by its hash (W3C, Content Security Policy Level 3). */
static void put_policy(struct report *r)
{
    struct sha256_ctx state;
    uint8_t digest[SHA256_DIGEST_SIZE];
    char base64[BASE64_ENCODE_RAW_LENGTH(SHA256_DIGEST_SIZE) + 1];
    sha256_init(&state);
    sha256_update(&state, strlen(report_script), (const uint8_t *)report_script);
    sha256_digest(&state, sizeof digest, digest);
    base64_encode_raw(base64, sizeof digest, digest);
    base64[sizeof base64 - 1] = '\0';
    put_markup(r,
               "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
               "script-src 'sha256-");
    put_markup(r, base64);
    put_markup(r, "'; base-uri 'none'; form-action 'none'\">\n");
}

/* ---- head --------------------------------------------------------------------------------------------------------- */

static void put_fact(struct report *r, const char *english, struct text value, bool own)
{
    if (!value.len)
        return;
    put_markup(r, "<div><dt>");
    put_said(r, english);
    put_markup(r, "</dt>");
    if (own) {
        put_own(r, "dd", value);
    } else {
        put_markup(r, "<dd>");
        put_words_of(r, value);
        put_markup(r, "</dd>");
    }
    put_markup(r, "</div>\n");
}

static void put_status(struct report *r)
{
    const struct step_table *t = r->table;
    const char *class_name = text_is(t->status, "released") ? "released" : "unreleased";
    put_markup(r, "<div><dt>");
    put_said(r, SAY("Status"));
    buffer_printf(r->out, "</dt><dd><strong class=\"status %s\">", class_name);
    put_words_of(r, said_text(t->language, "word", t->status));
    put_markup(r, "</strong></dd></div>\n");
}

static void put_head(struct report *r)
{
    const struct step_table *t = r->table;
    static const char *const blanks[] = {SAY("Order"), SAY("Pieces"), SAY("Press"), SAY("Set up by"), SAY("Date")};
    const char *code = language_table[t->language].code;
    buffer_printf(r->out, "<!DOCTYPE html>\n<html lang=\"%s\">\n<head>\n<meta charset=\"utf-8\">\n", code);
    put_policy(r);
    put_markup(r,
               "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
               "<meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"generator\" content=\"Strokewright ");
    put_words_of(r, t->version);
    put_markup(r, "\">\n<title>");
    put_words_of(r, SAID(r->arena, t->language, "{title}, {part} rev. {revision}", {"title", t->title},
                         {"part", t->part}, {"revision", t->revision}));
    put_markup(r, "</title>\n<style>\n");
    put_markup(r, report_style);
    put_markup(r, "</style>\n</head>\n<body>\n<header>\n<p class=\"kind\">");
    put_said(r, SAY("Forming report"));
    put_markup(r, "</p>\n");
    put_own(r, "h1", t->title);
    put_markup(r, "\n<dl class=\"facts\">\n");
    put_fact(r, SAY("Part"), t->part, true);
    put_fact(r, SAY("Revision"), t->revision, true);
    put_fact(r, SAY("Date"), t->date, false);
    put_status(r);
    put_fact(r, SAY("Author"), t->author, true);
    put_fact(r, SAY("Fingerprint"), (struct text){t->fingerprint.at, t->fingerprint.len < 12 ? t->fingerprint.len : 12},
             false);
    put_markup(r, "</dl>\n");
    put_blanks(r, blanks, sizeof blanks / sizeof *blanks);
    put_markup(r, "</header>\n");
}

/* ---- contents ----------------------------------------------------------------------------------------------------- */

static void put_link(struct report *r, bool there, const char *id, const char *english)
{
    if (!there)
        return;
    buffer_printf(r->out, "<li><a href=\"#%s\">", id);
    put_said(r, english);
    put_markup(r, "</a></li>\n");
}

static void put_contents(struct report *r)
{
    const struct step_table *t = r->table;
    put_markup(r, "<nav aria-label=\"");
    put_said(r, SAY("Contents"));
    put_markup(r, "\"><ul>\n");
    put_link(r, t->cautions.count, "cautions", "Cautions");
    put_link(r, t->setup.count, "setup", "Set-up");
    put_link(r, true, "steps", "Steps");
    put_link(r, r->flows, "flow", "Flow");
    put_link(r, t->sizes.count, "sizes", "Tool sizes");
    put_link(r, t->tool_facts.count, "toolroom", "More for the toolroom");
    put_link(r, t->inspection.count, "inspection", "Inspection");
    put_link(r, t->charts.count || t->sizes.count, "charts", "Charts");
    put_link(r, t->limits.count, "limits", "Limits");
    put_link(r, t->waivers.count, "waivers", "Waivers");
    put_link(r, t->chosen.count, "chosen", "Chosen values");
    put_link(r, t->limits.count, "reasons", "Why these limits");
    put_link(r, t->values.count, "values", "All derived values");
    put_markup(r, "</ul></nav>\n");
}

static void put_foot(struct report *r)
{
    const struct step_table *t = r->table;
    put_markup(r, "<footer>\n<p>");
    put_words_of(r, SAID(r->arena, t->language, "Made by Strokewright {version} from {file}.", {"version", t->version},
                         {"file", t->file}));
    put_markup(r, "</p>\n<p>");
    put_words_of(r, SAID(r->arena, t->language, "Fingerprint {fingerprint}", {"fingerprint", t->fingerprint}));
    put_markup(r, "</p>\n</footer>\n");
}

void report_write(struct report *r)
{
    put_head(r);
    put_contents(r);
    put_markup(r, "<main>\n");
    report_cautions(r);
    report_setup(r);
    report_steps(r);
    report_sizes(r);
    report_tool_facts(r);
    report_inspection(r);
    report_budgets(r);
    report_charts(r);
    report_limits(r);
    report_waivers(r);
    report_chosen(r);
    report_reasons(r);
    report_values(r);
    put_markup(r, "</main>\n");
    put_foot(r);
    put_markup(r, "<script data-print=\"");
    put_said(r, SAY("Print"));
    put_markup(r, "\" data-sort=\"");
    put_said(r, SAY("Sort by"));
    put_markup(r, "\">");
    put_markup(r, report_script);
    put_markup(r, "</script>\n</body>\n</html>\n");
}
