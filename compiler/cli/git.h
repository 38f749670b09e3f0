/* Files as they were at a revision, read through git.
 *
 * One `git cat-file --batch` a repository answers for every file and revision, so a whole history costs one process. git
 * itself is asked rather than linked in: only who has a repository needs it, and it knows every form of repository and
 * of revision. Names of files are from the root of the repository, as git shows them: "HEAD~1:recipes/lid.recipe".
 *
 * A repository is not trusted: no program that its configuration names is run, and nothing is fetched. */
#ifndef COMPILER_CLI_GIT_H
#define COMPILER_CLI_GIT_H

#include "compiler/cli/cli.h"
#include "runtime/base/buffer.h"

#include <sys/types.h>

struct git {
    struct arena *arena;
    struct text folder; /* git is run there: the nearest that stands to the file asked for */
    struct text root;   /* of the working tree */
    struct text file;   /* what was asked for, from the root of the repository */
    bool absent;        /* there is no git; said already */
    bool dead;          /* git ended before its time; said already */
    bool broken; /* the last recipe opened could not be had though it, or what it uses, may be there; said already */
    pid_t pid;
    int to, from; /* cat-file's input and output; -1: none */
    struct buffer got;
    uint32_t used;                        /* bytes of `got` that were read */
    struct names_table names;             /* what was found already: "REVISION:file", */
    ARRAY(struct text) found;             /* and its bytes, by the name's number */
    struct text renamed_between, renamed; /* two revisions, and git's list of what was renamed between them */
    struct text told_missing;             /* a revision that was told to be none */
};

enum git_answer {
    GIT_FOUND,
    GIT_MISSING, /* the revision has no such file */
    GIT_NO_REVISION,
    GIT_BROKEN /* git failed, or the clone left the file's contents out; said already */
};

/* In the repository that has `path`. False when there is none or git cannot be run (said already). */
bool git_open(struct git *, struct arena *, const char *path);
/* Turns to another file of the same repository; false when it is not open or the file lies elsewhere. */
bool git_also(struct git *, const char *path);
void git_close(struct git *);

enum git_answer git_read(struct git *, struct text revision, struct text file, struct text *bytes);
/* What a git command prints; false when it fails. Its own words go to standard error unless it is quiet. */
bool git_output(struct git *, const char *const *words, uint32_t count, bool quiet, struct text *out);

/* As open_recipe, at a revision. Where the file is not there, the name is looked for that it was renamed from on the way
 * to the revision named_at, or, when that is empty, to the index; named_at.at NULL: it is not looked for. With `absent`
 * nothing is said of a file that is not there; *absent is set. */
bool open_at_revision(struct opened_recipe *, const struct strokewright_library *, struct git *, struct text revision,
                      struct text named_at, const struct options *, const struct demand *, bool *absent);

#endif
