"""The house keeps its shape: short functions, few branches, short files, no circle, no wide line."""

import pytest

from tests.house.shape import rules


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.name)
def test_the_house_keeps_its_shape(rule):
    assert not rule.broken, "\n".join([f"{rule.measured}, allowed {rule.allowed}", *rule.broken])
