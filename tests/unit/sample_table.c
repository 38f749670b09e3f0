#include "tests/unit/sample_table.h"

#include "runtime/base/number.h"

#include <math.h>

#define NBSP "\xC2\xA0"

struct sample_unit {
    const char *ascii, *print;
    bool point; /* a temperature: its tolerance is in K */
};

static const struct sample_unit mm = {"mm", "mm", false}, degc = {"degC", "°C", true}, seconds = {"s", "s", false},
                                minutes = {"min", "min", false}, speed = {"mm/s", "mm/s", false},
                                kilowatt = {"kW", "kW", false}, kilonewton = {"kN", "kN", false},
                                per_kelvin = {"um/K", "µm/K", false}, rate = {"/h", "/h", false},
                                megapascal = {"MPa", "MPa", false}, percent = {"%", "%", false},
                                conductance = {"W/(m^2*K)", "W/(m²·K)", false};

/* A value, with "+/- half" when half is above 0. */
static struct shown quantity(struct arena *a, double value, double half, int decimals, struct sample_unit u)
{
    struct shown s = {.value = value, .low = half > 0 ? value - half : NAN, .high = half > 0 ? value + half : NAN};
    struct text number = number_fixed(a, value, decimals);
    s.unit = text_of(u.ascii);
    s.text = arena_format(a, "%.*s %s", TEXT_ARGS(number), u.ascii);
    s.print = arena_format(a, "%.*s" NBSP "%s", TEXT_ARGS(number), u.print);
    if (half > 0) {
        struct text tolerance = number_fixed(a, half, decimals);
        s.band = arena_format(a, "+/- %.*s %s", TEXT_ARGS(tolerance), u.point ? "K" : u.ascii);
        s.print_band = arena_format(a, "±" NBSP "%.*s" NBSP "%s", TEXT_ARGS(tolerance), u.point ? "K" : u.print);
    }
    return s;
}

static struct shown range(struct arena *a, double low, double high, int decimals, struct sample_unit u)
{
    struct shown s = {.value = NAN, .low = low, .high = high, .unit = text_of(u.ascii)};
    struct text from = number_fixed(a, low, decimals), to = number_fixed(a, high, decimals);
    s.text = s.band = arena_format(a, "%.*s %s .. %.*s %s", TEXT_ARGS(from), u.ascii, TEXT_ARGS(to), u.ascii);
    s.print = s.print_band =
        arena_format(a, "%.*s" NBSP "%s … %.*s" NBSP "%s", TEXT_ARGS(from), u.print, TEXT_ARGS(to), u.print);
    return s;
}

static struct shown words(const char *z)
{
    return (struct shown){NAN, NAN, NAN, TEXT(""), text_of(z), TEXT(""), text_of(z), TEXT("")};
}

/* ---- steps -------------------------------------------------------------------------------------------------------- */

static struct step_row *add_step(struct arena *a, struct step_table *t, enum step_shape shape, const char *kind,
                                 const char *name, const char *what)
{
    struct step_row *s = ARRAY_PUSH(a, &t->steps);
    s->number = 10 * t->steps.count;
    s->shape = shape;
    s->kind = text_of(kind);
    s->name = text_of(name);
    s->what = text_of(what);
    return s;
}

static void add_setting(struct arena *a, struct step_row *s, enum setting_role role, const char *name,
                        const char *label, struct shown shown)
{
    struct setting *set = ARRAY_PUSH(a, &s->settings);
    *set = (struct setting){role, text_of(name), {0}, text_of(label), shown};
    set->path = arena_format(a, "%.*s.%.*s.%s", TEXT_ARGS(s->kind), TEXT_ARGS(s->name), name);
}

