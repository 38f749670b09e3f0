/* CSV: step table and tool sizes for a spreadsheet.
 *
 * Numbers stand in columns of their own, unrounded and never quoted, so that a spreadsheet reads them as numbers; texts
 * beside them are as shown in the step table. A table of columns says what stands where. The last column says of which
 * recipe a line is, so that one copied elsewhere still does. */
#include "compiler/emit/emit.h"

#include "compiler/emit/escape.h"
#include "runtime/base/number.h"

#include <math.h>

static void put_number(struct buffer *b, double value)
{
    if (isfinite(value))
        buffer_put(b, number_print(b->arena, value));
}

static void put_count(struct buffer *b, uint32_t count)
{
    buffer_printf(b, "%u", count);
}

static void end_field(struct buffer *b, bool last)
{
    buffer_put(b, last ? TEXT("\r\n") : TEXT(","));
}

static void put_head(struct buffer *b, const char *const *names, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++) {
        buffer_put(b, text_of(names[i]));
        end_field(b, i + 1 == count);
    }
}

/* ---- steps: one line a setting, or one line for a step that has none ---------------------------------------------- */

static const char *const step_heads[] = {
    "number",  "kind", "name",  "what",  "instruction", "beside_press", "rework", "check", "reaction",   "role",
    "setting", "path", "label", "value", "low",         "high",         "unit",   "shown", "fingerprint"};

static void put_step(struct buffer *b, const struct step_row *s)
{
    put_count(b, s->number);
    const struct text before[] = {s->kind, s->name, s->what, s->instruction,
                                  s->beside_press ? TEXT("yes") : TEXT("no")};
    for (uint32_t i = 0; i < sizeof before / sizeof before[0]; i++) {
        end_field(b, false);
        escape_put_csv(b, before[i]);
    }
    end_field(b, false);
    if (s->rework)
        put_count(b, s->rework);
    end_field(b, false);
    escape_put_csv(b, s->check);
    end_field(b, false);
    escape_put_csv(b, s->reaction);
    end_field(b, false);
}

/* The text as people read it, band and all; it begins with the value, so that a band such as +0.1 -0.05 does not look
 * like a formula. */
static struct text whole_text(struct arena *a, const struct shown *s)
{
    if (!s->band.len || text_same(s->band, s->text))
        return s->text;
    return arena_format(a, "%.*s%s%.*s", TEXT_ARGS(s->text), s->text.len ? " " : "", TEXT_ARGS(s->band));
}

static void put_shown(struct buffer *b, const struct shown *s)
{
    put_number(b, s->value);
    end_field(b, false);
    put_number(b, s->low);
    end_field(b, false);
    put_number(b, s->high);
    end_field(b, false);
    escape_put_csv(b, s->unit);
    end_field(b, false);
    escape_put_csv(b, whole_text(b->arena, s));
    end_field(b, false);
}

static void put_fingerprint(struct buffer *b, const struct step_table *t)
{
    escape_put_csv(b, t->fingerprint);
    end_field(b, true);
}

static void put_setting(struct buffer *b, const struct setting *s)
{
    static const char *const roles[] = {[SETTING_SET] = "set", [SETTING_CHECK] = "check", [SETTING_EXPECT] = "expect"};
    const struct text names[] = {text_of(roles[s->role]), s->name, s->path, s->label};
    for (uint32_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        escape_put_csv(b, names[i]);
        end_field(b, false);
    }
    put_shown(b, &s->shown);
}

void csv_steps(struct buffer *b, const struct step_table *t)
{
    put_head(b, step_heads, sizeof step_heads / sizeof step_heads[0]);
    for (uint32_t i = 0; i < t->steps.count; i++) {
        const struct step_row *s = &t->steps.at[i];
        for (uint32_t k = 0; k < s->settings.count; k++) {
            put_step(b, s);
            put_setting(b, &s->settings.at[k]);
            put_fingerprint(b, t);
        }
        if (!s->settings.count) {
            put_step(b, s);
            buffer_put(b, TEXT(",,,,,,,,,"));
            put_fingerprint(b, t);
        }
    }
}

/* ---- tool sizes --------------------------------------------------------------------------------------------------- */

static const struct size_column {
    const char *name;
    size_t shown; /* where in a tool size it stands */
} size_columns[] = {
    {"part", offsetof(struct tool_size, part)},
    {"tool_cold", offsetof(struct tool_size, cold)},
    {"tool_hot", offsetof(struct tool_size, hot)},
    {"released", offsetof(struct tool_size, released)},
    {"finished", offsetof(struct tool_size, finished)},
    {"tool_temperature", offsetof(struct tool_size, tool_temperature)},
    {"release_temperature", offsetof(struct tool_size, release_temperature)},
    {"per_kelvin", offsetof(struct tool_size, per_kelvin)},
};
enum { SIZE_COLUMNS = sizeof size_columns / sizeof size_columns[0] };

void csv_sizes(struct buffer *b, const struct step_table *t)
{
    buffer_put(b, TEXT("feature,tool,material,side"));
    for (uint32_t i = 0; i < SIZE_COLUMNS; i++)
        for (int k = 0; k < 5; k++)
            buffer_printf(b, ",%s%s", size_columns[i].name,
                          (const char *const[]){"", "_low", "_high", "_unit", "_shown"}[k]);
    buffer_put(b, TEXT(",fingerprint\r\n"));
    for (uint32_t i = 0; i < t->sizes.count; i++) {
        const struct tool_size *s = &t->sizes.at[i];
        const struct text names[] = {s->feature, s->tool, s->material, s->side};
        for (uint32_t k = 0; k < sizeof names / sizeof names[0]; k++) {
            escape_put_csv(b, names[k]);
            end_field(b, false);
        }
        for (uint32_t k = 0; k < SIZE_COLUMNS; k++)
            put_shown(b, (const struct shown *)((const char *)s + size_columns[k].shown));
        put_fingerprint(b, t);
    }
}

/* ---- limits ------------------------------------------------------------------------------------------------------- */

static void put_field(struct buffer *b, struct text t)
{
    escape_put_csv(b, t);
    end_field(b, false);
}

static void put_breaking(struct buffer *b, const struct limit_row *l)
{
    struct buffer all;
    buffer_init(&all, b->arena);
    for (uint32_t i = 0; i < l->breaking.count; i++)
        buffer_printf(&all, "%s%.*s = %.*s", i ? "; " : "", TEXT_ARGS(l->breaking.at[i].path),
                      TEXT_ARGS(l->breaking.at[i].text));
    put_field(b, buffer_text(&all));
}

void csv_limits(struct buffer *b, const struct step_table *t)
{
    static const char *const heads[] = {"limit",        "of",           "verdict",
                                        "value",        "bound",        "margin",
                                        "margin_shown", "worst_margin", "worst_margin_shown",
                                        "breaking",     "why_not",      "waiver",
                                        "source",       "fingerprint"};
    put_head(b, heads, sizeof heads / sizeof heads[0]);
    for (uint32_t i = 0; i < t->limits.count; i++) {
        const struct limit_row *l = &t->limits.at[i];
        put_field(b, l->name);
        put_field(b, l->subject);
        put_field(b, text_of(verdict_table[l->verdict].word));
        put_field(b, l->value);
        put_field(b, l->bound);
        put_number(b, l->margin);
        end_field(b, false);
        put_field(b, l->margin_text);
        put_number(b, l->worst_margin);
        end_field(b, false);
        put_field(b, l->worst_margin_text);
        put_breaking(b, l);
        put_field(b, l->why_not);
        put_field(b, l->waiver);
        put_field(b, l->source);
        put_fingerprint(b, t);
    }
}
