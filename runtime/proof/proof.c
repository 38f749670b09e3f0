#include "runtime/proof/proof.h"

struct search {
    struct prover *prover;
    const struct program *program;
    struct proof out;
    bool applies;
    uint32_t open;         /* pieces that are not good */
    struct proof_log *log; /* or NULL */
};

/* ---- at a point -------------------------------------------------------------------------------------------------- */

static void keep_point(struct search *s, double attained)
{
    memcpy(s->prover->worst, s->prover->point, s->program->inputs.count * sizeof(double));
    s->out.attained = attained;
}

/* The claim's first node that has no value here; 0 when it has all, or does not apply. */
static uint32_t undefined_node(const struct evaluation *e, const struct claim *c)
{
    if (c->when && e->culprit[c->when])
        return c->when;
    if (c->when && e->value[c->when] == 0)
        return 0;
    return e->culprit[c->truth] ? c->truth : 0;
}

/* Evaluates the point; true when that ends the proof. */
static bool try_point(struct search *s)
{
    const struct claim *c = &s->prover->claim;
    struct evaluation *e = &s->prover->at;
    prover_at_point(s->prover, s->prover->point);
    uint32_t undefined = undefined_node(e, c);
    if (undefined) {
        s->out.state = PROOF_OPEN;
        s->out.culprit = e->culprit[undefined];
        s->out.fault = (enum eval_fault)e->fault[s->out.culprit];
        s->out.met = true;
        keep_point(s, NAN);
        return true;
    }
    if (c->when && e->value[c->when] == 0)
        return false;
    double margin = c->margin && !e->culprit[c->margin] ? e->value[c->margin] : NAN;
    bool broken = e->value[c->truth] == 0;
    if (broken || isnan(s->out.attained) || margin < s->out.attained)
        keep_point(s, margin);
    if (broken)
        s->out.state = PROOF_BROKEN;
    return broken;
}

/* How a difference moves with a held input over the box: of a pair that is compared, or of the margin as a whole. */
static struct interval slope_of_pair(const struct prover *r, uint32_t pair, uint32_t k)
{
    struct interval *const *slope = r->over.slope;
    if (!r->claim.compared[pair])
        return slope[r->claim.margin] ? slope[r->claim.margin][k] : interval_point(0);
    const struct interval *greater = slope[r->claim.compared[pair]], *smaller = slope[r->claim.compared[pair + 1]];
    struct interval none = interval_point(0);
    return interval_subtract(greater ? greater[k] : none, smaller ? smaller[k] : none);
}

/* Where the slopes over a box say the difference is least: a corner, or the middle in what moves it not at all. A margin
 * within two bounds has such a corner for each. */
static void lowest_corner(struct search *s, const struct interval *box, uint32_t pair)
{
    const struct prover *r = s->prover;
    for (uint32_t i = 0; i < s->program->inputs.count; i++)
        s->prover->point[i] = interval_middle(box[i]);
    if (!r->claim.margin || r->over.over.culprit[r->claim.margin])
        return;
    for (uint32_t k = 0; k < r->over.held.count; k++) {
        struct interval slope = slope_of_pair(r, pair, k), x = box[r->over.held.input[k]];
        if (!interval_is_zero(slope))
            s->prover->point[r->over.held.input[k]] = slope.high > -slope.low ? x.low : x.high;
    }
}

/* True when a corner ends the proof. */
static bool try_corners(struct search *s, const struct interval *box)
{
    for (uint32_t pair = 0; pair < 4; pair += 2) {
        if (pair && !s->prover->claim.compared[pair])
            break;
        lowest_corner(s, box, pair);
        if (try_point(s))
            return true;
    }
    return false;
}

/* ---- over a box -------------------------------------------------------------------------------------------------- */

static double least_size(struct interval x)
{
    return interval_contains(x, 0) ? 0 : fmin(fabs(x.low), fabs(x.high));
}

