/* The step table: what the shop works from, neutral to every format.
 *
 * In: built by compiler/steps from a checked recipe. Out: read by compiler/emit, which only arranges it and never
 * computes. Texts are UTF-8, already rounded and typeset, in one language: in ASCII spelling for terminals and programs, in print
 * spelling for paper and screens. Raw values are in the unit they are shown in. What the recipe says in its own words
 * stays as written. Everything lives in the compilation's arena. */
#ifndef COMPILER_TABLE_STEP_TABLE_H
#define COMPILER_TABLE_STEP_TABLE_H

#include "compiler/judge/verdict.h"
#include "compiler/model/schema.h"
#include "compiler/text/language.h"
#include "runtime/base/array.h"

struct shown {               /* a value as shown: text for people, number for machines */
    double value, low, high; /* in the unit shown; NaN when there is none */
    struct text unit;        /* ASCII spelling; empty for a pure number or a word */
    struct text text;        /* "200.0 degC", "still-air"; empty: nothing stated */
    struct text band;        /* "+/- 4 K", "190 degC .. 210 degC"; may be empty */
    struct text print;       /* as text, in print spelling (°C, µm, m²) */
    struct text print_band;
};

enum setting_role {
    SETTING_SET,
    SETTING_CHECK,
    SETTING_EXPECT
}; /* to be set; to be checked against its band; computed */

struct setting {
    enum setting_role role;
    struct text name;  /* "temperature" : last part of the name it can be asked by */
    struct text path;  /* "heat-up.blank.time" */
    struct text label; /* "time in contact" : for people */
    struct shown shown;
};

struct step_row {
    uint32_t number; /* 10, 20, 30 ... */
    struct text kind, name;
    struct text what;        /* "Heat the blank between die and punch" */
    struct text instruction; /* the recipe's own words, values filled in; may be empty */
    struct text check;       /* how it is checked; may be empty */
    struct text reaction;    /* what to do when out of band; may be empty */
    enum step_shape shape;
    uint32_t rework;   /* SHAPE_DECISION: number of the step rejected pieces go back to; 0: they are scrap */
    bool beside_press; /* runs beside the press, so it does not count in the cycle */
    ARRAY(struct setting) settings;
};

struct tool_size { /* one feature the toolroom makes */
    struct text feature, tool, material;
    struct text title, tool_title; /* of feature and tool, for people */
    struct text side;              /* "outside", "inside", "pitch" */
    struct shown part;             /* drawing size and band at 20 degC */
    struct shown cold;             /* what to make at 20 degC, with the machining band */
    struct shown hot;              /* the tool at temperature */
    struct shown released;         /* the part, hot, on release */
    struct shown finished;         /* predicted part at 20 degC */
    struct shown tool_temperature, release_temperature;
    struct shown per_kelvin; /* part size per kelvin of both temperatures together */
    struct shown grows;      /* the tool, from cold to hot */
    struct shown shrinks;    /* the part, from release to 20 degC */
};

struct budget_part {   /* an input with a held band, and what it does to a size */
    struct text input; /* "die.temperature" */
    struct text words; /* the same for people; on an English screen as it can be asked */
    struct shown standard, contribution;
    struct text sensitivity; /* "2.05 um/K" */
    double share;            /* of the variance */
};

struct size_budget { /* how far a finished size may lie off while all that is held stays in its band */
    struct text feature, title;
    struct shown finished, uncertainty; /* standard uncertainty, JCGM 100 */
    double cp, cpk;                     /* forecast; NaN when there is none */
    struct text why_not;                /* why there is none: "nothing ... is stated with a band"; else empty */
    ARRAY(struct budget_part) parts;    /* greatest first */
};

struct inspected { /* one feature as the inspector holds it against the drawing */
    struct text title;
    struct shown part;       /* size and band at 20 degC */
    struct text low, high;   /* the ends of the band as text, in print spelling; empty where there is none */
    struct shown reads;      /* what a steel gauge reads on a part of the predicted size, in the shop's temperature */
    struct shown correction; /* to be added to what the gauge reads there */
    struct text plan;        /* "the first, the last and every 200th piece" */
    struct text reaction;    /* what to do when out of band; may be empty */
    uint32_t step;           /* number of the inspection that measures it; 0: none names it */
};

struct breaking_value { /* one input of the combination that breaks a limit */
    struct text path;   /* "die.temperature" */
    struct text words;  /* the same for people; on an English screen the path, by which it can be asked */
    struct text text;   /* "204 degC" */
};

