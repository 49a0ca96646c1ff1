"""Random, valid, small catalogue documents, the same for the same seed.

The trees are plain dictionaries as design page 2 lays them out; lengths are
whole numbers or `Decimal`s, quantities decimal strings. `json_text` prints them.
Everything in them is invented.
"""

from __future__ import annotations

import json
import random
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeVar

from tests.oracle.builds import read_model, valid_builds

Tree = dict[str, Any]

# Options as (code, how many may be chosen, choices); all invented.
_OPTIONS = (
    ("sump", "one", ("front", "rear", "shallow")),
    ("gears", "one", ("plain", "quiet")),
    ("brake", "one", ("none", "single", "double")),
    ("extras", "any", ("heater", "block", "sensor")),
    ("takeoff", "one", ("no_pto", "light", "heavy")),
    ("cooler", "one", ("air", "water")),
    ("plant", "one", ("north", "south")),
    ("guards", "any", ("belt", "fan")),
    ("turbo", "one", ("small", "large")),
    ("mount", "one", ("rigid", "soft", "swing")),
    ("wiring", "one", ("twelve", "twentyfour")),
)
_MEASURED = (
    ("undersize", "one", ("std", "us25", "us50")),
    ("oversize", "one", ("bore_std", "os50")),
)
_PLACES = (
    "pan", "pickup", "damper", "pump", "thermostat", "hose", "filter", "bracket",
    "pulley", "cover", "shell", "liner", "breather", "plug",
)  # fmt: skip
_CUTS = (21_000, 30_000, 210_000)


@dataclass(frozen=True)
class Knobs:
    """How large a document may grow, and what it holds."""

    options: int = 5
    positions: int = 5
    rules: int = 2
    joints: int = 0
    steps: int = 0
    jobs: int = 0
    most_builds: int = 400
    variety: bool = False


M = TypeVar("M", bound="Maker")


