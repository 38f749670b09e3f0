/* For environ, and for pipe2(): other threads may start a git of their own meanwhile. */
#define _GNU_SOURCE
#include "compiler/cli/git.h"

#include <errno.h>
#include <fcntl.h>
#include <spawn.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/* ---- running git ----------------------------------------------------------------------------------------------------- */

/* A repository comes with a configuration of its own, which may name programs for git to run: a monitor of files, a check
 * of signatures, a pager, what fetches a missing object from a remote. None of them is run. Filters of contents, drivers
 * of differences and textconv have no general switch: no command is used here that runs them. */
static const char *const safe_words[] = {
    /* clang-format off */ /* one a line */
    "--no-pager",
    "--literal-pathspecs",
    "-c", "core.fsmonitor=false",
    "-c", "core.hooksPath=/dev/null",
    "-c", "log.showSignature=false",
    "-c", "protocol.allow=never",
    "-c", "safe.bareRepository=explicit",
    /* clang-format on */
};
enum { SAFE_WORDS = sizeof safe_words / sizeof safe_words[0] };

static const char *const safe_environment[] = {"GIT_NO_LAZY_FETCH=1", "GIT_ALLOW_PROTOCOL=none", "GIT_OPTIONAL_LOCKS=0",
                                               "GIT_TERMINAL_PROMPT=0"};
enum { SAFE_ENVIRONMENT = sizeof safe_environment / sizeof safe_environment[0] };

static bool is_replaced(const char *variable)
{
    for (int i = 0; i < SAFE_ENVIRONMENT; i++)
        if (strncmp(variable, safe_environment[i], strcspn(safe_environment[i], "=") + 1) == 0)
            return true;
    return false;
}

/* What the command was started with, and the variables that keep git from running other programs. */
static char **make_environment(struct git *g)
{
    uint32_t count = 0, n = 0;
    while (environ[count])
        count++;
    char **out = ARENA_ARRAY(g->arena, count + SAFE_ENVIRONMENT + 1, char *);
    for (uint32_t i = 0; i < count; i++)
        if (!is_replaced(environ[i]))
            out[n++] = environ[i];
    for (int i = 0; i < SAFE_ENVIRONMENT; i++)
        out[n++] = arena_copy(g->arena, text_of(safe_environment[i]));
    return out;
}

static char **make_words(struct git *g, const char *const *words, uint32_t count)
{
    char **out = ARENA_ARRAY(g->arena, count + SAFE_WORDS + 4, char *);
    uint32_t n = 0;
    out[n++] = arena_copy(g->arena, TEXT("git"));
    out[n++] = arena_copy(g->arena, TEXT("-C"));
    out[n++] = arena_copy(g->arena, g->folder);
    for (int i = 0; i < SAFE_WORDS; i++)
        out[n++] = arena_copy(g->arena, text_of(safe_words[i]));
    for (uint32_t i = 0; i < count; i++)
        out[n++] = arena_copy(g->arena, text_of(words[i]));
    return out;
}

static bool spawn(struct git *g, const char *const *words, uint32_t count, int in, int out, bool quiet, pid_t *pid)
{
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    if (in < 0)
        posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
    else
        posix_spawn_file_actions_adddup2(&actions, in, 0);
    posix_spawn_file_actions_adddup2(&actions, out, 1);
    if (quiet)
        posix_spawn_file_actions_addopen(&actions, 2, "/dev/null", O_WRONLY, 0);
    int fault = posix_spawnp(pid, "git", &actions, NULL, make_words(g, words, count), make_environment(g));
    posix_spawn_file_actions_destroy(&actions);
    g->absent = fault;
    if (fault)
        complain("cannot run git: %s", strerror(fault));
    return !fault;
}

