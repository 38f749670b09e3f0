/* What trial pieces teach the recipe.
 *
 * In: a trial, and what the recipe states of gauges, sensors and scatter. Out: each input that the readings depend on, before
 * and after; whether the pieces agree with each other and with the recipe; where each size stands, and what mends it.
 *
 * Set values (temperatures) are new with each piece; what the process holds (expansion, shape factor, the sheet) is common
 * to the lot. Both are known beforehand by their bands, about the middle of the band where the spread is even. A size's
 * reading is what the recipe's gauge should show, plus the gauge's calibration, common to all it reads, plus the tool as
 * cut where it was not measured, plus noise: repeatability, resolution, piece scatter. A logged temperature is the tool's plus
 * the sensor's offset plus noise. Other set values are taken as read. The rest is runtime/statistics/fit.h. */
#ifndef COMPILER_READINGS_LEARN_H
#define COMPILER_READINGS_LEARN_H

#include "compiler/readings/trial.h"
#include "runtime/statistics/fit.h"

struct learned_input {
    struct text name;
    struct unit unit;                                      /* of differences where it is an offset */
    double before, before_standard, after, after_standard; /* SI */
    bool tells;                                            /* the readings narrow it at all */
    bool reading; /* of how readings are taken, not of how pieces are made: gauges, sensors, the room */
};

struct learned_size {
    uint32_t feature;
    struct text name;
    struct unit unit;
    double aim, size, standard; /* size: of the parts at the set temperatures and 20 degC, as the pieces say */
    double with_pieces;         /* its standard with a hundred times the pieces */
    struct text limited_by; /* the one input that, if it were known exactly, would leave least; empty: none does much */
    double with_limit;      /* what it would leave */
    double low, high;       /* its band */
    double mean, deviation; /* of what was read */
    uint32_t count;
    double per_cut;   /* change of the size for a cut of the tool by one; 0: it is no matter of cutting */
    struct text tool; /* that makes it */
    bool tool_measured;
    double per_kelvin; /* of all tools together */
};

struct learning {
    struct trial *trial;
    struct fit fit;
    struct fitted out;
    ARRAY(struct learned_input) inputs; /* common ones, then offsets, as in the fit */
    ARRAY(uint32_t) columns;            /* by column of the fit: of the readings */
    ARRAY(struct learned_size) sizes;
    ARRAY(struct text) unused; /* columns that say nothing of any input */
};

/* False when the recipe does not state how far readings may be off, or nothing was read that teaches: said in the
 * readings' diagnostics. */
bool learn(struct learning *, struct trial *);
void learning_text(struct buffer *, const struct learning *, uint32_t width);

#endif
