"""Wrong laws: beads, gravity, limits of size, heat and steel, cutting, readings, profiles."""

from tests.mutants.wrong import Wrong

LAWS = (
    Wrong(
        "bead area a half of width times height",
        "self.width * self.height * 2.0 / 3.0",
        "self.width * self.height * 0.5",
        ("test_layup.py",),
    ),
    Wrong(
        "wire-feed exponent .40", "= 0.48, -0.30", "= 0.40, -0.30", ("test_evidence.py",), "height"
    ),
    Wrong(
        "travel exponent turned over",
        "travel_ratio**HEIGHT_TRAVEL",
        "travel_ratio**-HEIGHT_TRAVEL",
        ("test_evidence.py",),
        "height",
    ),
    Wrong(
        "all wire fed becomes weld",
        "efficiency * wire_area(wire_diameter) * wire_feed",
        "wire_area(wire_diameter) * wire_feed",
        ("test_layup.py",),
    ),
    Wrong(
        "torch climbs the other way",
        "-turning * np.sin(gravity_clock)",
        "turning * np.sin(gravity_clock)",
        ("test_evidence.py",),
    ),
    Wrong("gravity below its least", "max(c, GRAVITY_LEAST)", "c", ("test_bead.py",)),
    Wrong(
        "beads wider where they are taller",
        "np.exp(-c * climbing)",
        "np.exp(c * climbing)",
        ("test_twin.py",),
    ),
    Wrong(
        "pool runs up",
        "1.0 - pool_run / radius * np.cos(clock)",
        "1.0 + pool_run / radius * np.cos(clock)",
        ("test_deposit.py",),
        "eccentric",
    ),
    Wrong(
        "start hump not over the bead height",
        "self.fusion, self.hump / height",
        "self.fusion, self.hump",
        ("test_deposit.py",),
        "conserved",
    ),
    Wrong(
        "stop taper twice as long",
        "self.taper_length / radius",
        "2.0 * self.taper_length / radius",
        ("test_deposit.py",),
        "conserved",
    ),
    Wrong(
        "tie-in of a pad sought the wrong way",
        "steady_ripple(spacing, middle) > ripple_over_height",
        "steady_ripple(spacing, middle) < ripple_over_height",
        ("test_layup.py",),
        "pad",
    ),
    Wrong(
        "tolerance added once only",
        "2 * (lower + tolerance)",
        "2 * lower + tolerance",
        ("test_limits.py", "test_evidence.py"),
    ),
    Wrong(
        "size at the edge of a band in the next",
        "if size <= edge",
        "if size < edge",
        ("test_limits.py", "test_evidence.py"),
    ),
    Wrong(
        "arc energy rises with travel",
        "volts * amps / travel",
        "volts * amps * travel",
        ("test_evidence.py", "test_heat.py"),
    ),
    Wrong(
        "manganese a fifth",
        "self.manganese / 6.0",
        "self.manganese / 5.0",
        ("test_evidence.py", "test_heat.py"),
    ),
    Wrong(
        "cooling in thin plate not squared", "near**2 - far**2", "near - far", ("test_metal.py",)
    ),
    Wrong(
        "hydrogen without its exponent",
        "62.0 * hydrogen**0.35",
        "62.0 * hydrogen",
        ("test_evidence.py", "test_heat.py"),
    ),
    Wrong(
        "steel as thick as a row of the table in the next",
        "thickness > limit for limit in THICKNESSES",
        "thickness >= limit for limit in THICKNESSES",
        ("test_evidence.py", "test_heat.py"),
    ),
    Wrong(
        "positions turned over",
        "climb = -turning * sin",
        "climb = turning * sin",
        ("test_metal.py", "test_evidence.py"),
    ),
    Wrong(
        "metal left standing grows without end",
        "give / (1.0 + give) * depth",
        "give * depth",
        ("test_cutting.py",),
    ),
    Wrong(
        "overhung bar bends with the square",
        "np.maximum(out, 0.0) ** 3 / stiffness",
        "np.maximum(out, 0.0) ** 2 / stiffness",
        ("test_cutting.py",),
    ),
    Wrong(
        "thin chips cut easier",
        "unit_force * thickness**-exponent",
        "unit_force * thickness**exponent",
        ("test_evidence.py",),
    ),
    Wrong(
        "mean roughness by the wrong share",
        "RA_OF_RZ * roughness(feed, nose)",
        "0.25 * roughness(feed, nose)",
        ("test_cutting.py", "test_evidence.py"),
    ),
    Wrong(
        "expansion of gauge and part multiplied",
        "(gauge_c - REFERENCE)) / (1.0 + work",
        "(gauge_c - REFERENCE)) * (1.0 + work",
        ("test_gauge.py",),
    ),
    Wrong(
        "mean wall temperature without its half",
        "1.0 / (2.0 * math.log(ratio))",
        "1.0 / math.log(ratio)",
        ("test_gauge.py",),
    ),
    Wrong(
        "unseen wear twice counted",
        "seen - 0.5 * self.original, 0.0",
        "2.0 * seen - self.original, 0.0",
        ("test_gauge.py",),
    ),
    Wrong(
        "high orders as easy as low ones",
        "1.0 / np.maximum(orders, 1.0) ** 2",
        "1.0 / np.maximum(orders, 1.0) ** 0",
        ("test_gauge.py",),
    ),
    Wrong(
        "bar of an indicator set over the other way",
        "r * sin - x0, -r * cos - y0",
        "r * sin + x0, -r * cos + y0",
        ("test_gauge.py",),
    ),
    Wrong(
        "minimum zone by the outer circle",
        "float(distance.max() + distance.min()) / 2.0",
        "float(distance.max())",
        ("test_form.py",),
        "twins or eight",
    ),
    Wrong(
        "root mean square without its root",
        "math.sqrt(float((off**2).mean()))",
        "float((off**2).mean())",
        ("test_texture.py",),
    ),
)
