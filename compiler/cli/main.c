/* The command line: finds the verb, reads its options, runs it. */
#include "compiler/cli/cli.h"
#include "compiler/cli/terminal.h"
#include "compiler/emit/escape.h"

#include <signal.h>
#include <stdlib.h>
#include <unistd.h>

static const struct verb *const verbs[] = {
#define VERB(name) &verb_##name,
#include "compiler/cli/verbs.def"
#undef VERB
};
enum { VERB_COUNT = sizeof verbs / sizeof verbs[0] };

static _Thread_local struct buffer *complaints; /* of this thread; NULL: standard error */

void complain_into(struct buffer *b)
{
    complaints = b;
}

static void put_complaint(struct text words)
{
    if (complaints)
        buffer_put(complaints, words);
    else
        fwrite(words.at, 1, words.len, stderr);
}

int complain(const char *format, ...)
{
    struct arena arena;
    va_list args;
    arena_init(&arena, out_of_memory());
    va_start(args, format);
    put_complaint(TEXT("strokewright: "));
    put_complaint(escape_plain(&arena, arena_format_v(&arena, format, args))); /* names may hold anything */
    put_complaint(TEXT("\n"));
    va_end(args);
    arena_free(&arena);
    return EXIT_USE;
}

static void print_overview(FILE *to)
{
    fputs("strokewright checks recipes for warm-forming thin magnesium sheet and prints what the shop works from.\n\n"
          "usage: strokewright VERB [options] FILE ...\n\n",
          to);
    for (int i = 0; i < VERB_COUNT; i++)
        fprintf(to, "  %-11s %s\n", verbs[i]->name, verbs[i]->summary);
    fputs(
        "\n  --help      this page, or behind a verb the verb's\n"
        "  --version   the version\n\n"
        "Exit status: 0 clean, 1 the recipe has faults, 2 wrong use, or a file that cannot be read or written.\n"
        "It computes and prints; it never drives a machine. Local codes, the press's and the materials' own documents\n"
        "and competent persons decide.\n",
        to);
}

static void print_help(const struct verb *v, FILE *to)
{
    fprintf(to, "usage: strokewright %s %s\n\n%s", v->name, v->usage, v->help);
    if (strstr(v->options, "--only="))
        list_outputs(to);
}

static bool takes(const struct verb *v, const char *option, size_t length, bool *wants_value)
{
    for (const char *at = v->options; *at;) {
        size_t word = strcspn(at, " "), name = strcspn(at, "= ");
        if (name == length && memcmp(at, option, length) == 0) {
            *wants_value = name < word;
            return true;
        }
        at += word + (at[word] == ' ');
    }
    return false;
}

