/* A readings file of the command: opened, its options read, its faults printed. */
#ifndef COMPILER_CLI_READINGS_FILE_H
#define COMPILER_CLI_READINGS_FILE_H

#include "compiler/cli/cli.h"
#include "compiler/readings/readings.h"

struct readings_file {
    int fd;
    struct readings readings;
};

/* Reads its header. False when it cannot be opened or makes no sense: said, and *status says how the verb ends. */
bool open_readings(struct readings_file *, struct arena *, const char *path, const struct options *, int *status);
/* What was found wrong so far, on standard error. */
void print_readings_faults(struct readings_file *, const struct options *);
void close_readings(struct readings_file *);

#endif
