/* Text: the step table and the tool sizes as aligned text, for a terminal, an editor, or a comparison line by line. */
#include "compiler/emit/emit.h"

#include "compiler/emit/columns.h"
#include "compiler/emit/escape.h"

enum { MARGIN = 2, SIGN_COLUMN = 9, TEXT_COLUMN = 16 };

static struct text plain(struct buffer *b, struct text t)
{
    return plain_text(b->arena, t);
}

static void put_title(struct buffer *b, const char *title)
{
    buffer_printf(b, "\n%s\n\n", title);
}

static void put_head(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct text part = arena_format(b->arena, "part %.*s, revision %.*s, %.*s, status %.*s", TEXT_ARGS(t->part),
                                    TEXT_ARGS(t->revision), TEXT_ARGS(t->date), TEXT_ARGS(t->status));
    print_wrapped(b, plain(b, t->title), width, 0, 0);
    print_wrapped(b, plain(b, part), width, 0, 0);
    buffer_put(b, TEXT("fingerprint "));
    put_plain(b, t->fingerprint);
    buffer_putc(b, '\n');
}

/* ---- cautions and set-up ------------------------------------------------------------------------------------------ */

static void put_cautions(struct buffer *b, const struct step_table *t, uint32_t width)
{
    if (!t->cautions.count)
        return;
    put_title(b, "CAUTIONS");
    for (uint32_t i = 0; i < t->cautions.count; i++) {
        const struct caution_row *c = &t->cautions.at[i];
        struct buffer line;
        buffer_init(&line, b->arena);
        put_plain(&line, c->signal);
        buffer_pad(&line, ' ', line.count < SIGN_COLUMN ? SIGN_COLUMN - line.count : 1);
        put_plain(&line, c->sign);
        buffer_pad(&line, ' ', line.count < TEXT_COLUMN - MARGIN ? TEXT_COLUMN - MARGIN - line.count : 1);
        put_plain(&line, c->text);
        print_wrapped(b, buffer_text(&line), width, MARGIN, TEXT_COLUMN - MARGIN);
    }
}

static const struct column setup_columns[] = {
    {"Group", COLUMN_FLOW}, {"Setting", COLUMN_WORDS}, {"Value", COLUMN_NUMBER}, {"Allowed", COLUMN_WORDS}};

/* A range has no value of its own: its band is its text. */
static struct text value_of(struct buffer *b, const struct shown *s)
{
    return text_same(s->text, s->band) ? TEXT("") : plain(b, s->text);
}

static void put_setup(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .columns = setup_columns, .count = 4};
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
    put_title(b, "SET-UP");
    columns_print(&c, b, width);
}

/* ---- steps -------------------------------------------------------------------------------------------------------- */

static const struct column step_columns[] = {{"Step", COLUMN_NUMBER},  {"What to do", COLUMN_FLOW},
                                             {"", COLUMN_WORDS},       {"Setting", COLUMN_WORDS},
                                             {"Value", COLUMN_NUMBER}, {"Allowed", COLUMN_WORDS}};

enum { STEP_INDENT = 6 };

static const char *const role_words[] = {[SETTING_SET] = "set", [SETTING_CHECK] = "check", [SETTING_EXPECT] = "expect"};

static void put_note(struct buffer *b, const char *head, struct text words, uint32_t width)
{
    if (words.len)
        print_wrapped(b, arena_format(b->arena, "%-8s %.*s", head, TEXT_ARGS(plain(b, words))), width, STEP_INDENT, 9);
}

static void add_step(struct columns *c, struct buffer *b, const struct step_row *s, uint32_t width)
{
    uint32_t rows = s->settings.count ? s->settings.count : 1, last = c->rows.count + rows - 1;
    struct buffer notes;
    for (uint32_t i = 0; i < rows; i++) {
        struct columns_row *r = columns_add(c);
        if (i == 0) {
            r->apart = true;
            r->cell[0] = arena_format(b->arena, "%u", s->number);
            r->cell[1] = arena_format(b->arena, "%.*s%s", TEXT_ARGS(plain(b, s->what)),
                                      s->beside_press ? " (beside the press)" : "");
        }
        if (s->settings.count) {
            const struct setting *set = &s->settings.at[i];
            r->cell[2] = text_of(role_words[set->role]);
            r->cell[3] = plain(b, set->label);
            r->cell[4] = value_of(b, &set->shown);
            r->cell[5] = plain(b, set->shown.band);
        }
    }
    buffer_init(&notes, b->arena);
    put_note(&notes, "do", s->instruction, width);
    put_note(&notes, "check", s->check, width);
    put_note(&notes, "if out", s->reaction, width);
    if (s->rework)
        put_note(&notes, "rework", arena_format(b->arena, "back to step %u", s->rework), width);
    c->rows.at[last].below = buffer_text(&notes);
}

static void put_steps(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .columns = step_columns, .count = 6};
    for (uint32_t i = 0; i < t->steps.count; i++)
        add_step(&c, b, &t->steps.at[i], width);
    put_title(b, "STEPS");
    columns_print(&c, b, width);
}

