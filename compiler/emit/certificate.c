#include "compiler/emit/certificate.h"

#include "compiler/emit/json.h"

#include <nettle/sha2.h>

struct writer {
    struct json json;
    const struct lowering *lowering;
    const struct program *program;
    uint32_t *number; /* by node: its number in the certificate, or 0 */
};

static const char *const op_names[OP_COUNT] = {[OP_CONSTANT] = "constant",
                                               [OP_INPUT] = "input",
                                               [OP_ADD] = "add",
                                               [OP_SUBTRACT] = "subtract",
                                               [OP_MULTIPLY] = "multiply",
                                               [OP_DIVIDE] = "divide",
                                               [OP_POWER] = "power",
                                               [OP_NEGATE] = "negate",
                                               [OP_LESS] = "less",
                                               [OP_LESS_EQUAL] = "less-equal",
                                               [OP_EQUAL] = "equal",
                                               [OP_AND] = "and",
                                               [OP_OR] = "or",
                                               [OP_NOT] = "not",
                                               [OP_SELECT] = "select",
                                               [OP_CURVE] = "curve",
                                               [OP_CALL] = "call",
                                               [OP_NOMINAL] = "nominal",
                                               [OP_UNCERTAINTY] = "uncertainty"};

/* ---- the program -------------------------------------------------------------------------------------------------- */

static void put_inputs(struct writer *w)
{
    const struct program *p = w->program;
    json_name(&w->json, "inputs");
    json_open(&w->json, '[');
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        const struct input *input = &p->inputs.at[i];
        json_open_line(&w->json, '{');
        json_named_text(&w->json, "name", lowering_input_path(w->lowering, input));
        json_named_number(&w->json, "stated", input->nominal);
        json_named_number(&w->json, "low", input->held ? input->low : input->nominal);
        json_named_number(&w->json, "high", input->held ? input->high : input->nominal);
        json_close(&w->json, '}');
    }
    json_close(&w->json, ']');
}

static void put_numbers(struct json *j, const char *name, const double *at, uint32_t count)
{
    json_name(j, name);
    json_open_line(j, '[');
    for (uint32_t i = 0; i < count; i++)
        json_number(j, at[i]);
    json_close(j, ']');
}

static void put_curves(struct writer *w)
{
    json_name(&w->json, "curves");
    json_open(&w->json, '[');
    for (uint32_t i = 0; i < w->program->curves.count; i++) {
        const struct curve *c = &w->program->curves.at[i];
        json_open_line(&w->json, '{');
        put_numbers(&w->json, "x", c->x, c->x_count);
        put_numbers(&w->json, "y", c->y, c->y_count);
        put_numbers(&w->json, "z", c->z, c->x_count * (c->y_count ? c->y_count : 1));
        json_close(&w->json, '}');
    }
    json_close(&w->json, ']');
}

static void put_operands(struct writer *w, const struct node_code *n)
{
    uint32_t room[MOST_ROOM];
    const uint32_t *read;
    uint32_t count = program_operands(w->program, n, &read, room);
    if (n->op == OP_CALL)
        json_open_line(&w->json, '[');
    for (uint32_t i = 0; i < count; i++)
        json_number(&w->json, w->number[read[i]]);
    if (n->op == OP_CALL)
        json_close(&w->json, ']');
}

static void put_node(struct writer *w, const struct node_code *n)
{
    json_open_line(&w->json, '[');
    json_text(&w->json, text_of(op_names[n->op]));
    if (n->op == OP_CONSTANT || n->op == OP_UNCERTAINTY)
        json_number(&w->json, n->value);
    else if (n->op == OP_INPUT || n->op == OP_CURVE)
        json_number(&w->json, n->a);
    else if (n->op == OP_CALL)
        json_text(&w->json, text_of(function_table[n->a].name));
    if (n->op != OP_UNCERTAINTY)
        put_operands(w, n);
    json_close(&w->json, ']');
}

static bool is_certified(const struct limit_result *r)
{
    return r->verdict == VERDICT_PROVED && r->claim.truth;
}

uint32_t certificate_claims(const struct limits *m)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < m->results.count; i++)
        count += is_certified(&m->results.at[i]);
    return count;
}