static void add_preparing_steps(struct arena *a, struct step_table *t)
{
    struct step_row *s = add_step(a, t, SHAPE_PREPARATION, "warm-up", "tools", "Warm up die and punch");
    s->check = TEXT("Contact probe on both tools, five points each, before the first blank.");
    s->reaction = TEXT("Do not start. Have the heaters checked.");
    s->beside_press = true;
    add_setting(a, s, SETTING_SET, "power", "heater power", quantity(a, 5, 0, 0, kilowatt));
    add_setting(a, s, SETTING_SET, "soak", "soak", quantity(a, 20, 0, 0, minutes));
    add_setting(a, s, SETTING_EXPECT, "time-to-reach", "time to temperature", quantity(a, 48, 0, 0, minutes));

    s = add_step(a, t, SHAPE_MANUAL, "task", "lubricate", "Lubricate the blank");
    s->instruction = TEXT("Lay the film on both faces of the blank, without folds.");
    s->beside_press = true;
    add_setting(a, s, SETTING_SET, "time", "time", quantity(a, 6, 0, 0, seconds));

    s = add_step(a, t, SHAPE_PROCESS, "heat-up", "blank", "Heat the blank between die and punch");
    s->instruction = TEXT("Lay the blank on the die against the stops and bring the tools together lightly.");
    s->check = TEXT("Touch probe on every fiftieth blank.");
    s->reaction = TEXT("Blank too cold: scrap it, wipe both tools, check that they close evenly.");
    add_setting(a, s, SETTING_SET, "time", "time in contact", quantity(a, 2.5, 0, 1, seconds));
    add_setting(a, s, SETTING_CHECK, "reach", "blank temperature", range(a, 190, 210, 0, degc));
    add_setting(a, s, SETTING_EXPECT, "reached", "temperature reached", quantity(a, 199.3, 3.9, 1, degc));
    add_setting(a, s, SETTING_EXPECT, "time-constant", "time constant", quantity(a, 0.26, 0, 2, seconds));
}

static void add_forming_steps(struct arena *a, struct step_table *t)
{
    struct step_row *s = add_step(a, t, SHAPE_PROCESS, "stroke", "form", "Form the part in one stroke");
    s->instruction = TEXT("Close, hold, open. Take the lid off the punch at once: it grips after 4.1 s at 200 degC.");
    s->reaction = TEXT("Corner cracked or press loud: stop, keep the part, call the setter.");
    add_setting(a, s, SETTING_SET, "speed", "ram speed", quantity(a, 25, 0, 0, speed));
    add_setting(a, s, SETTING_SET, "hold", "hold", quantity(a, 1.2, 0.1, 1, seconds));
    add_setting(a, s, SETTING_SET, "pressing", "pressing", quantity(a, 5, 0.5, 1, megapascal));
    add_setting(a, s, SETTING_EXPECT, "forming-temperature", "forming temperature", quantity(a, 198.1, 4.2, 1, degc));
    add_setting(a, s, SETTING_EXPECT, "release-temperature", "release temperature", quantity(a, 199.9, 4.0, 1, degc));
    add_setting(a, s, SETTING_EXPECT, "force", "press force", quantity(a, 112.4, 0, 1, kilonewton));

    s = add_step(a, t, SHAPE_DELAY, "cooling", "rack", "Let the part cool in still air");
    s->instruction = TEXT("Stand the lids apart in the rack; do not stack them.");
    s->beside_press = true;
    add_setting(a, s, SETTING_CHECK, "down-to", "handling temperature", quantity(a, 45, 0, 0, degc));
    add_setting(a, s, SETTING_EXPECT, "time-to-handle", "time to handle", quantity(a, 141, 0, 0, seconds));

    s = add_step(a, t, SHAPE_DECISION, "inspect", "first-off", "Inspect length, width, screws and seal face");
    s->check = TEXT("At 20 degC, on the granite plate, with the comparator.");
    s->reaction = TEXT("Sort back to the last good sample.");
    s->rework = 30;
    add_setting(a, s, SETTING_SET, "every", "one piece in",
                quantity(a, 200, 0, 0, (struct sample_unit){"", "", false}));
    s->settings.at[0].shown = words("200");
    s->settings.at[0].shown.value = 200;
    add_setting(a, s, SETTING_CHECK, "overall-length", "overall length", quantity(a, 168, 0.1, 2, mm));
    add_setting(a, s, SETTING_CHECK, "overall-width", "overall width", quantity(a, 110, 0.1, 2, mm));
    add_setting(a, s, SETTING_CHECK, "screws", "screw pitch", quantity(a, 150, 0.08, 2, mm));
    add_setting(a, s, SETTING_CHECK, "seal-face", "flatness of the seal face", quantity(a, 0.15, 0, 2, mm));
}

