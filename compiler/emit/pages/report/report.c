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
    report_markup(
        r, "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
           "script-src 'sha256-");
    report_markup(r, base64);
    report_markup(r, "'; base-uri 'none'; form-action 'none'\">\n");
}

/* ---- head --------------------------------------------------------------------------------------------------------- */

static void put_fact(struct report *r, const char *english, struct text value, bool own)
{
    if (!value.len)
        return;
    report_markup(r, "<div><dt>");
    report_said(r, english);
    report_markup(r, "</dt>");
    if (own) {
        report_own(r, "dd", value);
    } else {
        report_markup(r, "<dd>");
        report_text(r, value);
        report_markup(r, "</dd>");
    }
    report_markup(r, "</div>\n");
}

static void put_status(struct report *r)
{
    const struct step_table *t = r->table;
    const char *class_name = text_is(t->status, "released") ? "released" : "unreleased";
    report_markup(r, "<div><dt>");
    report_said(r, SAY("Status"));
    buffer_printf(r->out, "</dt><dd><strong class=\"status %s\">", class_name);
    report_text(r, said_text(t->language, "word", t->status));
    report_markup(r, "</strong></dd></div>\n");
}

static void put_head(struct report *r)
{
    const struct step_table *t = r->table;
    static const char *const blanks[] = {SAY("Order"), SAY("Pieces"), SAY("Press"), SAY("Set up by"), SAY("Date")};
    const char *code = language_table[t->language].code;
    buffer_printf(r->out, "<!DOCTYPE html>\n<html lang=\"%s\">\n<head>\n<meta charset=\"utf-8\">\n", code);
    put_policy(r);
    report_markup(
        r, "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
           "<meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"generator\" content=\"Strokewright ");
    report_text(r, t->version);
    report_markup(r, "\">\n<title>");
    report_text(r, SAID(r->arena, t->language, "{title}, {part} rev. {revision}", {"title", t->title},
                        {"part", t->part}, {"revision", t->revision}));
    report_markup(r, "</title>\n<style>\n");
    report_markup(r, report_style);
    report_markup(r, "</style>\n</head>\n<body>\n<header>\n<p class=\"kind\">");
    report_said(r, SAY("Forming report"));
    report_markup(r, "</p>\n");
    report_own(r, "h1", t->title);
    report_markup(r, "\n<dl class=\"facts\">\n");
    put_fact(r, SAY("Part"), t->part, true);
    put_fact(r, SAY("Revision"), t->revision, true);
    put_fact(r, SAY("Date"), t->date, false);
    put_status(r);
    put_fact(r, SAY("Author"), t->author, true);
    put_fact(r, SAY("Fingerprint"), (struct text){t->fingerprint.at, t->fingerprint.len < 12 ? t->fingerprint.len : 12},
             false);
    report_markup(r, "</dl>\n");
    report_blanks(r, blanks, sizeof blanks / sizeof *blanks);
    report_markup(r, "</header>\n");
}

/* ---- contents ----------------------------------------------------------------------------------------------------- */

static void put_link(struct report *r, bool there, const char *id, const char *english)
{
    if (!there)
        return;
    buffer_printf(r->out, "<li><a href=\"#%s\">", id);
    report_said(r, english);
    report_markup(r, "</a></li>\n");
}

static void put_contents(struct report *r)
{
    const struct step_table *t = r->table;
    report_markup(r, "<nav aria-label=\"");
    report_said(r, SAY("Contents"));
    report_markup(r, "\"><ul>\n");
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
    report_markup(r, "</ul></nav>\n");
}

static void put_foot(struct report *r)
{
    const struct step_table *t = r->table;
    report_markup(r, "<footer>\n<p>");
    report_text(r, SAID(r->arena, t->language, "Made by Strokewright {version} from {file}.", {"version", t->version},
                        {"file", t->file}));
    report_markup(r, "</p>\n<p>");
    report_text(r, SAID(r->arena, t->language, "Fingerprint {fingerprint}", {"fingerprint", t->fingerprint}));
    report_markup(r, "</p>\n</footer>\n");
}

void report_write(struct report *r)
{
    put_head(r);
    put_contents(r);
    report_markup(r, "<main>\n");
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
    report_markup(r, "</main>\n");
    put_foot(r);
    report_markup(r, "<script data-print=\"");
    report_said(r, SAY("Print"));
    report_markup(r, "\" data-sort=\"");
    report_said(r, SAY("Sort by"));
    report_markup(r, "\">");
    report_markup(r, report_script);
    report_markup(r, "</script>\n</body>\n</html>\n");
}
