"""`python -m floor.cli` is `piecewalk`."""

from floor.cli.main import main

if __name__ == "__main__":
    main(prog_name="piecewalk")
