"""Whether reads can be recorded: tried for real, again and again, and told to everybody while they cannot.

Never waits for somebody to scan: a floor that records nothing must not look healthy because it is quiet.
"""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Event, Thread

from filelock import FileLock, Timeout

from floor.ledger import Busy, LedgerError, NotEmpty, ReadTwice, Stopped

TRY_S = 60.0
TRY_AGAIN_S = 5.0
"""How long to wait before each new try while nothing can be recorded."""
SAY_EACH = 12
"""Of so many tries that fail one is told: a line a minute."""
LOCK_NAME = ".piecewalk.not-recording.lock"
NO_TROUBLE_OF_THE_LEDGER = (Busy, NotEmpty, ReadTwice, Stopped)


class Recording:
    """What the last try came to. Safe to use from any thread."""

    def __init__(self) -> None:
        self.trouble = ""
        """Why nothing can be recorded, in a line; nothing while it can."""
        self._followers: list[Callable[[], None]] = []

    def follow(self, follower: Callable[[], None]) -> None:
        """Have a function called whenever recording begins to fail, and when it works again."""
        self._followers.append(follower)

    def failed(self, error: BaseException) -> None:
        """Something could not be recorded, if that was the ledger's fault."""
        if isinstance(error, LedgerError) and not isinstance(error, NO_TROUBLE_OF_THE_LEDGER):
            self._become(str(error) or type(error).__name__)

    def worked(self) -> None:
        """A try went well."""
        self._become("")

    def _become(self, trouble: str) -> None:
        changed = bool(trouble) != bool(self.trouble)
        self.trouble = trouble
        for follower in self._followers if changed else ():
            follower()


class RecordingWatch:
    """Tries each minute, and more often while it fails; `say` gets a line a minute then, and one when it is over.

    While it fails the operating system holds a lock for us, by which other programs know: that takes no room on a
    disk, and is gone when we are.
    """

    def __init__(
        self, recording: Recording, prove: Callable[[], None], folder: Path, say: Callable[[str], None]
    ) -> None:
        """`prove` tries, tells the recording what came of it, and may raise a LedgerError."""
        self._recording, self._prove = recording, prove
        self._say = say
        self._lock = FileLock(folder / LOCK_NAME, thread_local=False)
        self._failures = 0
        self._wake, self._stopping = Event(), Event()
        self._thread = Thread(target=self._run, name="recording watch", daemon=True)
        recording.follow(self._wake.set)

    def start(self) -> None:
        """Make the file of the lock while there is room for it, and begin to watch."""
        with suppress(OSError), self._lock:
            pass
        self._thread.start()

    def stop(self) -> None:
        """Watch no more."""
        self._stopping.set()
        self._wake.set()
        self._thread.join(TRY_AGAIN_S)
        self._lock.release(force=True)

    def look(self) -> None:
        """Try, and tell what came of it."""
        with suppress(LedgerError):
            self._prove()
        trouble = self._recording.trouble
        if trouble and self._failures % SAY_EACH == 0:
            self._say(f"NOTHING IS RECORDED: {trouble}")
            self._hold()
        if self._failures and not trouble:
            self._lock.release(force=True)
            self._say("Reads are recorded again.")
        self._failures = self._failures + 1 if trouble else 0

    def _hold(self) -> None:
        with suppress(OSError, Timeout):  # where even that cannot be done, the log and the pages tell
            self._lock.acquire(timeout=0)

    def _run(self) -> None:
        while not self._stopping.is_set():
            self._wake.wait(TRY_AGAIN_S if self._failures else TRY_S)
            self._wake.clear()
            if not self._stopping.is_set():
                self.look()


def records(folder: Path) -> bool:
    """Whether the floor that runs on a folder, on this machine, can record; True where none runs."""
    lock = FileLock(folder / LOCK_NAME)
    if not (folder / LOCK_NAME).exists():
        return True
    try:
        lock.acquire(timeout=0)
    except Timeout:
        return False
    lock.release()
    return True