/* ---- set-up, sizes ------------------------------------------------------------------------------------------------ */

static void add_setup(struct arena *a, struct step_table *t, const char *group, const char *label, struct shown shown)
{
    *ARRAY_PUSH(a, &t->setup) = (struct setup_row){.group = text_of(group), .label = text_of(label), .shown = shown};
}

static void add_setup_card(struct arena *a, struct step_table *t)
{
    add_setup(a, t, "Press", "press", words("Hydraulic press, bay 2, 400 kN"));
    add_setup(a, t, "Press", "wanted rate", quantity(a, 220, 0, 0, rate));
    add_setup(a, t, "Blank", "alloy", words("AZ31B-O magnesium sheet"));
    add_setup(a, t, "Blank", "thickness", quantity(a, 0.5, 0.02, 2, mm));
    add_setup(a, t, "Blank", "length", quantity(a, 190, 0.3, 1, mm));
    add_setup(a, t, "Blank", "width", quantity(a, 132, 0.3, 1, mm));
    add_setup(a, t, "Blank", "lubricant", words("PTFE film, 50 um"));
    add_setup(a, t, "Die RL-204-1", "material", words("H13 hot-work tool steel"));
    add_setup(a, t, "Die RL-204-1", "temperature", quantity(a, 200, 4, 0, degc));
    add_setup(a, t, "Die RL-204-1", "heater power", quantity(a, 3, 0, 0, kilowatt));
    add_setup(a, t, "Punch RL-204-2", "material", words("H13 hot-work tool steel"));
    add_setup(a, t, "Punch RL-204-2", "temperature", quantity(a, 200, 4, 0, degc));
    add_setup(a, t, "Punch RL-204-2", "heater power", quantity(a, 2, 0, 0, kilowatt));
    add_setup(a, t, "Not stated, taken as standard", "shop temperature", quantity(a, 20, 0, 0, degc));
    add_setup(a, t, "Not stated, taken as standard", "air speed", quantity(a, 0, 0, 0, speed));
    add_setup(a, t, "Not stated, taken as standard", "dimension: machining band", quantity(a, 0.01, 0, 2, mm));
    add_setup(a, t, "Not stated, taken as standard", "heat-up: contact conductance, second face",
              quantity(a, 1800, 540, 0, conductance));
}

static struct text in_words(struct arena *a, const char *name)
{
    struct text copy = arena_text(a, text_of(name));
    for (uint32_t i = 0; i < copy.len; i++)
        if (copy.at[i] == '-')
            ((char *)copy.at)[i] = ' ';
    return copy;
}

static void add_size(struct arena *a, struct step_table *t, const char *feature, const char *tool, const char *side,
                     double size, double half)
{
    struct tool_size *s = ARRAY_PUSH(a, &t->sizes);
    double cold = size * 1.0024, hot = size * 1.0046;
    *s = (struct tool_size){.feature = text_of(feature), .tool = text_of(tool), .side = text_of(side)};
    s->title = in_words(a, feature);
    s->tool_title = s->tool;
    s->material = TEXT("H13 hot-work tool steel");
    s->part = quantity(a, size, half, 2, mm);
    s->cold = quantity(a, cold, 0.01, 3, mm);
    s->hot = quantity(a, hot, 0, 3, mm);
    s->released = quantity(a, hot, 0, 3, mm);
    s->finished = quantity(a, size, 0.021, 3, mm);
    s->tool_temperature = quantity(a, 200, 4, 0, degc);
    s->release_temperature = quantity(a, 199.9, 0, 1, degc);
    s->per_kelvin = quantity(a, size * 0.0152, 0, 1, per_kelvin);
}

