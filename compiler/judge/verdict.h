/* The verdicts on a limit, and their words. */
#ifndef COMPILER_JUDGE_VERDICT_H
#define COMPILER_JUDGE_VERDICT_H

enum verdict {                        /* worst first */
               VERDICT_FAILS,         /* the stated values break it */
               VERDICT_NOT_EVALUATED, /* something it needs is not stated */
               VERDICT_NOT_DECIDED,  /* it holds at the stated values; over the tolerances neither proved nor refuted */
               VERDICT_NOMINAL_ONLY, /* it holds at the stated values; a combination inside the tolerances breaks it */
               VERDICT_WAIVED,       /* it would be one of those above, and a waiver that has not run out covers it */
               VERDICT_HOLDS,        /* it holds at the stated values; the tolerances were not looked at */
               VERDICT_PROVED,       /* it holds for every combination of held tolerances */
               VERDICT_NOT_APPLICABLE, /* its condition never applies */
               VERDICT_COUNT
};

struct verdict_words {
    const char *slug; /* for programs: "nominal-only" */
    const char *word; /* for people: "nominal only" */
};

extern const struct verdict_words verdict_table[VERDICT_COUNT];

#endif
