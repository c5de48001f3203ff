"""Wrong chances, draws, plans, remedies and bores on a bar."""

from tests.mutants.wrong import Wrong

PLAN = (
    Wrong(
        "looks not corrected",
        "(1.0 - LEVEL) / (looks if draws is None else 1)",
        "(1.0 - LEVEL)",
        ("test_chance.py",),
        "look",
    ),
    Wrong(
        "interval one-sided",
        "tail = 0.5 * (1.0 - level)",
        "tail = 1.0 - level",
        ("test_chance.py",),
        "interval",
    ),
    Wrong(
        "share of a spread by what is left",
        "np.nanvar(all_on - without)",
        "np.nanvar(without)",
        ("test_chance.py",),
        "shares_of",
    ),
    Wrong(
        "own part of a layer not rooted",
        "math.sqrt(1.0 - spreads.shared) * own[:, 0]",
        "(1.0 - spreads.shared) * own[:, 0]",
        ("test_scatter.py",),
        "moments",
    ),
    Wrong(
        "reading's spread on radius",
        "0.5 * spreads.reading * plain[17]",
        "spreads.reading * plain[17]",
        ("test_scatter.py",),
        "moments",
    ),
    Wrong(
        "bead noise too smooth",
        "/ (0.5 * NODES)) ** 2",
        "/ (0.8 * NODES)) ** 2",
        ("test_scatter.py",),
        "rough",
    ),
    Wrong(
        "slump dropped in many draws",
        "self._least(wall, drawn, edges) - law - edge * len(settings)",
        "self._least(wall, drawn, edges) - law",
        ("test_scatter.py",),
        "many_draws",
    ),
    Wrong(
        "gravity turned in many draws",
        "np.exp(c.gravity * setting.path.turning",
        "np.exp(-c.gravity * setting.path.turning",
        ("test_scatter.py",),
        "many_draws",
    ),
    Wrong(
        "wire priced by the gram",
        "wire * self.scene.wire.density / 1000.0 * (p.wire_price",
        "wire * self.scene.wire.density * (p.wire_price",
        ("test_plan.py",),
        "cost",
    ),
    Wrong(
        "a plan without its standard error",
        "draws * asked + math.sqrt(draws * asked * (1.0 - asked))",
        "draws * asked",
        ("test_plan.py",),
        "enough_draws",
    ),
    Wrong(
        "range without its last value",
        "1e18) + 1e-9) + 1",
        "1e18) + 1e-9)",
        ("test_plan.py",),
        "values_as_written",
    ),
    Wrong(
        "bisection keeps what does not work",
        "round(low + good * step, 9)",
        "round(low + bad * step, 9)",
        ("test_remedy.py",),
        "smallest",
    ),
    Wrong(
        "axis moved away from the metal",
        "-(1 - z) * sin",
        "(1 - z) * sin",
        ("test_remedy.py",),
        "best_axis",
    ),
    Wrong(
        "remedies that fail come first",
        "(not r.works, r.extra_wire",
        "(r.works, r.extra_wire",
        ("test_remedy.py",),
        "best_comes_first",
    ),
    Wrong(
        "bores of a bar at one place", '("far", along + length)', '("far", along)', ("test_bar.py",)
    ),
)
