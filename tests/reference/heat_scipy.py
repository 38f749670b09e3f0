"""Transient conduction and cooling in air worked out in two other ways each, for heat_scipy.c to compare with.

Prints one line a case: function, arguments in SI, value, slack. Functions and order of arguments are those of
runtime/functions.def.

A sheet with different faces:
  finite volumes in space, exact in time (eigenvalues of the symmetric matrix, scipy.linalg), Richardson's extrapolation;
  Laplace's transform of the same equations, turned back along Talbot's contour (numpy; contour and its constants after
  Weideman, SIAM J. Numer. Anal. 44, 2006, from memory).
A sheet in air with radiation:
  an eighth-order Runge-Kutta solution of the balance (scipy.integrate.solve_ivp), and its integral (quad).
The two ways must agree with each other first.
"""

import itertools

import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.linalg import eigh_tridiagonal
from scipy.optimize import brentq

SIGMA = 5.670374419e-8  # W/(m^2 K^4), CODATA 2018


# ---- a sheet between two surroundings; Biot numbers b over the whole thickness, Fourier number fo ----


def volumes(b, ambient, start, cells):
    """A function from Fourier number to mean: the matrix is taken apart once."""
    face = [cells / (1 / x + 0.5 / cells) if x else 0.0 for x in b]
    inner = float(cells * cells)
    diagonal = np.full(cells, 2 * inner)
    diagonal[0] += face[0] - inner
    diagonal[-1] += face[1] - inner
    source = np.zeros(cells)
    source[0] = face[0] * ambient[0]
    source[-1] += face[1] * ambient[1]
    rate, shape = eigh_tridiagonal(diagonal, np.full(cells - 1, -inner))
    begin, drive, mean = shape.T @ np.full(cells, start), shape.T @ source, shape.mean(axis=0)
    return lambda fo: mean @ (np.exp(-rate * fo) * begin - np.expm1(-rate * fo) / rate * drive)


def volumes_mean(b, ambient, start):
    coarse, fine = (volumes(b, ambient, start, cells) for cells in (100, 200))
    return lambda fo: fine(fo) + (fine(fo) - coarse(fo)) / 3


def transform(s, b, ambient, start, depth):
    """Laplace's transform at a depth, by its waves from both faces (decaying ones, so that nothing overflows)."""
    q = np.sqrt(s)
    e = np.exp(-q)
    # u = start/s + m exp(-q x) + n exp(-q (1 - x)) with b u(0) - u'(0) = b T/s at the first face, alike at the second
    f0, f1 = (b[i] * (ambient[i] - start) / s for i in range(2))
    a00, a01, a10, a11 = b[0] + q, (b[0] - q) * e, (b[1] - q) * e, b[1] + q
    det = a00 * a11 - a01 * a10
    m, n = (f0 * a11 - a01 * f1) / det, (a00 * f1 - a10 * f0) / det
    if depth is None:
        return start / s + (m + n) * (1 - e) / q
    return start / s + m * np.exp(-q * depth) + n * np.exp(-q * (1 - depth))


def talbot(b, ambient, start, fo, depth=None):
    """The mean, or the temperature at a depth."""
    count = 32
    angle = (2 * np.arange(count) + 1) * np.pi / count - np.pi
    tan = np.tan(0.6407 * angle)
    s = count / fo * (0.5017 * angle / tan - 0.6122 + 0.2645j * angle)
    ds = count / fo * (0.5017 / tan - 0.5017 * 0.6407 * angle / np.sin(0.6407 * angle) ** 2 + 0.2645j)
    rest = transform(s, b, ambient, start, depth) - start / s  # the start itself comes back exactly
    return start + np.sum(np.exp(s * fo) * rest * ds).imag / count


def check(one, other, slack):
    if not abs(one - other) <= slack:
        raise SystemExit(f"the two references differ: {one!r} {other!r}")


def say(function, arguments, value, slack):
    print(function, *(repr(float(x)) for x in arguments), repr(float(value)), repr(float(slack)))


def slab_cases():
    start, ambient, thickness, k, capacity = 293.15, (493.15, 353.15), 0.0015, 90.0, 1770 * 1060.0
    unit = thickness**2 * capacity / k
    biots = (0.0, 1e-4, 0.01, 0.3, 2.0, 25.0, 1000.0)
    for b in itertools.product(biots, biots):
        if max(b) == 0:
            continue
        h = [x * k / thickness for x in b]
        by_volumes = volumes_mean(b, ambient, start)
        for fo in (0.001, 0.004, 0.0059, 0.0061, 0.02, 0.1, 0.5, 3.0, 40.0):
            arguments = (*h, *ambient, start, thickness, k, capacity)
            mean = talbot(b, ambient, start, fo)
            check(mean, by_volumes(fo), 2e-3 if fo < 0.02 else 1e-4)
            say("slab-mean", (*arguments, fo * unit), mean, 1e-8)
            for depth in (0.0, 0.25, 0.5, 1.0):
                say("slab-temperature", (*arguments, fo * unit, depth), talbot(b, ambient, start, fo, depth), 1e-8)
        if b[0] and b[1]:
            end = talbot(b, ambient, start, 1e3 / min(1, b[0] + b[1]))
            for share in (0.05, 0.5, 0.9, 0.99):
                goal = start + share * (end - start)
                fo = brentq(lambda x: talbot(b, ambient, start, x) - goal, 1e-9, 1e3 / min(1, b[0] + b[1]), xtol=1e-14)
                slope = (talbot(b, ambient, start, fo * 1.001) - talbot(b, ambient, start, fo * 0.999)) / (0.002 * fo)
                say("slab-time", (*arguments, goal), fo * unit, (1e-8 / slope + 1e-12) * unit)


# ---- a sheet in air ----


def loss(t, room, h, emissivity):
    return h * (t - room) + emissivity * SIGMA * (t**4 - room**4)


def air_cases():
    temperatures = ((473.15, 293.15), (293.15, 773.15), (303.15, 293.15), (1200.0, 300.0), (150.0, 900.0))
    coefficients = ((0.0, 0.2), (10.0, 0.4), (24.0, 0.0), (80.0, 1.6), (3.0, 2.0))
    capacity = 1770 * 1060 * 0.0005
    for (start, room), (h, emissivity) in itertools.product(temperatures, coefficients):
        rate = lambda _, t: -loss(t, room, h, emissivity) / capacity
        scale = capacity * abs(start - room) / abs(loss(start, room, h, emissivity))
        for share in (0.001, 0.05, 0.5, 2.0):
            time = share * scale
            end = solve_ivp(rate, (0, time), [start], method="DOP853", rtol=1e-13, atol=1e-11).y[0, -1]
            arguments = (start, room, capacity, h, emissivity)
            taken = quad(lambda t: -capacity / loss(t, room, h, emissivity), start, end, epsabs=0, epsrel=1e-12)[0]
            check(taken / time, 1, 1e-8)
            say("air-temperature", (*arguments, time), end, 1e-9)
            say("air-time", (*arguments, end), taken, 1e-8 * taken)


slab_cases()
air_cases()
