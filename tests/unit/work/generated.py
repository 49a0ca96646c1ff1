"""Worlds by chance, small enough for the oracle and full of traps.

Series, conditions, shared steps, mutual waiting, steps owed in circles, seals of
several joints, single-use parts, parts renewed with parts, empty positions.
"""

from __future__ import annotations

from random import Random
from typing import Any

from tests.unit.work.worlds import Spec, World

VARIABLES = (2, 3, 4)
STEP_NAMES = ("zip", "arm", "cap", "bolt", "fan", "rail", "hood", "belt", "lug")


def some(rng: Random, items: list[Any], most: int) -> list[Any]:
    return rng.sample(items, min(len(items), rng.randint(0, most)))


def condition(rng: Random, certain: float = 0.7) -> int:
    if rng.random() < certain:
        return 1
    return rng.choice((-1, 1)) * rng.choice(VARIABLES)


def world_by_chance(seed: int, steps: int = 7) -> World:
    """The same world for the same seed."""
    rng = Random(seed)  # noqa: S311 - test data
    world = World()
    positions = _keys(rng, [f"p{n}" for n in range(rng.randint(2, 6))])
    joints = _keys(rng, [f"j{n}" for n in range(rng.randint(0, 3))])
    names = _keys(rng, list(STEP_NAMES[: rng.randint(2, steps)]))[:steps]
    for number in range(4):
        world.parts[f"part{number}"] = _part(rng, positions)
    for key in positions:
        world.positions[key] = _position(rng, world)
    for key in joints:
        world.joints[key] = _joint(rng, positions)
    for key in names:
        world.steps[key] = _step(rng, world, names, positions, joints)
    for number in range(2):
        world.jobs[f"job{number}"] = _job(rng, names, positions, joints)
    return world


def _keys(rng: Random, codes: list[str]) -> list[str]:
    """Some codes stand once per member of a series of two."""
    keys: list[str] = []
    for code in codes:
        if rng.random() < 0.2:
            keys += (f"{code}[1]", f"{code}[2]")
        else:
            keys.append(code)
    return keys


def _part(rng: Random, positions: list[str]) -> Spec:
    codes = sorted({key.partition("[")[0] for key in positions})
    return {
        "reuse": rng.choice(("freely", "freely", "single")),
        "renew_with": some(rng, codes, 1) if rng.random() < 0.3 else [],
        "includes": some(rng, codes, 2) if rng.random() < 0.25 else [],
    }


def _position(rng: Random, world: World) -> Spec:
    parts = list(world.parts)
    exists = condition(rng, 0.8)
    fill = rng.choice(("one", "one", "optional", "several"))
    if fill == "one":
        if rng.random() < 0.3 and exists == 1:
            lit = rng.choice(VARIABLES)
            fitted = [(rng.choice(parts), lit), (rng.choice(parts), -lit)]
        else:
            fitted = [(rng.choice(parts), exists)]
    elif exists != 1:
        fitted = [(rng.choice(parts), exists)]
    else:
        fitted = [(p, condition(rng, 0.3)) for p in some(rng, parts, 2)]
        if fill == "optional":
            fitted = fitted[:1]
    return {"exists": exists, "fill": fill, "fitments": fitted}


def _joint(rng: Random, positions: list[str]) -> Spec:
    exists = condition(rng, 0.8)
    group: Spec = {
        "layers": [(p, rng.choice(("hole", "joint"))) for p in some(rng, positions, 2)]
    }
    if rng.random() < 0.3:
        group["nut"] = rng.choice(positions)
    if rng.random() < 0.3:
        group["stud"] = rng.choice(positions)
        group["stays"] = rng.random() < 0.5
    groups = {"a": group} if rng.random() < 0.6 else {}
    return {"exists": exists, "seals": some(rng, positions, 2), "groups": groups}


def _step(
    rng: Random,
    world: World,
    names: list[str],
    positions: list[str],
    joints: list[str],
) -> Spec:
    loosened = [(j, c) for j in joints for c in world.joints[j]["groups"]]
    return {
        "exists": condition(rng, 0.85),
        "frees": some(rng, positions, 2),
        "opens": some(rng, joints, 1),
        "loosens": some(rng, loosened, 1) if rng.random() < 0.3 else [],
        "needs": some(rng, positions + names, 2) if rng.random() < 0.6 else [],
        "then": some(rng, names, 1) if rng.random() < 0.25 else [],
        "after": some(rng, names, 1) if rng.random() < 0.25 else [],
        "off": rng.choice((0, 5, 10, 10, 20, "12.5")),
        "on": rng.choice((0, 5, 10, "0.000001")),
    }


def _job(
    rng: Random, names: list[str], positions: list[str], joints: list[str]
) -> Spec:
    return {
        "exists": condition(rng, 0.9),
        "renew": some(rng, positions, 2),
        "reseal": some(rng, joints, 1) if rng.random() < 0.4 else [],
        "do": some(rng, names, 1) if rng.random() < 0.2 else [],
        "check": some(rng, positions, 1),
    }


def thicket(seed: int, positions: int) -> World:
    """Every position is freed by three steps that need others off, in circles."""
    rng = Random(seed)  # noqa: S311 - test data
    world = World(parts={"x": {}})
    names = [f"p{n}" for n in range(positions)]
    world.positions = {name: {"fitments": [("x", 1)]} for name in names}
    for number in range(positions * 3):
        world.steps[f"s{number}"] = {
            "frees": [names[number % positions]],
            "needs": some(rng, names, 2) if number >= positions else [],
            "off": 40 if number < positions else rng.randint(1, 15),
        }
    world.jobs = {"job": {"renew": rng.sample(names, positions // 2)}}
    return world
