"""Every standard's table against figures published somewhere else, each cited."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from fractions import Fraction
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from bomsvc.core.fasteners import engagement, torque
from bomsvc.core.fasteners.bounds import runout_mm
from bomsvc.core.fasteners.candidates import first_full_thread
from bomsvc.core.fasteners.kinds import INCH, ScrewStandard, length
from bomsvc.core.fasteners.names import KSI_MPA, get_class
from bomsvc.core.fasteners.standards import REGISTRY, din_938, iso_888, iso_4759_1
from bomsvc.core.fasteners.threads import Thread, get_thread
from bomsvc.core.fasteners.values import Screw

FOLDER = Path(__file__).parent / "standards"
Case = dict[str, str]
LBF_N = KSI_MPA * INCH * INCH / 1000


def _module_of(key: str) -> Any:
    return import_module(f"bomsvc.core.fasteners.standards.{key}")


def _cases() -> Iterator[tuple[str, Case]]:
    for path in sorted(FOLDER.glob("*.toml")):
        for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]:
            yield path.stem, case


def _thread(case: Case) -> Thread:
    return get_thread(case["size"])


def _length(case: Case) -> Fraction:
    if "length_in" in case:
        return length(case["length_in"], "inch")
    return length(case["length"])


def _band(standard: ScrewStandard, case: Case) -> Fraction:
    nominal = _length(case)
    bands = standard.bands(_thread(case).d_mm)
    return next(b for b in bands if b.upto_mm is None or nominal <= b.upto_mm).minus


def _first_thread(standard: ScrewStandard, case: Case) -> Fraction:
    screw = Screw(None, standard.code, case["size"], _length(case), "8.8")
    return first_full_thread(screw, standard, _thread(case))


def _thread_length(standard: ScrewStandard, case: Case) -> Fraction:
    assert standard.thread_length is not None
    return standard.thread_length(_thread(case).d_mm, _length(case))


def _column(name: str) -> Callable[[Any, Case], Fraction]:
    return lambda standard, case: getattr(standard.size(_thread(case).short), name)


def _inches(
    figure: Callable[[Any, Case], Fraction],
) -> Callable[[Any, Case], Fraction]:
    return lambda standard, case: figure(standard, case) / INCH


def _proof(_: Any, case: Case) -> Fraction:
    return torque.proof_load_n(_thread(case), get_class(case["class"]))


def _ultimate(_: Any, case: Case) -> Fraction:
    thread = _thread(case)
    strength = get_class(case["class"]).strength(thread)
    return thread.stress_area_mm2 * strength.tensile_mpa


def _strip(
    per_mm: Callable[[Thread], Fraction],
) -> Callable[[Any, Case], Fraction]:
    def area(_: Any, case: Case) -> Fraction:
        thread = _thread(case)
        return per_mm(thread) * thread.d_mm / INCH**2

    return area


def _next_length(_: Any, case: Case) -> Fraction:
    lengths = [Fraction(text) for text in iso_888.LENGTHS]
    return lengths[lengths.index(_length(case)) + 1]


def _js(column: int) -> Callable[[Any, Case], Fraction]:
    return lambda _, case: next(
        Fraction(row[column])
        for row in iso_4759_1.ROWS
        if _length(case) <= Fraction(row[0])
    )


FIGURES: dict[str, Callable[[Any, Case], Fraction]] = {
    "across_mm": _column("across_mm"),
    "height_mm": _column("height_mm"),
    "head_mm": _column("head_mm"),
    "shortest_mm": _column("shortest_mm"),
    "longest_mm": _column("longest_mm"),
    "across_in": _inches(_column("across_mm")),
    "height_in": _inches(_column("height_mm")),
    "head_in": _inches(_column("head_mm")),
    "thread_length_mm": _thread_length,
    "thread_length_in": _inches(_thread_length),
    "first_thread_mm": _first_thread,
    "first_thread_in": _inches(_first_thread),
    "minus_mm": _band,
    "height_min_mm": lambda s, c: s.height(c["size"])[0],
    "height_max_mm": lambda s, c: s.height(c["size"])[1],
    "thickness_mm": lambda s, c: s.thickness(c["size"])[0],
    "thickness_max_mm": lambda s, c: s.thickness(c["size"])[2],
    "proof_load_n": _proof,
    "ultimate_n": _ultimate,
    "proof_load_lbf": lambda s, c: _proof(s, c) / LBF_N,
    "ultimate_lbf": lambda s, c: _ultimate(s, c) / LBF_N,
    "stress_area_mm2": lambda _, c: _thread(c).stress_area_mm2,
    "stress_area_in2": lambda _, c: _thread(c).stress_area_mm2 / INCH**2,
    "pitch_diameter_mm": lambda _, c: _thread(c).pitch_diameter_mm,
    "internal_minor_mm": lambda _, c: _thread(c).internal_minor_mm,
    "internal_strip_in2": _strip(engagement.internal_strip_area),
    "external_strip_in2": _strip(engagement.external_strip_area),
    "clearance_mm": lambda _, c: torque.clearance_mm(_thread(c)) or Fraction(0),
    "clearance_in": lambda _, c: (torque.clearance_mm(_thread(c)) or 0) / INCH,
    "runout_mm": lambda _, c: runout_mm(_thread(c).pitch_mm),
    "next_length_mm": _next_length,
    "js15_mm": _js(1),
    "js17_mm": _js(2),
    "set_diameters": lambda _, c: next(
        Fraction(row[1]) for row in din_938.ROWS if row[0] == c["standard"]
    ),
}


@pytest.mark.parametrize(
    ("key", "case"),
    list(_cases()),
    ids=lambda x: x if isinstance(x, str) else f"{x['of']}-{x.get('size', '')}",
)
def test_a_standard_agrees_with_a_figure_published_elsewhere(
    key: str, case: Case
) -> None:
    found = FIGURES[case["of"]](_module_of(key).STANDARD, case)
    published = length(case["is"])
    assert abs(found - published) <= Fraction(case.get("within", "0")) * published


def test_every_standard_is_listed_sourced_and_has_three_cited_cases() -> None:
    package = import_module("bomsvc.core.fasteners.standards")
    assert package.__file__ is not None
    folder = Path(package.__file__).parent
    keys = {path.stem for path in folder.glob("*.py")} - {"__init__"}
    assert {path.stem for path in FOLDER.glob("*.toml")} == keys
    counts = dict.fromkeys(keys, 0)
    for key, case in _cases():
        assert case["source"].strip(), key
        counts[key] += 1
    assert [key for key, count in counts.items() if count < 3] == []
    modules = [_module_of(key) for key in sorted(keys)]
    assert {id(module.STANDARD) for module in modules} == {id(s) for s in REGISTRY}
    assert len(REGISTRY) == len(keys)
    for module in modules:
        assert module.SOURCE.strip()
        assert module.STANDARD.source == module.SOURCE
        assert module.STANDARD.code.split()[-1] in (module.__doc__ or "")


def test_codes_of_standards_are_unique() -> None:
    codes = [standard.code for standard in REGISTRY]
    assert len(set(codes)) == len(codes)


SCREWS = [s for s in REGISTRY if isinstance(s, ScrewStandard)]


@pytest.mark.parametrize("standard", SCREWS, ids=lambda s: s.code)
def test_a_screw_table_is_complete_and_ordered(standard: ScrewStandard) -> None:
    for short in standard.sizes():
        thread, size = get_thread(short), standard.size(short)
        assert size is not None
        assert thread.short == short
        assert size.shortest_mm < size.longest_mm
        assert thread.d_mm < size.bearing_mm
        assert size.head_mm is None or size.bearing_mm < size.head_mm
        series = standard.series(short)
        assert list(series) == sorted(series)
        assert (series[0], series[-1]) == (size.shortest_mm, size.longest_mm)
    assert standard.size("M99") is None
    assert standard.series("M99") == ()
