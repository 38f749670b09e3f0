/* Certificates: what was proved, in a form that somebody else's program can show again.
 *
 * In: a program and the limits proved on it. Out: JSON of the form compiler/emit/certificate.schema.json: the inputs with
 * their bands, the curves, the nodes that the claims rest on, and for each proved limit the pieces that its proof cut the
 * bands into. The last member is the SHA-256 of all bytes in front of its name. */
#ifndef COMPILER_EMIT_CERTIFICATE_H
#define COMPILER_EMIT_CERTIFICATE_H

#include "compiler/judge/judge.h"
#include "runtime/base/buffer.h"

/* How many limits it would be of. */
uint32_t certificate_claims(const struct limits *);
void certificate_json(struct buffer *, const struct lowering *, const struct limits *, struct text file,
                      struct text fingerprint);

#endif