/* How far below zero the margin may be with what it compares still the same. */
static double slack(const struct prover *r)
{
    double size = HUGE_VAL;
    for (uint32_t k = 0; k < 4 && r->claim.compared[k]; k += 2) {
        struct interval a = r->over.over.value[r->claim.compared[k]], b = r->over.over.value[r->claim.compared[k + 1]];
        if (interval_is_empty(a) || interval_is_empty(b))
            return 0;
        size = fmin(size, fmax(least_size(a), least_size(b)));
    }
    return isfinite(size) ? 1e-12 * size : 0;
}

/* Which operands decide whether a node has a value, as bits by their order. */
static uint32_t deciding_operands(const struct node_code *n)
{
    if (n->op == OP_DIVIDE)
        return 1u << 1;
    if (n->op != OP_CALL)
        return ~0u;
    switch (n->a) { /* those that are temperatures */
    case FUNCTION_air_time:
        return 1u << 0 | 1u << 1 | 1u << 5;
    case FUNCTION_contact_time:
        return 1u << 0 | 1u << 1 | 1u << 4;
    case FUNCTION_slab_time:
        return 1u << 2 | 1u << 3 | 1u << 4 | 1u << 8;
    default:
        return ~0u;
    }
}

/* The input that widens most what decides whether the culprit has a value. */
static uint32_t blurring_column(struct search *s, const struct interval *box, uint32_t culprit)
{
    const struct interval_gradient *g = &s->prover->over;
    const struct node_code *n = &s->program->nodes.at[culprit];
    uint32_t room[MOST_ROOM], best = UINT32_MAX, deciding = deciding_operands(n);
    const uint32_t *read;
    uint32_t count = program_operands(s->program, n, &read, room);
    double most = 0;
    for (uint32_t i = 0; i < count; i++) {
        struct interval x = g->over.value[read[i]], *slope = g->slope[read[i]];
        if (!slope || g->over.culprit[read[i]] || !(i < 32 && deciding & 1u << i))
            continue;
        for (uint32_t k = 0; k < g->held.count; k++) {
            uint32_t input = g->held.input[k];
            struct interval all = s->prover->box[input];
            double width = box[input].high - box[input].low, whole = all.high - all.low;
            double move = width * fmax(fabs(slope[k].low), fabs(slope[k].high)) / (x.high - x.low);
            /* What was cut already waits its turn. */
            double score = fmin(move, 1) * sqrt(width / whole);
            if (score > most) {
                most = score;
                best = k;
            }
        }
    }
    return best;
}

/* The input that, cut in two, may sharpen the node's end most: what it costs that it moves the node both ways (see
 * gradient_monotone_end). One the node is monotone in has its ends looked at already, so cutting it helps less. */
static uint32_t steepest_column(struct search *s, const struct interval *box, uint32_t node)
{
    const struct interval_gradient *g = &s->prover->over;
    uint32_t best = UINT32_MAX;
    double most = 0;
    for (uint32_t k = 0; g->slope[node] && k < g->held.count; k++) {
        struct interval slope = g->slope[node][k], x = box[g->held.input[k]];
        double up = fmax(slope.high, 0), down = fmax(-slope.low, 0), width = x.high - x.low;
        double move = width * ((up + down > 0 ? up * down / (up + down) : 0) + 1e-3 * fmax(up, down));
        if (!isfinite(move)) /* it jumps: what was cut least comes first */
            move = DBL_MAX * width / (s->prover->box[g->held.input[k]].high - s->prover->box[g->held.input[k]].low);
        if (move > most) {
            most = move;
            best = k;
        }
    }
    return best;
}

/* A node that may be undefined somewhere in the box keeps the piece open. */
static bool is_undefined(struct search *s, const struct interval *box, uint32_t node, struct proof_piece *out)
{
    const struct interval_evaluation *e = &s->prover->over.over;
    if (!e->culprit[node])
        return false;
    out->culprit = e->culprit[node];
    out->fault = (enum eval_fault)e->fault[out->culprit];
    out->column = blurring_column(s, box, out->culprit);
    return true;
}

