#include "compiler/judge/verdict.h"

const struct verdict_words verdict_table[VERDICT_COUNT] = {
    [VERDICT_FAILS] = {"fails", "FAILS"},
    [VERDICT_NOT_EVALUATED] = {"not-evaluated", "not evaluated"},
    [VERDICT_NOT_DECIDED] = {"not-decided", "not decided"},
    [VERDICT_NOMINAL_ONLY] = {"nominal-only", "nominal only"},
    [VERDICT_WAIVED] = {"waived", "waived"},
    [VERDICT_HOLDS] = {"holds", "holds"},
    [VERDICT_PROVED] = {"proved", "proved"},
    [VERDICT_NOT_APPLICABLE] = {"not-applicable", "not applicable"},
};