/* Numbers what the proved claims rest on. */
static void number_nodes(struct writer *w, const struct limits *m, struct arena *a)
{
    const struct program *p = w->program;
    bool *wanted = ARENA_ARRAY(a, p->nodes.count, bool);
    for (uint32_t i = 0; i < m->results.count; i++)
        if (is_certified(&m->results.at[i])) {
            program_needs(p, m->results.at[i].claim.truth, wanted);
            if (m->results.at[i].claim.when)
                program_needs(p, m->results.at[i].claim.when, wanted);
            if (m->results.at[i].claim.margin)
                program_needs(p, m->results.at[i].claim.margin, wanted);
        }
    w->number = ARENA_ARRAY(a, p->nodes.count, uint32_t);
    for (uint32_t i = 1, count = 0; i < p->nodes.count; i++)
        w->number[i] = wanted[i] ? ++count : 0;
}

static void put_nodes(struct writer *w)
{
    json_name(&w->json, "nodes");
    json_open(&w->json, '[');
    for (uint32_t i = 1; i < w->program->nodes.count; i++)
        if (w->number[i])
            put_node(w, &w->program->nodes.at[i]);
    json_close(&w->json, ']');
}

/* ---- claims ------------------------------------------------------------------------------------------------------- */

static void put_piece(struct writer *w, const struct proof_log *log, uint32_t number)
{
    const struct logged_piece *piece = &log->pieces.at[number];
    if (piece->input == UINT32_MAX) {
        json_open_line(&w->json, '{');
        if (piece->idle)
            json_named_truth(&w->json, "idle", true);
        else
            json_named_number(&w->json, "least", piece->least);
        json_close(&w->json, '}');
        return;
    }
    json_open_line(&w->json, '[');
    json_number(&w->json, piece->input);
    json_number(&w->json, piece->at);
    put_piece(w, log, piece->below);
    put_piece(w, log, piece->above);
    json_close(&w->json, ']');
}

/* Proves it once more, with a log. */
static void put_pieces(struct writer *w, const struct limit_result *r)
{
    struct arena *a = w->json.buffer->arena;
    struct cone_marks marks = cone_marks_new(a, w->program);
    struct prover prover = prover_new(a, w->program, &marks, &r->claim);
    struct proof_log log = {.arena = a};
    prover_prove_logged(&prover, prover_budget(&prover), &log);
    json_name(&w->json, "pieces");
    put_piece(w, &log, 0);
}

static void put_claim(struct writer *w, const struct limit_result *r)
{
    const struct scope *s = w->lowering->scope;
    const struct rule *rule = rule_at(s, r->rule);
    json_open(&w->json, '{');
    json_named_text(&w->json, "limit", rule->name ? atom_text(&s->names, rule->name) : TEXT("require"));
    atom of = r->subject ? definition_at(s, r->subject)->name : 0;
    json_named_text(&w->json, "of", of ? atom_text(&s->names, of) : TEXT(""));
    json_named_number(&w->json, "when", r->claim.when ? w->number[r->claim.when] : 0);
    json_named_number(&w->json, "truth", w->number[r->claim.truth]);
    json_named_number(&w->json, "margin", r->claim.margin ? w->number[r->claim.margin] : 0);
    put_pieces(w, r);
    json_close(&w->json, '}');
}

/* ---- all of it ---------------------------------------------------------------------------------------------------- */

static void put_digest(struct buffer *b)
{
    struct sha256_ctx context;
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_init(&context);
    sha256_update(&context, b->count, (const uint8_t *)b->at);
    sha256_digest(&context, sizeof digest, digest);
    buffer_put(b, TEXT("\"sha256\": \""));
    for (size_t i = 0; i < sizeof digest; i++)
        buffer_printf(b, "%02x", digest[i]);
    buffer_put(b, TEXT("\"\n}\n"));
}

void certificate_json(struct buffer *b, const struct lowering *l, const struct limits *m, struct text file,
                      struct text fingerprint)
{
    struct writer w = {.json = {.buffer = b, .first = true}, .lowering = l, .program = &l->program};
    number_nodes(&w, m, b->arena);
    json_open(&w.json, '{');
    json_named_number(&w.json, "certificate", 1);
    json_named_exact(&w.json, "recipe", file);
    json_named_text(&w.json, "fingerprint", fingerprint);
    put_inputs(&w);
    put_curves(&w);
    put_nodes(&w);
    json_name(&w.json, "claims");
    json_open(&w.json, '[');
    for (uint32_t i = 0; i < m->results.count; i++)
        if (is_certified(&m->results.at[i]))
            put_claim(&w, &m->results.at[i]);
    json_close(&w.json, ']');
    buffer_put(b, TEXT(",\n  "));
    put_digest(b);
}
