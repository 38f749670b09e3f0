/* Checks a certificate of proofs: check FILE...
 *
 * Reads what `strokewright check --certificate` wrote, shares no code with it, and shows anew that every limit it calls
 * proved holds for every combination of the stated tolerances: PROOFS.md says what that means. Prints one line a file;
 * exit status 0 when all that a certificate claims was shown, 1 when something was not, 2 for a file that is none. */
#include "claim.hh"

#include <nettle/sha2.h>
#include <nlohmann/json.hpp>

#include <cstdio>
#include <fstream>
#include <iostream>
#include <set>
#include <sstream>

using nlohmann::json;

namespace
{

enum { BUDGET = 2000 }; /* boxes of our own for each of the certificate's */

[[noreturn]] void refuse(const std::string &why)
{
    throw why;
}

/* ---- the file ------------------------------------------------------------------------------------------------------ */

std::string bytes_of(const char *path)
{
    std::ifstream file(path, std::ios::binary);
    if (!file)
        refuse("cannot be read");
    std::stringstream all;
    all << file.rdbuf();
    return all.str();
}

std::string digest_of(const std::string &bytes)
{
    struct sha256_ctx context;
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_init(&context);
    sha256_update(&context, bytes.size(), reinterpret_cast<const uint8_t *>(bytes.data()));
    sha256_digest(&context, sizeof digest, digest);
    std::string hex;
    for (uint8_t byte : digest) {
        char two[3];
        std::snprintf(two, sizeof two, "%02x", byte);
        hex += two;
    }
    return hex;
}

/* The digest is the last member: of all bytes in front of its name. */
void check_digest(const std::string &bytes, const json &j)
{
    size_t at = bytes.rfind("\"sha256\"");
    if (at == std::string::npos || j.at("sha256") != digest_of(bytes.substr(0, at)))
        refuse("its digest does not fit: it was changed after it was written");
}

/* ---- the program --------------------------------------------------------------------------------------------------- */

size_t index_in(const json &j, size_t end, const char *what)
{
    if (!j.is_number_unsigned() || j.get<size_t>() >= end)
        refuse(std::string("names ") + what + " that is not there");
    return j.get<size_t>();
}

double number_of(const json &j)
{
    if (!j.is_number())
        refuse("has a value that is no number");
    return j.get<double>();
}

const std::map<std::string, size_t> operand_counts{
    {"add", 2},        {"subtract", 2}, {"multiply", 2}, {"divide", 2}, {"power", 2}, {"negate", 1}, {"less", 2},
    {"less-equal", 2}, {"equal", 2},    {"and", 2},      {"or", 2},     {"not", 1},   {"select", 3}, {"nominal", 1}};

Node read_node(const json &j, size_t own, const Program &p)
{
    Node n{};
    n.op = j.at(0).get<std::string>();
    auto operand = [&](const json &o) {
        size_t i = index_in(o, own, "an operand");
        if (i == 0)
            refuse("names an operand that is not there");
        n.operands.push_back(i);
    };
    if (n.op == "constant" || n.op == "uncertainty") {
        n.constant = number_of(j.at(1));
    } else if (n.op == "input") {
        n.operands.push_back(index_in(j.at(1), p.inputs.size(), "an input"));
    } else if (n.op == "curve") {
        n.operands.push_back(index_in(j.at(1), p.curves.size(), "a curve"));
        operand(j.at(2));
        if (!p.curves[n.operands[0]].y.empty())
            operand(j.at(3));
    } else if (n.op == "call") {
        n.function = j.at(1).get<std::string>();
        for (const json &o : j.at(2))
            operand(o);
    } else {
        auto count = operand_counts.find(n.op);
        if (count == operand_counts.end() || j.size() != count->second + 1)
            refuse("has the operation '" + n.op + "', which is not known or has another number of operands");
        for (size_t k = 1; k < j.size(); k++)
            operand(j.at(k));
    }
    return n;
}

void check_rising(const std::vector<double> &at)
{
    for (size_t i = 1; i < at.size(); i++)
        if (!(at[i - 1] < at[i]))
            refuse("has a curve whose arguments do not rise");
}

Program read_program(const json &j)
{
    Program p;
    for (const json &i : j.at("inputs"))
        p.inputs.push_back({i.at("name"), number_of(i.at("stated")), number_of(i.at("low")), number_of(i.at("high"))});
    for (const Input &i : p.inputs)
        if (!(i.low <= i.nominal && i.nominal <= i.high))
            refuse("has the input '" + i.name + "' stated outside its own band");
    for (const json &c : j.at("curves")) {
        Curve curve{c.at("x"), c.at("y"), c.at("z")};
        if (curve.x.empty() || curve.z.size() != curve.x.size() * std::max<size_t>(curve.y.size(), 1))
            refuse("has a curve with too few or too many values");
        check_rising(curve.x);
        check_rising(curve.y);
        p.curves.push_back(curve);
    }
    p.nodes.emplace_back();
    for (const json &n : j.at("nodes"))
        p.nodes.push_back(read_node(n, p.nodes.size(), p));
    return p;
}

/* Every node's value with everything as it is stated: what `nominal` asks for. */
std::vector<Interval> stated_values(const Program &p)
{
    std::vector<Interval> values(p.nodes.size());
    std::vector<bool> all(p.nodes.size(), true);
    std::vector<size_t> none;
    Box box;
    for (const Input &i : p.inputs)
        box.push_back(Interval(i.nominal));
    /* What is nominal of something nominal needs the pass before; two are enough for what the language can write. */
    for (int i = 0; i < 3; i++) {
        Pass pass(p, all, none, values);
        pass.run(box);
        std::vector<Interval> next(p.nodes.size());
        for (size_t k = 1; k < p.nodes.size(); k++)
            next[k] = pass[k].defined ? pass[k].value : Interval::everything();
        values = next;
    }
    return values;
}

/* ---- claims -------------------------------------------------------------------------------------------------------- */

struct Count {
    size_t limits = 0, given = 0, looked_at = 0;
};

/* A piece and all it was cut into; the cuts cover it by themselves. */
void check_piece(Prover &prover, const Program &p, const json &piece, Box box, Count &count)
{
    if (piece.is_array() && piece.size() == 4) { /* input, where, below, above */
        size_t input = index_in(piece.at(0), p.inputs.size(), "an input");
        double at = number_of(piece.at(1));
        if (!(box[input].low() < at && at < box[input].high()))
            refuse("cuts '" + p.inputs[input].name + "' outside the piece");
        Box low = box, high = box;
        low[input] = Interval(box[input].low(), at);
        high[input] = Interval(at, box[input].high());
        check_piece(prover, p, piece.at(2), low, count);
        check_piece(prover, p, piece.at(3), high, count);
        return;
    }
    count.given++;
    if (!prover.holds(box, BUDGET))
        refuse("is not shown to hold");
    if (piece.contains("idle") ? !prover.is_idle(box, BUDGET) : !piece.contains("least"))
        refuse("has a piece of which it is not shown what it says");
    if (piece.contains("least") && !piece["least"].is_null() &&
        !prover.at_least(box, number_of(piece["least"]), BUDGET))
        refuse("has a margin that is not shown");
}

void check_claim(const Program &p, const json &j, const std::vector<Interval> &nominal, Count &count)
{
    Claim claim{j.at("limit"), j.at("of"), index_in(j.at("when"), p.nodes.size(), "a condition"),
                index_in(j.at("truth"), p.nodes.size(), "a claim"),
                index_in(j.at("margin"), p.nodes.size(), "a margin")};
    if (!claim.truth)
        refuse("claims nothing");
    Box box;
    for (const Input &i : p.inputs)
        box.push_back(Interval(i.low, i.high));
    try {
        Prover prover(p, claim, nominal);
        check_piece(prover, p, j.at("pieces"), box, count);
        count.looked_at += prover.boxes();
        count.limits++;
    } catch (const std::string &why) {
        refuse("the limit " + claim.limit + (claim.subject.empty() ? "" : " of " + claim.subject) + " " + why);
    }
}

Count check(const char *path)
{
    std::string bytes = bytes_of(path);
    json j = json::parse(bytes);
    if (j.at("certificate") != 1)
        refuse("is of another version than this checker");
    check_digest(bytes, j);
    Program p = read_program(j);
    std::vector<Interval> nominal = stated_values(p);
    Count count;
    for (const json &claim : j.at("claims"))
        check_claim(p, claim, nominal, count);
    return count;
}

} // namespace

int main(int argc, char **argv)
{
    int status = argc > 1 ? 0 : 2;
    for (int i = 1; i < argc; i++) {
        try {
            Count c = check(argv[i]);
            std::printf("%s: %zu limits hold, shown in %zu boxes for %zu given\n", argv[i], c.limits, c.looked_at,
                        c.given);
        } catch (const std::string &why) {
            std::printf("%s: refused: %s\n", argv[i], why.c_str());
            status = std::max(status, 1);
        } catch (const json::exception &e) {
            std::printf("%s: no certificate: %s\n", argv[i], e.what());
            status = 2;
        }
    }
    return status;
}