static bool wait_for(pid_t pid)
{
    int status;
    while (waitpid(pid, &status, 0) < 0)
        if (errno != EINTR)
            return false;
    return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

bool git_output(struct git *g, const char *const *words, uint32_t count, bool quiet, struct text *out)
{
    int ends[2];
    pid_t pid;
    struct buffer b;
    char piece[16384];
    *out = TEXT("");
    if (pipe2(ends, O_CLOEXEC))
        return complain("cannot make a pipe: %s", strerror(errno)) == EXIT_CLEAN;
    bool good = spawn(g, words, count, -1, ends[1], quiet, &pid);
    close(ends[1]);
    buffer_init(&b, g->arena);
    for (ssize_t n = 0; good && (n = read(ends[0], piece, sizeof piece)) != 0;)
        if (n > 0)
            buffer_put(&b, (struct text){piece, (uint32_t)n});
        else if (errno != EINTR)
            break;
    close(ends[0]);
    good = good && wait_for(pid);
    buffer_putc(&b, 0);
    *out = (struct text){b.at, b.count - 1};
    return good;
}

/* ---- opening --------------------------------------------------------------------------------------------------------- */

/* The folder of the path, or above it the first that still stands; *rest is the path from there. */
static struct text standing_folder(struct arena *a, const char *path, struct text *rest)
{
    struct text whole = text_of(path);
    uint32_t cut = whole.len;
    for (;;) {
        while (cut && path[cut - 1] != '/')
            cut--;
        struct text folder = cut ? arena_text(a, (struct text){path, cut}) : TEXT(".");
        struct stat st;
        if (!cut || (stat(folder.at, &st) == 0 && S_ISDIR(st.st_mode))) {
            *rest = (struct text){path + cut, whole.len - cut};
            return folder;
        }
        cut--;
    }
}

static bool start_batch(struct git *g)
{
    static const char *const batch[] = {"cat-file", "--batch", "--follow-symlinks"};
    int in[2], out[2];
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, in) || pipe2(out, O_CLOEXEC)) {
        complain("cannot talk to git: %s", strerror(errno));
        return false;
    }
    bool good = spawn(g, batch, 3, in[0], out[1], false, &g->pid);
    close(in[0]);
    close(out[1]);
    if (good) {
        g->to = in[1];
        g->from = out[0];
        return true;
    }
    close(in[1]);
    close(out[0]);
    return false;
}

bool git_open(struct git *g, struct arena *a, const char *path)
{
    static const char *const words[] = {"rev-parse", "--show-toplevel", "--show-prefix"};
    struct text rest, out;
    *g = (struct git){.arena = a, .to = -1, .from = -1};
    buffer_init(&g->got, a);
    intern_init(&g->names, a, NULL);
    g->folder = standing_folder(a, path, &rest);
    if (!git_output(g, words, 3, false, &out)) {
        if (!g->absent)
            complain("%s is in no repository that git can read", path);
        return false;
    }
    /* Two lines: the root, and the folder from there. */
    const char *end = memchr(out.at, '\n', out.len);
    uint32_t first = end ? (uint32_t)(end - out.at) : out.len;
    struct text prefix = {out.at + first + 1, out.len > first ? out.len - first - 1 : 0};
    while (prefix.len && prefix.at[prefix.len - 1] == '\n')
        prefix.len--;
    g->root = arena_text(a, (struct text){out.at, first});
    g->file = tidy_path(a, arena_format(a, "%.*s%.*s", TEXT_ARGS(prefix), TEXT_ARGS(rest)));
    return start_batch(g);
}

bool git_also(struct git *g, const char *path)
{
    struct text rest, folder = g->to < 0 ? TEXT("") : standing_folder(g->arena, path, &rest);
    char *real = folder.len ? realpath(folder.at, NULL) : NULL;
    size_t n = g->root.len;
    bool inside = real && n && strncmp(real, g->root.at, n) == 0 && (real[n] == '/' || !real[n]);
    if (inside)
        g->file = tidy_path(g->arena, arena_format(g->arena, "%s%s%.*s", real[n] ? real + n + 1 : "",
                                                   real[n] ? "/" : "", TEXT_ARGS(rest)));
    free(real);
    return inside;
}

