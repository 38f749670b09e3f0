/* The step table as JSON; its form is compiler/emit/step-table.schema.json. */
#include "compiler/emit/emit.h"
#include "compiler/emit/json.h"

#define JSON_OF struct shown
static const struct json_form shown_form =
    JSON_FORM(true, JSON_ROW(value), JSON_ROW(low), JSON_ROW(high), JSON_ROW(unit), JSON_ROW(text), JSON_ROW(band));
#undef JSON_OF

/* ---- steps, sizes, inspection ------------------------------------------------------------------------------------- */

#define JSON_OF struct caution_row
static const struct json_form caution_form =
    JSON_FORM(false, JSON_ROW(name), JSON_ROW(signal), JSON_ROW_OR_NULL(sign), JSON_ROW(text));
#undef JSON_OF

#define JSON_OF struct revision_row
static const struct json_form revision_form = JSON_FORM(false, JSON_ROW(revision), JSON_ROW(date), JSON_ROW(reason));
#undef JSON_OF

static const char *const reader_names[] = {
    [SETUP_AT_PRESS] = "press", [SETUP_IN_TOOLROOM] = "toolroom", [SETUP_IN_PLANNING] = "planning"};

#define JSON_OF struct setup_row
static const struct json_form setup_form =
    JSON_FORM(true, JSON_ROW_WORD(reader, reader_names), JSON_ROW(group), JSON_ROW(label), JSON_ROW(expected),
              JSON_ROWS_OF(shown, shown_form));
#undef JSON_OF

#define JSON_OF struct chosen_row
static const struct json_form chosen_form =
    JSON_FORM(false, JSON_ROW(path), JSON_ROW_PART(shown, shown_form), JSON_ROW_OR_NULL(feasible), JSON_ROW(prefer),
              JSON_ROW_OR_NULL(binds_low), JSON_ROW_OR_NULL(binds_high));
#undef JSON_OF

static const char *const role_names[] = {[SETTING_SET] = "set", [SETTING_CHECK] = "check", [SETTING_EXPECT] = "expect"};

#define JSON_OF struct setting
static const struct json_form setting_form =
    JSON_FORM(true, JSON_ROW_WORD(role, role_names), JSON_ROW(name), JSON_ROW(path), JSON_ROW(label),
              JSON_ROWS_OF(shown, shown_form));
#undef JSON_OF

static const char *const shape_names[] = {[SHAPE_PROCESS] = "process",
                                          [SHAPE_PREPARATION] = "preparation",
                                          [SHAPE_MANUAL] = "manual",
                                          [SHAPE_DECISION] = "decision",
                                          [SHAPE_DELAY] = "delay"};

#define JSON_OF struct step_row
static const struct json_form step_form =
    JSON_FORM(false, JSON_ROW(number), JSON_ROW(kind), JSON_ROW(name), JSON_ROW(what), JSON_ROW_OR_NULL(instruction),
              JSON_ROW_OR_NULL(check), JSON_ROW_OR_NULL(reaction), JSON_ROW_WORD(shape, shape_names),
              JSON_ROW_OR_NULL(rework), JSON_ROW(beside_press), JSON_ROW_LIST(settings, setting_form));
#undef JSON_OF

#define JSON_OF struct tool_size
static const struct json_form size_form = JSON_FORM(
    false, JSON_ROW(feature), JSON_ROW_OR_NULL(tool), JSON_ROW_OR_NULL(material), JSON_ROW_OR_NULL(side),
    JSON_ROW_PART(part, shown_form), JSON_ROW_PART(cold, shown_form), JSON_ROW_PART(hot, shown_form),
    JSON_ROW_PART(released, shown_form), JSON_ROW_PART(finished, shown_form),
    JSON_ROW_PART(tool_temperature, shown_form), JSON_ROW_PART(release_temperature, shown_form),
    JSON_ROW_PART(per_kelvin, shown_form), JSON_ROW_PART(grows, shown_form), JSON_ROW_PART(shrinks, shown_form));
#undef JSON_OF

