/* Readings: what a measuring machine, a logger or a spreadsheet wrote, held to the names of a recipe.
 *
 * In: bytes as a stream (csv.h) and a recipe with its values. Out: rows of numbers in SI, one column a quantity; what is
 * wrong, at its file, line and column. Memory does not grow with rows: of a faulty row its lines are kept for the message,
 * and no more. Nothing is left out in silence: what was not read is counted.
 *
 *   readings_open()    reads the header: names and units. No recipe is needed, so the names can be asked of it.
 *   readings_bind()    says what each column is in the recipe.
 *   readings_next()    the next row, until there is none.
 *
 * The header names what a column is and its unit, `die.temperature [degC]`, `(degC)` and `/degC` behind a name too, or the
 * units stand in a row of their own below. A name is one that `value` knows, or that of a feature: its size as read off
 * the gauge. `piece` and `time` are known. Any other column is kept by its owner and not read. */
#ifndef COMPILER_READINGS_READINGS_H
#define COMPILER_READINGS_READINGS_H

#include "compiler/readings/cell.h"
#include "compiler/readings/csv.h"
#include "compiler/recipe.h"
#include "runtime/base/buffer.h"

enum readings_use {
    READINGS_KEPT, /* not read */
    READINGS_PIECE,
    READINGS_TIME, /* a date and time of day, or a duration in the column's unit */
    READINGS_VALUE /* a quantity of the recipe */
};

struct readings_column {
    struct text head, name, unit_text; /* as written */
    struct span span;                  /* of the header's cell */
    enum readings_use use;
    bool has_unit;
    struct unit unit;
    uint32_t quantity; /* what it is a reading of; of a feature, what its gauge should show */
    uint32_t feature;  /* the definition, where the column bears its name; else 0 */
    uint64_t read, empty, no_reading;
};

struct readings_options { /* what the file itself leaves open */
    char separator;       /* 0: as the header shows */
    enum decimal_sign sign;
};

struct readings {
    struct arena *arena;
    struct sources sources; /* excerpts of the file, above the recipe's where it is bound to one */
    struct diagnostics diagnostics;
    struct text path;
    struct csv csv;
    struct readings_options options;
    ARRAY(struct readings_column) columns;
    ARRAY(struct text) header; /* its cells, to know it again */
    uint32_t unknown;          /* columns that the recipe knows nothing of */
    /* The row read last. */
    double *value;     /* by column, SI; of a time seconds; NaN: none */
    struct text piece; /* its name, a view; empty: none */
    double time;       /* seconds; NaN: none */
    uint32_t row_file; /* the excerpt of it, made when something is said of it; else 0 */
    bool faulty;       /* something in it could not be read */
    /* So far. */
    uint64_t rows, faulty_rows, blank_rows, header_rows, no_readings;
    uint32_t time_line; /* of the last time */
    double last_time;
    int zones; /* 1: times have an offset, -1: they have none, 0: no time yet */
    bool ended;
};

/* Reads the header. False when there is none to work with: said. The path must outlive it. */
bool readings_open(struct readings *, struct arena *, const struct sources *below, struct text path, struct csv_input,
                   struct readings_options);
/* The names of its columns, to be demanded of a recipe: in the arena. */
struct text *readings_names(struct readings *, uint32_t *count);
/* Holds the columns to a recipe, which was compiled with what papers and values need, and those names. False when a column
 * is not what it says: said. */
bool readings_bind(struct readings *, struct strokewright_recipe *);
/* The next row that holds anything; false at the end, and where nothing further can be read, which is said. */
bool readings_next(struct readings *);
/* The place of a cell of this row. */
struct span readings_span(struct readings *, uint32_t column);
/* What was not read, in words, a line each; empty when all was. */
void readings_left_out(const struct readings *, struct buffer *);

#endif
