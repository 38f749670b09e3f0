/* Whether a claim holds in a box: shown again from the program alone. */
#ifndef CHECKER_CLAIM_HH
#define CHECKER_CLAIM_HH

#include "program.hh"

struct Claim {
    std::string limit, subject;
    size_t when = 0, truth = 0; /* nodes; when 0: always */
    size_t margin = 0;          /* what is left to the bound; 0: none */
};

/* The nodes that some nodes are worked out from. */
std::vector<bool> needed(const Program &, const std::vector<size_t> &of);

class Prover
{
  public:
    Prover(const Program &, const Claim &, const std::vector<Interval> &nominal);
    /* In the whole box, cutting it up to so many times where one look is not enough: the claim holds wherever it applies; it
     * applies nowhere; its margin is nowhere less. */
    bool holds(const Box &box, int budget)
    {
        return show(Goal::holds, box, budget);
    }
    bool is_idle(const Box &box, int budget)
    {
        return show(Goal::idle, box, budget);
    }
    bool at_least(const Box &box, double margin, int budget)
    {
        least = margin;
        return show(Goal::margin, box, budget);
    }
    size_t boxes() const
    {
        return looked_at;
    }

  private:
    enum class Goal { holds, idle, margin };
    struct Difference { /* one that is not told: it should not be negative */
        size_t larger, smaller;
    };
    const Program &program;
    Claim claim;
    std::vector<bool> read;
    std::vector<size_t> varied; /* inputs */
    std::vector<size_t> none;
    Pass pass, middle;
    size_t looked_at = 0;
    std::vector<Difference> open; /* of the last look */
    bool plain;                   /* the claim fails no less where every open difference is less */

    double least = 0; /* Goal::margin */

    bool show(Goal, const Box &box, int budget);
    bool look(Goal, const Box &box);
    bool look_at_claim(const Box &box);
    bool look_at_condition(const Box &box);
    bool look_at_margin(const Box &box);
    Interval truth_of(size_t node, bool wanted, const Box &box);
    Interval comparison(size_t larger, size_t smaller, bool strict, bool wanted, const Box &box);
    Interval difference(size_t larger, size_t smaller, const Box &box) const;
    Interval slope(const Difference &, size_t k) const;
    bool lower_face(Box &box) const;
    size_t column(const Box &box, const Box &whole) const;
};

#endif
