"""Cautions stand where work can hurt somebody; the data say that they are invented."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from bomsvc.core.fasteners.cautions import TEXTS
from bomsvc.core.logic.standing import Key
from tests.unit.seed.sense.engine import Engine, Listed

HOT = re.compile(r"\bcold\b|\bhot\b", re.IGNORECASE)
SCALDING = re.compile(r"\bcold\b|scald", re.IGNORECASE)
PRESSURE = re.compile(r"pressure", re.IGNORECASE)
LIVE = re.compile(r"batter", re.IGNORECASE)

# What a list must say where its work takes something out of such a section, or out
# of such a position. Common practice, no source.
IN_SECTION: dict[str, re.Pattern[str]] = {
    "exhaust": HOT,
    "turbo_group": HOT,
    "hoses": SCALDING,
    "thermostats": SCALDING,
    "raw_water": re.compile(r"sea cock", re.IGNORECASE),
    "fuel_filters": re.compile(r"\bfuel\b", re.IGNORECASE),
}
AT_POSITION: dict[str, re.Pattern[str]] = {
    "water_pump": SCALDING,
    "injection_pump": PRESSURE,
    "injector": PRESSURE,
    "injector_pipe": PRESSURE,
    "pto_pump": PRESSURE,
    "starter": LIVE,
    "alternator": LIVE,
    "stop_solenoid": LIVE,
    "compressor": re.compile(r"air tank|pressure", re.IGNORECASE),
    "ring_gear": HOT,
}


def work_without_its_caution(engine: Engine, listed: Iterable[Listed]) -> list[str]:
    return list(dict.fromkeys(_without(engine, listed)))


def _without(engine: Engine, listed: Iterable[Listed]) -> Iterator[str]:
    for one in listed:
        _, job, _, found = one
        text = " ".join(found.work.cautions) if found.work else ""
        for position, pattern in _due(engine, one):
            if not pattern.search(text):
                yield f"{job}: takes {position} out and says nothing of the danger"


def _due(engine: Engine, one: Listed) -> Iterator[tuple[Key, re.Pattern[str]]]:
    _, _, plan, _ = one
    for freed in plan.freed:
        position = engine.compiled.standing.positions[freed.position].position
        for due in (IN_SECTION.get(position.section), AT_POSITION.get(position.code)):
            if due is not None:
                yield freed.position, due


def joints_shown_without_cautions(listed: Iterable[Listed]) -> list[str]:
    """Beside every joint: the maker's manual, unmixed lengths, local practice."""
    due = [TEXTS[code] for code in ("maker_prevails", "never_mix", "local_practice")]
    complaints = [
        f"{job}: {joint.joint} is shown without “{text}”"
        for _, job, _, found in listed
        for joint in found.joints
        for text in due
        if text not in joint.cautions
    ]
    return list(dict.fromkeys(complaints))


def strip_down_without_any_caution(listed: Iterable[Listed]) -> list[str]:
    """A list with an hour of work or more says something that keeps people whole."""
    return [
        f"{job}: {plan.minutes} minutes of work and no caution"
        for _, job, plan, found in listed
        if plan.minutes >= 60 and found.work is not None and not found.work.cautions
    ]


def data_that_do_not_say_they_are_invented(
    engine: Engine, document: str, notice: str
) -> list[str]:
    told = {
        "family.note": "nvented" in (engine.catalogue.family.note or ""),
        "head comment": "ALL DATA IS INVENTED" in document.partition("\n")[0],
        "notice": "invented" in notice,
    }
    return [f"{place}: does not say it" for place, said in told.items() if not said]
