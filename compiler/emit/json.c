#include "compiler/emit/json.h"

#include "compiler/emit/escape.h"
#include "runtime/base/number.h"

#include <math.h>

enum { INDENT = 2 };

/* ---- the writer --------------------------------------------------------------------------------------------------- */

static void begin_line(struct json *j)
{
    buffer_putc(j->buffer, '\n');
    buffer_pad(j->buffer, ' ', j->depth * INDENT);
}

/* Everything that stands in a container comes through here once. */
static void begin_member(struct json *j)
{
    if (j->named) {
        j->named = false;
        return;
    }
    if (!j->first)
        buffer_put(j->buffer, j->line ? TEXT(", ") : TEXT(","));
    if (j->depth && !j->line)
        begin_line(j);
    j->first = false;
}

void json_open(struct json *j, char bracket)
{
    begin_member(j);
    buffer_putc(j->buffer, bracket);
    j->depth++;
    j->first = true;
}

void json_open_line(struct json *j, char bracket)
{
    json_open(j, bracket);
    if (!j->line)
        j->line = j->depth;
}

void json_close(struct json *j, char bracket)
{
    bool empty = j->first, on_line = j->line;
    if (j->line == j->depth)
        j->line = 0;
    j->depth--;
    if (!empty && !on_line)
        begin_line(j);
    buffer_putc(j->buffer, bracket);
    if (!j->depth)
        buffer_putc(j->buffer, '\n');
    j->first = false;
}

void json_name(struct json *j, const char *name)
{
    begin_member(j);
    put_json_string(j->buffer, text_of(name));
    buffer_put(j->buffer, TEXT(": "));
    j->named = true;
}

void json_text(struct json *j, struct text t)
{
    begin_member(j);
    put_json_string(j->buffer, t);
}

void json_exact(struct json *j, struct text t)
{
    begin_member(j);
    put_json_exact(j->buffer, t);
}

void json_number(struct json *j, double value)
{
    if (!isfinite(value)) {
        json_null(j);
        return;
    }
    begin_member(j);
    buffer_put(j->buffer, number_print(j->buffer->arena, value));
}

void json_truth(struct json *j, bool truth)
{
    begin_member(j);
    buffer_put(j->buffer, truth ? TEXT("true") : TEXT("false"));
}

void json_null(struct json *j)
{
    begin_member(j);
    buffer_put(j->buffer, TEXT("null"));
}

/* ---- members ------------------------------------------------------------------------------------------------------ */

void json_named_text(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    json_text(j, t);
}

void json_named_or_null(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    if (t.len)
        json_text(j, t);
    else
        json_null(j);
}

void json_named_exact(struct json *j, const char *name, struct text t)
{
    json_name(j, name);
    json_exact(j, t);
}

void json_named_number(struct json *j, const char *name, double value)
{
    json_name(j, name);
    json_number(j, value);
}

void json_named_truth(struct json *j, const char *name, bool truth)
{
    json_name(j, name);
    json_truth(j, truth);
}

static void shown_members(struct json *j, const struct shown *s)
{
    json_named_number(j, "value", s->value);
    json_named_number(j, "low", s->low);
    json_named_number(j, "high", s->high);
    json_named_text(j, "unit", s->unit);
    json_named_text(j, "text", s->text);
    json_named_text(j, "band", s->band);
}

static void named_shown(struct json *j, const char *name, const struct shown *s)
{
    json_name(j, name);
    json_open_line(j, '{');
    shown_members(j, s);
    json_close(j, '}');
}

/* ---- the step table ----------------------------------------------------------------------------------------------- */

static void write_recipe(struct json *j, const struct step_table *t)
{
    json_name(j, "recipe");
    json_open(j, '{');
    json_named_text(j, "file", t->file);
    json_named_text(j, "title", t->title);
    json_named_text(j, "part", t->part);
    json_named_text(j, "revision", t->revision);
    json_named_text(j, "date", t->date);
    json_named_text(j, "status", t->status);
    json_named_or_null(j, "author", t->author);
    json_named_text(j, "fingerprint", t->fingerprint);
    json_close(j, '}');
}

