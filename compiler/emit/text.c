/* Text: the step table and the tool sizes as aligned text, for a terminal, an editor, or a comparison line by line. */
#include "compiler/emit/emit.h"

#include "compiler/emit/columns.h"
#include "compiler/emit/escape.h"
#include "compiler/text/said.h"
#include "runtime/base/utf8.h"

#include <math.h>

enum { MARGIN = 2, SIGN_COLUMN = 9, SIGN_WIDTH = 5 };

static struct text plain(struct buffer *b, struct text t)
{
    return escape_plain(b->arena, t);
}

static void put_title(struct buffer *b, struct text title)
{
    buffer_printf(b, "\n%.*s\n\n", TEXT_ARGS(title));
}

static void put_head(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct text part =
        SAID(b->arena, t->language, "part {part}, revision {revision}, {date}, status {status}", {"part", t->part},
             {"revision", t->revision}, {"date", t->date}, {"status", said_text(t->language, "word", t->status)});
    print_wrapped(b, plain(b, t->title), width, 0, 0);
    print_wrapped(b, plain(b, part), width, 0, 0);
    escape_put_plain(b, SAID(b->arena, t->language, "fingerprint {fingerprint}", {"fingerprint", t->fingerprint}));
    buffer_putc(b, '\n');
}

/* ---- cautions and set-up ------------------------------------------------------------------------------------------ */

static void pad_to(struct buffer *b, uint32_t columns)
{
    uint32_t used = utf8_columns(buffer_text(b));
    buffer_pad(b, ' ', used < columns ? columns - used : 1);
}

static void put_cautions(struct buffer *b, const struct step_table *t, uint32_t width)
{
    if (!t->cautions.count)
        return;
    put_title(b, said(t->language, "CAUTIONS"));
    uint32_t sign_column = SIGN_COLUMN, signs = SIGN_WIDTH;
    for (uint32_t i = 0; i < t->cautions.count; i++) {
        const struct caution_row *c = &t->cautions.at[i];
        uint32_t columns = utf8_columns(c->word) + 2;
        sign_column = columns > sign_column ? columns : sign_column;
        signs = c->sign.len + 1 > signs ? c->sign.len + 1 : signs;
    }
    for (uint32_t i = 0; i < t->cautions.count; i++) {
        const struct caution_row *c = &t->cautions.at[i];
        struct buffer line;
        buffer_init(&line, b->arena);
        escape_put_plain(&line, c->word);
        pad_to(&line, sign_column);
        escape_put_plain(&line, c->sign);
        pad_to(&line, sign_column + signs);
        escape_put_plain(&line, c->text);
        print_wrapped(b, buffer_text(&line), width, MARGIN, sign_column + signs);
    }
}

static const struct column setup_columns[] = {{SAY("Group"), COLUMN_FLOW},
                                              {SAY("Setting"), COLUMN_WORDS},
                                              {SAY("Value"), COLUMN_NUMBER},
                                              {SAY("Allowed"), COLUMN_WORDS}};

/* A range has no value of its own: its band is its text. */
static struct text value_of(struct buffer *b, const struct shown *s)
{
    return text_same(s->text, s->band) ? TEXT("") : plain(b, s->text);
}

static void put_setup(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .language = t->language, .columns = setup_columns, .count = 4};
    struct text group = TEXT("");
    for (uint32_t i = 0; i < t->setup.count; i++) {
        const struct setup_row *s = &t->setup.at[i];
        struct columns_row *r = columns_add(&c);
        if (!text_same(s->group, group))
            r->cell[0] = plain(b, s->group);
        group = s->group;
        r->cell[1] = plain(b, s->label);
        r->cell[2] = value_of(b, &s->shown);
        r->cell[3] = plain(b, s->shown.band);
    }
    if (!t->setup.count)
        return;
    put_title(b, said(t->language, "SET-UP"));
    columns_print(&c, b, width);
}

/* ---- steps -------------------------------------------------------------------------------------------------------- */

