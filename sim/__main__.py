"""`python -m sim`: the command line."""

import sys

from sim.commands.main import main

if __name__ == "__main__":
    sys.exit(main())
