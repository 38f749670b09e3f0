/* check --certificate FILE: what was proved, for another program to show again. */
#ifndef COMPILER_CLI_CERTIFICATE_H
#define COMPILER_CLI_CERTIFICATE_H

#include "compiler/cli/cli.h"

/* Writes the file whole or not at all. False when it could not, or nothing was proved: said already. */
bool write_certificate(struct opened_recipe *, const char *recipe, const char *file);

#endif
