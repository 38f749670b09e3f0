/* Diagnostics: what is wrong, where, what was expected and what to write instead.
 *
 * A fault's id stands in faults.def with its severity, title, explanation and example. Stages report; nothing below
 * cli/ prints. The same message at the same place is kept once. Renderers are in compiler/text/render.h. */
#ifndef COMPILER_TEXT_DIAGNOSTIC_H
#define COMPILER_TEXT_DIAGNOSTIC_H

#include "compiler/text/source.h"

enum severity { SEVERITY_NOTE, SEVERITY_WARNING, SEVERITY_ERROR };

enum fault {
#define FAULT(id, slug, severity, title, explanation, example) FAULT_##id,
#include "compiler/text/faults.def"
#undef FAULT
    FAULT_COUNT
};

struct fault_entry {
    const char *slug;
    enum severity severity;
    const char *title;       /* a few words */
    const char *explanation; /* sentences: what it means and how to mend it */
    const char *example;     /* recipe text that shows it */
};

extern const struct fault_entry fault_table[FAULT_COUNT];

struct label {
    struct span span;
    struct text text;
};

struct edit { /* replace the bytes of span by text; sure enough to be applied unseen */
    struct span span;
    struct text text;
};

struct diagnostic {
    enum fault fault;
    enum severity severity;
    struct span span;           /* file 0: no place */
    struct text message;        /* one sentence, lower case, no full stop */
    struct text here;           /* short text beside the carets; may be empty */
    ARRAY(struct label) labels; /* further places */
    struct text help;           /* what to write instead; may be empty */
    struct edit edit;           /* edit.span.file 0: none */
};

enum { DIAGNOSTIC_LIMIT = 1000 }; /* beyond this only counted, unless another limit is set */

struct diagnostics {
    struct arena *arena;
    ARRAY(struct diagnostic *) all;
    uint32_t errors, warnings;
    uint32_t limit, dropped;
    uint32_t *seen; /* open addressing over (fault, span) */
    uint32_t seen_size;
    struct diagnostic *scratch; /* what report() gives when nothing is kept; filling it in costs nothing */
};

void diagnostics_init(struct diagnostics *, struct arena *);

/* Never NULL: beyond the limit, and for a repeat, a scratch diagnostic that is not kept. */
struct diagnostic *report(struct diagnostics *, enum fault, struct span, const char *message, ...) PRINTF_LIKE(4, 5);
/* Whether it is kept, so that a costly help need not be made up for nothing. */
static inline bool report_kept(const struct diagnostics *ds, const struct diagnostic *d)
{
    return d != ds->scratch;
}
void report_here(struct diagnostics *, struct diagnostic *, const char *text, ...) PRINTF_LIKE(3, 4);
void report_label(struct diagnostics *, struct diagnostic *, struct span, const char *text, ...) PRINTF_LIKE(4, 5);
void report_help(struct diagnostics *, struct diagnostic *, const char *text, ...) PRINTF_LIKE(3, 4);
void report_edit(struct diagnostics *, struct diagnostic *, struct span, struct text replacement);

/* Takes back a report of that fault at that place, for a later stage that knows more; nothing when there is none. */
void report_withdraw(struct diagnostics *, enum fault, struct span);

/* By file, then place, then order of report. */
void diagnostics_sort(struct diagnostics *);

/* The candidate nearest to `wrong` if it is near enough to be what was meant, else an empty text. Case does not count,
 * a hyphen counts half; `radius-inside` finds `inside-radius`, and `radius` the one candidate that has that word.
 * In compiler/text/nearest.c. */
enum { NEAREST_LIMIT = 1000 }; /* more candidates are not worth the time of a wrong name */
struct text nearest(struct text wrong, const struct text *candidates, uint32_t count);

#endif