struct limit_row {
    struct text name, subject; /* "corner-cracking", "rim": as in `waive`; subject may be empty */
    struct text title, of;     /* the same for people: "corner cracking", "rim" */
    enum verdict verdict;
    struct text value, bound; /* "0.800", "at least 0.350"; empty when not evaluated */
    double margin;            /* share of the bound left, 0.25 = 25 %; negative when it fails; NaN unknown */
    struct text margin_text;  /* "25 %" or "0.03 mm (25 %)" */
    /* Over the tolerances: the value nearest to its bound or furthest beyond it; empty and NaN when not decided. */
    struct text worst_value, worst_bound;
    double worst_margin;
    struct text worst_margin_text;
    ARRAY(struct breaking_value) breaking; /* VERDICT_NOMINAL_ONLY: the combination, checked by evaluating it */
    struct text why_not;                   /* NOT_EVALUATED: "the alloy az61a states no draw-limit"; NOT_DECIDED: why */
    struct text waiver;                    /* VERDICT_WAIVED: "until 2026-12-31, by the process engineer: ..." */
    enum verdict waived;                   /* VERDICT_WAIVED: the verdict without the waiver */
    struct text because, remedy, source;
};

struct waiver_row { /* every waiver the recipe states, in force or not */
    struct text limit, subject, until, by, because;
    bool expired;
    struct text words; /* limit and subject for people: "hand safe", "draw ratio: body" */
};

struct chosen_row { /* an unknown and what was chosen for it */
    struct text path;
    struct text words;      /* the same for people; on an English screen the path, by which it can be asked */
    struct shown shown;     /* value chosen; low, high: the range it was looked for in */
    struct text feasible;   /* "186 degC .. 214 degC", several joined by " and " */
    struct text prefer;     /* "lowest" */
    struct text binds_low;  /* "pull-in of body": what ends the feasible range below; may be empty */
    struct text binds_high; /* the same above */
};

struct revision_row { /* an entry of the revision history */
    struct text revision, date, reason;
};

struct caution_row {
    struct text name, signal, sign; /* signal: DANGER WARNING CAUTION NOTICE; sign: ISO 7010 number, may be empty */
    struct text word;               /* the signal word in the table's language */
    struct text text;
};

struct value_row { /* one derived value, for `value` and JSON */
    struct text path, label;
    struct shown shown;
    struct text why_not; /* empty when it has a value */
};

/* ---- charts ------------------------------------------------------------------------------------------------------- */

struct chart_point {
    double at, value; /* across and up, in the units of the chart */
};

enum track_sort { TRACK_BLANK, TRACK_TOOL, TRACK_FORCE, TRACK_CAPACITY };

/* What one thing does. `low` and `high` are the edges of what it can be inside the held tolerances, each with its own
 * places across; empty when that is not known. */
struct track {
    enum track_sort sort;
    struct text label;
    uint32_t step;  /* number of the step it belongs to; 0: all of them */
    bool ends_only; /* the law gives only the ends: what is drawn between them is no result */
    ARRAY(struct chart_point) points;
    ARRAY(struct chart_point) low, high;
};

struct chart_span { /* a stretch across that has a name */
    uint32_t step;
    struct text label; /* "Heat the blank between die and punch" */
    double from, to;
    bool beside_press;
};

struct chart_goal { /* a band that the track must be in at a place */
    struct text label;
    double at, low, high;
};

enum chart_kind { CHART_TEMPERATURE, CHART_FORCE };

struct chart {
    enum chart_kind kind;
    struct text title, across, up; /* "time", "temperature" : what the axes are */
    struct text across_unit, up_unit;
    ARRAY(struct chart_span) spans;
    ARRAY(struct track) tracks;
    ARRAY(struct chart_goal) goals;
};

struct setup_row {            /* set-up card: "Die temperature" "200 degC" "+/- 4 K" */
    enum setup_reader reader; /* whom it concerns */
    bool expected;            /* follows from the rest: nothing to set or to tick */
    struct text group, label;
    struct shown shown;
};

struct step_table {
    enum language language; /* of all its fixed texts */
    bool print;             /* texts are in print spelling, not in ASCII */
    struct text file;       /* name of the recipe's file, without its folders */
    struct text name;       /* of the recipe in its own text, "river-logger-lid" */
    struct text title, part, revision, date, status, author;
    struct text fingerprint; /* 64 hex digits */
    struct text version;     /* of strokewright */
    ARRAY(struct step_row) steps;
    ARRAY(struct setup_row) setup;
    ARRAY(struct tool_size) sizes;
    ARRAY(struct size_budget) budgets;  /* in the order of the sizes */
    ARRAY(struct setup_row) tool_facts; /* what else the toolroom must know, by feature and tool: radii, clearance */
    ARRAY(struct inspected) inspection;
    struct shown shop_temperature;
    ARRAY(struct chart) charts;
    struct text limits_note;        /* what "holds" means here; empty when there are no limits */
    ARRAY(struct limit_row) limits; /* the tightest first within a verdict */
    struct text judged_on;          /* the day waivers were held against, "2026-11-25"; empty when there are none */
    ARRAY(struct waiver_row) waivers;
    ARRAY(struct chosen_row) chosen;
    ARRAY(struct caution_row) cautions;
    ARRAY(struct revision_row) revisions; /* the newest first */
    ARRAY(struct value_row) values;
};

#endif
