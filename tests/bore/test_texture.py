"""Profile parameters against ISO 21920-2 closed forms and the library surfalize (test time only)."""

import numpy as np
import pytest

from sim.bore.ripple import waviness, waviness_at
from sim.job.read import load
from sim.shop.finish import interior
from sim.shop.run import simulate


def test_sine_and_scallop():
    # ISO 21920-2 definitions, derived: sine of amplitude 10: Ra 2 A / pi = 6.36620, Rq A / sqrt 2 =
    # 7.07107, Rt 20;
    # parabolic scallops of height 8: Ra 16 h / (36 sqrt 3) = 2.05280, Rq h 2 / sqrt 45 = 2.38514.
    x = (np.arange(400_000) + 0.5) / 1000.0
    told = waviness(10 * np.cos(2 * np.pi * x))
    assert (told.wa, told.wq, told.wt) == pytest.approx((6.36620, 7.07107, 20.0), abs=2e-3)
    told = waviness(8 * (2 * (x % 1.0) - 1) ** 2)
    assert (told.wa, told.wq) == pytest.approx((2.05280, 2.38514), abs=2e-3)


def test_last_layer_against_surfalize():
    surfalize = pytest.importorskip("surfalize")
    result = simulate(load("scenes/coarse_pitch.toml"))
    layer = result.layers[-1]
    low, high = interior(layer.setting, 100.0)
    for clock in (0.5, 4.7):
        told = waviness_at(layer.wall, clock, low, high)
        r = layer.wall.radius(np.linspace(low, high, 4001))[layer.wall.clock.nearest(clock)]
        x = np.linspace(-1, 1, len(r))
        level = -r - np.polyval(np.polyfit(x, -r, 1), x)
        profile = surfalize.Profile(level * 1000.0, (high - low) * 1000.0 / 4000)
        assert told.wa * 1000 == pytest.approx(profile.Ra(), rel=1e-6)
        assert told.wq * 1000 == pytest.approx(profile.Rq(), rel=1e-6)
        assert told.wt * 1000 == pytest.approx(profile.Rt(), rel=1e-6)
