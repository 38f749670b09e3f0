/* Charts: what the step table knows, drawn to scale.
 *
 * In: charts, tool sizes and limits of a step table, and the width to draw them in. Out: pictures, for a page or an SVG
 * alike. Nothing depends on colour: the piece is a heavy line, tools and press are dashed, bands are grey, and every line
 * has its name beside it. Scales are chosen from the numbers; one that is not one to one is told. */
#ifndef COMPILER_EMIT_PAGES_CHARTS_CHART_H
#define COMPILER_EMIT_PAGES_CHARTS_CHART_H

#include "compiler/emit/pages/drawing/drawing.h"

/* Temperatures over a piece's way, or force over the stroke. */
const struct picture *chart_of_tracks(struct typesetter *, enum language, const struct chart *, double width);
/* Whether there is anything to draw: where nothing heats and nothing is formed there is not. */
bool chart_has_curve(const struct chart *);

/* How sizes move between cold and hot: a heading with the scale all rows share, then a row for each tool size. */
struct size_scale {
    double points;    /* for a millimetre of difference */
    double factor;    /* how many times as large as it is */
    double low, high; /* ends of the axis, mm from the drawing's size */
};
struct size_scale chart_size_scale(const struct step_table *, double width);
const struct picture *chart_size_heading(struct typesetter *, const struct step_table *, const struct size_scale *,
                                         double width);
const struct picture *chart_size_row(struct typesetter *, const struct step_table *, uint32_t size,
                                     const struct size_scale *, double width);
const struct picture *chart_of_sizes(struct typesetter *, const struct step_table *, double width);

/* A limit's margin in a box: full at the left means all of the bound is left. The dark bar is the worst case inside the
 * tolerances where it is known, the light one the stated values. */
void chart_draw_margin(struct picture *, const struct limit_row *, double x, double y, double width, double height);
struct text chart_margin_key(enum language); /* what the bars mean */
const struct picture *chart_of_margins(struct typesetter *, const struct step_table *, double width);

/* Describe the charts in words, for screen readers. */
struct text chart_text(struct arena *, enum language, const struct chart *);
struct text chart_sizes_text(struct arena *, const struct step_table *);
struct text chart_margins_text(struct arena *, const struct step_table *);

/* ---- shared by the files of charts -------------------------------------------------------------------------------- */

/* 1, 2 or 5 times a power of ten, so that about `count` of them make up the range. */
double chart_step(double range, int count);
/* The first multiple of the step at or behind `from`; further ones follow until they are behind `to`. */
enum { TICKS_MOST = 24 };
double chart_first_tick(double from, double step);
bool chart_is_tick(double at, double to, double step);
/* As many decimals as the step needs, with the language's decimal sign and a true minus. */
struct text chart_number(struct arena *, enum language, double value, double step);

#endif