static void add_sizes(struct arena *a, struct step_table *t)
{
    add_size(a, t, "overall-length", "die", "outside", 168, 0.1);
    add_size(a, t, "overall-width", "die", "outside", 110, 0.1);
    add_size(a, t, "window-length", "punch", "inside", 46, 0.3);
    add_size(a, t, "label-recess", "punch", "inside", 8, 0.2);
    add_size(a, t, "screws", "punch", "pitch", 150, 0.08);
    t->sizes.at[3].finished = words("not evaluated");
}

/* ---- budgets ------------------------------------------------------------------------------------------------------ */

static void add_budget(struct arena *a, struct step_table *t, const char *feature, double um, double band)
{
    struct size_budget *s = ARRAY_PUSH(a, &t->budgets);
    s->feature = text_of(feature);
    s->title = s->feature;
    s->finished = words("168.00 mm");
    s->uncertainty = words("not evaluated");
    s->cp = s->cpk = NAN;
    if (isnan(um)) {
        s->why_not = TEXT("nothing it is worked out from is stated with a band that is held");
        return;
    }
    s->uncertainty = words(arena_format(a, "%.1f um", um).at);
    s->cp = band / (6 * um);
    s->cpk = 0.9 * s->cp;
    struct budget_part *p = ARRAY_PUSH(a, &s->parts);
    *p = (struct budget_part){.input = TEXT("die.temperature"),
                              .words = TEXT("die.temperature"),
                              .sensitivity = TEXT("-2.4 um/K"),
                              .share = 0.9};
    p->standard = words("2.3 K");
    p->contribution = words("5.2 um");
    p = ARRAY_PUSH(a, &s->parts);
    *p = (struct budget_part){.input = TEXT("form.contact"),
                              .words = TEXT("form.contact"),
                              .sensitivity = TEXT("0.1 nm per W/(m^2*K)"),
                              .share = 0.1};
    p->standard = words("520 W/(m^2*K)");
    p->contribution = words("1.7 um");
}

static void add_budgets(struct arena *a, struct step_table *t)
{
    add_budget(a, t, "overall-length", 5.5, 200);
    add_budget(a, t, "label-recess", NAN, 400);
}

/* ---- limits, cautions, values ------------------------------------------------------------------------------------- */

static const struct limit_sample {
    const char *name, *subject, *value, *bound, *margin_text, *why_not;
    double margin;
    enum verdict verdict;
} limit_samples[] = {
    {"corner-cracking", "rim", "0.385", "at most 0.52", "26 %", "", 0.26, VERDICT_HOLDS},
    {"press-force", "form", "112.4 kN", "at most 320 kN", "65 %", "", 0.65, VERDICT_PROVED},
    {"finished-size", "overall-length", "168.00 mm", "within 167.90 mm .. 168.10 mm", "79 %", "", 0.79, VERDICT_HOLDS},
    {"finished-size", "overall-width", "110.00 mm", "within 109.90 mm .. 110.10 mm", "83 %", "", 0.83, VERDICT_PROVED},
    {"blank-temperature", "blank", "199.3 degC", "within 190 degC .. 210 degC", "9.3 K", "", NAN, VERDICT_WAIVED},
    {"lubricant-temperature", "", "204 degC", "at most 260 degC", "56 K",
     "the film may be thinner than any table tells", NAN, VERDICT_NOT_DECIDED},
    {"wanted-rate", "", "231 /h", "at least 220 /h", "5 %", "", 0.05, VERDICT_NOMINAL_ONLY},
    {"draw-ratio", "body", "", "", "", "the alloy az31b-o states no draw-limit at 25 mm/s", NAN, VERDICT_NOT_EVALUATED},
    {"bend-cracking", "", "", "", "", "", NAN, VERDICT_NOT_APPLICABLE},
    {"holder-force", "form", "", "", "", "", NAN, VERDICT_NOT_APPLICABLE},
};

