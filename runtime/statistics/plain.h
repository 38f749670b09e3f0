/* Elementary functions from plain arithmetic alone: +, -, *, / and square roots, which every machine rounds alike. What
 * the C library gives may differ in the last bit from one processor to the next; samples drawn with these do not.
 * Within 4 units of the last place. */
#ifndef RUNTIME_STATISTICS_PLAIN_H
#define RUNTIME_STATISTICS_PLAIN_H

double plain_log(double);    /* of a normal positive number */
double plain_exp(double);    /* -700 to 700; beyond, 0 or infinite */
double plain_cosine(double); /* of a turn: 0.25 is a right angle; 0 to 1 */

#endif