static void write_caution(struct json *j, const struct caution_row *c)
{
    json_open(j, '{');
    json_named_text(j, "name", c->name);
    json_named_text(j, "signal", c->signal);
    json_named_or_null(j, "sign", c->sign);
    json_named_text(j, "text", c->text);
    json_close(j, '}');
}

static void write_setup(struct json *j, const struct setup_row *s)
{
    static const char *const readers[] = {
        [SETUP_AT_PRESS] = "press", [SETUP_IN_TOOLROOM] = "toolroom", [SETUP_IN_PLANNING] = "planning"};
    json_open_line(j, '{');
    json_named_text(j, "reader", text_of(readers[s->reader]));
    json_named_text(j, "group", s->group);
    json_named_text(j, "label", s->label);
    shown_members(j, &s->shown);
    json_close(j, '}');
}

static void write_chosen(struct json *j, const struct chosen_row *c)
{
    json_open(j, '{');
    json_named_text(j, "path", c->path);
    named_shown(j, "shown", &c->shown);
    json_named_or_null(j, "feasible", c->feasible);
    json_named_text(j, "prefer", c->prefer);
    json_named_or_null(j, "binds_low", c->binds_low);
    json_named_or_null(j, "binds_high", c->binds_high);
    json_close(j, '}');
}

static const char *const role_names[] = {[SETTING_SET] = "set", [SETTING_CHECK] = "check", [SETTING_EXPECT] = "expect"};

static void write_setting(struct json *j, const struct setting *s)
{
    json_open_line(j, '{');
    json_named_text(j, "role", text_of(role_names[s->role]));
    json_named_text(j, "name", s->name);
    json_named_text(j, "path", s->path);
    json_named_text(j, "label", s->label);
    shown_members(j, &s->shown);
    json_close(j, '}');
}

static const char *const shape_names[] = {[SHAPE_PROCESS] = "process",
                                          [SHAPE_PREPARATION] = "preparation",
                                          [SHAPE_MANUAL] = "manual",
                                          [SHAPE_DECISION] = "decision",
                                          [SHAPE_DELAY] = "delay"};

static void write_step(struct json *j, const struct step_row *s)
{
    json_open(j, '{');
    json_named_number(j, "number", s->number);
    json_named_text(j, "kind", s->kind);
    json_named_text(j, "name", s->name);
    json_named_text(j, "what", s->what);
    json_named_or_null(j, "instruction", s->instruction);
    json_named_or_null(j, "check", s->check);
    json_named_or_null(j, "reaction", s->reaction);
    json_named_text(j, "shape", text_of(shape_names[s->shape]));
    json_named_number(j, "rework", s->rework ? s->rework : NAN);
    json_named_truth(j, "beside_press", s->beside_press);
    json_name(j, "settings");
    json_open(j, '[');
    for (uint32_t i = 0; i < s->settings.count; i++)
        write_setting(j, &s->settings.at[i]);
    json_close(j, ']');
    json_close(j, '}');
}

static void write_size(struct json *j, const struct tool_size *s)
{
    json_open(j, '{');
    json_named_text(j, "feature", s->feature);
    json_named_or_null(j, "tool", s->tool);
    json_named_or_null(j, "material", s->material);
    json_named_or_null(j, "side", s->side);
    named_shown(j, "part", &s->part);
    named_shown(j, "cold", &s->cold);
    named_shown(j, "hot", &s->hot);
    named_shown(j, "released", &s->released);
    named_shown(j, "finished", &s->finished);
    named_shown(j, "tool_temperature", &s->tool_temperature);
    named_shown(j, "release_temperature", &s->release_temperature);
    named_shown(j, "per_kelvin", &s->per_kelvin);
    named_shown(j, "grows", &s->grows);
    named_shown(j, "shrinks", &s->shrinks);
    json_close(j, '}');
}