static void add_worst(struct arena *a, struct limit_row *l)
{
    if (l->verdict == VERDICT_PROVED) {
        l->worst_margin = l->margin / 2;
        l->worst_margin_text = TEXT("at least 12 %");
    } else if (l->verdict == VERDICT_NOMINAL_ONLY) {
        l->worst_margin = -0.03;
        l->worst_margin_text = TEXT("-3 %");
        *ARRAY_PUSH(a, &l->breaking) = (struct breaking_value){
            .path = TEXT("die.temperature"), .words = TEXT("die.temperature"), .text = TEXT("204 degC")};
        *ARRAY_PUSH(a, &l->breaking) = (struct breaking_value){
            .path = TEXT("blank.contact"), .words = TEXT("blank.contact"), .text = TEXT("2340 W/(m^2*K)")};
    } else if (l->verdict == VERDICT_WAIVED) {
        l->waived = VERDICT_NOMINAL_ONLY;
        l->waiver = TEXT("until 2026-12-31, by the process engineer: trial runs");
    }
}

static void add_limits(struct arena *a, struct step_table *t)
{
    for (size_t i = 0; i < sizeof limit_samples / sizeof limit_samples[0]; i++) {
        const struct limit_sample *l = &limit_samples[i];
        *ARRAY_PUSH(a, &t->limits) =
            (struct limit_row){.name = text_of(l->name),
                               .subject = text_of(l->subject),
                               .title = in_words(a, l->name),
                               .of = in_words(a, l->subject),
                               .verdict = l->verdict,
                               .value = text_of(l->value),
                               .bound = text_of(l->bound),
                               .margin = l->margin,
                               .margin_text = text_of(l->margin_text),
                               .worst_margin = NAN,
                               .why_not = text_of(l->why_not),
                               .because = TEXT("The outer fibre stretches further than the alloy can."),
                               .remedy = TEXT("Raise the temperature, or enlarge the radius."),
                               .source = TEXT("common practice")};
    }
    for (uint32_t i = 0; i < t->limits.count; i++)
        add_worst(a, &t->limits.at[i]);
}

static const struct caution_row caution_samples[] = {
    {TEXT("burning-magnesium"), TEXT("DANGER"), TEXT("P011"), TEXT("DANGER"),
     TEXT("Never put water, foam, carbon dioxide, halon or ABC powder on burning magnesium: it burns on in them, and "
          "water makes hydrogen and scatters it. Use a Class D agent or dry sand. Keep it within reach of the press.")},
    {TEXT("crushing"), TEXT("DANGER"), TEXT("W024"), TEXT("DANGER"),
     TEXT("The closing tools crush hands. Never reach in while the press can move; guards and light curtains stay in "
          "use at set-up too.")},
    {TEXT("heater-current"), TEXT("DANGER"), TEXT("W012"), TEXT("DANGER"),
     TEXT("Cartridge heaters carry mains voltage. Switch off and lock before opening a connection box.")},
    {TEXT("hot-tools"), TEXT("WARNING"), TEXT("W017"), TEXT("WARNING"),
     TEXT("Tools, platens and ovens burn the skin at a touch and stay hot for hours. The part leaves the tools at "
          "199.9 degC and looks cold.")},
    {TEXT("open-flame"), TEXT("WARNING"), TEXT("P003"), TEXT("WARNING"),
     TEXT("No open flame, no smoking and no grinding near the press, the blanks and the scrap.")},
    {TEXT("sharp-edges"), TEXT("CAUTION"), TEXT("W022"), TEXT("CAUTION"),
     TEXT("Blanks and trimmed edges are sharp. Wear cut-resistant gloves.")},
    {TEXT("lubricant-vapour"), TEXT("CAUTION"), TEXT("M017"), TEXT("CAUTION"),
     TEXT("Run the extraction, keep the film thin.")},
    {TEXT("trial-recipe"), TEXT("NOTICE"), TEXT("M002"), TEXT("NOTICE"),
     TEXT("This recipe is for trials: make the first pieces one by one, measure them, and stop when one is out of its "
          "band.")},
};

static void add_values(struct arena *a, struct step_table *t)
{
    *ARRAY_PUSH(a, &t->values) =
        (struct value_row){TEXT("cycle.time"), TEXT("cycle time"), quantity(a, 15.6, 0, 1, seconds), TEXT("")};
    *ARRAY_PUSH(a, &t->values) =
        (struct value_row){TEXT("blank.utilisation"), TEXT(""), quantity(a, 73.7, 0, 1, percent), TEXT("")};
    *ARRAY_PUSH(a, &t->values) = (struct value_row){TEXT("body.draw-ratio"), TEXT("draw ratio"), words("not evaluated"),
                                                    TEXT("the alloy az31b-o states no draw-limit at 25 mm/s")};
}