#define JSON_OF struct inspected
static const struct json_form inspected_form = JSON_FORM(
    false, JSON_ROW(title), JSON_ROW_OR_NULL(step), JSON_ROW_PART(part, shown_form), JSON_ROW_PART(reads, shown_form),
    JSON_ROW_PART(correction, shown_form), JSON_ROW(plan), JSON_ROW_OR_NULL(reaction));
#undef JSON_OF

#define JSON_OF struct budget_part
static const struct json_form budget_part_form =
    JSON_FORM(false, JSON_ROW(input), JSON_ROW_PART(standard, shown_form), JSON_ROW(sensitivity),
              JSON_ROW_PART(contribution, shown_form), JSON_ROW(share));
#undef JSON_OF

#define JSON_OF struct size_budget
static const struct json_form size_budget_form =
    JSON_FORM(false, JSON_ROW(feature), JSON_ROW_PART(finished, shown_form), JSON_ROW_PART(uncertainty, shown_form),
              JSON_ROW(cp), JSON_ROW(cpk), JSON_ROW_OR_NULL(why_not), JSON_ROW_LIST(parts, budget_part_form));
#undef JSON_OF

/* ---- charts ------------------------------------------------------------------------------------------------------- */

static void write_points(struct json *j, const struct chart_point *points, uint32_t count)
{
    json_open_line(j, '[');
    for (uint32_t i = 0; i < count; i++) {
        json_open_line(j, '[');
        json_number(j, points[i].at);
        json_number(j, points[i].value);
        json_close(j, ']');
    }
    json_close(j, ']');
}

static void write_middle(struct json *j, const void *track)
{
    const struct track *t = track;
    write_points(j, t->points.at, t->points.count);
}

static void write_low(struct json *j, const void *track)
{
    const struct track *t = track;
    write_points(j, t->low.at, t->low.count);
}

static void write_high(struct json *j, const void *track)
{
    const struct track *t = track;
    write_points(j, t->high.at, t->high.count);
}

static const char *const sort_names[] = {
    [TRACK_BLANK] = "blank", [TRACK_TOOL] = "tool", [TRACK_FORCE] = "force", [TRACK_CAPACITY] = "capacity"};

#define JSON_OF struct track
static const struct json_form track_form = JSON_FORM(
    false, JSON_ROW_WORD(sort, sort_names), JSON_ROW(label), JSON_ROW_OR_NULL(step), JSON_ROW(ends_only),
    JSON_ROW_MADE("points", write_middle), JSON_ROW_MADE("low", write_low), JSON_ROW_MADE("high", write_high));
#undef JSON_OF

#define JSON_OF struct chart_span
static const struct json_form span_form =
    JSON_FORM(true, JSON_ROW(step), JSON_ROW(label), JSON_ROW(from), JSON_ROW(to), JSON_ROW(beside_press));
#undef JSON_OF

#define JSON_OF struct chart_goal
static const struct json_form goal_form = JSON_FORM(true, JSON_ROW(label), JSON_ROW(at), JSON_ROW(low), JSON_ROW(high));
#undef JSON_OF

static const char *const chart_names[] = {[CHART_TEMPERATURE] = "temperature", [CHART_FORCE] = "force"};

#define JSON_OF struct chart
static const struct json_form chart_form =
    JSON_FORM(false, JSON_ROW_WORD(kind, chart_names), JSON_ROW(title), JSON_ROW(across), JSON_ROW(across_unit),
              JSON_ROW(up), JSON_ROW(up_unit), JSON_ROW_LIST(spans, span_form), JSON_ROW_LIST(goals, goal_form),
              JSON_ROW_LIST(tracks, track_form));
#undef JSON_OF

/* ---- limits and values -------------------------------------------------------------------------------------------- */

static void write_verdict(struct json *j, const void *limit)
{
    const struct limit_row *l = limit;
    json_text(j, text_of(verdict_table[l->verdict].slug));
}

static void write_without_waiver(struct json *j, const void *limit)
{
    const struct limit_row *l = limit;
    if (l->verdict == VERDICT_WAIVED)
        json_text(j, text_of(verdict_table[l->waived].slug));
    else
        json_null(j);
}