/* What a box says about the claim; false when it does not apply in it. */
static bool look_at(struct search *s, const struct interval *box, struct proof_piece *out)
{
    struct prover *r = s->prover;
    const struct claim *c = &r->claim;
    const struct interval *value = r->over.over.value;
    *out = (struct proof_piece){.least = -HUGE_VAL, .column = UINT32_MAX};
    evaluate_interval_gradient(&r->over, s->program, box);
    if (c->when && is_undefined(s, box, c->when, out))
        return true;
    if (c->when && interval_truth(value[c->when]) == TRUTH_FALSE)
        return false;
    if (is_undefined(s, box, c->truth, out) || (c->margin && is_undefined(s, box, c->margin, out)))
        return true;
    out->column = steepest_column(s, box, c->margin ? c->margin : c->truth);
    out->good = interval_truth(value[c->truth]) == TRUTH_TRUE;
    if (!c->margin)
        return true;
    out->least = gradient_monotone_end(&r->over, s->program, box, c->margin, false);
    double same = slack(r);
    out->good = out->good || (c->strict ? out->least > same : out->least >= -same);
    return true;
}

/* ---- the search -------------------------------------------------------------------------------------------------- */

/* What is proved of a piece may still be cut to tell its least margin more closely. That lies where each input the margin
 * is monotone in makes it least, so only there must be looked: over fewer inputs that vary, whose slopes are sharper. Where
 * the claim may not apply it is another matter: it might not apply just there. */
static void keep_lowest_face(const struct search *s, struct interval *box)
{
    const struct prover *r = s->prover;
    const struct interval *slope = r->over.slope[r->claim.margin];
    if (r->claim.when && interval_truth(r->over.over.value[r->claim.when]) != TRUTH_TRUE)
        return;
    for (uint32_t k = 0; slope && k < r->over.held.count; k++) {
        struct interval *x = &box[r->over.held.input[k]];
        if (slope[k].low >= 0 || slope[k].high <= 0)
            *x = interval_point(slope[k].low >= 0 ? x->low : x->high);
    }
}

/* Enters a piece that was looked at; returns its number. */
static uint32_t log_piece(struct search *s, const struct proof_piece *piece, bool applies)
{
    if (!s->log)
        return 0;
    *ARRAY_PUSH(s->log->arena, &s->log->pieces) = (struct logged_piece){
        .input = UINT32_MAX, .least = applies && isfinite(piece->least) ? piece->least : NAN, .idle = !applies};
    return s->log->pieces.count - 1;
}

/* Looks at a box, which lies within a piece unless that is NULL, and at a point in it; true when the proof has ended. */
static bool settle(struct search *s, const struct interval *box, const struct proof_piece *within)
{
    struct proof_piece piece;
    bool applies = look_at(s, box, &piece);
    s->out.boxes++;
    piece.logged = log_piece(s, &piece, applies);
    if (!applies)
        return false;
    s->applies = true;
    if (within && within->good) {
        piece.good = true;
        piece.least = fmax(piece.least, within->least);
    }
    if (s->out.boxes == 1 && isfinite(piece.least))
        s->out.least = piece.least;
    if (try_corners(s, box))
        return true;
    if (piece.good && !s->prover->claim.margin)
        return false; /* there is no margin to tell more exactly */
    uint32_t count = s->program->inputs.count;
    piece.box = s->prover->boxes.count;
    if (s->prover->boxes.room - piece.box < count)
        ARRAY_RESERVE(s->prover->arena, &s->prover->boxes, count);
    struct interval *kept = count ? &s->prover->boxes.at[piece.box] : NULL;
    if (count)
        memcpy(kept, box, count * sizeof *box);
    if (count && piece.good) {
        keep_lowest_face(s, kept);
        piece.column = steepest_column(s, kept, s->prover->claim.margin);
    }
    s->prover->boxes.count += count;
    s->open += !piece.good;
    *ARRAY_PUSH(s->prover->arena, &s->prover->pieces) = piece;
    return false;
}