/* ---- whole tables ------------------------------------------------------------------------------------------------- */

struct step_table *sample_empty_table(struct arena *a)
{
    struct step_table *t = ARENA_NEW(a, struct step_table);
    t->file = TEXT("lid.recipe");
    t->title = TEXT("Lid, river-level logger");
    t->part = TEXT("RL-204");
    t->revision = TEXT("C");
    t->date = TEXT("2026-11-02");
    t->status = TEXT("trial");
    t->author = TEXT("process engineering");
    t->fingerprint = TEXT("3f9a12cd77e0415b8a6c0d9e2f714ab35c88d1e6f0a94b27c35de8417f60b2a9");
    t->version = TEXT("0.1.0");
    return t;
}

/* ---- charts ------------------------------------------------------------------------------------------------------- */

static void add_track(struct arena *a, struct chart *c, enum track_sort sort, struct text label, double from, double to)
{
    struct track *t = ARRAY_PUSH(a, &c->tracks);
    *t = (struct track){.sort = sort, .label = label, .step = 30, .ends_only = sort != TRACK_BLANK};
    for (int i = 0; i <= 4; i++) {
        double at = 2.5 * i / 4, v = from + (to - from) * i / 4;
        *ARRAY_PUSH(a, &t->points) = (struct chart_point){at, v};
        *ARRAY_PUSH(a, &t->low) = (struct chart_point){at, v - 4};
        *ARRAY_PUSH(a, &t->high) = (struct chart_point){at, v + 4};
    }
}

static void add_charts(struct arena *a, struct step_table *t)
{
    struct chart heat = {.kind = CHART_TEMPERATURE,
                         .title = TEXT("Temperatures of a piece"),
                         .across = TEXT("time"),
                         .up = TEXT("temperature"),
                         .across_unit = TEXT("s"),
                         .up_unit = TEXT("\xC2\xB0\x43")};
    struct chart force = {.kind = CHART_FORCE,
                          .title = TEXT("Form the part in one stroke"),
                          .across = TEXT("working travel"),
                          .up = TEXT("force"),
                          .across_unit = TEXT("mm"),
                          .up_unit = TEXT("kN")};
    *ARRAY_PUSH(a, &heat.spans) = (struct chart_span){30, TEXT("Heat the blank"), 0, 2.5, false};
    *ARRAY_PUSH(a, &heat.goals) = (struct chart_goal){TEXT("must be 190 .. 210 degC here"), 2.5, 190, 210};
    add_track(a, &heat, TRACK_BLANK, TEXT("Heat the blank"), 22, 200);
    add_track(a, &heat, TRACK_TOOL, TEXT("Die"), 200, 200);
    add_track(a, &force, TRACK_FORCE, TEXT("the stroke needs"), 5, 92.4);
    *ARRAY_PUSH(a, &t->charts) = heat;
    *ARRAY_PUSH(a, &t->charts) = force;
}

/* ---- sheets and notes --------------------------------------------------------------------------------------------- */