static const struct column step_columns[] = {
    {SAY("Step"), COLUMN_NUMBER},   {SAY("What to do"), COLUMN_FLOW}, {"", COLUMN_WORDS},
    {SAY("Setting"), COLUMN_WORDS}, {SAY("Value"), COLUMN_NUMBER},    {SAY("Allowed"), COLUMN_WORDS}};

enum { STEP_INDENT = 6, NOTE_HANG = 9 };

static const char *const role_words[] = {[SETTING_SET] = SAY_IN("role", "set"),
                                         [SETTING_CHECK] = SAY_IN("role", "check"),
                                         [SETTING_EXPECT] = SAY_IN("role", "expect")};

static void put_note(struct buffer *b, struct text head, struct text words, uint32_t width)
{
    struct buffer line;
    if (!words.len)
        return;
    buffer_init(&line, b->arena);
    buffer_put(&line, head);
    pad_to(&line, NOTE_HANG);
    escape_put_plain(&line, words);
    print_wrapped(b, buffer_text(&line), width, STEP_INDENT, NOTE_HANG);
}

static void add_step(struct columns *c, struct buffer *b, const struct step_row *s, uint32_t width)
{
    enum language l = c->language;
    uint32_t rows = s->settings.count ? s->settings.count : 1, last = c->rows.count + rows - 1;
    struct buffer notes;
    for (uint32_t i = 0; i < rows; i++) {
        struct columns_row *r = columns_add(c);
        if (i == 0) {
            r->apart = true;
            r->cell[0] = arena_format(b->arena, "%u", s->number);
            r->cell[1] =
                plain(b, s->beside_press ? SAID(b->arena, l, "{what} (beside the press)", {"what", s->what}) : s->what);
        }
        if (s->settings.count) {
            const struct setting *set = &s->settings.at[i];
            r->cell[2] = said_in(l, "role", role_words[set->role]);
            r->cell[3] = plain(b, set->label);
            r->cell[4] = value_of(b, &set->shown);
            r->cell[5] = plain(b, set->shown.band);
        }
    }
    buffer_init(&notes, b->arena);
    put_note(&notes, said_in(l, "note", "do"), s->instruction, width);
    put_note(&notes, said_in(l, "note", "check"), s->check, width);
    put_note(&notes, said_in(l, "note", "if out"), s->reaction, width);
    if (s->rework)
        put_note(&notes, said_in(l, "note", "rework"),
                 SAID(b->arena, l, "back to step {number}", {"number", arena_format(b->arena, "%u", s->rework)}),
                 width);
    c->rows.at[last].below = buffer_text(&notes);
}

static void put_steps(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .language = t->language, .columns = step_columns, .count = 6};
    for (uint32_t i = 0; i < t->steps.count; i++)
        add_step(&c, b, &t->steps.at[i], width);
    put_title(b, said(t->language, "STEPS"));
    columns_print(&c, b, width);
}

/* ---- chosen values ----------------------------------------------------------------------------------------------- */

static const struct column chosen_columns[] = {{SAY("Unknown"), COLUMN_WORDS},
                                               {SAY("Chosen"), COLUMN_NUMBER},
                                               {SAY("Proved for"), COLUMN_WORDS},
                                               {SAY("Ends below"), COLUMN_WORDS},
                                               {SAY("Ends above"), COLUMN_WORDS}};

void text_chosen(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .language = t->language, .columns = chosen_columns, .count = 5};
    for (uint32_t i = 0; i < t->chosen.count; i++) {
        const struct chosen_row *row = &t->chosen.at[i];
        struct columns_row *r = columns_add(&c);
        r->cell[0] = plain(b, row->words);
        r->cell[1] = value_of(b, &row->shown);
        r->cell[2] = plain(b, row->feasible);
        r->cell[3] = row->binds_low.len ? plain(b, row->binds_low) : said_in(t->language, "chosen", "the range");
        r->cell[4] = row->binds_high.len ? plain(b, row->binds_high) : said_in(t->language, "chosen", "the range");
    }
    if (t->chosen.count)
        columns_print(&c, b, width);
}

static void put_chosen(struct buffer *b, const struct step_table *t, uint32_t width)
{
    if (!t->chosen.count)
        return;
    put_title(b, said(t->language, "CHOSEN VALUES"));
    text_chosen(b, t, width);
}

