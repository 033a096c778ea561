"""Write the lock from which .deploy installs: python -m tests.lock (needs uv)

Never names the host of a registry: a shop may have a mirror of its own.
"""

import subprocess
import tomllib
from pathlib import Path

HOUSE = Path(__file__).parent.parent
LOCK = HOUSE / ".deploy" / "requirements.lock"
EXTRAS = ("postgres", "keyboard")


def main() -> None:
    """Resolve anew, what the package is built with included."""
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    extras = [word for extra in EXTRAS for word in ("--extra", extra)]
    options = ["--generate-hashes", "--universal", "--no-header", "--no-annotate", "--no-emit-index-url", "--upgrade"]
    words = ["uv", "pip", "compile", "-q", "pyproject.toml", "-", *extras, *options]
    words += ["--python-version", "3.11", "-o", str(LOCK)]
    build = "\n".join(project["build-system"]["requires"])
    subprocess.run(words, cwd=HOUSE, input=build, text=True, check=True, stdout=subprocess.DEVNULL)


if __name__ == "__main__":
    main()