/* Open ones before good ones, then the lowest. */
static uint32_t worst_piece(const struct search *s)
{
    const struct proof_piece *p = s->prover->pieces.at;
    uint32_t worst = 0;
    for (uint32_t i = 1; i < s->prover->pieces.count; i++)
        if (p[i].good != p[worst].good ? p[worst].good : p[i].least < p[worst].least)
            worst = i;
    return worst;
}

static bool can_cut(const struct search *s, const struct proof_piece *p)
{
    if (p->column == UINT32_MAX)
        return false;
    struct interval x = s->prover->boxes.at[p->box + s->prover->over.held.input[p->column]];
    double middle = interval_middle(x);
    return x.low < middle && middle < x.high;
}

/* The half that is looked at next is this side of that piece. */
static void log_cut(struct search *s, uint32_t piece, uint32_t input, double at, int side)
{
    struct logged_piece *l = &s->log->pieces.at[piece];
    l->input = s->prover->cone.input[input];
    l->at = at;
    *(side ? &l->above : &l->below) = s->log->pieces.count;
}

/* Puts both halves of a piece in its place; true when the proof has ended. */
static bool cut(struct search *s, uint32_t at)
{
    struct proof_piece piece = s->prover->pieces.at[at];
    uint32_t count = s->program->inputs.count, input = s->prover->over.held.input[piece.column];
    struct interval *half = s->prover->half;
    s->prover->pieces.at[at] = s->prover->pieces.at[--s->prover->pieces.count];
    s->open -= !piece.good;
    for (int side = 0; side < 2; side++) {
        memcpy(half, &s->prover->boxes.at[piece.box], count * sizeof *half);
        double middle = interval_middle(half[input]);
        if (s->log)
            log_cut(s, piece.logged, input, middle, side);
        *(side ? &half[input].low : &half[input].high) = middle;
        if (settle(s, half, &piece))
            return true;
    }
    return false;
}

/* Within a fiftieth of the margin, or of the way to it from the middle: finer tells nobody more. */
static bool is_fine(const struct search *s, const struct proof_piece *worst)
{
    if (!s->prover->claim.margin || isnan(s->out.attained))
        return true;
    double scale = fmax(fabs(s->out.nominal - s->out.attained), fabs(s->out.attained));
    return s->out.attained - worst->least <= 0.02 * scale + 1e-9 * fabs(s->out.nominal);
}

static void finish(struct search *s)
{
    s->out.state = !s->applies ? PROOF_IDLE : s->open ? PROOF_OPEN : PROOF_HOLDS;
    if (!s->applies || !s->prover->pieces.count)
        return;
    const struct proof_piece *worst = &s->prover->pieces.at[worst_piece(s)];
    s->out.least = isfinite(worst->least) ? worst->least : NAN;
    if (s->open) {
        s->out.culprit = worst->culprit;
        s->out.fault = worst->fault;
    }
}

/* Cuts until all is good and fine enough, or the budget is spent; true when a point ended the proof. */
static bool refine(struct search *s, uint32_t budget, uint32_t finer)
{
    uint32_t solve_proved_at = 0;
    while (s->prover->pieces.count) {
        uint32_t at = worst_piece(s);
        const struct proof_piece *worst = &s->prover->pieces.at[at];
        if (!s->open) {
            solve_proved_at = solve_proved_at ? solve_proved_at : s->out.boxes;
            if (s->out.boxes >= solve_proved_at + finer || is_fine(s, worst))
                return false;
        }
        if (s->out.boxes >= budget || !can_cut(s, worst))
            return false;
        if (cut(s, at))
            return true;
    }
    return false;
}

static struct search search_new(struct prover *r)
{
    struct search s = {.prover = r, .program = &r->cone.program};
    s.out.least = s.out.attained = s.out.nominal = NAN;
    s.prover->pieces.count = s.prover->boxes.count = 0;
    return s;
}

/* Looks at the middle of the box, and at the whole of it; true when that ends the proof. */
static bool look_first(struct search *s)
{
    struct prover *r = s->prover;
    for (uint32_t i = 0; i < s->program->inputs.count; i++)
        s->prover->point[i] = r->worst[i] = interval_middle(r->box[i]);
    bool ended = try_point(s);
    s->out.nominal = s->out.attained;
    return ended || settle(s, r->box, NULL);
}

