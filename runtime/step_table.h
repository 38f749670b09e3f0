/* The step table: what the shop works from, neutral to every format.
 *
 * In: built by compiler/steps from a checked recipe. Out: read by compiler/emit, which only arranges it and never
 * computes. Texts are UTF-8, already rounded and typeset in ASCII spelling (emitters for paper respell them); raw values are SI with the unit they are shown in. Everything lives in the compilation's arena. */
#ifndef RUNTIME_STEP_TABLE_H
#define RUNTIME_STEP_TABLE_H

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

enum step_shape { /* outline after ISO 5807 */
                  SHAPE_PROCESS,
                  SHAPE_PREPARATION,
                  SHAPE_MANUAL,
                  SHAPE_DECISION,
                  SHAPE_DELAY
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
    struct text side;      /* "outside", "inside", "pitch" */
    struct shown part;     /* drawing size and band at 20 degC */
    struct shown cold;     /* what to make at 20 degC, with the machining band */
    struct shown hot;      /* the tool at temperature */
    struct shown released; /* the part, hot, on release */
    struct shown finished; /* predicted part at 20 degC */
    struct shown tool_temperature, release_temperature;
    struct shown per_kelvin; /* part size per kelvin of both temperatures together */
};

enum verdict { /* worst first */
               VERDICT_FAILS,
               VERDICT_NOT_EVALUATED,
               VERDICT_HOLDS,
               VERDICT_NOT_APPLICABLE
};

struct limit_row {
    struct text name, subject; /* "corner-cracking", "rim"; subject may be empty */
    enum verdict verdict;
    struct text value, bound; /* "0.800", "at least 0.350"; empty when not evaluated */
    double margin;            /* share of the bound left, 0.25 = 25 %; negative when it fails; NaN unknown */
    struct text margin_text;  /* "25 %" or "0.03 mm (25 %)" */
    struct text why_not;      /* VERDICT_NOT_EVALUATED: "the alloy az61a states no draw-limit" */
    struct text because, remedy, source;
};

struct caution_row {
    struct text name, signal, sign; /* signal: DANGER WARNING CAUTION NOTICE; sign: ISO 7010 number, may be empty */
    struct text text;
};

struct value_row { /* one derived value, for `value` and JSON */
    struct text path, label;
    struct shown shown;
    struct text why_not; /* empty when it has a value */
};

struct setup_row { /* set-up card: "Die temperature" "200 degC" "+/- 4 K" */
    struct text group, label;
    struct shown shown;
};

struct step_table {
    struct text file; /* the recipe's path as given */
    struct text title, part, revision, date, status, author;
    struct text fingerprint; /* 64 hex digits */
    struct text version;     /* of strokewright */
    ARRAY(struct step_row) steps;
    ARRAY(struct setup_row) setup;
    ARRAY(struct tool_size) sizes;
    struct text limits_note; /* what "holds" means here; empty when there are no limits */
    ARRAY(struct limit_row) limits;
    ARRAY(struct caution_row) cautions;
    ARRAY(struct value_row) values;
};

#endif