void git_close(struct git *g)
{
    if (g->to < 0)
        return;
    close(g->to); /* the end of its input ends it */
    wait_for(g->pid);
    close(g->from);
    g->to = g->from = -1;
}

static const char partial[] =
    "if this clone has not got the contents of former revisions, fetch them with 'git fetch --refetch'";

/* ---- asking ----------------------------------------------------------------------------------------------------------- */

/* Should git have died, that is a message and not our own death by the signal. */
static bool send_all(struct git *g, struct text t)
{
    bool good = true;
    while (good && t.len) {
        ssize_t n = send(g->to, t.at, t.len, MSG_NOSIGNAL);
        good = n > 0 || (n < 0 && errno == EINTR);
        t.at += n > 0 ? n : 0;
        t.len -= n > 0 ? (uint32_t)n : 0;
    }
    return good;
}

static bool fill(struct git *g)
{
    char piece[65536];
    ssize_t n;
    do
        n = read(g->from, piece, sizeof piece);
    while (n < 0 && errno == EINTR);
    if (n > 0)
        buffer_put(&g->got, (struct text){piece, (uint32_t)n});
    return n > 0;
}

static bool take_line(struct git *g, struct text *line)
{
    for (;;) {
        const char *at = g->got.at + g->used;
        const char *end = g->got.count > g->used ? memchr(at, '\n', g->got.count - g->used) : NULL;
        if (end) {
            *line = arena_text(g->arena, (struct text){at, (uint32_t)(end - at)});
            g->used += line->len + 1;
            return true;
        }
        if (!fill(g))
            return false;
    }
}

static bool take_bytes(struct git *g, uint32_t size, struct text *bytes)
{
    while (g->got.count - g->used < size + 1)
        if (!fill(g))
            return false;
    *bytes = arena_text(g->arena, (struct text){g->got.at + g->used, size});
    g->used += size + 1; /* and the line end behind it */
    if (g->used == g->got.count)
        g->used = g->got.count = 0;
    return true;
}

/* "NAME blob 123", "NAME missing", "dangling 12" and what a link that leads nowhere is called. The last word that is a
 * number is the size of what follows. */
static bool size_of_answer(struct text line, uint32_t *size)
{
    uint32_t at = line.len;
    uint64_t value = 0;
    while (at && line.at[at - 1] >= '0' && line.at[at - 1] <= '9')
        at--;
    if (at == line.len || !at || line.at[at - 1] != ' ')
        return false;
    for (uint32_t i = at; i < line.len; i++) {
        value = 10 * value + (uint64_t)(line.at[i] - '0');
        if (value > SOURCE_LIMIT)
            return false;
    }
    *size = (uint32_t)value;
    return true;
}

static bool is_blob(struct text line)
{
    for (uint32_t i = 0; i + 6 <= line.len; i++)
        if (memcmp(line.at + i, " blob ", 6) == 0)
            return true;
    return false;
}

static bool ends_in(struct text t, const char *end)
{
    uint32_t n = (uint32_t)strlen(end);
    return t.len >= n && memcmp(t.at + t.len - n, end, n) == 0;
}

/* The name of the revision's tree, in hexadecimal; empty when there is no such revision. The answer is "NAME tree 123". */
static struct text tree_of(struct git *g, struct text revision)
{
    struct text line, bytes;
    uint32_t size;
    struct text name = arena_format(g->arena, "%.*s^{tree}\n", TEXT_ARGS(revision));
    if (memchr(revision.at, '\n', revision.len) || !send_all(g, name) || !take_line(g, &line) ||
        !size_of_answer(line, &size) || !take_bytes(g, size, &bytes))
        return TEXT("");
    const char *blank = memchr(line.at, ' ', line.len);
    return arena_text(g->arena, (struct text){line.at, blank ? (uint32_t)(blank - line.at) : line.len});
}

/* Why a file was not given out: the revision has none of this name, there is no such revision, or its bytes are not in the
 * repository, as in a clone that left them out. */
