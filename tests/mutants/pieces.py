"""Wrong test pieces: what the shop's own scrap tells, and whose values a job takes."""

from tests.mutants.wrong import Wrong

PIECES = (
    Wrong(
        "one ring stands for all", "RING * prior", "0.0 * prior", ("test_test_pieces.py",), "alone"
    ),
    Wrong(
        "the clock test replaces the table",
        "pooled = (weights[0] * prior + weights[1] * slope) / sum(weights)",
        "pooled = slope",
        ("test_test_pieces.py",),
        "alone",
    ),
    Wrong(
        "a clock speaks for its neighbours",
        "REACH = TURN / 16.0",
        "REACH = TURN / 7.0",
        ("test_test_pieces.py",),
        "missing",
    ),
    Wrong(
        "beads wider where they are higher",
        '("width", -1.0, "spread.width")',
        '("width", 1.0, "spread.width")',
        ("test_test_pieces.py",),
        "planted",
    ),
    Wrong(
        "the file's gravity over the job's",
        "{**held[section], **raw.get(section, {})}",
        "{**raw.get(section, {}), **held[section]}",
        ("test_test_pieces.py",),
        "stands",
    ),
    Wrong(
        "a section is never turned over",
        "for mirrored in (False, True):",
        "for mirrored in (False,):",
        ("test_test_pieces.py",),
        "turned",
    ),
)