/* ---- limits ------------------------------------------------------------------------------------------------------- */

static const struct column limit_columns[] = {{SAY("Limit"), COLUMN_WORDS},   {SAY("Verdict"), COLUMN_WORDS},
                                              {SAY("Value"), COLUMN_NUMBER},  {SAY("Bound"), COLUMN_WORDS},
                                              {SAY("Margin"), COLUMN_NUMBER}, {SAY("At worst"), COLUMN_NUMBER}};

/* In English as `waive` names it; a translation is not what the recipe could say. */
static struct text limit_name(struct arena *a, const struct limit_row *l, enum language language)
{
    bool english = language == LANGUAGE_EN;
    struct text name = english ? l->name : l->title, of = english ? l->subject : l->of;
    return arena_format(a, "%.*s%s%.*s", TEXT_ARGS(name), !of.len ? "" : english ? " " : ": ", TEXT_ARGS(of));
}

/* Without the bound a limit is a line on a terminal. */
static const struct column short_limit_columns[] = {{SAY("Limit"), COLUMN_WORDS},
                                                    {SAY("Verdict"), COLUMN_WORDS},
                                                    {SAY("Value"), COLUMN_NUMBER},
                                                    {SAY("Margin"), COLUMN_NUMBER},
                                                    {SAY("At worst"), COLUMN_NUMBER}};

/* "die.temperature = 204 degC, sheet.thickness = 0.52 mm" */
static struct text breaking_words(struct buffer *b, const struct limit_row *l)
{
    struct buffer words;
    buffer_init(&words, b->arena);
    for (uint32_t i = 0; i < l->breaking.count; i++)
        buffer_put(&words, arena_format(b->arena, "%s%.*s = %.*s", i ? ", " : "", TEXT_ARGS(l->breaking.at[i].words),
                                        TEXT_ARGS(l->breaking.at[i].text)));
    return buffer_text(&words);
}

static void add_limit(struct columns *c, struct buffer *b, const struct limit_row *l, uint32_t width)
{
    struct columns_row *r = columns_add(c);
    uint32_t cell = 0;
    r->cell[cell++] = plain(b, limit_name(b->arena, l, c->language));
    r->cell[cell++] = said_in(c->language, "verdict", verdict_table[l->verdict].word);
    r->cell[cell++] = plain(b, l->value);
    if (c->columns == limit_columns)
        r->cell[cell++] = plain(b, l->bound);
    r->cell[cell++] = plain(b, l->margin_text);
    r->cell[cell++] = plain(b, l->worst_margin_text);
    enum verdict verdict = l->verdict == VERDICT_WAIVED ? l->waived : l->verdict;
    struct buffer notes;
    buffer_init(&notes, b->arena);
    if (l->verdict == VERDICT_WAIVED) {
        put_note(&notes, said_in(c->language, "note", "waiver"), l->waiver, width);
        put_note(&notes, said_in(c->language, "note", "else"),
                 said_in(c->language, "verdict", verdict_table[verdict].word), width);
    }
    if (l->breaking.count)
        put_note(&notes,
                 verdict == VERDICT_NOT_DECIDED ? said_in(c->language, "note", "undefined with")
                                                : said_in(c->language, "note", "breaks with"),
                 breaking_words(b, l), width);
    if (verdict == VERDICT_NOT_EVALUATED || verdict == VERDICT_NOT_DECIDED)
        put_note(&notes, said_in(c->language, "note", "why"), l->why_not, width);
    if (verdict == VERDICT_FAILS) {
        put_note(&notes, said_in(c->language, "note", "because"), l->because, width);
        put_note(&notes, said_in(c->language, "note", "remedy"), l->remedy, width);
    }
    r->below = buffer_text(&notes);
}

