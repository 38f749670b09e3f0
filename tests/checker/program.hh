/* The program of a certificate, and what its nodes come to over a box of inputs. */
#ifndef CHECKER_PROGRAM_HH
#define CHECKER_PROGRAM_HH

#include "interval.hh"

#include <string>
#include <vector>

struct Node {
    std::string op;
    std::vector<size_t> operands; /* nodes, or for "input" and "curve" first the index of that */
    double constant;
    std::string function;
};

struct Curve {
    std::vector<double> x, y, z;
};

struct Input {
    std::string name;
    double nominal, low, high;
};

struct Program {
    std::vector<Node> nodes; /* 0 unused; operands come before what reads them */
    std::vector<Curve> curves;
    std::vector<Input> inputs;
};

using Box = std::vector<Interval>; /* by input */

struct Value {
    bool defined = true; /* at every point of the box */
    Interval value;
    std::vector<Interval> slopes; /* by varied input; empty: it moves with none */
};

/* All nodes that `read` marks, over the box. varied: the inputs whose slopes are wanted. nominal: values of all nodes at
 * the stated inputs. */
class Pass
{
  public:
    Pass(const Program &program, const std::vector<bool> &read, const std::vector<size_t> &varied,
         const std::vector<Interval> &nominal);
    void run(const Box &box);
    const Value &operator[](size_t node) const
    {
        return values[node];
    }

  private:
    const Program &program;
    const std::vector<bool> &read;
    const std::vector<size_t> &varied;
    const std::vector<Interval> &nominal;
    std::vector<Value> values;

    Value evaluate(const Node &node, const Box &box) const;
    Value call(const Node &node) const;
    Value curve(const Node &node) const;
    Value rounded(const Value &x, const Value &step, double up_from) const;
    Value power(const Value &base, const Value &exponent) const;
    Value choice(const std::vector<const Value *> &of, const Interval &value) const;
    Value scaled(const Value &of, const Interval &value, const Interval &slope) const;
    Value combined(const std::vector<const Value *> &of, const Interval &value,
                   const std::vector<Interval> &slopes) const;
    Value undefined() const;
};

/* Whether a truth is certain: its values are 1 (true) and 0 (false). */
inline bool certainly(const Interval &truth)
{
    return truth.positive();
}
inline bool certainly_not(const Interval &truth)
{
    return truth.is_zero();
}

/* How far a - b is above what counts as the same (1e-12 of the larger): above 0, a > b for certain; not below -0 with
 * `same` added, a >= b. */
Interval sameness(const Interval &a, const Interval &b);

#endif
