"""How fast a ledger is folded into the state of the floor: decoded events a second, on one core.

Never reads a ledger: what decoding costs is another question.

    python -m tests.bench.bench_fold
"""

from collections.abc import Sequence
from datetime import timedelta
from time import perf_counter

from floor.core.folds.fold import fold_all
from shared.codes import CodeType
from shared.events.recorded import Recorded
from tests.making import DARK_WALK, Play, card, shop_holding

EVENTS = 200_000
PIECES_A_JOB = 60
STAIN = card(CodeType.REASON, "stain")


def realistic_ledger(events: int = EVENTS, pause_h: float = 12, after_s: float = 20) -> list[Recorded]:
    """Weeks of jobs of dark garments, a job at a time through every station, with the usual slips.

    One piece in fifty skips its pretreat scan, one in thirty is read twice, one in sixty opened too early,
    one in forty spoiled. `pause_h` lies between two jobs, `after_s` between two reads. A job is cured all at once.
    """
    play = Play(shop_holding(PIECES_A_JOB))
    while len(play.rows) < events:
        _job(play, pause_h, after_s)
    return play.rows[:events]


def _job(play: Play, pause_h: float, after_s: float) -> None:
    play.now += timedelta(hours=pause_h)
    pieces = play.job(sizes={"M": PIECES_A_JOB}, due=play.now + timedelta(days=3))
    for station in play.shop.stations:
        play.scan(card(CodeType.BADGE, "A"), station, after_s=1)
    for n, (station, _) in enumerate(DARK_WALK):
        for code in filter(play.floor.open.__contains__, pieces):
            serial = int(code[1:8])
            if n == 0 and serial % 50 == 0:
                continue
            play.scan(code, station, after_s=after_s)
            if n == 4 and serial % 60 == 0:
                play.scan(code, station, after_s=after_s)
            if serial % 30 == 0:
                play.scan(code, station, after_s=3)
            if n == 3 and serial % 40 == 0:
                play.spoil(code, station, after_s=3)


def events_a_second(rows: Sequence[Recorded]) -> float:
    """Decoded events folded in a second."""
    started = perf_counter()
    fold_all(rows)
    return len(rows) / (perf_counter() - started)


def rate(events: int = EVENTS) -> float:
    """The best of three runs: what else the machine does meanwhile is not the fold's."""
    rows = realistic_ledger(events)
    return max(events_a_second(rows) for _ in range(3))


if __name__ == "__main__":
    print(f"fold: {rate():,.0f} events/s")
