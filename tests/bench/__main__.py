"""Measure everything, in one run: python -m tests.bench

Never says that a number is good: it prints what was measured, and what is aimed at.
"""

import sys
from collections.abc import Callable, Mapping

try:
    from tests.bench import bench_cost, bench_fold, bench_ledger, bench_service, bench_tickets
except ModuleNotFoundError as error:
    sys.exit(f"python -m tests.bench: {error.name} is missing. Install the extra: pip install -e '.[dev,bench]'")

BENCHES: tuple[tuple[str, Callable[[], Mapping[str, float]]], ...] = (
    ("travellers: 1,000 with bars, against the same without (aim: at most 1.5)", bench_tickets.ratio),
    ("fold: decoded events a second (aim: 200,000)", lambda: {"events a second": bench_fold.rate()}),
    ("the week's costing, against polars from the same rows (aim: at most 2)", bench_cost.measure),
    ("scan to durable answer, against one raw commit (aim: p99 at most 3)", bench_service.measure),
    ("ledger: group commit against single raw commits", bench_ledger.ratios),
    ("replay: rows a second, from the disk to decoded events", bench_ledger.replay),
)


def main() -> None:
    """One bench after the other."""
    for title, bench in BENCHES:
        print(title)
        for name, value in bench().items():
            print(f"  {name:<50} {value:>14,.3f}")


if __name__ == "__main__":
    main()