uint32_t prover_budget(const struct prover *r)
{
    enum { NODES = 1000000 }; /* evaluated in all */
    uint32_t boxes = NODES / r->cone.program.nodes.count;
    return boxes < PROOF_BUDGET ? PROOF_BUDGET : boxes > PROOF_BUDGET_MOST ? PROOF_BUDGET_MOST : boxes;
}

static struct proof search_all(struct prover *r, uint32_t budget, uint32_t finer, struct proof_log *log)
{
    struct search s = search_new(r);
    s.log = log;
    if (!look_first(&s) && !refine(&s, budget, finer))
        finish(&s);
    if (s.out.culprit)
        s.out.culprit = r->cone.node[s.out.culprit];
    return s.out;
}

struct proof prover_prove(struct prover *r, uint32_t budget, uint32_t finer)
{
    return search_all(r, budget, finer, NULL);
}

struct proof prover_prove_logged(struct prover *r, uint32_t budget, struct proof_log *log)
{
    return search_all(r, budget, 0, log);
}

/* ---- the least margin -------------------------------------------------------------------------------------------- */

double prover_least_met(struct prover *r)
{
    const struct claim *c = &r->claim;
    struct search s = {.prover = r, .program = &r->cone.program};
    double least = NAN;
    evaluate_interval_gradient(&r->over, s.program, r->box);
    for (uint32_t pair = 0; pair < 4 && (!pair || c->compared[pair]); pair += 2) {
        lowest_corner(&s, r->box, pair);
        prover_at_point(r, s.prover->point);
        bool idle = c->when && (r->at.culprit[c->when] || r->at.value[c->when] == 0);
        if (!c->margin || idle || r->at.culprit[c->margin] || r->at.value[c->margin] >= least)
            continue;
        least = r->at.value[c->margin];
        memcpy(r->worst, s.prover->point, s.program->inputs.count * sizeof(double));
    }
    if (!isnan(least))
        prover_at_point(r, r->worst);
    return least;
}

/* ---- the simplest combination ------------------------------------------------------------------------------------ */

static bool is_broken(struct prover *r)
{
    prover_at_point(r, r->worst);
    return claim_fails(&r->at, &r->claim);
}

bool prover_fails_in_middle(struct prover *r)
{
    const struct program *p = &r->cone.program;
    for (uint32_t i = 0; i < p->inputs.count; i++)
        if (p->inputs.at[i].unknown)
            r->worst[i] = interval_middle(r->box[i]);
    return is_broken(r);
}

/* The held input not tried yet that moves the margin least over its width. */
static uint32_t least_moving(const struct prover *r, const double *slope, const bool *tried)
{
    uint32_t best = UINT32_MAX;
    double least = HUGE_VAL;
    for (uint32_t k = 0; k < r->over.held.count; k++) {
        struct interval x = r->box[r->over.held.input[k]];
        double move = slope ? fabs(slope[k]) * (x.high - x.low) : 0;
        if (!tried[k] && !(move >= least && best != UINT32_MAX)) {
            least = move;
            best = k;
        }
    }
    return best;
}

void prover_simplify(struct prover *r)
{
    const struct program *p = &r->cone.program;
    struct gradient g = evaluate_gradient(r->arena, p, NULL);
    const double *slope = r->claim.margin && !g.at.culprit[r->claim.margin] ? g.slope[r->claim.margin] : NULL;
    bool *tried = ARENA_ARRAY(r->arena, r->over.held.count, bool);
    for (uint32_t n = 0; n < r->over.held.count; n++) {
        uint32_t k = least_moving(r, slope, tried), input = r->over.held.input[k];
        double worst = r->worst[input];
        tried[k] = true;
        if (p->inputs.at[input].unknown)
            continue;
        r->worst[input] = p->inputs.at[input].nominal;
        if (!is_broken(r))
            r->worst[input] = worst;
    }
    is_broken(r);
}
