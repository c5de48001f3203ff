"""Wrong changes that the tests must notice, over all laws and rooms: one expression each."""

from tests.mutants.kernels import KERNELS, UNITS
from tests.mutants.laws import LAWS
from tests.mutants.paper import PAPER
from tests.mutants.pieces import PIECES
from tests.mutants.plan import PLAN
from tests.mutants.shop import SHOP

ALL = (*LAWS, *UNITS, *SHOP, *PLAN, *PAPER, *PIECES, *KERNELS)
