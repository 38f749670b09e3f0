/* Interned names, maps, buffers, and files written whole or not at all. */
#include "runtime/base/buffer.h"
#include "runtime/base/intern.h"
#include "runtime/base/map.h"

#include <check.h>
#include <dirent.h>
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static struct arena arena;

static void begin(void)
{
    arena_init(&arena, NULL);
}

static void end(void)
{
    arena_free(&arena);
}

/* ---- names ------------------------------------------------------------------------------------------------------- */

static struct text numbered(int i)
{
    return arena_format(&arena, "name-%d", i);
}

START_TEST(interns_equal_spellings_once)
{
    struct names_table names;
    char bytes[] = "die-punch";
    intern_init(&names, &arena, NULL);
    atom die = intern(&names, (struct text){bytes, 3}), both = intern(&names, text_of(bytes)),
         none = intern(&names, TEXT(""));
    ck_assert(die != 0 && both != 0 && none != 0 && die != both && die != none);
    ck_assert_uint_eq(intern(&names, TEXT("die")), die);
    memset(bytes, 'x', 9); /* the table has its own copy */
    ck_assert_uint_eq(interned(&names, TEXT("die-punch")), both);
    ck_assert_uint_eq(interned(&names, TEXT("dieS")), 0);
    ck_assert_uint_eq(interned(&names, TEXT("di")), 0);
    ck_assert(text_is(atom_text(&names, both), "die-punch"));
    ck_assert(atom_text(&names, none).len == 0);
    ck_assert(atom_text(&names, 0).len == 0);
}
END_TEST

START_TEST(interns_many)
{
    enum { MANY = 20000 };
    struct names_table names;
    intern_init(&names, &arena, NULL);
    ck_assert_uint_eq(interned(&names, TEXT("x")), 0);
    for (int i = 0; i < MANY; i++)
        ck_assert_uint_eq(intern(&names, numbered(i)), (atom)i + 1);
    for (int i = 0; i < MANY; i++) {
        ck_assert_uint_eq(interned(&names, numbered(i)), (atom)i + 1);
        ck_assert(text_same(atom_text(&names, (atom)i + 1), numbered(i)));
    }
    ck_assert_uint_eq(interned(&names, numbered(MANY)), 0);
}
END_TEST

START_TEST(stands_on_a_table_below)
{
    struct names_table library, recipe, other;
    intern_init(&library, &arena, NULL);
    for (int i = 0; i < 600; i++)
        intern(&library, numbered(i));
    intern_init(&recipe, &arena, &library);
    intern_init(&other, &arena, &library);
    ck_assert_uint_eq(intern(&recipe, numbered(5)), interned(&library, numbered(5)));
    atom own = intern(&recipe, TEXT("lid"));
    ck_assert_uint_gt(own, interned(&library, numbered(599)));
    ck_assert_uint_eq(interned(&library, TEXT("lid")), 0);
    ck_assert_uint_eq(interned(&other, TEXT("lid")), 0);
    ck_assert(text_is(atom_text(&recipe, own), "lid"));
    ck_assert(text_same(atom_text(&recipe, 3), numbered(2)));
    for (int i = 600; i < 2000; i++) /* both grow apart */
        ck_assert_uint_eq(intern(&recipe, numbered(i)), intern(&other, numbered(i)) + 1);
}
END_TEST

/* ---- maps -------------------------------------------------------------------------------------------------------- */

START_TEST(maps_keys_to_values)
{
    enum { KEYS = 4096 };
    struct map m;
    uint32_t want[KEYS] = {0};
    map_init(&m, &arena);
    ck_assert_uint_eq(map_get(&m, 0), 0);
    srand(99);
    for (int i = 0; i < 20000; i++) {
        uint32_t id = (uint32_t)rand() % KEYS, value = (uint32_t)rand() + 1u;
        map_set(&m, map_key(id % 16, id / 16), value);
        want[id] = value;
    }
    for (uint32_t id = 0; id < KEYS; id++)
        ck_assert_uint_eq(map_get(&m, map_key(id % 16, id / 16)), want[id]);
    ck_assert_uint_eq(map_get(&m, map_key(16, 0)), 0);
    map_set(&m, 0, 7);
    map_set(&m, UINT64_MAX, 8);
    ck_assert_uint_eq(map_get(&m, 0), 7);
    ck_assert_uint_eq(map_get(&m, UINT64_MAX), 8);
}
END_TEST

/* ---- buffers ----------------------------------------------------------------------------------------------------- */

START_TEST(fills_a_buffer)
{
    struct buffer b;
    buffer_init(&b, &arena);
    ck_assert_uint_eq(buffer_text(&b).len, 0);
    buffer_put(&b, TEXT("ram"));
    buffer_put(&b, (struct text){NULL, 0});
    buffer_putc(&b, ' ');
    buffer_printf(&b, "%d %s", 25, "mm/s");
    buffer_printf(&b, "%s", "");
    buffer_pad(&b, '.', 3);
    buffer_pad(&b, '.', 0);
    buffer_put(&b, (struct text){"\0!", 2});
    struct text t = buffer_text(&b);
    ck_assert(t.len == 16 && memcmp(t.at, "ram 25 mm/s...\0!", 16) == 0);
}
END_TEST

