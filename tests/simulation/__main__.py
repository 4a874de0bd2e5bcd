"""Run the simulation and print its table: ``python -m tests.simulation [LEARNERS [SEEDS]]``."""

import sys

from tests.simulation.report import main

if __name__ == "__main__":
    main(*(int(number) for number in sys.argv[1:]))
