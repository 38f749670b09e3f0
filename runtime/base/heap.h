/* The heap of a short run.
 *
 * A run of this program takes some megabytes and gives them back at its end. Had in pages of 4 KiB, each of which is
 * asked of the system when it is first touched, they cost a tenth of the time of a run. */
#ifndef RUNTIME_BASE_HEAP_H
#define RUNTIME_BASE_HEAP_H

/* To be called once, before anything is allocated: asks the C library for one heap that all threads share, and the
 * system for large pages under it. Only advice; where it cannot be had nothing changes. */
void heap_in_large_pages(void);

#endif