static void put_limit_table(struct buffer *b, const struct step_table *t, uint32_t width, uint32_t most, bool bounds)
{
    struct columns c = {.arena = b->arena,
                        .language = t->language,
                        .columns = bounds ? limit_columns : short_limit_columns,
                        .count = bounds ? 6 : 5};
    for (enum verdict v = VERDICT_FAILS; v < VERDICT_COUNT; v++)
        for (uint32_t i = 0; i < t->limits.count && c.rows.count < most; i++)
            if (t->limits.at[i].verdict == v)
                add_limit(&c, b, &t->limits.at[i], width);
    columns_print(&c, b, width);
}

static void put_limits(struct buffer *b, const struct step_table *t, uint32_t width)
{
    if (!t->limits.count)
        return;
    put_title(b, said(t->language, "LIMITS"));
    if (t->limits_note.len) {
        print_wrapped(b, plain(b, t->limits_note), width, 0, 0);
        buffer_putc(b, '\n');
    }
    put_limit_table(b, t, width, UINT32_MAX, true);
}

static const struct column waiver_columns[] = {{SAY("Limit"), COLUMN_WORDS},
                                               {SAY("Until"), COLUMN_WORDS},
                                               {SAY("By"), COLUMN_FLOW},
                                               {SAY("Because"), COLUMN_FLOW}};

static void put_waivers(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .language = t->language, .columns = waiver_columns, .count = 4};
    for (uint32_t i = 0; i < t->waivers.count; i++) {
        const struct waiver_row *w = &t->waivers.at[i];
        struct columns_row *r = columns_add(&c);
        r->cell[0] =
            plain(b, t->language != LANGUAGE_EN ? w->words
                                                : arena_format(b->arena, "%.*s%s%.*s", TEXT_ARGS(w->limit),
                                                               w->subject.len ? " " : "", TEXT_ARGS(w->subject)));
        r->cell[1] =
            plain(b, w->expired ? SAID(b->arena, t->language, "{date}, run out", {"date", w->until}) : w->until);
        r->cell[2] = plain(b, w->by);
        r->cell[3] = plain(b, w->because);
    }
    if (!t->waivers.count)
        return;
    put_title(b, said(t->language, "WAIVERS"));
    if (t->judged_on.len) {
        struct text told =
            SAID(b->arena, t->language, "Held against {date}. After a waiver has run out, its limit counts again.",
                 {"date", t->judged_on});
        print_wrapped(b, plain(b, told), width, 0, 0);
        buffer_putc(b, '\n');
    }
    columns_print(&c, b, width);
}

void text_limits(struct buffer *b, const struct step_table *t, uint32_t width, uint32_t most)
{
    put_limit_table(b, t, width, most, false);
}

void text_steps(struct buffer *b, const struct step_table *t, uint32_t width)
{
    put_head(b, t, width);
    put_cautions(b, t, width);
    put_setup(b, t, width);
    put_steps(b, t, width);
    put_chosen(b, t, width);
    put_limits(b, t, width);
    put_waivers(b, t, width);
}

/* ---- tool sizes --------------------------------------------------------------------------------------------------- */

static const struct column size_columns[] = {
    {SAY("Feature"), COLUMN_WORDS},          {SAY("Side"), COLUMN_WORDS},       {SAY("Part at 20 degC"), COLUMN_NUMBER},
    {SAY("Make at 20 degC"), COLUMN_NUMBER}, {SAY("Tool hot"), COLUMN_NUMBER},  {SAY("Part hot"), COLUMN_NUMBER},
    {SAY("Part expected"), COLUMN_NUMBER},   {SAY("Per kelvin"), COLUMN_NUMBER}};

/* The band on a line of its own, so that the sizes stand in narrow columns and line up. */
static struct text over_band(struct buffer *b, const struct shown *s)
{
    if (!s->band.len || text_same(s->band, s->text))
        return plain(b, s->text);
    return arena_format(b->arena, "%.*s\n%.*s", TEXT_ARGS(plain(b, s->text)), TEXT_ARGS(plain(b, s->band)));
}

static void put_part(struct buffer *b, struct text pattern, struct text value)
{
    if (!value.len)
        return;
    buffer_put(b, b->count ? TEXT(", ") : TEXT(""));
    escape_put_plain(b, said_filled(b->arena, pattern, SAID_PARTS({"temperature", value})));
}

