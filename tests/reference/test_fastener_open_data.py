"""The tables against the open data of bd_warehouse 0.4.0 (Apache-2.0), read as files.

Where the two differ on purpose, the row stands in `DEVIATIONS` with the reason; a
row there that no longer differs fails as well.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

import pytest

from bomsvc.core.fasteners.kinds import (
    INCH,
    NutStandard,
    ScrewStandard,
    WasherStandard,
    length,
)
from bomsvc.core.fasteners.names import of_kind
from bomsvc.core.fasteners.standards import asme_b18_2_8, iso_273, iso_888
from bomsvc.core.fasteners.standards.asme_b18_3 import THREAD_LENGTHS
from bomsvc.core.fasteners.threads import get_thread

SPEC = find_spec("bd_warehouse")
pytestmark = pytest.mark.skipif(
    SPEC is None, reason="needs tests/reference/data.lock installed"
)

Row = tuple[str, str, str, Fraction, Fraction]
"""Our standard, size, figure, ours, theirs."""

HEAD_HEIGHT_B = "theirs is the greatest height of grade B; ours is nominal"
RANGE = "the sources differ in the range of this size; see the module's SOURCE"
KNURLED = "theirs is the knurled head's greatest diameter; ours is the plain one's"

DEVIATIONS: dict[tuple[str, str, str], str] = {
    **{("ISO 4017", f"M{d}", "height"): HEAD_HEIGHT_B
       for d in (5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24)},
    ("ISO 4017", "M5", "shortest"): RANGE,
    ("ISO 4017", "M14", "shortest"): RANGE,
    ("ISO 4017", "M18", "longest"): RANGE,
    ("ISO 4017", "M20", "longest"): RANGE,
    ("ISO 4017", "M24", "longest"): RANGE,
    ("ISO 4762", "M6", "shortest"): RANGE,
    ("ISO 4762", "M8", "shortest"): RANGE,
    ("ISO 4762", "M20", "shortest"): RANGE,
    ("ISO 4762", "M20", "longest"): RANGE,
    **{("ISO 4762", f"M{d}", "head"): KNURLED
       for d in (5, 6, 8, 10, 12, 14, 16, 20, 24)},
    ("ISO 15071", "M12", "across"): "16 in EN 1662, 15 in ISO 15071 and 4162",
    ("ISO 15071", "M16", "shortest"): "35 in ISO 15072 and EN 1662, 40 in ISO 15071",
    ("ISO 273", "M12", "medium"): "their Normal and Loose columns are not ISO 273",
    ("ISO 273", "M14", "medium"): "their Normal and Loose columns are not ISO 273",
    ("ISO 273", "M16", "medium"): "their Normal and Loose columns are not ISO 273",
    ("ISO 273", "M12", "coarse"): "their Normal and Loose columns are not ISO 273",
    ("ISO 273", "M14", "coarse"): "their Normal and Loose columns are not ISO 273",
    ("ISO 273", "M16", "coarse"): "their Normal and Loose columns are not ISO 273",
}  # fmt: skip


@lru_cache(maxsize=16)
def _table(name: str) -> tuple[dict[str, str], ...]:
    assert SPEC is not None
    assert SPEC.origin is not None
    path = Path(SPEC.origin).parent / "data" / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(file)
        return tuple({k.strip(): v.strip() for k, v in row.items()} for row in rows)


def _screw(code: str) -> ScrewStandard:
    return next(s for s in of_kind(ScrewStandard) if s.code == code)


def _short(size: str) -> str | None:
    """Their size "M10-1.5" as ours, or None where we do not know the thread."""
    text = size.replace("-", "x") if size.startswith("M") else size
    try:
        return get_thread(text).short
    except Exception:  # noqa: BLE001 - any refusal means the size is out of scope
        return None


def _screws(
    code: str, table: str, prefix: str, columns: dict[str, str]
) -> Iterator[Row]:
    standard = _screw(code)
    for row in _table(table):
        short = _short(row["Size"])
        size = standard.size(short) if short else None
        if short is None or size is None or not row[f"{prefix}:{columns['across']}"]:
            continue
        ours = {
            "across": size.across_mm,
            "height": size.height_mm,
            "head": size.head_mm,
            "shortest": size.shortest_mm,
            "longest": size.longest_mm,
        }
        for figure, column in columns.items():
            value = ours[figure]
            assert value is not None
            theirs = _theirs(row[f"{prefix}:{column}"], standard.unit == "inch")
            yield code, short, figure, value, theirs


def _theirs(text: str, inch: bool) -> Fraction:  # noqa: FBT001 - a table's unit
    whole, _, rest = text.rpartition(" ")
    value = Fraction(rest) + (Fraction(whole) if whole else 0)
    return value * INCH if inch else value


HEX = {"across": "s", "height": "k", "shortest": "short", "longest": "long"}
FLANGE = {**HEX, "head": "dc"}
SOCKET = {**HEX, "head": "dk"}


def _heads() -> Iterator[Row]:
    yield from _screws("ISO 4014", "hex_head_parameters", "iso4014", HEX)
    yield from _screws("ISO 4017", "hex_head_parameters", "iso4017", HEX)
    yield from _screws("ISO 4762", "socket_head_cap_parameters", "iso4762", SOCKET)
    yield from _screws(
        "ISO 15071", "hex_head_with_flange_parameters", "din1662", FLANGE
    )
    yield from _screws(
        "ASME B18.3",
        "socket_head_cap_parameters",
        "asme_b18.3",
        {"across": "s", "height": "k", "head": "dk"},
    )


def _nuts_and_washers() -> Iterator[Row]:
    nuts = {s.code: s for s in of_kind(NutStandard)}
    washers = {s.code: s for s in of_kind(WasherStandard)}
    for code, table, column in (
        ("ISO 4032", "hex_nut_parameters", "iso4032:m"),
        ("ISO 4161", "hex_nut_with_flange_parameters", "din1665:m"),
    ):
        for row in _table(table):
            heights = nuts[code].height(row["Size"].partition("-")[0])
            if heights and row[column]:
                yield code, row["Size"], "height", heights[1], Fraction(row[column])
    for row in _table("plain_washer_parameters"):
        figures = washers["ISO 7089"].thickness(row["Size"])
        if figures:
            yield "ISO 7089", row["Size"], "h max", figures[2], Fraction(
                row["iso7089:h"]
            )  # fmt: skip


def _clearance() -> Iterator[Row]:
    theirs = {row["Size"]: row for row in _table("clearance_hole_sizes")}
    for standard in (iso_273.STANDARD, asme_b18_2_8.STANDARD):
        inch = standard.unit == "inch"
        for size, *values in standard.rows:
            for figure, column, text in zip(
                ("fine", "medium", "coarse"),
                ("Close", "Normal", "Loose"),
                values,
                strict=True,
            ):
                ours = length(text, standard.unit)
                other = _theirs(theirs[size][column], inch)
                yield standard.code, size, figure, ours, other


@pytest.mark.parametrize("rows", [_heads, _nuts_and_washers, _clearance])
def test_the_tables_agree_with_open_data_but_for_named_deviations(
    rows: Callable[[], Iterator[Row]],
) -> None:
    differing = {(c, s, f) for c, s, f, ours, theirs in rows() if ours != theirs}
    seen = {(c, s, f) for c, s, f, _, _ in rows()}
    assert differing - set(DEVIATIONS) == set()
    assert {key for key in DEVIATIONS if key in seen} - differing == set()


def test_the_open_data_covers_every_size_of_every_standard_it_holds() -> None:
    covered = {(code, size) for code, size, _, _, _ in _heads()}
    for code in ("ISO 4014", "ISO 4017", "ISO 4762", "ISO 15071", "ASME B18.3"):
        assert {(code, size) for size in _screw(code).sizes()} <= covered, code


def test_nominal_lengths_are_those_of_the_open_data() -> None:
    lists = {row["Screw_Type"]: row["Nominal_Sizes"] for row in
             _table("nominal_screw_lengths")}  # fmt: skip
    for name, lowest in (("iso4014", 12), ("iso4017", 6), ("iso4762", 6)):
        theirs = {Fraction(x) for x in lists[name].split(",")}
        top = min(max(theirs), Fraction(240))
        ours = {x for x in map(Fraction, iso_888.LENGTHS) if lowest <= x <= top}
        assert ours == {x for x in theirs if lowest <= x <= top}, name


def test_inch_socket_threads_are_those_of_the_open_data() -> None:
    assert SPEC is not None
    assert SPEC.origin is not None
    text = (Path(SPEC.origin).parent / "fastener.py").read_text(encoding="utf-8")
    for shank, inches in THREAD_LENGTHS:
        assert f'"{shank}": {inches},' in text
    first_partial = {
        row["Size"]: row["asme_b18.3:short"]
        for row in _table("socket_head_cap_parameters")
    }
    standard = _screw("ASME B18.3")
    for short in standard.sizes():
        size = standard.size(short)
        assert size is not None
        assert size.full_to_mm is not None
        series = standard.series(short)
        following = series[series.index(size.full_to_mm) + 1]
        assert following == Fraction(first_partial[short.split()[0]]) * INCH
