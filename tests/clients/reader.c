/* A program of somebody else's: it includes the installed header and nothing of the project, compiles a recipe and reads
 * what the library has to say of it. usage: reader RECIPE; `use` is looked for beside it. */
#include <strokewright.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int failed;

static void expect(bool good, const char *what)
{
    if (!good) {
        printf("not so: %s\n", what);
        failed = 1;
    }
}

static char *buffer_read_file(const char *path, size_t *length)
{
    FILE *f = fopen(path, "rb");
    *length = 0;
    if (!f)
        return NULL;
    char *bytes = malloc(1 << 20);
    *length = bytes ? fread(bytes, 1, 1 << 20, f) : 0;
    fclose(f);
    return bytes;
}

static bool load_beside(void *context, const char *from, const char *wanted, struct strokewright_file *file)
{
    const char *slash = strrchr(from, '/');
    size_t folder = slash ? (size_t)(slash - from) + 1 : 0;
    char *path = malloc(folder + strlen(wanted) + 1);
    (void)context;
    if (!path)
        return false;
    memcpy(path, from, folder);
    memcpy(path + folder, wanted, strlen(wanted) + 1);
    file->path = path;
    file->bytes = buffer_read_file(path, &file->length);
    return file->bytes != NULL;
}

static void tell_values(struct strokewright_recipe *r)
{
    struct strokewright_value v;
    expect(strokewright_value_named(r, "die.temperature", &v), "die.temperature has a value");
    printf("%s = %s %s\n", v.name, v.text, v.band);
    expect(strcmp(v.unit, "degC") == 0 && v.number > 100 && v.low < v.number && v.number < v.high,
           "its number lies inside its band");
    expect(!strokewright_value_named(r, "die.colour", &v), "nothing is called die.colour");
    uint32_t count = strokewright_value_count(r), known = 0;
    for (uint32_t i = 0; i < count; i++)
        known += strokewright_value(r, i, &v) && !*v.why_not;
    printf("%u derived values, %u of them known\n", count, known);
    expect(known > 50 && !strokewright_value(r, count, &v), "derived values are counted and listed");
}

static void tell_limits(struct strokewright_recipe *r)
{
    struct strokewright_limit l;
    uint32_t count = strokewright_limit_count(r), proved = 0, open = 0;
    for (uint32_t i = 0; i < count; i++) {
        expect(strokewright_limit(r, i, &l), "each limit can be read");
        proved += strcmp(l.verdict, "proved") == 0;
        open += l.open;
    }
    expect(strokewright_limit(r, 0, &l) && *l.name, "the tightest has a name");
    printf("tightest: %s %s is %s, must be %s: %s, %.0f %% left at worst\n", l.name, l.subject, l.value, l.bound,
           l.verdict, 100 * l.worst_margin);
    expect(proved > 30 && !open, "the demo's limits are proved");
}

static void tell_outputs(struct strokewright_recipe *r)
{
    const char *bytes;
    size_t length;
    expect(strokewright_output(r, "steps-json", "en", &bytes, &length) && length > 1000 && bytes[0] == '{',
           "steps-json is JSON");
    expect(strokewright_output(r, "steps", "de", &bytes, &length) && length > 1000, "steps are told in German");
    expect(!strokewright_output(r, "traveller", "en", &bytes, &length), "what is drawn is not here");
    expect(!strokewright_output(r, "steps", "xx", &bytes, &length), "there is no such language");
    expect(strokewright_window(r, NULL, 0, &bytes, &length) && length > 1000, "the window of its unknown");
    expect(!strokewright_window(r, (const char *[]){"punch.mass"}, 1, &bytes, &length), "punch.mass is not unknown");
    const char *print = strokewright_fingerprint(r);
    expect(print && strlen(print) == 64, "the fingerprint has 64 digits");
}

static void tell_faults(const struct strokewright_library *l)
{
    static const char text[] = "recipe lid {\n    titel = \"Lid\"\n}\n";
    const struct strokewright_file file = {"faulty.recipe", text, sizeof text - 1};
    const struct strokewright_demand demand = {.reach = STROKEWRIGHT_VERDICTS};
    struct strokewright_recipe *r = strokewright_compile(l, &demand, &file, NULL);
    struct strokewright_diagnostic d = {0};
    struct strokewright_value v;
    bool found = false;
    expect(r && strokewright_state(r) == STROKEWRIGHT_FAULTY, "a misspelled property is a fault");
    for (uint32_t i = 0; r && i < strokewright_diagnostic_count(r); i++)
        if (strokewright_diagnostic(r, i, &d) && strcmp(d.id, "unknown-property") == 0) {
            printf("%s:%u:%u: %s [%s]\n", d.path, d.line, d.column, d.message, d.id);
            found = d.line == 2 && d.column == 5 && d.severity == STROKEWRIGHT_ERROR && strstr(d.help, "title");
        }
    expect(found, "it is told with its place and what was meant");
    expect(!strokewright_value_named(r, "die.temperature", &v) && strokewright_limit_count(r) == 0,
           "a faulty recipe has no values and no verdicts");
    strokewright_free(r);
}

int main(int argc, char **argv)
{
    struct strokewright_file file = {argc > 1 ? argv[1] : "", NULL, 0};
    const struct strokewright_loader loader = {NULL, load_beside};
    struct strokewright_library *library = strokewright_library_new();
    if (!library || argc < 2 || !(file.bytes = buffer_read_file(argv[1], &file.length)))
        return 2;
    expect(strokewright_abi() == STROKEWRIGHT_ABI && strcmp(strokewright_version(), STROKEWRIGHT_VERSION) == 0,
           "header and library are of one version");
    expect(!strokewright_set_day(library, "2026-02-30") && strokewright_set_day(library, "2026-11-25"),
           "the day is a day");
    struct strokewright_recipe *r = strokewright_compile(library, NULL, &file, &loader);
    expect(r && strokewright_state(r) == STROKEWRIGHT_GOOD, "the recipe has no errors");
    if (r) {
        tell_values(r);
        tell_limits(r);
        tell_outputs(r);
    }
    strokewright_free(r);
    tell_faults(library);
    strokewright_library_free(library);
    return failed;
}
