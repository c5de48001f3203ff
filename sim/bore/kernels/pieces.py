"""Pieces of a column: roots, values, integrals, thinning. A piece is a + b t + c t^2 from its knot."""

from __future__ import annotations

import math

from sim.laws.compiled import njit


@njit
def _square(a, b, c, t):
    """Integral of (a + b x + c x^2)^2 from 0 to t."""
    return t * (
        a * a + t * (a * b + t * ((b * b + 2 * a * c) / 3 + t * (b * c / 2 + t * c * c / 5)))
    )


@njit
def _roots(a, b, c, t):
    """Roots of a + b x + c x^2 strictly inside (0, t), ascending; nan where there is none."""
    first, second = math.nan, math.nan
    if abs(c) * t < 1e-14 * (abs(b) + 1e-300):
        if b != 0.0:
            x = -a / b
            if 0.0 < x < t:
                first = x
        return first, second
    disc = b * b - 4 * a * c
    if disc <= 0.0:
        return first, second
    half = -0.5 * (b + math.copysign(math.sqrt(disc), b))
    x, y = half / c, (a / half if half != 0.0 else math.nan)
    if y < x:
        x, y = y, x
    if 0.0 < x < t:
        first = x
    if 0.0 < y < t:
        if math.isnan(first):
            first = y
        else:
            second = y
    return first, second


@njit
def _piece_at(knots, n, z):
    """Index of the piece that holds depth z (the later one at a knot), by bisection."""
    lo, hi = 0, n - 1
    while lo < hi:
        mid = (lo + hi + 1) // 2
        if knots[mid] <= z:
            lo = mid
        else:
            hi = mid - 1
    return lo


@njit
def sample_columns(first, last, knots, coef, count, depth, out):
    """Radius [mm] at the ascending depths `depth` into out (n, n_depth)."""
    for i in range(first, last):
        j = 0
        for k in range(len(depth)):
            z = depth[k]
            while j + 1 < count[i] and knots[i, j + 1] <= z:
                j += 1
            t = z - knots[i, j]
            out[i, k] = coef[i, j, 0] + t * (coef[i, j, 1] + t * coef[i, j, 2])


@njit
def integrate_columns(first, last, knots, coef, count, z0, z1, out):
    """Integrals over depth z0..z1 of r and of r^2 into out (n, 2) [mm2, mm3]; exact."""
    for i in range(first, last):
        linear, square = 0.0, 0.0
        for j in range(_piece_at(knots[i], count[i], z0), count[i]):
            lo, hi = max(z0, knots[i, j]), min(z1, knots[i, j + 1])
            if hi <= lo:
                if knots[i, j] >= z1:
                    break
                continue
            a, b, c = coef[i, j, 0], coef[i, j, 1], coef[i, j, 2]
            t0, t1 = lo - knots[i, j], hi - knots[i, j]
            a, b, t = a + t0 * (b + t0 * c), b + 2 * t0 * c, t1 - t0
            linear += t * (a + t * (b / 2 + t * c / 3))
            square += _square(a, b, c, t)
        out[i, 0] = linear
        out[i, 1] = square


@njit
def thin_columns(first, last, depth, radius, tolerance, knots, coef, count):
    """Straight pieces through radius (n, n_depth) at `depth`, knots dropped where `tolerance` [mm]
    allows.

    A piece runs on while every skipped point lies within the tolerance of it (the cone of slopes
    that still serve).
    """
    for i in range(first, last):
        n, at = 0, 0
        while at < len(depth) - 1:
            low, high = -math.inf, math.inf
            to = at + 1
            for k in range(at + 1, len(depth)):
                run = depth[k] - depth[at]
                slope = (radius[i, k] - radius[i, at]) / run
                if low <= slope <= high:
                    to = k
                low = max(low, slope - tolerance / run)
                high = min(high, slope + tolerance / run)
                if low > high:
                    break
            knots[i, n] = depth[at]
            coef[i, n, 0] = radius[i, at]
            coef[i, n, 1] = (radius[i, to] - radius[i, at]) / (depth[to] - depth[at])
            coef[i, n, 2] = 0.0
            n += 1
            at = to
        knots[i, n] = depth[-1]
        count[i] = n