class Maker:
    """Builds one document, piece by piece, from one random source."""

    def __init__(self, rng: random.Random, knobs: Knobs) -> None:
        self.rng = rng
        self.knobs = knobs
        self.series: dict[str, int] = {}
        self.options: list[Tree] = []
        self.positions: list[Tree] = []
        self.parts: list[Tree] = []
        self.fitments: list[Tree] = []
        self.rules: list[Tree] = []
        self.prefixes: dict[str, str] = {}
        self.joints: list[Tree] = []
        self.steps: list[Tree] = []
        self.jobs: list[Tree] = []

    def likely(self, chance: float) -> bool:
        """A biased coin."""
        return self.rng.random() < chance

    # --- options and rules -------------------------------------------------

    def make_options(self) -> None:
        """A few options, some nested, some per member, some measured."""
        if self.likely(0.5):
            self.series["cylinder"] = self.rng.choice((2, 3))
        if self.likely(0.2):
            self.series["main"] = 2
        pool = self.rng.sample(_OPTIONS, k=min(self.knobs.options, len(_OPTIONS)))
        pool += [kind for kind in _MEASURED if self.likely(0.35)]
        for code, choose, choices in pool:
            self.options.append(self._option(code, choose, choices))
        if any(option["code"] == "plant" for option in self.options):
            self.prefixes = {"N": "plant.north", "S": "plant.south"}

    def _option(self, code: str, choose: str, choices: tuple[str, ...]) -> Tree:
        measured = (code, choose, choices) in _MEASURED
        option: Tree = {"code": code, "label": code.title(), "choose": choose}
        parents = [o for o in self.options if o["choose"] == "one" or self.likely(0.4)]
        if self.series and (measured or self.likely(0.12)) and code != "plant":
            option["each"] = self.rng.choice(sorted(self.series))
        parents = [p for p in parents if p.get("each") in (None, option.get("each"))]
        if parents and self.likely(0.35) and code != "plant":
            above = self.rng.choice(parents)
            choice = self.rng.choice(above["choices"])["code"]
            option["under"] = f"{above['code']}.{choice}"
        if measured:
            option["known"] = "measured"
        elif self.likely(0.9):
            option["ask"] = f"Which {code}?"
        option["choices"] = [self._choice(c, measured=measured) for c in choices]
        if self.likely(0.3):
            usual = self.rng.choice(choices)
            option["usual"] = usual if choose == "one" else [usual]
        return option

    def _choice(self, code: str, *, measured: bool) -> Tree:
        choice: Tree = {"code": code, "label": code.title()}
        if measured:
            choice["band_mm"] = [Decimal("79.5"), Decimal("79.75")]
        elif self.likely(0.6):
            choice["tell"] = f"Looks {code}."
        return choice

    def make_rules(self) -> None:
        """Implications and exclusions between options."""
        for number in range(self.rng.randint(0, self.knobs.rules)):
            each = self.series_or_none(0.2)
            rule: Tree = {"code": f"r{number + 1}"}
            if each:
                rule["each"] = each
            if self.likely(0.85):
                rule["when"] = self.condition(each, depth=self.rng.choice((0, 0, 1)))
            then = self.condition(each, depth=0)
            rule["then"] = f"not ({then})" if self.likely(0.4) else then
            rule["because"] = "invented"
            if self.likely(0.3):
                rule["strength"] = "physical"
            self.rules.append(rule)

    def series_or_none(self, chance: float) -> str | None:
        """Now and then one of the document's series."""
        if self.series and self.likely(chance):
            return self.rng.choice(sorted(self.series))
        return None

    # --- conditions --------------------------------------------------------

    def condition(self, each: str | None, *, depth: int) -> str:
        """A random condition seen from a series (or from none)."""
        if depth == 0 or self.likely(0.15):
            return self._statement(each)
        shape = self.rng.choice(("and", "or", "not", "and", "or"))
        if shape == "not":
            return f"not ({self.condition(each, depth=depth - 1)})"
        left = self.condition(each, depth=depth - 1)
        right = self.condition(each, depth=depth - 1)
        if self.likely(0.5):
            left, right = f"({left})", f"({right})"
        return f"{left} {shape} {right}"

    def _statement(self, each: str | None) -> str:
        if self.knobs.variety and self.likely(0.04):
            return self.rng.choice(("always", "never"))
        if self.likely(0.12):
            sign = self.rng.choice((">=", "<", "<=", ">"))
            return f"serial {sign} {self.rng.choice(_CUTS[:2])}"
        if each and self.likely(0.25):
            sign = self.rng.choice(("=", "!=", "<=", ">"))
            return f"{each} {sign} {self.rng.randint(1, self.series[each])}"
        option = self.rng.choice(self.options)
        return self._about(option, each)

    def _about(self, option: Tree, each: str | None) -> str:
        name = self.reference(option, each)
        choices = [choice["code"] for choice in option["choices"]]
        if len(choices) > 2 and self.likely(0.25):
            return f"{name} in ({', '.join(self.rng.sample(choices, 2))})"
        sign = "!=" if self.likely(0.2) else "="
        return f"{name} {sign} {self.rng.choice(choices)}"

    def reference(self, option: Tree, each: str | None) -> str:
        """An option's name as it must be written here."""
        own = option.get("each")
        if own is None or (own == each and self.likely(0.8)):
            return str(option["code"])
        index = self.rng.choice(("any", "all", self.rng.randint(1, self.series[own])))
        return f"{option['code']}[{index}]"

    def partition(self, each: str | None, *, depth: int = 2) -> list[str]:
        """Conditions of which exactly one holds in every build."""
        leaves = self._split(each)
        if depth <= 1:
            return leaves
        found = []
        for leaf in leaves:
            if len(leaves) < 4 and self.likely(0.3):
                inner = self.partition(each, depth=depth - 1)
                found += [f"({leaf}) and ({part})" for part in inner]
            else:
                found.append(leaf)
        return found

    def _split(self, each: str | None) -> list[str]:
        way = self.rng.random()
        if way < 0.25:
            part = self.condition(each, depth=1)
            return [part, f"not ({part})"]
        if way < 0.35:
            cut = self.rng.choice(_CUTS[:2])
            return [f"serial < {cut}", f"serial >= {cut}"]
        if way < 0.45 and each:
            return [f"{each} = 1", f"{each} != 1"]
        options = [o for o in self.options if o["choose"] == "one"] or self.options
        option = self.rng.choice(options)
        name = self.reference(option, each)
        choices = [choice["code"] for choice in option["choices"]]
        if option["choose"] == "any" or "[" in name:
            part = f"{name} = {choices[0]}"
            return [part, f"not ({part})"]
        *first, _last = choices
        return [f"{name} = {c}" for c in first] + [
            f"not {name} in ({', '.join(first)})"
        ]

    # --- positions and parts -----------------------------------------------

    def make_positions(self) -> None:
        """Positions of all fills, each with parts that cover it."""
        for code in self.rng.sample(_PLACES, k=self.knobs.positions):
            self.add_position(code, fill=self._fill())

    def _fill(self) -> str:
        return self.rng.choice(("one", "one", "one", "optional", "several"))

    def add_position(
        self,
        code: str,
        *,
        fill: str = "one",
        each: str | None = "",
        always: bool = False,
        **part: Any,
    ) -> Tree:
        """One position with its parts and fitments; `each` "" means any."""
        position: Tree = {"code": code, "label": code.title(), "section": "engine"}
        each = self.series_or_none(0.3) if each == "" else each
        if each:
            position["each"] = each
        if not always and self.likely(0.25):
            position["exists"] = self.condition(each, depth=1)
        if fill != "one":
            position["fill"] = fill
        position["section"] = self.rng.choice(("engine", "front", "inside"))
        self.positions.append(position)
        self._cover(position, part)
        return position

    def _cover(self, position: Tree, part: Tree) -> None:
        each, fill = position.get("each"), position.get("fill", "one")
        if fill == "several":
            conditions = [self.condition(each, depth=1) for _ in range(2)]
        else:
            conditions = ["always"] if self.likely(0.25) else self.partition(each)
        if fill == "optional" and len(conditions) > 1:
            conditions.remove(self.rng.choice(conditions))
        recent: list[str] = []
        for condition in conditions:
            again = recent and fill != "several" and self.likely(0.2)
            number = self.rng.choice(recent) if again else self.add_part(**part)
            recent.append(number)
            self.add_fitment(position["code"], number, condition)
        if self.likely(0.15):
            self.fitments.append(
                {"position": position["code"], "part": self.add_part(**part), "rank": 2}
            )

    def add_fitment(self, position: str, part: str, condition: str) -> None:
        """One fitment of rank 1; per-hole things never state a quantity."""
        fitment: Tree = {"position": position, "part": part}
        kind = next(p for p in self.parts if p["number"] == part).get("kind")
        if kind not in ("washer", "nut", "stud") and self.likely(0.25):
            fitment["qty"] = self.rng.choice(("2", "3", "0.5"))
        if condition != "always":
            fitment["when"] = condition
        self.fitments.append(fitment)

    def add_part(self, **more: Any) -> str:
        """A new part; `more` fields may be functions of the maker."""
        number = f"W40.{1000 + len(self.parts)}"
        part: Tree = {"number": number, "name": f"part {len(self.parts)}"}
        for name, value in more.items():
            part[name] = value(self) if callable(value) else value
        limited = {"max_length_mm": 50, "inspect": "for scoring"}
        if "reuse" not in part and self.likely(0.3):
            part["reuse"] = self.rng.choice(("single", limited))
        if self.likely(0.2):
            part["mass_kg"] = Decimal("1.5")
        self.parts.append(part)
        return number

    def make_sets(self) -> None:
        """Some parts are sold only as sets."""
        loose = [part for part in self.parts if "screw" not in part]
        for number in range(self.rng.choice((0, 1, 1, 2))):
            chosen = self.rng.sample(loose, k=min(len(loose), self.rng.randint(1, 2)))
            sold_as = {
                "number": f"SET.{number + 1}",
                "contents": [
                    {"part": part["number"], "qty": self.rng.choice(("1", "2", "4"))}
                    for part in chosen
                ],
            }
            self.parts.append({"number": sold_as["number"], "name": "set"})
            for part in chosen:
                part.setdefault("sold_as", sold_as)

    # --- the whole ---------------------------------------------------------

    def tree(self) -> Tree:
        """The document so far."""
        family: Tree = {
            "code": "dunlin",
            "name": "Dunlin",
            "maker": "Tarrow Engine Works",
            "note": "invented",
        }
        if self.series:
            family["series"] = self.series
        if self.prefixes:
            family["serial"] = {"prefixes": self.prefixes}
        sections = [
            {"code": "engine", "label": "Engine"},
            {"code": "front", "label": "Front", "under": "engine"},
            {"code": "inside", "label": "Inside"},
        ]
        tree: Tree = {
            "format": 1,
            "family": family,
            "options": self.options,
            "rules": self.rules,
            "sections": sections,
            "positions": self.positions,
            "parts": self.parts,
            "fitments": self.fitments,
        }
        work = {"joints": self.joints, "steps": self.steps, "jobs": self.jobs}
        return tree | {name: items for name, items in work.items() if items}