static void write_inspected(struct json *j, const struct inspected *i)
{
    json_open(j, '{');
    json_named_text(j, "title", i->title);
    json_named_number(j, "step", i->step ? i->step : NAN);
    named_shown(j, "part", &i->part);
    named_shown(j, "reads", &i->reads);
    named_shown(j, "correction", &i->correction);
    json_named_text(j, "plan", i->plan);
    json_named_or_null(j, "reaction", i->reaction);
    json_close(j, '}');
}

/* ---- charts ------------------------------------------------------------------------------------------------------- */

static void write_points(struct json *j, const char *name, const struct chart_point *points, uint32_t count)
{
    json_name(j, name);
    json_open_line(j, '[');
    for (uint32_t i = 0; i < count; i++) {
        json_open_line(j, '[');
        json_number(j, points[i].at);
        json_number(j, points[i].value);
        json_close(j, ']');
    }
    json_close(j, ']');
}

static void write_track(struct json *j, const struct track *t)
{
    static const char *const sorts[] = {
        [TRACK_BLANK] = "blank", [TRACK_TOOL] = "tool", [TRACK_FORCE] = "force", [TRACK_CAPACITY] = "capacity"};
    json_open(j, '{');
    json_named_text(j, "sort", text_of(sorts[t->sort]));
    json_named_text(j, "label", t->label);
    json_named_number(j, "step", t->step ? t->step : NAN);
    json_named_truth(j, "ends_only", t->ends_only);
    write_points(j, "points", t->points.at, t->points.count);
    write_points(j, "low", t->low.at, t->low.count);
    write_points(j, "high", t->high.at, t->high.count);
    json_close(j, '}');
}

static void write_span(struct json *j, const struct chart_span *s)
{
    json_open_line(j, '{');
    json_named_number(j, "step", s->step);
    json_named_text(j, "label", s->label);
    json_named_number(j, "from", s->from);
    json_named_number(j, "to", s->to);
    json_named_truth(j, "beside_press", s->beside_press);
    json_close(j, '}');
}

static void write_goal(struct json *j, const struct chart_goal *g)
{
    json_open_line(j, '{');
    json_named_text(j, "label", g->label);
    json_named_number(j, "at", g->at);
    json_named_number(j, "low", g->low);
    json_named_number(j, "high", g->high);
    json_close(j, '}');
}

#define WRITE_ARRAY(j, key, array, write)                                                                              \
    do {                                                                                                               \
        json_name((j), (key));                                                                                         \
        json_open((j), '[');                                                                                           \
        for (uint32_t i = 0; i < (array).count; i++)                                                                   \
            write((j), &(array).at[i]);                                                                                \
        json_close((j), ']');                                                                                          \
    } while (0)

static void write_chart(struct json *j, const struct chart *c)
{
    json_open(j, '{');
    json_named_text(j, "kind", c->kind == CHART_FORCE ? TEXT("force") : TEXT("temperature"));
    json_named_text(j, "title", c->title);
    json_named_text(j, "across", c->across);
    json_named_text(j, "across_unit", c->across_unit);
    json_named_text(j, "up", c->up);
    json_named_text(j, "up_unit", c->up_unit);
    WRITE_ARRAY(j, "spans", c->spans, write_span);
    WRITE_ARRAY(j, "goals", c->goals, write_goal);
    WRITE_ARRAY(j, "tracks", c->tracks, write_track);
    json_close(j, '}');
}

static void write_breaking(struct json *j, const struct breaking_value *v)
{
    json_open(j, '{');
    json_named_text(j, "path", v->path);
    json_named_text(j, "text", v->text);
    json_close(j, '}');
}

static void write_part(struct json *j, const struct budget_part *p)
{
    json_open(j, '{');
    json_named_text(j, "input", p->input);
    named_shown(j, "standard", &p->standard);
    json_named_text(j, "sensitivity", p->sensitivity);
    named_shown(j, "contribution", &p->contribution);
    json_named_number(j, "share", p->share);
    json_close(j, '}');
}

