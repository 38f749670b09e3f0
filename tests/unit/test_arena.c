/* Arena and growable arrays. */
#include "runtime/base/array.h"
#include "runtime/base/buffer.h"

#include <check.h>
#include <setjmp.h>
#include <signal.h>
#include <stdalign.h>
#include <stdlib.h>

static struct arena arena;

static void begin(void)
{
    arena_init(&arena, NULL);
}

static void end(void)
{
    arena_free(&arena);
}

/* ---- arena ------------------------------------------------------------------------------------------------------- */

enum { PIECES = 1000 };

static size_t size_of_piece(int i)
{
    return (size_t)(i % 7 == 0 ? i * 53 : i % 97); /* some larger than a chunk */
}

static bool is_all(const unsigned char *at, size_t size, int byte)
{
    for (size_t k = 0; k < size; k++)
        if (at[k] != byte)
            return false;
    return true;
}

START_TEST(gives_zeroed_aligned_separate_memory)
{
    unsigned char *piece[PIECES];
    for (int i = 0; i < PIECES; i++) {
        piece[i] = arena_alloc(&arena, size_of_piece(i));
        ck_assert_ptr_nonnull(piece[i]);
        ck_assert_uint_eq((uintptr_t)piece[i] % alignof(max_align_t), 0);
        ck_assert(is_all(piece[i], size_of_piece(i), 0));
        memset(piece[i], i % 251 + 1, size_of_piece(i));
    }
    for (int i = 0; i < PIECES; i++)
        ck_assert(is_all(piece[i], size_of_piece(i), i % 251 + 1));
}
END_TEST

START_TEST(counts_what_it_asks_for)
{
    ck_assert_uint_eq(arena.bytes, 0);
    arena_alloc(&arena, 1000000);
    ck_assert_uint_ge(arena.bytes, 1000000);
    size_t before = arena.bytes;
    void *block = arena_grow(&arena, NULL, 5000);
    ck_assert_uint_eq(arena.bytes, before + 5000);
    arena_grow(&arena, block, 70000);
    ck_assert_uint_eq(arena.bytes, before + 70000);
    arena_free(&arena);
    ck_assert_uint_eq(arena.bytes, 0);
}
END_TEST

START_TEST(can_be_used_again_after_free)
{
    for (int round = 0; round < 50; round++) {
        memset(arena_alloc(&arena, 100000), 1, 100000);
        memset(arena_grow(&arena, NULL, 1000), 1, 1000);
        arena_free(&arena);
    }
    ck_assert_int_eq(*(char *)arena_alloc(&arena, 10), 0);
    arena_free(&arena);
    arena_free(&arena); /* twice is once */
}
END_TEST

START_TEST(keeps_its_room_when_cleared)
{
    size_t before = 0;
    for (int round = 0; round < 20; round++) {
        for (int i = 0; i < 30; i++) {
            char *piece = arena_alloc(&arena, 9000 + 500 * (size_t)i);
            ck_assert(piece[0] == 0 && !memcmp(piece, piece + 1, 8999)); /* zeroed, also what was used before */
            memset(piece, 1, 9000);
        }
        memset(arena_alloc(&arena, 300000), 1, 300000);
        memset(arena_grow(&arena, NULL, 1000), 1, 1000);
        arena_clear(&arena);
        before = round ? before : arena.bytes;
        ck_assert_uint_le(arena.bytes, before);
    }
    arena_clear(&arena); /* empty already */
    arena_free(&arena);
    ck_assert_uint_eq(arena.bytes, 0);
}
END_TEST

/* What is not asked to be zero may be anything, and what is asked to be is, wherever the other kind was before. */
START_TEST(zeroes_only_what_is_asked_to_be)
{
    for (int round = 0; round < 20; round++) {
        for (int i = 0; i < 200; i++) {
            size_t size = 1 + (size_t)(i * 37 % 1500);
            memset(arena_room(&arena, size), 0xEE, size);
            ck_assert(is_all(arena_alloc(&arena, size), size, 0));
        }
        arena_clear(&arena);
    }
}
END_TEST

START_TEST(copies_texts_and_ends_them)
{
    char bytes[] = {'a', 0, 'b', 'c'};
    struct text t = arena_text(&arena, (struct text){bytes, 3}), none = arena_text(&arena, (struct text){NULL, 0});
    bytes[0] = 'x';
    ck_assert(t.len == 3 && memcmp(t.at, "a\0b", 4) == 0);
    ck_assert(none.len == 0 && none.at[0] == 0);
    struct text f = arena_format(&arena, "%s %d %.*s", "limit", 42, 2, "kNm");
    ck_assert(text_is(f, "limit 42 kN") && f.at[f.len] == 0);
    struct text wide = arena_format(&arena, "%200000d", 7);
    ck_assert(wide.len == 200000 && wide.at[199999] == '7' && wide.at[0] == ' ');
}
END_TEST

static void alloc_everything(void)
{
    arena_alloc(&arena, SIZE_MAX - 4);
}

static void alloc_product_too_large(void)
{
    arena_array(&arena, SIZE_MAX / 8 + 2, 8); /* which comes round to 8 */
}

static void grow_to_everything(void)
{
    arena_grow(&arena, NULL, SIZE_MAX - 4);
}

static void reserve_too_many(void)
{
    ARRAY(char) a = {0};
    *ARRAY_PUSH(&arena, &a) = 1;
    ARRAY_RESERVE(&arena, &a, UINT32_MAX);
}

