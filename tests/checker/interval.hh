/* Intervals of real numbers at 160 bits, each bound rounded outward: MPFI with operators. */
#ifndef CHECKER_INTERVAL_HH
#define CHECKER_INTERVAL_HH

#include <mpfi.h>
#include <mpfi_io.h>

#include <utility>

class Interval
{
  public:
    enum { BITS = 160 };

    Interval() : Interval(0)
    {
    }
    Interval(double value)
    {
        mpfi_init2(x, BITS);
        mpfi_set_d(x, value);
    }
    Interval(double low, double high)
    {
        mpfi_init2(x, BITS);
        mpfi_interv_d(x, low, high);
    }
    Interval(const Interval &other)
    {
        mpfi_init2(x, BITS);
        mpfi_set(x, other.x);
    }
    Interval(Interval &&other) : Interval()
    {
        mpfi_swap(x, other.x);
    }
    Interval &operator=(Interval other)
    {
        mpfi_swap(x, other.x);
        return *this;
    }
    ~Interval()
    {
        mpfi_clear(x);
    }

    static Interval pi()
    {
        Interval r;
        mpfi_const_pi(r.x);
        return r;
    }
    static Interval everything()
    {
        Interval r;
        mpfr_set_inf(&r.x->left, -1);
        mpfr_set_inf(&r.x->right, 1);
        return r;
    }

    /* Doubles at or outside the bounds. */
    double low() const
    {
        return mpfr_get_d(&x->left, MPFR_RNDD);
    }
    double high() const
    {
        return mpfr_get_d(&x->right, MPFR_RNDU);
    }
    double middle() const
    {
        return mpfi_get_d(x);
    }
    Interval lowest() const
    {
        return bound(&x->left);
    }
    Interval highest() const
    {
        return bound(&x->right);
    }
    Interval center() const
    {
        Interval r;
        mpfr_t m;
        mpfr_init2(m, BITS);
        mpfi_mid(m, x);
        mpfi_set_fr(r.x, m);
        mpfr_clear(m);
        return r;
    }

    bool is_bounded() const
    {
        return mpfi_bounded_p(x);
    }
    bool has_zero() const
    {
        return mpfi_has_zero(x);
    }
    bool is_zero() const
    {
        return mpfi_is_zero(x);
    }
    bool is_point() const
    {
        return mpfr_equal_p(&x->left, &x->right);
    }
    bool below(const Interval &o) const
    {
        return mpfr_less_p(&x->right, &o.x->left);
    }
    bool at_most(const Interval &o) const
    {
        return mpfr_lessequal_p(&x->right, &o.x->left);
    }
    bool positive() const
    {
        return mpfr_sgn(&x->left) > 0;
    }
    bool not_negative() const
    {
        return mpfr_sgn(&x->left) >= 0;
    }
    bool negative() const
    {
        return mpfr_sgn(&x->right) < 0;
    }
    bool not_positive() const
    {
        return mpfr_sgn(&x->right) <= 0;
    }

    friend Interval operator+(const Interval &a, const Interval &b)
    {
        return make(mpfi_add, a, b);
    }
    friend Interval operator-(const Interval &a, const Interval &b)
    {
        return make(mpfi_sub, a, b);
    }
    friend Interval operator*(const Interval &a, const Interval &b)
    {
        return a.is_zero() || b.is_zero() ? Interval(0) : make(mpfi_mul, a, b);
    }
    friend Interval operator/(const Interval &a, const Interval &b)
    {
        return b.has_zero() ? everything() : make(mpfi_div, a, b);
    }
    Interval operator-() const
    {
        return make(mpfi_neg);
    }
    Interval squared() const
    {
        return make(mpfi_sqr);
    }
    friend Interval sqrt(const Interval &a)
    {
        return a.make(mpfi_sqrt);
    }
    friend Interval exp(const Interval &a)
    {
        return a.make(mpfi_exp);
    }
    friend Interval log(const Interval &a)
    {
        return a.make(mpfi_log);
    }
    friend Interval sin(const Interval &a)
    {
        return a.make(mpfi_sin);
    }
    friend Interval cos(const Interval &a)
    {
        return a.make(mpfi_cos);
    }
    friend Interval tan(const Interval &a)
    {
        return a.make(mpfi_tan);
    }
    friend Interval atan(const Interval &a)
    {
        return a.make(mpfi_atan);
    }
    friend Interval abs(const Interval &a)
    {
        return a.make(mpfi_abs);
    }
    friend Interval hull(const Interval &a, const Interval &b)
    {
        return make(mpfi_union, a, b);
    }
    /* Where both are bounds of one number; the first where rounding left nothing in common. */
    friend Interval meet(const Interval &a, const Interval &b)
    {
        Interval r = make(mpfi_intersect, a, b);
        return mpfi_is_empty(r.x) ? a : r;
    }
    friend Interval span(const Interval &low,
                         const Interval &high) /* from the low end of one to the high of the other */
    {
        Interval r;
        mpfi_interv_fr(r.x, &low.x->left, &high.x->right);
        return r;
    }

  private:
    mpfi_t x;

    static Interval bound(mpfr_srcptr b)
    {
        Interval r;
        mpfi_set_fr(r.x, b);
        return r;
    }
    static Interval make(int (*f)(mpfi_ptr, mpfi_srcptr, mpfi_srcptr), const Interval &a, const Interval &b)
    {
        Interval r;
        f(r.x, a.x, b.x);
        return r;
    }
    Interval make(int (*f)(mpfi_ptr, mpfi_srcptr)) const
    {
        Interval r;
        f(r.x, x);
        return r;
    }
};

#endif