/* ---- limits ------------------------------------------------------------------------------------------------------- */

static const struct column limit_columns[] = {{"Limit", COLUMN_WORDS},
                                              {"Verdict", COLUMN_WORDS},
                                              {"Value", COLUMN_NUMBER},
                                              {"Bound", COLUMN_WORDS},
                                              {"Margin", COLUMN_NUMBER}};

static void add_limit(struct columns *c, struct buffer *b, const struct limit_row *l, uint32_t width)
{
    struct columns_row *r = columns_add(c);
    struct text name =
        arena_format(b->arena, "%.*s%s%.*s", TEXT_ARGS(l->name), l->subject.len ? " " : "", TEXT_ARGS(l->subject));
    r->cell[0] = plain(b, name);
    r->cell[1] = text_of(verdict_table[l->verdict].word);
    r->cell[2] = plain(b, l->value);
    r->cell[3] = plain(b, l->bound);
    r->cell[4] = plain(b, l->margin_text);
    struct buffer notes;
    buffer_init(&notes, b->arena);
    if (l->verdict == VERDICT_NOT_EVALUATED)
        put_note(&notes, "why", l->why_not, width);
    if (l->verdict == VERDICT_FAILS) {
        put_note(&notes, "because", l->because, width);
        put_note(&notes, "remedy", l->remedy, width);
    }
    r->below = buffer_text(&notes);
}

static void put_limits(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .columns = limit_columns, .count = 5};
    for (enum verdict v = VERDICT_FAILS; v <= VERDICT_NOT_APPLICABLE; v++)
        for (uint32_t i = 0; i < t->limits.count; i++)
            if (t->limits.at[i].verdict == v)
                add_limit(&c, b, &t->limits.at[i], width);
    if (!t->limits.count)
        return;
    put_title(b, "LIMITS");
    if (t->limits_note.len) {
        print_wrapped(b, plain(b, t->limits_note), width, 0, 0);
        buffer_putc(b, '\n');
    }
    columns_print(&c, b, width);
}

void text_steps(struct buffer *b, const struct step_table *t, uint32_t width)
{
    put_head(b, t, width);
    put_cautions(b, t, width);
    put_setup(b, t, width);
    put_steps(b, t, width);
    put_limits(b, t, width);
}

/* ---- tool sizes --------------------------------------------------------------------------------------------------- */

static const struct column size_columns[] = {{"Feature", COLUMN_WORDS},          {"Side", COLUMN_WORDS},
                                             {"Part at 20 degC", COLUMN_NUMBER}, {"Make at 20 degC", COLUMN_NUMBER},
                                             {"Tool hot", COLUMN_NUMBER},        {"Part hot", COLUMN_NUMBER},
                                             {"Part expected", COLUMN_NUMBER},   {"Per kelvin", COLUMN_NUMBER}};

/* The band on a line of its own, so that the sizes stand in narrow columns and line up. */
static struct text over_band(struct buffer *b, const struct shown *s)
{
    if (!s->band.len || text_same(s->band, s->text))
        return plain(b, s->text);
    return arena_format(b->arena, "%.*s\n%.*s", TEXT_ARGS(plain(b, s->text)), TEXT_ARGS(plain(b, s->band)));
}

static void put_part(struct buffer *b, const char *before, struct text t)
{
    if (!t.len)
        return;
    buffer_put(b, b->count ? TEXT(", ") : TEXT(""));
    buffer_put(b, text_of(before));
    put_plain(b, t);
}

static void add_size(struct columns *c, struct buffer *b, const struct tool_size *s, uint32_t width)
{
    struct columns_row *r = columns_add(c);
    const struct shown *shown[] = {&s->part, &s->cold, &s->hot, &s->released, &s->finished, &s->per_kelvin};
    struct buffer words, note;
    r->apart = true;
    r->cell[0] = plain(b, s->feature);
    r->cell[1] = plain(b, s->side);
    for (uint32_t i = 0; i < 6; i++)
        r->cell[2 + i] = over_band(b, shown[i]);
    buffer_init(&words, b->arena);
    buffer_init(&note, b->arena);
    put_part(&words, "", s->tool);
    put_part(&words, "", s->material);
    put_part(&words, "tool at ", s->tool_temperature.text);
    put_part(&words, "part released at ", s->release_temperature.text);
    if (words.count)
        print_wrapped(&note, buffer_text(&words), width, MARGIN, 0);
    r->below = buffer_text(&note);
}

void text_sizes(struct buffer *b, const struct step_table *t, uint32_t width)
{
    struct columns c = {.arena = b->arena, .columns = size_columns, .count = 8};
    for (uint32_t i = 0; i < t->sizes.count; i++)
        add_size(&c, b, &t->sizes.at[i], width);
    put_head(b, t, width);
    put_title(b, "TOOL SIZES");
    if (t->sizes.count)
        columns_print(&c, b, width);
    else
        buffer_put(b, TEXT("The recipe states no size that a tool sets.\n"));
}
