"""What a position, joint or job comes to in one build, and edits of documents.

Reading taken:
- An outcome is what is taken where, what that is ordered as, which screw a number
  stands for, and whether a screw fails. Words are no part of it.
- A job's work is its steps, each with its minutes.
- A job that is not there comes to nothing at all, which is not an empty list.
"""

from __future__ import annotations

import copy
import random
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from tests.oracle.builds import Build, Model, Tree, code_and_member
from tests.oracle.joints import fitted_needs, joint_needs, sized
from tests.oracle.lists import Needs, exists, item, keys_of, orders
from tests.oracle.work import Plan, best_plan, setting_of
from tests.oracle.work_lists import job_needs

Outcome = Any
STUCK = "stuck"


class Outcomes:
    """Outcomes of one document; plans are kept by what they depend on."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self._plans: dict[Any, Plan | None] = {}

    def position(self, key: str, build: Build) -> Outcome:
        """What sits in a position."""
        if key not in keys_of(self.model, "positions"):
            return self._told({}, build)
        return self._told(fitted_needs(self.model, [key], build), build)

    def joint(self, key: str, build: Build) -> Outcome:
        """The screws, seals and hardware of a joint."""
        if key not in keys_of(self.model, "joints"):
            return self._told({}, build)
        return self._told(joint_needs(self.model, [key], build), build)

    def job(self, key: str, build: Build) -> Outcome:
        """A job's list; None where it is not there."""
        if not self._is_there(key, build):
            return None
        plan = self._plan(key, build)
        if plan is None:
            return STUCK
        setting = setting_of(self.model, [key], build)
        return self._told(job_needs(self.model, setting, plan, build), build)

    def work(self, key: str, build: Build) -> Outcome:
        """A job's steps with their minutes; None where it is not there."""
        if not self._is_there(key, build):
            return None
        plan = self._plan(key, build)
        if plan is None:
            return STUCK
        steps = (
            (step, item(self.model, "steps", code_and_member(step)[0]))
            for step in plan.steps
        )
        return frozenset(
            (
                key,
                Decimal(str(step.get("minutes_off", 0))),
                Decimal(str(step.get("minutes_on", 0))),
            )
            for key, step in steps
        )

    def _is_there(self, key: str, build: Build) -> bool:
        there = key in keys_of(self.model, "jobs")
        return there and exists(self.model, "jobs", key, build)

    def _plan(self, key: str, build: Build) -> Plan | None:
        setting = setting_of(self.model, [key], build)
        signature = key, setting.signature()
        if signature not in self._plans:
            self._plans[signature] = best_plan(setting, ())
        return self._plans[signature]

    def _told(self, needs: Needs, build: Build) -> Outcome:
        groups = [place[1] for _, _, place in needs if place[0] == "group"]
        failing: set[Any] = set()
        for group in groups:
            joint, _, code = group.rpartition(".")
            if sized(self.model, joint, build)[code].failure is not None:
                failing.add(group)
        screws = {
            part: size_of(item(self.model, "parts", part))
            for _, part, place in needs
            if place[0] == "group" and not part.startswith("wanted:")
        }
        failing |= {
            (place, wish_of(self.model, place[1]))
            for _, part, place in needs
            if part == "wanted: nothing fits"
        }
        return needs, orders(self.model, needs), failing, screws


def wish_of(model: Model, name: str) -> tuple[Any, ...]:
    """What screw a group would have; of two standards, the first."""
    joint, _, code = name.rpartition(".")
    entry = item(model, "joints", code_and_member(joint)[0])
    group = next(g for g in entry["groups"] if g["code"] == code)
    screw = group["screw"] if "screw" in group else entry["screw"]
    return screw["standard"][0], screw["thread"], screw["property_class"]


def size_of(part: Tree) -> tuple[Any, ...]:
    """What screw a number stands for."""
    screw = part["screw"]
    names = ("standard", "thread", "length_mm", "property_class")
    return tuple(str(screw[name]) for name in names)


# --- edits -------------------------------------------------------------------

Edit = Callable[[Tree, random.Random], None]


def a_fitment(tree: Tree, rng: random.Random) -> None:
    """Another condition where several parts may sit, else another part."""
    fitment = rng.choice(tree["fitments"])
    here = fitment["position"]
    fill = next(p.get("fill") for p in tree["positions"] if p["code"] == here)
    if fill == "several" and "when" in fitment:
        if rng.random() < 0.5:
            del fitment["when"]
        else:
            fitment["when"] = f"not ({fitment['when']})"
        return
    others = [f for f in tree["fitments"] if f["position"] == here and f != fitment]
    if others and rng.random() < 0.6:
        other = rng.choice(others)
        other["part"], fitment["part"] = fitment["part"], other["part"]
        return
    part = next(p for p in tree["parts"] if p["number"] == fitment["part"])
    if all(p["number"] != "W40.0002" for p in tree["parts"]):
        tree["parts"].append({**copy.deepcopy(part), "number": "W40.0002"})
        tree["parts"][-1].pop("sold_as", None)
        fitment["part"] = "W40.0002"


