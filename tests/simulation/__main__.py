"""Play one seed, or many: python -m tests.simulation --seed 7, or --seeds 1000.

Never hides which seed failed.
"""

import argparse

from tests.simulation.world import World


def main() -> None:
    """Play the seeds that the command line names."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, help="play this one")
    parser.add_argument("--seeds", type=int, default=1000, help="play so many, from 0 on")
    wanted = parser.parse_args()
    seeds = [wanted.seed] if wanted.seed is not None else range(wanted.seeds)
    for seed in seeds:
        try:
            World(seed).play()
        except BaseException:
            print(f"replay it with: python -m tests.simulation --seed {seed}")
            raise
    print(f"{len(seeds)} seeds played, all checks held")


if __name__ == "__main__":
    main()