static void write_size_budget(struct json *j, const struct size_budget *s)
{
    json_open(j, '{');
    json_named_text(j, "feature", s->feature);
    named_shown(j, "finished", &s->finished);
    named_shown(j, "uncertainty", &s->uncertainty);
    json_named_number(j, "cp", s->cp);
    json_named_number(j, "cpk", s->cpk);
    json_named_or_null(j, "why_not", s->why_not);
    WRITE_ARRAY(j, "parts", s->parts, write_part);
    json_close(j, '}');
}

static void write_limit(struct json *j, const struct limit_row *l)
{
    json_open(j, '{');
    json_named_text(j, "name", l->name);
    json_named_or_null(j, "subject", l->subject);
    json_named_text(j, "verdict", text_of(verdict_table[l->verdict].slug));
    json_named_or_null(j, "value", l->value);
    json_named_or_null(j, "bound", l->bound);
    json_named_number(j, "margin", l->margin);
    json_named_or_null(j, "margin_text", l->margin_text);
    json_named_or_null(j, "worst_value", l->worst_value);
    json_named_or_null(j, "worst_bound", l->worst_bound);
    json_named_number(j, "worst_margin", l->worst_margin);
    json_named_or_null(j, "worst_margin_text", l->worst_margin_text);
    json_name(j, "breaking");
    json_open(j, '[');
    for (uint32_t i = 0; i < l->breaking.count; i++)
        write_breaking(j, &l->breaking.at[i]);
    json_close(j, ']');
    json_named_or_null(j, "why_not", l->why_not);
    json_named_or_null(j, "waiver", l->waiver);
    json_named_or_null(j, "without_waiver",
                       l->verdict == VERDICT_WAIVED ? text_of(verdict_table[l->waived].slug) : TEXT(""));
    json_named_or_null(j, "because", l->because);
    json_named_or_null(j, "remedy", l->remedy);
    json_named_or_null(j, "source", l->source);
    json_close(j, '}');
}

static void write_waiver(struct json *j, const struct waiver_row *w)
{
    json_open_line(j, '{');
    json_named_text(j, "limit", w->limit);
    json_named_or_null(j, "subject", w->subject);
    json_named_text(j, "until", w->until);
    json_named_text(j, "by", w->by);
    json_named_text(j, "because", w->because);
    json_named_truth(j, "in_force", !w->expired);
    json_close(j, '}');
}

static void write_value(struct json *j, const struct value_row *v)
{
    json_open_line(j, '{');
    json_named_text(j, "path", v->path);
    json_named_or_null(j, "label", v->label);
    shown_members(j, &v->shown);
    json_named_or_null(j, "why_not", v->why_not);
    json_close(j, '}');
}

void json_steps(struct buffer *b, const struct step_table *t)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '{');
    json_named_text(&j, "format", TEXT("strokewright-step-table"));
    json_named_number(&j, "format_version", 1);
    json_named_text(&j, "strokewright", t->version);
    write_recipe(&j, t);
    WRITE_ARRAY(&j, "cautions", t->cautions, write_caution);
    WRITE_ARRAY(&j, "setup", t->setup, write_setup);
    WRITE_ARRAY(&j, "steps", t->steps, write_step);
    WRITE_ARRAY(&j, "sizes", t->sizes, write_size);
    WRITE_ARRAY(&j, "budgets", t->budgets, write_size_budget);
    WRITE_ARRAY(&j, "tool_facts", t->tool_facts, write_setup);
    WRITE_ARRAY(&j, "inspection", t->inspection, write_inspected);
    WRITE_ARRAY(&j, "charts", t->charts, write_chart);
    WRITE_ARRAY(&j, "chosen", t->chosen, write_chosen);
    WRITE_ARRAY(&j, "limits", t->limits, write_limit);
    json_named_or_null(&j, "judged_on", t->judged_on);
    WRITE_ARRAY(&j, "waivers", t->waivers, write_waiver);
    WRITE_ARRAY(&j, "values", t->values, write_value);
    json_close(&j, '}');
}

void json_values(struct buffer *b, const struct value_row *rows, uint32_t count)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '[');
    for (uint32_t i = 0; i < count; i++)
        write_value(&j, &rows[i]);
    json_close(&j, ']');
}
