/* Interned names: equal spellings get equal ids, so names compare as integers.
 *
 * A table may stand on a frozen one (the library's): what the lower one knows keeps its id, new names get ids above.
 * The lower table must outlive the upper and must not grow meanwhile. Id 0 is "no name". */
#ifndef RUNTIME_BASE_INTERN_H
#define RUNTIME_BASE_INTERN_H

#include "runtime/base/array.h"

typedef uint32_t atom;

struct names_table {
    struct arena *arena;
    const struct names_table *below;
    uint32_t first; /* id of this table's first own name */
    ARRAY(struct text) texts;
    uint32_t *slots; /* open addressing, own index + 1 */
    uint32_t slot_count;
};

void intern_init(struct names_table *, struct arena *, const struct names_table *below);
atom intern(struct names_table *, struct text);         /* the text is copied when new */
atom interned(const struct names_table *, struct text); /* 0 when never seen */
struct text atom_text(const struct names_table *, atom);

#endif
