"""What is told of ink at the desk: readings, logs, refills, levels, factors."""

from datetime import timedelta
from pathlib import Path

import pytest

from shared.clock import SetClock
from shared.codes import CodeType, make
from tests.floor.cli.desk import Desk, job_text
from tests.making import MONDAY

JOB = job_text("M = 9")


class InkDesk(Desk):
    """A shop with nine dark pieces ordered and printed, and a clock that can be set."""

    def __init__(self, folder: Path) -> None:
        self.time = SetClock(MONDAY)
        super().__init__(folder, self.time)
        self.pieces: list[str] = self.json("job", "add", "-", stdin=JOB)["pieces"]
        self.time.advance(timedelta(hours=1))
        at = self.time.now().isoformat()
        scans = [f"{at},{piece},{station}" for piece in self.pieces for station in ("printer 1", "inspection")]
        assert self("backfill", "-", stdin="occurred_at,code,station\n" + "\n".join(scans)).exit_code == 0
        self.time.advance(timedelta(hours=1))

    def log(self) -> str:
        """Every piece took 2.4 ml of white."""
        return "piece;white_ml\n" + "".join(f"{piece};2,4\n" for piece in self.pieces)

    def rows(self) -> int:
        """How many rows the ledger has."""
        return int(self.json("check")["rows"])


@pytest.fixture
def desk(tmp_path: Path) -> InkDesk:
    return InkDesk(tmp_path)


def test_a_reading_is_what_the_piece_cost(desk: InkDesk) -> None:
    piece = desk.pieces[0]
    answer = desk.json("ink", "read", piece, "--white-ml", "2,4")
    assert (answer["piece"], answer["white_ml"], answer["colour_ml"]) == (piece, "2.4", None)
    found = desk.json("piece", piece)
    assert found["actual"]["white_ink"] == "0.50"
    assert found["ink"] == [{"step": "underlayer", "ink": "white", "ml": "2.400", "measured": True}]
    assert "underlayer 2.400 ml (read)" in desk("piece", piece).output


