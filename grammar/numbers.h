/* Numbers and units as people paste and type them. Private to grammar/. */
#ifndef GRAMMAR_NUMBERS_H
#define GRAMMAR_NUMBERS_H

#include "grammar/scan.h"

/* These report what is not written so, take the tokens that are meant and give how many bytes they took. */
uint32_t scan_comma(struct scan *, uint32_t at);              /* , between digits, else a comma */
uint32_t scan_wide(struct scan *, uint32_t at);               /* full-width characters; 0: there are none */
uint32_t scan_dash(struct scan *, uint32_t at, uint32_t len); /* a dash that stands for .. ; 0: it does not */
uint32_t scan_drawing_sign(struct scan *, uint32_t at);       /* \xc3\x98, R in front of a number; 0: none */
uint32_t scan_inch_mark(struct scan *, uint32_t at);          /* " directly behind a number; 0: it is none */
/* Behind a measure that ends at `at`: what of an ill-formed unit follows it, as in W/m^2K; 0: nothing. */
uint32_t scan_rest_of_unit(const struct scan *, uint32_t at);
/* Behind a unit such as deg or \xc2\xb0: the length of the blank and the scale's letter, deg C; 0: none. Reports it and
 * mends the token that comes next. */
uint32_t scan_parted_scale(struct scan *, uint32_t at, struct text unit);
/* The unit that follows a number which was read by hand, blanks included. */
uint32_t scan_unit_behind(struct scan *, uint32_t at);

#endif
