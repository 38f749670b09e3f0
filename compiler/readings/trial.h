/* A trial: pieces that were made and measured, beside what the recipe says of them.
 *
 * In: readings bound to a recipe. Out: of each column how many readings, their mean and scatter, what the recipe predicts
 * and the band they must be in. Sizes are at 20 degC: the gauge's correction of the recipe is added to what was read.
 * Memory grows with pieces. */
#ifndef COMPILER_READINGS_TRIAL_H
#define COMPILER_READINGS_TRIAL_H

#include "compiler/readings/readings.h"

struct trial_outside { /* a reading out of its band */
    struct text piece;
    uint32_t line;
    double value; /* SI */
};

enum { TRIAL_OUTSIDE_KEPT = 20 };

struct trial_column {
    uint32_t column;      /* of the readings */
    double correction;    /* SI, added to each reading */
    double predicted;     /* SI; NaN: none */
    bool wanted;          /* nobody predicts it: it is what the drawing wants */
    double low, high;     /* of its band, SI; NaN: none */
    uint32_t count;       /* readings */
    double mean, squares; /* of them; the sum of squared distances from the mean */
    uint32_t outside;
    ARRAY(struct trial_outside) kept; /* the first of them */
};

struct trial {
    struct readings *readings;
    struct strokewright_recipe *recipe;
    uint32_t pieces;
    ARRAY(double) values;     /* by piece and column of the readings, SI, as read; NaN: none */
    ARRAY(struct text) names; /* by piece; empty: none */
    ARRAY(struct trial_column) columns;
};

/* Reads all rows. What is wrong in them stands in the readings' diagnostics. */
void trial_read(struct trial *, struct readings *, struct strokewright_recipe *);
/* NaN of fewer than two readings. */
double trial_deviation(const struct trial_column *);
/* As a table of that width, with what was left out below it. */
void trial_text(struct buffer *, const struct trial *, uint32_t width);
/* The header of a readings file for this recipe: piece, time, the temperatures of tools and room, and what is inspected. */
void trial_template(struct buffer *, struct strokewright_recipe *);

#endif