def test_a_piece_may_be_typed_in_groups(desk: InkDesk) -> None:
    piece = desk.pieces[0]
    grouped = f"{piece[:4]} {piece[4:8]} {piece[8:]}"
    assert desk.json("ink", "read", grouped, "--white-ml", "2.5")["piece"] == piece


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--white-ml", "-1"), "--white-ml: found"),
        (("--white-ml", "900"), "0 to 200 ml"),
        (("--white-ml", "2", "--place", "sleeve"), "--place: found"),
        (("--white-ml", "2", "--at", "2026-11-01T10:00"), "--at: found"),
        (("--white-ml", "2", "--at", "2027-11-01T10:00"), "has not come yet"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_by_name(desk: InkDesk, words: tuple[str, ...], named: str) -> None:
    before = desk.rows()
    result = desk("ink", "read", desk.pieces[0], *words)
    assert (result.exit_code, named in result.stderr) == (1, True)
    assert desk.rows() == before


def test_a_piece_that_there_is_not_is_refused_by_name(desk: InkDesk) -> None:
    there_is_not = make(CodeType.PIECE, 900)
    assert there_is_not in desk("ink", "read", there_is_not, "--white-ml", "2").stderr


@pytest.mark.parametrize("words", [(), ("--white-ml", "two")])
def test_a_reading_without_a_number_is_wrong_usage(desk: InkDesk, words: tuple[str, ...]) -> None:
    assert desk("ink", "read", desk.pieces[0], *words).exit_code == 2


def test_a_log_is_taken_once(desk: InkDesk) -> None:
    assert desk.json("ink", "import", "-", stdin=desk.log()) == {"file": "standard input", "readings": 9, "known": 0}
    assert desk.json("ink", "import", "-", stdin=desk.log())["known"] == 9


def test_a_log_with_a_bad_line_is_refused_and_nothing_of_it_is_recorded(desk: InkDesk, tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text(desk.log() + "1000000999;2,5\n", encoding="utf-8-sig")
    before = desk.rows()
    error = desk.json("ink", "import", str(log), status=1)["error"]
    assert (error["where"], error["found"]) == ('log.csv: line 11, column "piece"', '"1000000999"')
    assert desk.rows() == before


@pytest.mark.parametrize("data", [b"\xff\xfe\x00piece", b"piece;white_ml\n\xe9;2\n"])
def test_a_log_that_is_no_text_is_refused(desk: InkDesk, tmp_path: Path, data: bytes) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes(data)
    assert "UTF-8" in desk("ink", "import", str(log)).stderr


def test_a_log_that_there_is_not_is_refused(desk: InkDesk) -> None:
    assert "nowhere.csv cannot be read" in desk("ink", "import", "nowhere.csv").stderr


def test_a_log_with_other_columns_is_read_as_the_shop_file_says(desk: InkDesk) -> None:
    with (desk.shop / "shop.toml").open("a", encoding="utf-8") as file:
        file.write('\n[ink_import]\npiece = "Job"\nwhite_ml = "W"\nunit = "cl"\n')
    desk.json("ink", "import", "-", stdin=f"Job,W\n{desk.pieces[0]}.png,0.25\n")
    assert desk.json("piece", desk.pieces[0])["ink"][0]["ml"] == "2.500"


def test_the_week_tells_what_was_drawn_printed_and_lost(desk: InkDesk) -> None:
    desk.json("ink", "level", "white", "--ml", "900", "--at", "2026-11-23T08:30")
    desk.json("ink", "import", "-", stdin=desk.log())
    desk.json("ink", "refill", "white", "--ml", "100")
    desk.time.advance(timedelta(hours=1))
    [tank] = desk.json("ink", "level", "white", "--ml", "970")["tanks"]
    assert (tank["level_ml"], tank["expected_ml"]) == ("970", "970")
    found = desk.json("report", "--week", "2026-W48")["ink"]
    assert found["white"] == {
        **{"drawn_ml": "30.000", "printed_ml": "21.600", "lost_ml": "8.400"},
        **{"prints": 9, "read": 9},
    }
    assert (found["colour"]["drawn_ml"], found["colour"]["lost_ml"]) == (None, None)


def test_the_tanks_are_shown(desk: InkDesk) -> None:
    desk("ink", "level", "white", "--ml", "900")
    white, colour = desk.json("ink", "level")["tanks"]
    assert (white["ink"], white["expected_ml"], colour["level_ml"]) == ("white", "900", None)
    assert [each["ink"] for each in desk.json("ink", "level", "colour")["tanks"]] == ["colour"]
    assert "900.0" in desk("ink", "level").output


@pytest.mark.parametrize("words", [("level", "white"), ("refill", "colour")])
@pytest.mark.parametrize("amount", ["-5", "90000"])
def test_what_the_tanks_cannot_hold_is_refused(desk: InkDesk, words: tuple[str, str], amount: str) -> None:
    result = desk("ink", *words, "--ml", amount)
    assert (result.exit_code, f"{amount} ml of {words[1]} ink" in result.stderr) == (1, True)


@pytest.mark.parametrize("words", [("level", "green", "--ml", "5"), ("refill", "green", "--ml", "5")])
def test_an_ink_that_there_is_not_is_named_with_those_there_are(desk: InkDesk, words: tuple[str, ...]) -> None:
    result = desk("ink", *words)
    assert result.exit_code == 2
    assert "'green' is not one of 'white', 'colour'" in result.stderr


def test_a_level_is_of_an_ink(desk: InkDesk) -> None:
    assert desk("ink", "level", "--ml", "5").exit_code == 2


def test_a_factor_is_proposed_accepted_and_then_in_every_quote_but_those_before(desk: InkDesk) -> None:
    desk.json("ink", "import", "-", stdin=desk.log())
    before = desk.json("job", "show", "J0001")["quote"]
    each = desk.json("quote", "-", stdin=JOB)["lines"][0]["each"]
    white, colour = desk.json("ink", "calibrate")["factors"]
    assert (white["n"], white["proposed"], white["accepted"]) == (9, True, False)
    assert (colour["n"], colour["factor"], colour["proposed"]) == (0, None, False)
    assert "ink calibrate white --accept" in desk("ink", "calibrate").output
    assert desk.json("quote", "-", stdin=JOB)["lines"][0]["each"] == each
    [accepted] = desk.json("ink", "calibrate", "white", "--accept")["factors"]
    assert accepted["accepted"]
    after = desk.json("quote", "-", stdin=JOB)["lines"][0]["each"]
    assert (each["white_ink"], after["white_ink"]) == ("0.40", "0.50")
    assert desk.json("job", "show", "J0001")["quote"] == before
    assert desk.json("job", "add", "-", stdin=JOB)["quote"]["lines"][0]["each"] == after
    assert desk.json("ink", "calibrate", "--accept", status=1)["error"]["what"].startswith("No factor is proposed")


def test_an_estimate_from_artwork_is_by_the_factor(desk: InkDesk, tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGB", (3, 4), "white").save(tmp_path / "white.png")
    words = ("ink", "estimate", str(tmp_path / "white.png"), "--width-mm", "300", "--shade", "dark")
    assert desk.json(*words)["factors"] == {"white": "1", "colour": "1"}
    before = float(desk.json(*words)["white_ml"])
    desk.json("ink", "import", "-", stdin=desk.log())
    desk.json("ink", "calibrate", "--accept")
    after = desk.json(*words)
    assert float(after["white_ml"]) == pytest.approx(before * float(after["factors"]["white"]), rel=1e-5)
    assert float(after["factors"]["white"]) == pytest.approx(2.4 / (0.8 * 2 * 11.71802 * 0.305 * 0.33), rel=1e-3)