def a_quantity(tree: Tree, rng: random.Random) -> None:
    """Another quantity, where the holes do not give it."""
    kinds = {part["number"]: part.get("kind") for part in tree["parts"]}
    plain = [
        fitment
        for fitment in tree["fitments"]
        if kinds[fitment["part"]] not in ("washer", "nut", "stud")
    ]
    rng.choice(plain)["qty"] = rng.choice(("1", "2", "7"))


def a_thickness(tree: Tree, rng: random.Random) -> None:
    """A pad a little or much thicker."""
    pads = [pad for part in tree["parts"] for pad in part.get("pads", {}).values()]
    if pads:
        pad = rng.choice(pads)
        pad["mm"] = Decimal(str(pad["mm"])) + Decimal(rng.choice(("0.3", "2", "5")))


def a_hole(tree: Tree, rng: random.Random) -> None:
    """A hole tapped deeper."""
    holes = [
        hole
        for part in tree["parts"]
        for hole in part.get("holes", {}).values()
        if "drilled_mm" in hole or "threaded_mm" in hole
    ]
    if holes:
        hole = rng.choice(holes)
        for name in ("drilled_mm", "threaded_mm"):
            if name in hole:
                hole[name] = Decimal(str(hole[name])) + 6


def a_screw_part(tree: Tree, rng: random.Random) -> None:
    """A new number, a preferred one, or one no more."""
    screws = [part for part in tree["parts"] if "screw" in part]
    if not screws:
        return
    part = rng.choice(screws)
    change = rng.choice(("preferred", "new", "gone"))
    if change == "preferred":
        part["screw"]["preferred"] = not part["screw"].get("preferred", False)
    elif change == "new":
        more = copy.deepcopy(part)
        more["number"] = "W40.0001"
        more["screw"]["preferred"] = True
        tree["parts"].append(more)
    else:
        tree["parts"].remove(part)


def a_standard(tree: Tree, rng: random.Random) -> None:
    """Another order of standards, or another property class."""
    wanted = [
        owner["screw"]
        for joint in tree["joints"]
        for owner in (joint, *joint["groups"])
        if "screw" in owner
    ]
    if wanted:
        screw = rng.choice(wanted)
        screw["standard"] = screw["standard"][::-1]
        if rng.random() < 0.3:
            screw["property_class"] = "10.9"


def a_step(tree: Tree, rng: random.Random) -> None:
    """Other minutes, another need, another condition, more that is used."""
    if not tree.get("steps"):
        return
    step = rng.choice(tree["steps"])
    change = rng.choice(("minutes", "needs", "exists", "uses"))
    if change == "minutes":
        step["minutes_off"] = rng.choice((3, 90))
    elif change == "uses":
        for use in step.get("uses", []):
            use["qty"] = "9"
    else:
        step.pop(change, None)


def some_minutes(tree: Tree, rng: random.Random) -> None:
    """One step takes another time, enough to make another way in the best."""
    step = rng.choice(tree["steps"])
    step["minutes_off"] = rng.choice((0, 3, 90, 500))


def a_job(tree: Tree, rng: random.Random) -> None:
    """A job that renews something else, or is there always."""
    if tree.get("jobs"):
        job = rng.choice(tree["jobs"])
        job.pop(rng.choice(("exists", "check", "reseal", "do")), None)


def a_part(tree: Tree, rng: random.Random) -> None:
    """Used once from now on, or no more; brings nothing along; other sets."""
    part = rng.choice(tree["parts"])
    change = rng.choice(("reuse", "includes", "renew_with", "sold_as"))
    if change == "reuse" and part.get("reuse") is None:
        part["reuse"] = "single"
    elif change == "sold_as" and "sold_as" in part:
        number = part["sold_as"]["number"]
        for other in tree["parts"]:
            if other.get("sold_as", {}).get("number") == number:
                other["sold_as"] = copy.deepcopy(other["sold_as"])
                for content in other["sold_as"]["contents"]:
                    content["qty"] = "3"
    elif change != "reuse":
        part.pop(change, None)


def words_only(tree: Tree, rng: random.Random) -> None:
    """Labels, names and notes; conditions said otherwise; a fitment split in two."""
    for kind in ("positions", "joints", "steps", "jobs"):
        for one in tree.get(kind, []):
            one["label"] += " again"
    for part in tree["parts"]:
        part["name"] += " again"
    for fitment in tree["fitments"]:
        if "when" in fitment:
            fitment["when"] = f"not (not ({fitment['when']}))"
    fitment = rng.choice(tree["fitments"])
    option = next((o for o in tree["options"] if "each" not in o), None)
    if option is not None and "rank" not in fitment:
        told = f"{option['code']} = {option['choices'][0]['code']}"
        other = copy.deepcopy(fitment)
        when = f" and ({fitment['when']})" if "when" in fitment else ""
        fitment["when"] = f"{told}{when}"
        other["when"] = f"not ({told}){when}"
        tree["fitments"].append(other)


LIST_EDITS: tuple[Edit, ...] = (
    a_fitment, a_quantity, a_screw_part, a_standard, a_step, a_job, a_part,
)  # fmt: skip
STACK_EDITS: tuple[Edit, ...] = (a_thickness, a_hole)