static void add_size(struct columns *c, struct buffer *b, const struct tool_size *s, uint32_t width)
{
    struct columns_row *r = columns_add(c);
    const struct shown *shown[] = {&s->part, &s->cold, &s->hot, &s->released, &s->finished, &s->per_kelvin};
    struct buffer words, note;
    r->apart = true;
    r->cell[0] = plain(b, c->language == LANGUAGE_EN ? s->feature : s->title);
    r->cell[1] = plain(b, s->side);
    for (uint32_t i = 0; i < 6; i++)
        r->cell[2 + i] = over_band(b, shown[i]);
    buffer_init(&words, b->arena);
    buffer_init(&note, b->arena);
    put_part(&words, s->tool_title, s->tool_title);
    put_part(&words, s->material, s->material);
    put_part(&words, said(c->language, "tool at {temperature}"), s->tool_temperature.text);
    put_part(&words, said(c->language, "part released at {temperature}"), s->release_temperature.text);
    if (words.count)
        print_wrapped(&note, buffer_text(&words), width, MARGIN, 0);
    r->below = buffer_text(&note);
}

/* ---- what to expect of the sizes ----------------------------------------------------------------------------------- */

static const struct column budget_columns[] = {
    {SAY("Feature"), COLUMN_WORDS}, {SAY("Part expected"), COLUMN_NUMBER}, {SAY("Uncertainty"), COLUMN_NUMBER},
    {SAY("Cp"), COLUMN_NUMBER},     {SAY("Cpk"), COLUMN_NUMBER},           {SAY("Mostly from"), COLUMN_WORDS}};

static struct text index_text(struct buffer *b, double index)
{
    return isnan(index) ? TEXT("") : arena_format(b->arena, index < 10 ? "%.2f" : "%.1f", index);
}

/* The inputs that make up most of it: those of a tenth at least. */
static struct text main_parts(struct buffer *b, const struct size_budget *s)
{
    struct text list = TEXT("");
    for (uint32_t i = 0; i < s->parts.count && s->parts.at[i].share >= 0.1; i++)
        list = arena_format(b->arena, "%.*s%s%.*s %.0f %%", TEXT_ARGS(list), list.len ? ", " : "",
                            TEXT_ARGS(s->parts.at[i].words), 100 * s->parts.at[i].share);
    return list;
}

static void put_budgets(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .language = t->language, .columns = budget_columns, .count = 6};
    for (uint32_t i = 0; i < t->budgets.count; i++) {
        const struct size_budget *s = &t->budgets.at[i];
        if (s->why_not.len)
            continue;
        struct columns_row *r = columns_add(&c);
        r->cell[0] = plain(b, c.language == LANGUAGE_EN ? s->feature : s->title);
        r->cell[1] = plain(b, s->finished.text);
        r->cell[2] = plain(b, s->uncertainty.text);
        r->cell[3] = index_text(b, s->cp);
        r->cell[4] = index_text(b, s->cpk);
        r->cell[5] = plain(b, main_parts(b, s));
    }
    if (!c.rows.count)
        return;
    put_title(b, said(t->language, "WHAT TO EXPECT OF THE SIZES"));
    columns_print(&c, b, width);
    buffer_putc(b, '\n');
    print_wrapped(
        b,
        said(t->language,
             "Standard uncertainty of the part, after JCGM 100. Cp and Cpk count what scatters from part to part while "
             "all that is held stays in its band: the wanted band over six of it, and its nearer end over three. Doubt "
             "about expansion shifts all parts alike and is not in them; the tool's machining band is in neither."),
        width, 0, 0);
}

void text_sizes(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .language = t->language, .columns = size_columns, .count = 8};
    for (uint32_t i = 0; i < t->sizes.count; i++)
        add_size(&c, b, &t->sizes.at[i], width);
    put_head(b, t, width);
    put_title(b, said(t->language, "TOOL SIZES"));
    if (t->sizes.count)
        columns_print(&c, b, width);
    else
        buffer_printf(b, "%.*s\n", TEXT_ARGS(said(t->language, "The recipe states no size that a tool sets.")));
    put_budgets(b, t, width);
}