static void take_product_too_large(void)
{
    arena_room_for(&arena, SIZE_MAX / 8 + 2, 8);
}

static void (*const excesses[])(void) = {alloc_everything, alloc_product_too_large, take_product_too_large,
                                         grow_to_everything, reserve_too_many};

START_TEST(jumps_when_memory_runs_out)
{
    jmp_buf out;
    volatile bool jumped = false;
    arena_init(&arena, &out);
    if (setjmp(out) == 0)
        excesses[_i]();
    else
        jumped = true;
    ck_assert(jumped);
    memset(arena_alloc(&arena, 100), 1, 100); /* and is whole */
}
END_TEST

START_TEST(aborts_when_nobody_waits_for_the_jump)
{
    excesses[_i]();
}
END_TEST

/* ---- arrays ------------------------------------------------------------------------------------------------------ */

struct item {
    uint32_t number;
    char letter;
};

START_TEST(grows_arrays_and_keeps_their_elements)
{
    ARRAY(struct item) one = {0}, two = {0};
    bool zeroed = true, kept = true;
    for (uint32_t i = 0; i < 100000; i++) {
        struct item *n = ARRAY_PUSH(&arena, &one);
        zeroed = zeroed && n->number == 0 && n->letter == 0;
        *n = (struct item){i, (char)('a' + i % 26)};
        if (i % 3 == 0) /* side by side with another */
            *ARRAY_PUSH(&arena, &two) = *n;
    }
    ck_assert_uint_eq(one.count, 100000);
    ck_assert_uint_eq(two.count, 33334);
    for (uint32_t i = 0; i < one.count; i++)
        kept = kept && one.at[i].number == i && one.at[i].letter == (char)('a' + i % 26);
    for (uint32_t i = 0; i < two.count; i++)
        kept = kept && two.at[i].number == 3 * i;
    ck_assert(zeroed);
    ck_assert(kept);
}
END_TEST

START_TEST(reserves_at_once)
{
    ARRAY(uint64_t) a = {0};
    ARRAY_RESERVE(&arena, &a, 1000);
    ck_assert_uint_ge(a.room, 1000);
    ck_assert_uint_eq(a.count, 0);
    uint64_t *first = ARRAY_PUSH(&arena, &a);
    for (int i = 1; i < 1000; i++)
        *ARRAY_PUSH(&arena, &a) = 1;
    ck_assert_ptr_eq(first, a.at); /* it did not move */
}
END_TEST

/* Small ones grow where they stand, as long as nothing stands behind them, and none writes over its neighbour. */
START_TEST(grows_small_arrays_among_others)
{
    enum { MANY = 50 };
    struct buffer b[MANY];
    for (int i = 0; i < MANY; i++)
        buffer_init(&b[i], &arena);
    for (uint32_t round = 0; round < 400; round++)
        for (uint32_t i = 0; i < MANY; i++)
            for (uint32_t k = 0; k < (round * 7 + i) % 5; k++)
                buffer_putc(&b[i], (char)('A' + i));
    for (int i = 0; i < MANY; i++)
        ck_assert(b[i].count > 700 && is_all((unsigned char *)b[i].at, b[i].count, 'A' + i));
    ck_assert(is_all(arena_alloc(&arena, 3000), 3000, 0));
}
END_TEST

START_TEST(gives_back_what_an_array_does_not_need)
{
    uint32_t *small = NULL, *large = NULL, rooms[2] = {0, 0};
    array_reserve(&arena, (void **)&small, 0, &rooms[0], 5, sizeof *small);
    array_reserve(&arena, (void **)&large, 0, &rooms[1], 100000, sizeof *large);
    for (uint32_t i = 0; i < 5; i++)
        small[i] = large[i] = i + 1;
    size_t before = arena.bytes;
    small = array_trim(&arena, small, rooms[0], 5, sizeof *small);
    large = array_trim(&arena, large, rooms[1], 5, sizeof *large);
    ck_assert_uint_le(arena.bytes + 99995 * sizeof *large, before);
    for (uint32_t i = 0; i < 5; i++)
        ck_assert(small[i] == i + 1 && large[i] == i + 1);
}
END_TEST

#define COUNT(table) ((int)(sizeof(table) / sizeof(table)[0]))

int main(void)
{
    Suite *suite = suite_create("arena");
    TCase *tests = tcase_create("arena");
    tcase_add_checked_fixture(tests, begin, end);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, gives_zeroed_aligned_separate_memory);
    tcase_add_test(tests, counts_what_it_asks_for);
    tcase_add_test(tests, can_be_used_again_after_free);
    tcase_add_test(tests, keeps_its_room_when_cleared);
    tcase_add_test(tests, zeroes_only_what_is_asked_to_be);
    tcase_add_test(tests, copies_texts_and_ends_them);
    tcase_add_loop_test(tests, jumps_when_memory_runs_out, 0, COUNT(excesses));
    tcase_add_loop_test_raise_signal(tests, aborts_when_nobody_waits_for_the_jump, SIGABRT, 0, COUNT(excesses));
    tcase_add_test(tests, grows_arrays_and_keeps_their_elements);
    tcase_add_test(tests, reserves_at_once);
    tcase_add_test(tests, grows_small_arrays_among_others);
    tcase_add_test(tests, gives_back_what_an_array_does_not_need);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
