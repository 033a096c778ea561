"""Weeks of a shop whose work takes longer or shorter than anybody foresees: what a forecast of its jobs is worth.

Never tells the forecaster the speed of a week, the time of a step, or when a pair of hands is called away.
"""

from collections.abc import Generator, Iterator
from datetime import datetime, timedelta
from random import Random
from statistics import median
from typing import Any

import simpy
from msgspec import Struct

from floor.core.plan.band import Band, Bands, Foretold, past_forecasts
from floor.core.plan.forecast import expected_finishes
from shared.events.jobs import JobForetold
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, shop

SPEED_SPREAD, STEP_SPREAD = 0.2, 0.35
"""Standard deviations of the logarithms: of a whole week's pace, and of each step."""
CALLED_AWAY, AWAY_S = 0.03, 1_200
"""How often, and for how long, the hands leave a step."""

HOUR = timedelta(hours=1)


class Told(Struct, frozen=True):
    """A job of a week: what was foretold when it came, the band if there was one, and when it was finished."""

    foretold: Foretold
    band: Band | None

    @property
    def covered(self) -> bool:
        assert self.band is not None
        return self.band.earliest <= self.foretold.finished <= self.band.latest


def weeks(count: int, seed: int) -> Iterator[list[Told]]:
    """The jobs of one week after the other, on one floor that remembers them."""
    random, play = Random(seed), Play()
    for number in range(count):
        yield _Week(play, random, MONDAY + timedelta(weeks=number)).run()


class _Week:
    def __init__(self, play: Play, random: Random, start: datetime) -> None:
        self.play, self.random, self.start = play, random, start
        self.env = simpy.Environment()
        self.stations = {name: simpy.PriorityResource(self.env) for name in play.shop.stations}
        self.pace = random.lognormvariate(0, SPEED_SPREAD)
        self.bands: dict[str, Band | None] = {}

    def run(self) -> list[Told]:
        for _ in range(self.random.randint(2, 5)):
            self.env.process(self.job(self.random.uniform(0, 24 * 3600)))
        self.env.run()
        past = {each.made: each for each in past_forecasts(self.play.floor)}
        made = {code: self.play.floor.jobs[code].foretold for code in self.bands}
        return [Told(past[moments[0]], self.bands[code]) for code, moments in made.items() if moments]

    def job(self, after_s: float) -> Generator[Any, Any, None]:
        """An order comes, is forecast, and its pieces set out."""
        yield self.env.timeout(after_s)
        dark = self.random.random() < 0.6
        self.play.now = self.now()
        pieces = self.play.job(
            colour="navy" if dark else "white",
            sizes={"M": self.random.randint(3, 20)},
            due=self.play.now + timedelta(days=self.random.randint(1, 4)),
        )
        job = self.play.piece(pieces[0]).job
        self.foretell(job)
        for piece in pieces:
            self.env.process(self.piece(piece, DARK_WALK if dark else LIGHT_WALK))

    def foretell(self, job: str) -> None:
        play, hours = self.play, self.play.shop.hours
        expected = expected_finishes(play.floor, play.shop, play.now)[job]
        self.bands[job] = Bands(play.floor, hours, play.now).around(expected)
        play.happens(JobForetold(job=job, expected=expected))

    def piece(self, code: str, walk: tuple[tuple[str, float], ...]) -> Generator[Any, Any, None]:
        due = int(self.play.floor.jobs[self.play.piece(code).job].due.timestamp())
        for stop, (station, standard_s) in enumerate(walk):
            if stop and walk[stop - 1][0] == station == "press 1":
                continue
            with self.stations[station].request(priority=due) as turn:
                yield turn
                yield from self.work(code, station, standard_s)
                if station == "press 1":
                    yield self.env.timeout(walk[stop + 1][1] + self.random.expovariate(1 / 20))
                    self.scan(code, station)

    def work(self, code: str, station: str, standard_s: float) -> Generator[Any, Any, None]:
        yield self.env.timeout(standard_s * self.pace * self.random.lognormvariate(0, STEP_SPREAD))
        if self.random.random() < CALLED_AWAY:
            yield self.env.timeout(AWAY_S)
        self.scan(code, station)

    def scan(self, code: str, station: str) -> None:
        self.play.now = self.now()
        assert self.play.scan(code, station, after_s=0).good

    def now(self) -> datetime:
        """The moment: the week's Monday, and the working time that has passed."""
        return self.play.shop.hours.add_working(self.start, timedelta(seconds=self.env.now))


def main() -> None:
    """How often the bands hold, and how wide they are beside what they look ahead."""
    hours = shop().hours
    told = [job for week in weeks(210, seed=1) for job in week if job.band is not None]
    widths_h = [hours.working(job.band.earliest, job.band.latest) / HOUR for job in told if job.band]
    ahead_h = [hours.working(job.foretold.made, job.foretold.expected) / HOUR for job in told]
    print(f"jobs with a band     {len(told)}")
    print(f"held                 {sum(job.covered for job in told) / len(told):.1%}")
    print(f"median width         {median(widths_h):.2f} working hours")
    print(f"median look ahead    {median(ahead_h):.2f} working hours")


if __name__ == "__main__":
    main()