static void add_sheets(struct arena *a, struct step_table *t)
{
    t->shop_temperature = quantity(a, 22, 3, 0, degc);
    *ARRAY_PUSH(a, &t->tool_facts) = (struct setup_row){.reader = SETUP_IN_TOOLROOM,
                                                        .group = TEXT("Rim"),
                                                        .label = TEXT("inside radius"),
                                                        .shown = quantity(a, 0.4, 0.02, 2, mm)};
    struct inspected row = {.title = TEXT("Overall length"),
                            .part = quantity(a, 168, 0.1, 2, mm),
                            .low = TEXT("167.90" NBSP "mm"),
                            .high = TEXT("168.10" NBSP "mm"),
                            .reads = quantity(a, 168.005, 0, 3, mm),
                            .correction = quantity(a, -4.6, 0, 1, (struct sample_unit){"um", "µm", false}),
                            .plan = TEXT("the first, the last and one in 200 pieces"),
                            .reaction = TEXT("Stop."),
                            .step = 60};
    *ARRAY_PUSH(a, &t->inspection) = row;
    t->judged_on = TEXT("2026-11-25");
    *ARRAY_PUSH(a, &t->waivers) = (struct waiver_row){.limit = TEXT("draw-ratio"),
                                                      .subject = TEXT("body"),
                                                      .until = TEXT("2026-12-31"),
                                                      .by = TEXT("process engineer"),
                                                      .because = TEXT("Trial runs."),
                                                      .words = TEXT("draw ratio: body")};
    *ARRAY_PUSH(a, &t->waivers) = (struct waiver_row){.limit = TEXT("hand-safe"),
                                                      .until = TEXT("2026-10-01"),
                                                      .by = TEXT("shop manager"),
                                                      .because = TEXT("Gloves."),
                                                      .expired = true,
                                                      .words = TEXT("hand safe")};
    *ARRAY_PUSH(a, &t->chosen) = (struct chosen_row){.path = TEXT("die.temperature"),
                                                     .words = TEXT("die.temperature"),
                                                     .shown = quantity(a, 198, 0, 0, degc),
                                                     .feasible = TEXT("186 degC .. 214 degC"),
                                                     .prefer = TEXT("lowest"),
                                                     .binds_low = TEXT("draw ratio of body")};
}

struct step_table *sample_table(struct arena *a)
{
    struct step_table *t = sample_empty_table(a);
    add_preparing_steps(a, t);
    add_forming_steps(a, t);
    add_setup_card(a, t);
    add_sizes(a, t);
    add_budgets(a, t);
    add_limits(a, t);
    add_charts(a, t);
    add_sheets(a, t);
    for (size_t i = 0; i < sizeof caution_samples / sizeof caution_samples[0]; i++)
        *ARRAY_PUSH(a, &t->cautions) = caution_samples[i];
    add_values(a, t);
    return t;
}

struct step_table *sample_long_table(struct arena *a, uint32_t steps, uint32_t sizes)
{
    struct step_table *t = sample_table(a);
    uint32_t own_steps = t->steps.count, own_sizes = t->sizes.count;
    t->title = TEXT("Lid with window and four screw bosses for the river-level logger, second generation, "
                    "deep-draw variant for the cold-store trial series");
    t->part = TEXT("RL-204-7731-COLD-B");
    t->status = TEXT("draft");
    while (t->steps.count < steps) {
        struct step_row copy = t->steps.at[t->steps.count % own_steps];
        copy.number = 10 * (t->steps.count + 1);
        copy.rework = copy.rework ? copy.number - 30 : 0;
        copy.name = arena_format(a, "%.*s-%u", TEXT_ARGS(copy.name), copy.number);
        *ARRAY_PUSH(a, &t->steps) = copy;
    }
    while (t->sizes.count < sizes) {
        struct tool_size copy = t->sizes.at[t->sizes.count % own_sizes];
        copy.feature = arena_format(a, "%.*s-%u", TEXT_ARGS(copy.feature), t->sizes.count);
        copy.title = in_words(a, copy.feature.at);
        *ARRAY_PUSH(a, &t->sizes) = copy;
    }
    struct limit_row *l = &t->limits.at[0];
    l->verdict = VERDICT_FAILS;
    l->value = TEXT("0.610");
    l->margin = -0.173;
    l->margin_text = TEXT("-17 %");
    return t;
}

static void poison_shown(struct shown *s, struct text words)
{
    s->unit = s->text = s->band = s->print = s->print_band = words;
}

static void poison_steps(struct step_table *t, struct text words)
{
    for (uint32_t i = 0; i < t->steps.count; i++) {
        struct step_row *s = &t->steps.at[i];
        s->kind = s->name = s->what = s->instruction = s->check = s->reaction = words;
        for (uint32_t k = 0; k < s->settings.count; k++) {
            s->settings.at[k].name = s->settings.at[k].path = s->settings.at[k].label = words;
            poison_shown(&s->settings.at[k].shown, words);
        }
    }
    for (uint32_t i = 0; i < t->setup.count; i++) {
        t->setup.at[i].group = t->setup.at[i].label = words;
        poison_shown(&t->setup.at[i].shown, words);
    }
}