static enum git_answer reason_missing(struct git *g, struct text revision, struct text file)
{
    struct text tree = tree_of(g, revision), out;
    if (!tree.len)
        return GIT_NO_REVISION;
    const char *words[] = {"ls-tree", "-z", "--full-tree", tree.at, "--", arena_text(g->arena, file).at};
    if (git_output(g, words, sizeof words / sizeof words[0], false, &out) && !out.len)
        return GIT_MISSING;
    complain("git cannot give the contents of %.*s at %.*s; %s", TEXT_ARGS(file), TEXT_ARGS(revision), partial);
    return GIT_BROKEN;
}

/* The answer to one name: its bytes when it is a file. */
static enum git_answer ask(struct git *g, struct text revision, struct text file, struct text *bytes)
{
    struct text line, name = arena_format(g->arena, "%.*s:%.*s", TEXT_ARGS(revision), TEXT_ARGS(file));
    uint32_t size;
    if (memchr(name.at, '\n', name.len) || memchr(name.at, 0, name.len))
        return GIT_MISSING;
    if (!send_all(g, name) || !send_all(g, TEXT("\n")) || !take_line(g, &line)) {
        if (!g->dead)
            complain("git stopped when it was asked for %.*s at %.*s; %s", TEXT_ARGS(file), TEXT_ARGS(revision),
                     partial);
        g->dead = true;
        return GIT_BROKEN;
    }
    if (ends_in(line, " missing") || ends_in(line, " ambiguous"))
        return reason_missing(g, revision, file);
    if (!size_of_answer(line, &size) || !take_bytes(g, size, bytes)) {
        complain("git gave an answer that cannot be read: %.*s", TEXT_ARGS(line));
        return GIT_BROKEN;
    }
    return is_blob(line) ? GIT_FOUND : GIT_MISSING;
}

/* What many recipes use is asked for once. */
enum git_answer git_read(struct git *g, struct text revision, struct text file, struct text *bytes)
{
    struct text name = arena_format(g->arena, "%.*s:%.*s", TEXT_ARGS(revision), TEXT_ARGS(file));
    atom known = interned(&g->names, name);
    if (known) {
        *bytes = g->found.at[known - 1];
        return GIT_FOUND;
    }
    enum git_answer answer = ask(g, revision, file, bytes);
    if (answer == GIT_FOUND && intern(&g->names, name) == g->found.count + 1)
        *ARRAY_PUSH(g->arena, &g->found) = *bytes;
    return answer;
}

/* ---- recipes ----------------------------------------------------------------------------------------------------------- */

static uint32_t folder_length(struct text path)
{
    uint32_t n = path.len;
    while (n && path.at[n - 1] != '/')
        n--;
    return n;
}

/* `from` is "REVISION:path"; what it uses is looked for at the same revision. */
static enum fault load(void *context, struct arena *a, struct text from, struct text wanted, struct text *path,
                       struct text *bytes, struct text *why)
{
    struct loading *l = context;
    if (!wanted.len || wanted.at[0] == '/') {
        *why = wanted.len ? TEXT("a revision holds no absolute paths") : TEXT("the path is empty");
        return FAULT_use_not_found;
    }
    uint32_t head = l->revision.len + 1;
    struct text file = {from.at + head, from.len - head};
    struct text full = tidy_path(a, arena_format(a, "%.*s%.*s", (int)folder_length(file), file.at, TEXT_ARGS(wanted)));
    bool inside = full.len > l->root.len && memcmp(full.at, l->root.at, l->root.len) == 0;
    if (full.len >= 3 && memcmp(full.at, "../", 3) == 0) {
        *why = TEXT("it lies outside the repository");
        return FAULT_use_outside;
    }
    if (!inside && !l->options->allow_outside) {
        *why = TEXT("it lies outside the recipe's folder");
        return FAULT_use_outside;
    }
    *path = arena_format(a, "%.*s:%.*s", TEXT_ARGS(l->revision), TEXT_ARGS(full));
    enum git_answer answer = git_read(l->git, l->revision, full, bytes);
    l->git->broken |= answer == GIT_BROKEN;
    if (answer == GIT_FOUND)
        return (enum fault)LOAD_OK;
    *why = TEXT("the revision has no such file");
    return FAULT_use_not_found;
}