def raw_size(options: list[Tree], series: dict[str, int]) -> int:
    """An upper bound on the sets of answers before rules."""
    size = len(_CUTS)
    for option in options:
        choices = len(option["choices"])
        values = choices if option["choose"] == "one" else 2**choices
        inactive = 1 if "under" in option else 0
        size *= (values + inactive) ** series.get(option.get("each", ""), 1)
    return size


def options_only(seed: int, knobs: Knobs, kind: type[M]) -> M:
    """A maker whose options and rules leave a fair number of valid builds."""
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    while True:
        maker = kind(rng, knobs)
        maker.make_options()
        if raw_size(maker.options, maker.series) > 12 * knobs.most_builds:
            continue
        maker.make_rules()
        count = len(valid_builds(read_model(maker.tree())))
        # Comparisons that come later may cut the serial in three.
        if 2 <= count * 2 <= knobs.most_builds:
            return maker


def document(seed: int, knobs: Knobs | None = None) -> Tree:
    """A document of options, rules, positions, parts and fitments."""
    maker = options_only(seed, knobs or Knobs(), Maker)
    maker.make_positions()
    maker.make_sets()
    return maker.tree()


def json_text(tree: Any) -> str:
    """The tree as JSON, decimals as they are written."""
    if isinstance(tree, dict):
        inner = ", ".join(f"{json.dumps(k)}: {json_text(v)}" for k, v in tree.items())
        return f"{{{inner}}}"
    if isinstance(tree, list):
        return f"[{', '.join(json_text(value) for value in tree)}]"
    if isinstance(tree, Decimal):
        return str(tree)
    return json.dumps(tree)
