"""`python -m floor.cli` is `piecewalk`."""

from floor.cli import main

if __name__ == "__main__":
    main()