/* All renamings on the way from the revision to another, or, when that is empty, to the index, as
 * "R100 NUL old NUL new NUL". The index and not the working tree: comparing with that may run a filter of the
 * repository's. Asked for once. */
static struct text renamings(struct git *g, struct text revision, struct text to)
{
    const char *words[] = {to.len ? "diff-tree" : "diff-index",
                           to.len ? "-r" : "--cached",
                           "-M",
                           "--no-relative",
                           "--diff-filter=R",
                           "--name-status",
                           "-z",
                           arena_text(g->arena, revision).at,
                           arena_text(g->arena, to).at};
    struct text key = arena_format(g->arena, "%.*s %.*s", TEXT_ARGS(revision), TEXT_ARGS(to));
    if (text_same(key, g->renamed_between))
        return g->renamed;
    uint32_t count = sizeof words / sizeof words[0] - !to.len;
    bool option = revision.at[0] == '-' || (to.len && to.at[0] == '-'); /* what git takes for one is no revision */
    g->renamed_between = key;
    g->renamed = TEXT("");
    if (!option && !git_output(g, words, count, true, &g->renamed)) {
        g->renamed_between = TEXT("");
        g->broken = true;
        complain("git cannot tell which name %.*s had at %.*s; %s", TEXT_ARGS(g->file), TEXT_ARGS(revision), partial);
    }
    return g->renamed;
}

/* The name that the file asked for had at the revision, when it was renamed since; empty when it was not. */
static struct text other_name(struct git *g, struct text revision, struct text named_at)
{
    struct text out = renamings(g, revision, named_at);
    for (uint32_t at = 0; at < out.len;) {
        struct text parts[3];
        for (int i = 0; i < 3; i++) {
            parts[i] = text_of(at < out.len ? out.at + at : "");
            at += parts[i].len + 1;
        }
        if (text_same(parts[2], g->file))
            return parts[1];
    }
    return TEXT("");
}

static bool complain_missing(struct git *g, enum git_answer answer, struct text revision)
{
    if (answer == GIT_NO_REVISION && !text_same(revision, g->told_missing)) {
        g->told_missing = arena_text(g->arena, revision);
        complain("there is no revision '%.*s'", TEXT_ARGS(revision));
    } else if (answer == GIT_MISSING)
        complain("%.*s does not exist at %.*s", TEXT_ARGS(g->file), TEXT_ARGS(revision));
    return false;
}

bool open_at_revision(struct opened_recipe *o, const struct strokewright_library *library, struct git *g,
                      struct text revision, struct text named_at, const struct options *options,
                      const struct demand *demand, bool *absent)
{
    struct text bytes, file = g->file;
    enum git_answer answer = git_read(g, revision, file, &bytes);
    g->broken = false;
    struct text other = answer == GIT_MISSING && named_at.at ? other_name(g, revision, named_at) : TEXT("");
    if (other.len) {
        file = other;
        answer = git_read(g, revision, file, &bytes);
    }
    if (g->broken)
        return false;
    if (absent)
        *absent = answer == GIT_MISSING;
    if (answer != GIT_FOUND)
        return absent && *absent ? false : complain_missing(g, answer, revision);
    *o = (struct opened_recipe){.loading = {.options = options, .git = g}};
    arena_init(&o->arena, out_of_memory());
    o->loading.revision = arena_text(&o->arena, revision);
    o->loading.root = arena_text(&o->arena, (struct text){file.at, folder_length(file)});
    o->loader = (struct loader){&o->loading, load};
    struct text shown = arena_format(&o->arena, "%.*s:%.*s", TEXT_ARGS(revision), TEXT_ARGS(file));
    if (!compile_opened(o, library, demand, shown, arena_text(&o->arena, bytes)))
        return false;
    if (g->broken)
        close_recipe(o);
    return !g->broken;
}