static void write_in_force(struct json *j, const void *waiver)
{
    json_truth(j, !((const struct waiver_row *)waiver)->expired);
}

#define JSON_OF struct breaking_value
static const struct json_form breaking_form = JSON_FORM(false, JSON_ROW(path), JSON_ROW(text));
#undef JSON_OF

#define JSON_OF struct limit_row
static const struct json_form limit_form =
    JSON_FORM(false, JSON_ROW(name), JSON_ROW_OR_NULL(subject), JSON_ROW_MADE("verdict", write_verdict),
              JSON_ROW_OR_NULL(value), JSON_ROW_OR_NULL(bound), JSON_ROW(margin), JSON_ROW_OR_NULL(margin_text),
              JSON_ROW_OR_NULL(worst_value), JSON_ROW_OR_NULL(worst_bound), JSON_ROW(worst_margin),
              JSON_ROW_OR_NULL(worst_margin_text), JSON_ROW_LIST(breaking, breaking_form), JSON_ROW_OR_NULL(why_not),
              JSON_ROW_OR_NULL(waiver), JSON_ROW_MADE("without_waiver", write_without_waiver),
              JSON_ROW_OR_NULL(because), JSON_ROW_OR_NULL(remedy), JSON_ROW_OR_NULL(source));
#undef JSON_OF

#define JSON_OF struct waiver_row
static const struct json_form waiver_form =
    JSON_FORM(true, JSON_ROW(limit), JSON_ROW_OR_NULL(subject), JSON_ROW(until), JSON_ROW(by), JSON_ROW(because),
              JSON_ROW_MADE("in_force", write_in_force));
#undef JSON_OF

#define JSON_OF struct value_row
static const struct json_form value_form = JSON_FORM(true, JSON_ROW(path), JSON_ROW_OR_NULL(label),
                                                     JSON_ROWS_OF(shown, shown_form), JSON_ROW_OR_NULL(why_not));
#undef JSON_OF

/* ---- the whole ---------------------------------------------------------------------------------------------------- */

#define JSON_OF struct step_table
static const struct json_form recipe_form =
    JSON_FORM(false, JSON_ROW(file), JSON_ROW(title), JSON_ROW(part), JSON_ROW(revision), JSON_ROW(date),
              JSON_ROW(status), JSON_ROW_OR_NULL(author), JSON_ROW(fingerprint));
#undef JSON_OF

static void write_recipe(struct json *j, const void *table)
{
    json_object(j, &recipe_form, table);
}

#define JSON_OF struct step_table
static const struct json_form table_form = JSON_FORM(
    false, JSON_ROW_MADE("recipe", write_recipe), JSON_ROW_LIST(cautions, caution_form),
    JSON_ROW_LIST(revisions, revision_form), JSON_ROW_LIST(setup, setup_form), JSON_ROW_LIST(steps, step_form),
    JSON_ROW_LIST(sizes, size_form), JSON_ROW_LIST(budgets, size_budget_form), JSON_ROW_LIST(tool_facts, setup_form),
    JSON_ROW_LIST(inspection, inspected_form), JSON_ROW_LIST(charts, chart_form), JSON_ROW_LIST(chosen, chosen_form),
    JSON_ROW_LIST(limits, limit_form), JSON_ROW_OR_NULL(judged_on), JSON_ROW_LIST(waivers, waiver_form),
    JSON_ROW_LIST(values, value_form));
#undef JSON_OF

void json_steps(struct buffer *b, const struct step_table *t)
{
    struct json j = {.buffer = b, .first = true};
    json_open(&j, '{');
    json_named_text(&j, "format", TEXT("strokewright-step-table"));
    json_named_number(&j, "format_version", 1);
    json_named_text(&j, "strokewright", t->version);
    json_members(&j, &table_form, t);
    json_close(&j, '}');
}

void json_values(struct buffer *b, const struct value_row *rows, uint32_t count)
{
    json_list(&(struct json){.buffer = b, .first = true}, &value_form, rows, count);
}