START_TEST(grows_a_buffer)
{
    struct buffer b;
    buffer_init(&b, &arena);
    for (int i = 0; i < 30000; i++) {
        buffer_printf(&b, "%05d", i);
        buffer_putc(&b, ';');
    }
    buffer_printf(&b, "%100000d", 1);
    buffer_pad(&b, ' ', 100000);
    ck_assert_uint_eq(buffer_text(&b).len, 30000 * 6 + 200000);
    for (int i = 0; i < 30000; i++)
        ck_assert_int_eq(atoi(b.at + (size_t)i * 6), i);
    ck_assert_int_eq(b.at[30000 * 6 + 99999], '1');
}
END_TEST

/* ---- files ------------------------------------------------------------------------------------------------------- */

static char folder[64], path[128];

static void make_folder(void)
{
    begin();
    snprintf(folder, sizeof folder, "/tmp/strokewright-base-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/traveller.txt", folder);
}

static void remove_folder(void)
{
    chmod(folder, 0700);
    unlink(path);
    rmdir(path);                        /* where a test made a folder of that name */
    ck_assert_int_eq(rmdir(folder), 0); /* nothing else was left in it */
    end();
}

static int files_in_folder(void)
{
    DIR *d = opendir(folder);
    int count = 0;
    ck_assert_ptr_nonnull(d);
    for (struct dirent *e; (e = readdir(d));)
        count += e->d_name[0] != '.';
    closedir(d);
    return count;
}

static void holds(const char *want)
{
    struct arena arena;
    struct text bytes;
    arena_init(&arena, NULL);
    ck_assert_int_eq(buffer_read_file(&arena, path, &bytes), 0);
    ck_assert(text_is(bytes, want));
    arena_free(&arena);
}

START_TEST(reads_a_file)
{
    struct arena arena;
    struct buffer b;
    struct text bytes;
    arena_init(&arena, NULL);
    buffer_init(&b, &arena);
    ck_assert_int_eq(buffer_read_file(&arena, path, &bytes), ENOENT);
    for (int i = 0; i < 9000; i++)
        buffer_putc(&b, (char)(i % 251)); /* zeros among them, and more than is read at once */
    ck_assert_int_eq(buffer_write_file(path, buffer_text(&b)), 0);
    ck_assert_int_eq(buffer_read_file(&arena, path, &bytes), 0);
    ck_assert(text_same(bytes, buffer_text(&b)));
    arena_free(&arena);
}
END_TEST

START_TEST(writes_a_file)
{
    mode_t mask = umask(027);
    ck_assert_int_eq(buffer_write_file(path, TEXT("first")), 0);
    holds("first");
    struct stat s;
    ck_assert_int_eq(stat(path, &s), 0);
    ck_assert_uint_eq(s.st_mode & 0777, 0640);               /* what the umask allows, not what a temporary file has */
    ck_assert_int_eq(buffer_write_file(path, TEXT("2")), 0); /* shorter than before */
    holds("2");
    ck_assert_int_eq(buffer_write_file(path, (struct text){NULL, 0}), 0);
    holds("");
    ck_assert_int_eq(files_in_folder(), 1);
    umask(mask);
}
END_TEST

START_TEST(writes_a_large_file)
{
    struct buffer b;
    buffer_init(&b, &arena);
    buffer_pad(&b, 'x', 20000000);
    ck_assert_int_eq(buffer_write_file(path, buffer_text(&b)), 0);
    struct stat s;
    ck_assert_int_eq(stat(path, &s), 0);
    ck_assert_int_eq(s.st_size, 20000000);
}
END_TEST

/* A limit on the size of files stands for a disk that fills up: the write stops in the middle. */
static int write_within(rlim_t limit, struct text bytes)
{
    struct rlimit before, less;
    getrlimit(RLIMIT_FSIZE, &before);
    less = (struct rlimit){.rlim_cur = limit, .rlim_max = before.rlim_max};
    signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &less);
    int fault = buffer_write_file(path, bytes);
    setrlimit(RLIMIT_FSIZE, &before); /* before any check, which would write too */
    signal(SIGXFSZ, SIG_DFL);
    return fault;
}

START_TEST(keeps_the_old_file_when_the_new_does_not_fit)
{
    struct buffer b;
    buffer_init(&b, &arena);
    buffer_pad(&b, 'x', 100000);
    ck_assert_int_eq(buffer_write_file(path, TEXT("old")), 0);
    ck_assert_int_eq(write_within(4096, buffer_text(&b)), EFBIG);
    holds("old");
    ck_assert_int_eq(files_in_folder(), 1);
    ck_assert_int_eq(write_within(4096, TEXT("fits")), 0);
    holds("fits");
}
END_TEST