/* Where an option's value goes: a flag, or the text behind it. */
static bool *flag_named(struct options *o, struct text name)
{
    const struct {
        const char *name;
        bool *place;
    } rows[] = {
        /* clang-format off */ /* one a line */
        {"--json", &o->json},
        {"--allow-outside", &o->allow_outside},
        {"--all", &o->all},
        {"--git", &o->git},
        {"--driver", &o->driver},
        {"--limits", &o->limits},
        {"--csv", &o->csv},
        {"--write", &o->write},
        {"--check", &o->check},
        {"--explain", &o->explain},
        {"--template", &o->template},
        /* clang-format on */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (text_is(name, rows[i].name))
            return rows[i].place;
    return NULL;
}

static const char **text_named(struct options *o, struct text name)
{
    const struct {
        const char *name;
        const char **place;
    } rows[] = {{"--out", &o->out},
                {"--only", &o->only},
                {"--lang", &o->lang},
                {"--paper", &o->paper},
                {"--depth", &o->depth},
                {"--graph", &o->graph},
                {"--format", &o->format},
                {"--against", &o->against},
                {"--samples", &o->samples},
                {"--asks-for-revision", &o->asks},
                {"--changes", &o->changes},
                {"--seed", &o->seed},
                {"--coverage", &o->coverage},
                {"--date", &o->date},
                {"--certificate", &o->certificate},
                {"--readings", &o->readings},
                {"--decimal", &o->decimal},
                {"--separator", &o->separator}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (text_is(name, rows[i].name))
            return rows[i].place;
    return NULL;
}

static void set_option(struct options *o, const char *option, size_t length, const char *value)
{
    struct text name = {option, (uint32_t)length};
    bool *flag = flag_named(o, name);
    const char **text = text_named(o, name);
    if (flag)
        *flag = true;
    else if (text)
        *text = value;
}

/* One argument that begins with --; *i moves when the value is the next argument. */
static bool read_option(struct options *o, const struct verb *v, int argc, char **argv, int *i)
{
    const char *option = argv[*i], *equals = strchr(option, '=');
    size_t length = equals ? (size_t)(equals - option) : strlen(option);
    bool wants_value;
    if (strcmp(option, "--help") == 0) {
        o->help = true;
        return true;
    }
    if (!takes(v, option, length, &wants_value)) {
        complain("%s takes no option %s; see 'strokewright %s --help'", v->name, option, v->name);
        return false;
    }
    const char *value = equals ? equals + 1 : NULL;
    if (wants_value && !value && *i + 1 < argc)
        value = argv[++*i];
    if (wants_value && (!value || !*value)) {
        complain("%.*s needs a value; see 'strokewright %s --help'", (int)length, option, v->name);
        return false;
    }
    if (!wants_value && equals) {
        complain("%.*s takes no value", (int)length, option);
        return false;
    }
    set_option(o, option, length, value);
    return true;
}

static bool read_language(struct options *o)
{
    if (!o->lang)
        return true;
    o->language = language_of(text_of(o->lang));
    if (o->language < LANGUAGE_COUNT)
        return true;
    complain("there is no language '%s'; there are en, de, es, ja", o->lang);
    return false;
}

static int run_with_options(const struct verb *v, int argc, char **argv)
{
    struct terminal terminal = terminal_of(stderr);
    struct options o = {
        .width = terminal.width ? (int)terminal.width : 80, .color = terminal.color, .terminal = terminal.width};
    bool words_only = false;
    o.color_out = terminal_of(stdout).color;
    o.words = calloc((size_t)argc + 1, sizeof *o.words);
    if (!o.words)
        return complain("out of memory");
    int status = EXIT_CLEAN;
    for (int i = 2; i < argc && status == EXIT_CLEAN; i++) {
        if (!words_only && strcmp(argv[i], "--") == 0)
            words_only = true;
        else if (!words_only && argv[i][0] == '-' && argv[i][1])
            status = read_option(&o, v, argc, argv, &i) ? EXIT_CLEAN : EXIT_USE;
        else
            o.words[o.word_count++] = argv[i];
        words_only |= o.driver; /* what git puts behind it are names of files, whatever they look like */
    }
    if (status == EXIT_CLEAN && !read_language(&o))
        status = EXIT_USE;
    if (status == EXIT_CLEAN && o.help)
        print_help(v, stdout);
    else if (status == EXIT_CLEAN)
        status = v->run(&o);
    free(o.words);
    return status;
}

static int run_verb(int argc, char **argv)
{
    if (argc < 2) {
        print_overview(stderr);
        return EXIT_USE;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "help") == 0) {
        print_overview(stdout);
        return EXIT_CLEAN;
    }
    if (strcmp(argv[1], "--version") == 0) {
        puts("strokewright " STROKEWRIGHT_VERSION);
        return EXIT_CLEAN;
    }
    struct text names[VERB_COUNT];
    for (int i = 0; i < VERB_COUNT; i++) {
        if (strcmp(argv[1], verbs[i]->name) == 0)
            return run_with_options(verbs[i], argc, argv);
        names[i] = text_of(verbs[i]->name);
    }
    struct text near = nearest(text_of(argv[1]), names, VERB_COUNT);
    if (near.len)
        return complain("there is no verb '%s'; did you mean '%.*s'?", argv[1], TEXT_ARGS(near));
    return complain("there is no verb '%s'; see 'strokewright --help'", argv[1]);
}

int main(int argc, char **argv)
{
    jmp_buf exhausted;
    signal(SIGXFSZ, SIG_IGN); /* a file past the size limit is a failed write with a message, not a death half-way */
    out_of_memory_to(&exhausted);
    if (setjmp(exhausted)) {
        fputs("strokewright: out of memory\n", stderr);
        return EXIT_USE;
    }
    int status = run_verb(argc, argv);
    /* What was printed must have arrived: a full disk behind a redirection is an error, not a success. */
    if (fflush(stdout) || ferror(stdout))
        return complain("standard output cannot be written");
    return status;
}
