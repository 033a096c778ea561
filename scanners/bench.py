"""A remote bench: each read is kept, then forwarded, and the operator hears what is known of it by then.

Never says that a read was taken before it is in the spool.
"""

from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import replace

from scanners.age import Stamp
from scanners.forward import Forwarder, Notices
from scanners.post import Post
from scanners.spool import Spool
from shared.scan import Answer, Scan

ANSWER_WITHIN_S = 1.0
"""How long an operator waits for the floor's own answer before hearing that the read is kept."""

KEPT = Answer(outcome="kept", say="Read and kept. The floor will decide when it is reached.")
"""Not "go on": the bench cannot know whether a step was missed."""


CANNOT_BE_TAKEN = Answer(outcome="refused", say="The floor cannot take this read. It is set aside at the bench.")


class Bench:
    """What listeners hand their reads to."""

    def __init__(
        self,
        spool: Spool,
        post: Post,
        stamp: Callable[[], Stamp],
        notices: Notices,
        answer_within_s: float = ANSWER_WITHIN_S,
    ) -> None:
        self._spool = spool
        self._notices = notices
        self._answer_within_s = answer_within_s
        self._asked: dict[str, Future[Answer]] = {}
        """Operators who wait, by the id of their read."""
        self._stopping = False
        mine = replace(
            notices, on_answer=self._on_answer, on_set_aside=self._on_set_aside, on_unreached=self._on_unreached
        )
        self._forwarder = Forwarder(spool, post, stamp, mine)

    def start(self) -> None:
        """Begin to forward."""
        self._forwarder.start()

    def stop(self, wait_s: float = 1.0) -> None:
        """Stop forwarding; who waits, and who comes after, hears at once that the read is kept."""
        self._stopping = True
        self._release()
        self._forwarder.stop(wait_s)

    def handle(self, scan: Scan) -> Answer:
        """Keep a read. The floor's answer, if it comes within a second, else that the read is kept.

        Raises SpoolError when it could not be kept.
        """
        answer: Future[Answer] = Future()
        self._asked[scan.read_id] = answer
        try:
            self._spool.put(scan)
            self._forwarder.wake()
            waits = not (self._forwarder.failing or self._stopping)
            return answer.result(self._answer_within_s) if waits else KEPT
        except TimeoutError:
            return KEPT
        finally:
            self._asked.pop(scan.read_id, None)

    def _on_answer(self, scan: Scan, answer: Answer) -> None:
        self._tell(scan.read_id, answer)
        self._notices.on_answer(scan, answer)

    def _on_set_aside(self, scan: Scan, why: str) -> None:
        self._tell(scan.read_id, CANNOT_BE_TAKEN)
        self._notices.on_set_aside(scan, why)

    def _on_unreached(self, why: str) -> None:
        self._release()
        self._notices.on_unreached(why)

    def _release(self) -> None:
        for read_id in tuple(self._asked):
            self._tell(read_id, KEPT)

    def _tell(self, read_id: str, answer: Answer) -> None:
        asked = self._asked.pop(read_id, None)  # whoever takes it out is the only one who answers
        if asked is not None:
            asked.set_result(answer)
