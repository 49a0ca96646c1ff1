"""A screw sized by hand, as plain lines: no tables, so that it starts at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

Reply = Mapping[str, Any]


def size_lines(reply: Reply) -> Iterator[str]:
    """Yield the screw with its margins, or what is missing, and the cautions."""
    chosen, failure = reply["chosen"], reply["failure"]
    if chosen is not None:
        kind = ", fully threaded" if chosen["fully_threaded"] else ""
        yield f"Take {chosen['designation']}{kind}."
    if failure is not None:
        yield f"No screw fits: {failure['detail']}"
    yield from _figures(reply)
    if reply["alternatives"]:
        others = ", ".join(one["designation"] for one in reply["alternatives"])
        yield f"Also possible: {others}."
    for one in reply["rejected"]:
        misses = " and ".join(_miss(miss) for miss in one["misses"])
        yield f"Not {one['length_mm']} mm: {misses}."
    yield from (finding["detail"] for finding in reply["findings"])
    yield from reply["notes"]
    yield from _torque(reply["torque"])
    cautions = (*reply["cautions"], *reply["torque"]["cautions"])
    yield from caution_lines(cautions)


def torque_lines(reply: Reply) -> Iterator[str]:
    """Yield the estimate with its parts, or why there is none, and the cautions."""
    head = f"{reply['standard']}, {reply['thread']}, class {reply['property_class']}"
    yield f"{head}, friction {reply['friction']}, {reply['utilisation']} of yield:"
    yield from _torque(reply)
    for name in ("preload", "torque", "nut_factor"):
        formula = reply["formulas"].get(name)
        if formula is not None:
            value = f"{formula['value']} {formula['unit']}".strip()
            yield f"  {formula['formula']} = {value}  [{formula['source']}]"
    yield from caution_lines(reply["cautions"])


def caution_lines(cautions: Sequence[str]) -> Iterator[str]:
    """Yield cautions, each once."""
    yield "Cautions:"
    yield from (f"  - {text}" for text in dict.fromkeys(cautions))


def _figures(reply: Reply) -> Iterator[str]:
    nominal, least, most = reply["clamp_mm"]
    yield f"  clamped         {nominal} mm ({least} to {most})"
    if reply["window_mm"] is not None:
        low, high = reply["window_mm"]
        # A window that is turned round is no window: the failure says so.
        if high is None or low <= high:
            upper = "no limit" if high is None else f"{high} mm"
            yield f"  lengths         {low} mm to {upper}"
    if reply["needed_mm"] is not None:
        needed = reply["needed"]
        yield (
            f"  thread needed   {reply['needed_mm']} mm, by {reply['governs']}"
            f" (stripping {needed['stripping_mm']}, guide {needed['guide_mm']})"
        )
    if reply["engagement_mm"] is not None:
        low, high = reply["engagement_mm"]
        yield f"  thread engaged  {low} to {high} mm"
    if reply["tip_mm"] is not None:
        yield f"  tip             {_tip(*reply['tip_mm'])}"
    if reply["margin_mm"] is not None:
        said = ((name, value) for name, value in reply["margin_mm"].items())
        told = ", ".join(f"{n} {v}" for n, v in said if v is not None)
        yield f"  margins, mm     {told}"


def _tip(least: float, most: float) -> str:
    """Say how far the tip comes out of the far face or nut, or stays inside."""
    if most <= 0:
        return f"{-most} to {-least} mm inside"
    if least < 0:
        return f"{-least} mm inside to {most} mm beyond"
    return f"{least} to {most} mm beyond"


def _miss(miss: Reply) -> str:
    by = "" if miss["by_mm"] is None else f" by {miss['by_mm']} mm"
    return f"{miss['words']}{by}"


def _torque(torque: Reply) -> Iterator[str]:
    if torque["torque_nm"] is not None:
        preload, factor = torque["preload_kn"], torque["nut_factor"]
        yield (
            f"Torque about {torque['torque_nm']} N m, preload {preload} kN,"
            f" nut factor {factor}."
        )
        yield f"  {torque['label']}"
    yield from (f"No torque: {refused['detail']}" for refused in torque["refused"])
    yield from (f"  {note}" for note in torque["notes"])
