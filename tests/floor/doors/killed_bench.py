"""A bench that kills itself, as `kill -9` does, at a point that is named. Run as a program by test_remote.

Each job is a line of JSON on standard input. It is done by a process of its own, forked from this one so that
starting it costs little, which writes a line for each thing that was acknowledged to it.
"""

import json
import os
import signal
import sys
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

from scanners import durable
from scanners.age import Timepiece
from scanners.bench import Bench
from scanners.forward import Notices
from scanners.post import HttpPost, Reply
from scanners.spool import Spool
from shared.clock import SetClock
from shared.delivery import Delivery
from shared.scan import Scan
from tests.making import MONDAY
from tests.measured import WAIT_S

POINTS = ("opened", "written", "kept", "sent", "recorded", "cleared", "told")
"""Where a bench can be killed; "written" is between writing a record and syncing it."""


class Fuse:
    """Kills the process when it comes to a point for the second time, or to the only time that there is."""

    def __init__(self, point: str | None) -> None:
        self._point = point
        self._times_left = 1 if point == "opened" else 2

    def at(self, point: str) -> None:
        if point != self._point:
            return
        self._times_left -= 1
        if self._times_left == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    def before(self, point: str, call: Callable[..., Any]) -> Callable[..., Any]:
        """The same call, with the point before it."""

        def fused(*args: Any, **more: Any) -> Any:
            self.at(point)
            return call(*args, **more)

        return fused

    def after(self, point: str, call: Callable[..., Any]) -> Callable[..., Any]:
        """The same call, with the point after it."""

        def fused(*args: Any, **more: Any) -> Any:
            result = call(*args, **more)
            self.at(point)
            return result

        return fused


def say(what: str, read_id: str) -> None:
    """One line, in one write: what is written is out even if the next thing is the end."""
    os.write(1, f"{json.dumps({'what': what, 'read_id': read_id})}\n".encode())


def work(job: dict[str, Any]) -> None:
    """Read what the job names, as a bench does, and wait until the floor has answered all that is in the spool."""
    fuse = Fuse(job["point"])
    durable.sync = fuse.before("written", durable.sync)
    clock = SetClock(MONDAY)
    stamp = Timepiece(clock).stamp
    with Spool(Path(job["spool"]), stamp) as spool, closing(HttpPost(job["url"], lambda: job["token"])) as http:
        fuse.at("opened")
        spool.put = fuse.after("kept", spool.put)  # type: ignore[method-assign]
        spool.clear = fuse.after("cleared", spool.clear)  # type: ignore[method-assign]
        send = fuse.after("recorded", fuse.before("sent", http))

        def post(deliveries: Sequence[Delivery]) -> Reply:
            reply: Reply = send(deliveries)
            return reply

        notices = Notices(
            on_answer=lambda scan, answer: say("answered", scan.read_id),
            on_set_aside=lambda scan, why: say(f"set aside: {why}", scan.read_id),
            on_stumble=lambda scan, why: say(f"stumbled: {why}", scan.read_id),
            on_reached=lambda: None,
            on_unreached=lambda why: say(f"unreached: {why}", ""),
        )
        bench = Bench(spool, post, stamp, notices, answer_within_s=WAIT_S)
        bench.start()
        for read_id in job["reads"]:
            say("read", read_id)
            scan = Scan(read_id=read_id, text=read_id, at=clock.now(), device="gun", station="press 1")
            answer = bench.handle(scan)
            fuse.at("told")
            say(answer.outcome, read_id)
        bench.stop(WAIT_S)
        say(f"waiting: {len(spool)}", "")


def main() -> None:
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            work(json.loads(line))
            os._exit(0)
        _, status = os.waitpid(child, 0)
        say(f"ended: {os.waitstatus_to_exitcode(status)}", "")


if __name__ == "__main__":
    main()
