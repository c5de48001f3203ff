"""Law of roughness: the marks a round nose leaves at a feed."""

from __future__ import annotations

import math

FORMULA = "height = feed^2 / (8 x nose)"
SOURCE = "geometry of a round nose; the exact form beside it"
RANGE = {"feed / nose": (0.0, 2.0, "1")}
HOW_KNOWN = "derived"


RA_OF_RZ = 4.0 / (9.0 * math.sqrt(3.0))  # mean deviation of a parabola over its height


def roughness(feed: float, nose: float) -> float:
    """Height [mm] of the marks of a nose of radius `nose` [mm] at a feed [mm per turn], near
    enough: f^2/(8 r).

    >>> round(roughness(0.2, 0.8) * 1000.0, 6)
    6.25
    """
    return feed**2 / (8.0 * nose)


def exact_roughness(feed: float, nose: float) -> float:
    """Height [mm] of the same marks exactly: r - sqrt(r^2 - f^2/4), while the feed is at most the
    nose diameter.

    Raises ValueError for a feed wider than the nose: its marks then do not meet on the nose.

    >>> round(exact_roughness(0.2, 0.8) * 1000.0, 4)
    6.2746
    """
    if feed > 2.0 * nose:
        raise ValueError(
            f"exact_roughness: feed = {feed} mm: wider than the nose of radius {nose} mm"
        )
    return nose - math.sqrt(nose**2 - 0.25 * feed**2)


def mean_roughness(feed: float, nose: float) -> float:
    """Arithmetic mean deviation Ra [mm] of the same marks: f^2/(18 sqrt(3) r), of a row of
    parabolas; derived.

    >>> round(mean_roughness(0.2, 0.8) * 1000.0, 4)
    1.6038
    """
    return RA_OF_RZ * roughness(feed, nose)