static void poison_sizes(struct step_table *t, struct text words)
{
    for (uint32_t i = 0; i < t->sizes.count; i++) {
        struct tool_size *s = &t->sizes.at[i];
        struct shown *shown[] = {
            &s->part,      &s->cold, &s->hot, &s->released, &s->finished, &s->tool_temperature, &s->release_temperature,
            &s->per_kelvin};
        s->feature = s->tool = s->material = s->side = s->title = s->tool_title = words;
        for (uint32_t k = 0; k < sizeof shown / sizeof shown[0]; k++)
            poison_shown(shown[k], words);
    }
}

static void poison_budgets(struct step_table *t, struct text words)
{
    for (uint32_t i = 0; i < t->budgets.count; i++) {
        struct size_budget *s = &t->budgets.at[i];
        s->feature = s->title = words;
        poison_shown(&s->finished, words);
        poison_shown(&s->uncertainty, words);
        for (uint32_t k = 0; k < s->parts.count; k++) {
            s->parts.at[k].input = s->parts.at[k].words = s->parts.at[k].sensitivity = words;
            poison_shown(&s->parts.at[k].standard, words);
            poison_shown(&s->parts.at[k].contribution, words);
        }
    }
}

static void poison_charts(struct step_table *t, struct text words)
{
    for (uint32_t i = 0; i < t->charts.count; i++) {
        struct chart *c = &t->charts.at[i];
        c->title = c->across = c->up = c->across_unit = c->up_unit = words;
        for (uint32_t k = 0; k < c->tracks.count; k++)
            c->tracks.at[k].label = words;
        for (uint32_t k = 0; k < c->spans.count; k++)
            c->spans.at[k].label = words;
        for (uint32_t k = 0; k < c->goals.count; k++)
            c->goals.at[k].label = words;
    }
}

static void poison_sheets(struct step_table *t, struct text words)
{
    t->name = t->judged_on = words;
    poison_shown(&t->shop_temperature, words);
    for (uint32_t i = 0; i < t->inspection.count; i++) {
        struct inspected *row = &t->inspection.at[i];
        row->title = row->low = row->high = row->plan = row->reaction = words;
        poison_shown(&row->part, words);
        poison_shown(&row->correction, words);
    }
    for (uint32_t i = 0; i < t->tool_facts.count; i++) {
        t->tool_facts.at[i].group = t->tool_facts.at[i].label = words;
        poison_shown(&t->tool_facts.at[i].shown, words);
    }
    for (uint32_t i = 0; i < t->waivers.count; i++) {
        struct waiver_row *w = &t->waivers.at[i];
        w->limit = w->subject = w->words = w->by = w->because = words; /* a day is never anything else */
    }
    for (uint32_t i = 0; i < t->chosen.count; i++) {
        struct chosen_row *c = &t->chosen.at[i];
        c->path = c->words = c->feasible = c->binds_low = c->binds_high = words;
        poison_shown(&c->shown, words);
    }
}

struct step_table *sample_hostile_table(struct arena *a, struct text words)
{
    struct step_table *t = sample_table(a);
    t->file = t->title = t->part = t->revision = t->date = t->status = t->author = t->version = words;
    poison_steps(t, words);
    poison_sizes(t, words);
    poison_budgets(t, words);
    for (uint32_t i = 0; i < t->limits.count; i++) {
        struct limit_row *l = &t->limits.at[i];
        l->name = l->subject = l->value = l->bound = l->margin_text = l->why_not = words;
        l->because = l->remedy = l->source = l->title = l->of = words;
    }
    poison_charts(t, words);
    poison_sheets(t, words);
    for (uint32_t i = 0; i < t->cautions.count; i++)
        t->cautions.at[i].text = t->cautions.at[i].name = words;
    for (uint32_t i = 0; i < t->values.count; i++) {
        t->values.at[i].path = t->values.at[i].label = t->values.at[i].why_not = words;
        poison_shown(&t->values.at[i].shown, words);
    }
    return t;
}
