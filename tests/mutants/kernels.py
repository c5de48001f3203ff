"""Wrong units, and wrong changes in what is compiled."""

from tests.mutants.wrong import Wrong

UNITS = (
    Wrong("kJ/in inverted", '"_kj_per_in", 1.0 / INCH', '"_kj_per_in", INCH', ("test_units.py",)),
    Wrong(
        "ksi doubled",
        "1000.0 * POUND_FORCE / INCH**2",
        "2000.0 * POUND_FORCE / INCH**2",
        ("test_units.py",),
    ),
    Wrong("Fahrenheit shifted the other way", '"F", -32.0', '"F", 32.0', ("test_units.py",)),
    Wrong("a foot of ten inches", "12.0 * INCH / 60.0", "10.0 * INCH / 60.0", ("test_units.py",)),
)
KERNELS = (
    Wrong(
        "tie-in kept after a no-weld area",
        "under[i, turn] = math.nan nearest = math.nan",
        "under[i, turn] = math.nan",
        ("test_deposit.py",),
        "no_weld",
    ),
    Wrong("depth of fusion not held", "binds = True", "binds = False", ("test_twin.py",), "fusion"),
    Wrong(
        "tie-in falls off straight",
        "((width - gap) / (FALL_OFF * width)) ** 2",
        "((width - gap) / (FALL_OFF * width)) ** 1",
        ("test_deposit.py",),
        "ripple",
    ),
    Wrong(
        "start hump half as high",
        "hump * 0.5 * (1.0 + math.cos",
        "hump * 0.25 * (1.0 + math.cos",
        ("test_deposit.py",),
        "conserved",
    ),
    Wrong(
        "no taper at a stop",
        "q *= until / taper_angle",
        "q *= 1.0",
        ("test_deposit.py",),
        "conserved",
    ),
    Wrong(
        "bead holds a little less than laid",
        "w**5 / 30",
        "w**5 / 31",
        ("test_deposit.py",),
        "mean_layer",
    ),
    Wrong(
        "tie-in away from the neighbour",
        "if nearest < zc",
        "if nearest > zc",
        ("test_deposit.py",),
        "ripple",
    ),
    Wrong(
        "foot passes a crest between knots",
        "if c > 0.0:",
        "if c > 1e9:",
        ("test_deposit.py",),
        "gauge_reads",
    ),
    Wrong(
        "tool leaves what it should cut",
        "if d0 + mid * (qb + mid * qc) >= 0.0",
        "if d0 + mid * (qb + mid * qc) < 0.0",
        ("test_simulate.py",),
        "bored or local_weld",
    ),
    Wrong(
        "tool on the other side of its axis",
        "dx * sin - dy * cos, dx * cos",
        "dy * cos - dx * sin, dx * cos",
        ("test_simulate.py",),
        "bored",
    ),
    Wrong(
        "wall between knots not looked at",
        "t = -(b + lean) / (2 * c)",
        "t = lo",
        ("test_simulate.py",),
        "between_knots",
    ),
    Wrong(
        "volume of a piece without its curve",
        "b * c / 2 + t * c * c / 5",
        "b * c / 2",
        ("test_deposit.py",),
        "mean_layer",
    ),
)