START_TEST(leaves_nothing_when_the_file_does_not_fit)
{
    struct buffer b;
    buffer_init(&b, &arena);
    buffer_pad(&b, 'x', 100000);
    ck_assert_int_eq(write_within(4096, buffer_text(&b)), EFBIG);
    ck_assert_int_eq(files_in_folder(), 0);
}
END_TEST

/* Some file systems tell only at the end that nothing was kept: a close that fails after its work stands for them. */
static bool closing_fails;

long syscall(long number, ...);

int close(int fd)
{
    long closed = syscall(SYS_close, fd);
    if (!closing_fails)
        return (int)closed;
    errno = EDQUOT;
    return -1;
}

START_TEST(keeps_the_old_file_when_the_new_cannot_be_closed)
{
    ck_assert_int_eq(buffer_write_file(path, TEXT("old")), 0);
    closing_fails = true;
    int whole = buffer_write_file(path, TEXT("new")), kept = buffer_write_kept(path, TEXT("new"));
    closing_fails = false;
    ck_assert_int_eq(whole, EDQUOT);
    ck_assert_int_eq(kept, EDQUOT);
    holds("old");
    ck_assert_int_eq(files_in_folder(), 1);
}
END_TEST

/* Permissions do not hold root back, so root steps down for as long as that takes. */
static int write_as_anyone(struct text bytes)
{
    const uid_t nobody = 65534;
    bool root = geteuid() == 0;
    if (root)
        ck_assert_int_eq(seteuid(nobody), 0);
    int fault = buffer_write_file(path, bytes);
    if (root)
        ck_assert_int_eq(seteuid(0), 0);
    return fault;
}

START_TEST(keeps_the_old_file_in_a_folder_that_is_read_only)
{
    ck_assert_int_eq(buffer_write_file(path, TEXT("old")), 0);
    ck_assert_int_eq(chmod(folder, 0555), 0);
    ck_assert_int_eq(write_as_anyone(TEXT("new")), EACCES);
    holds("old");
    ck_assert_int_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(tells_why_it_could_not_write)
{
    ck_assert_int_eq(buffer_write_file("/tmp/strokewright-no-such-folder/x", TEXT("x")), ENOENT);
    ck_assert_int_eq(buffer_write_file(path, TEXT("x")), 0);
    char below[sizeof path + 8];
    snprintf(below, sizeof below, "%s/x", path);
    ck_assert_int_eq(buffer_write_file(below, TEXT("x")), ENOTDIR);
}
END_TEST

START_TEST(does_not_replace_a_pipe)
{
    ck_assert_int_eq(mkfifo(path, 0600), 0);
    ck_assert_int_eq(buffer_write_file(path, TEXT("x")), EEXIST);
    struct stat st;
    ck_assert_int_eq(stat(path, &st), 0);
    ck_assert(S_ISFIFO(st.st_mode));
}
END_TEST

START_TEST(does_not_replace_a_folder)
{
    ck_assert_int_eq(mkdir(path, 0700), 0);
    ck_assert_int_eq(buffer_write_file(path, TEXT("x")), EISDIR);
    ck_assert_int_eq(files_in_folder(), 1); /* the folder itself */
}
END_TEST

static TCase *memory_tests(void)
{
    TCase *tests = tcase_create("memory");
    tcase_add_checked_fixture(tests, begin, end);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, interns_equal_spellings_once);
    tcase_add_test(tests, interns_many);
    tcase_add_test(tests, stands_on_a_table_below);
    tcase_add_test(tests, maps_keys_to_values);
    tcase_add_test(tests, fills_a_buffer);
    tcase_add_test(tests, grows_a_buffer);
    return tests;
}

static TCase *file_tests(void)
{
    TCase *tests = tcase_create("files");
    tcase_add_checked_fixture(tests, make_folder, remove_folder);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, reads_a_file);
    tcase_add_test(tests, writes_a_file);
    tcase_add_test(tests, writes_a_large_file);
    tcase_add_test(tests, keeps_the_old_file_when_the_new_does_not_fit);
    tcase_add_test(tests, keeps_the_old_file_when_the_new_cannot_be_closed);
    tcase_add_test(tests, leaves_nothing_when_the_file_does_not_fit);
    tcase_add_test(tests, keeps_the_old_file_in_a_folder_that_is_read_only);
    tcase_add_test(tests, tells_why_it_could_not_write);
    tcase_add_test(tests, does_not_replace_a_pipe);
    tcase_add_test(tests, does_not_replace_a_folder);
    return tests;
}

int main(void)
{
    Suite *suite = suite_create("base");
    suite_add_tcase(suite, memory_tests());
    suite_add_tcase(suite, file_tests());
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
