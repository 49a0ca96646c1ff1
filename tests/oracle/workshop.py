"""Random documents with joints, steps and jobs, on top of options and positions."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from tests.oracle.documents import Knobs, Maker, Tree, options_only
from tests.oracle.screw_tables import RANGES, SERIES

_LENGTHS = [length for length in SERIES if 16 <= length <= 80]
_JOINTS = ("rail", "flange", "housing")
_STEPS = ("drain", "lower", "hoist", "unhook", "swing_out", "pull", "tip")
_MINUTES = (0, 5, 10, 10, 15, 20, 30)


def _pad(name: str, sizes: tuple[Any, ...], *, soft: bool) -> Any:
    """A maker's function for a part's pads."""

    def make(maker: Maker) -> Tree:
        pad: Tree = {"mm": maker.rng.choice(sizes)}
        if maker.likely(0.7):
            pad["tol"] = maker.rng.choice((Decimal("0.1"), Decimal("0.2")))
        elif maker.likely(0.5):
            pad["plus"], pad["minus"] = Decimal("0.3"), Decimal("0.05")
        if soft:
            pad["soft"] = True
            pad["free_mm"] = pad["mm"] + Decimal("0.3")
        return {name: pad}

    return make


class Workshop(Maker):
    """A maker that also writes joints, steps and jobs."""

    def __init__(self, *args: Any) -> None:
        super().__init__(*args)
        self.covers: list[str] = []

    # --- joints ------------------------------------------------------------

    def make_joints(self) -> None:
        """Some joints, each with its own positions, screws and holes."""
        for name in _JOINTS[: self.knobs.joints]:
            self._joint(name)

    def _joint(self, name: str) -> None:
        thread = self.rng.choice(("M6", "M8", "M10", "M12"))
        screw: Tree = {
            "standard": self.rng.sample(("ISO 4762", "ISO 4017", "ISO 4014"), 2),
            "thread": thread,
            "property_class": self.rng.choice(("8.8", "10.9", "12.9")),
        }
        each = self.series_or_none(0.25)
        joint: Tree = {"code": name, "label": name.title()}
        if each:
            joint["each"] = each
        if self.likely(0.2):
            joint["exists"] = self.condition(each, depth=0)
        layers = self._layers(name, each)
        joint["seals"] = [f"{name}_gasket"]
        if self.likely(0.3):
            ring = self._fill_position(f"{name}_ring", each, kind="seal")
            joint["seals"].append(ring)
        joint["screw"] = screw
        joint["into"] = self._into(name, each, thread)
        self._screws(screw)
        joint["groups"] = self._groups(each, layers, screw)
        self._stud_group(name, each, thread, joint["groups"])
        self.joints.append(joint)

    def _fill_position(self, code: str, each: str | None, **part: Any) -> str:
        self.add_position(code, each=each if self.likely(0.8) else None, **part)
        return code

    def _layers(self, name: str, each: str | None) -> list[Tree]:
        cover, gasket = f"{name}_cover", f"{name}_gasket"
        sizes = (12, 14, Decimal("20.5"), 24)
        self._fill_position(
            cover, each, pads=_pad("rail", sizes, soft=False), reuse="freely"
        )
        thin = (Decimal("0.8"), Decimal("1.2"))
        pads = _pad("face", thin, soft=True)
        self._fill_position(gasket, each, pads=pads, kind="gasket")
        self.covers.append(cover)
        layers: list[Tree] = [
            {"position": cover, "pad": "rail"},
            {"position": gasket, "pad": "face"},
        ]
        if self.likely(0.4):
            layers.insert(1, self._adapter(name, each))
        if self.likely(0.4):
            layers.insert(0, self._washer(name, each))
        return layers

    def _adapter(self, name: str, each: str | None) -> Tree:
        code = f"{name}_adapter"
        fill = self.rng.choice(("optional", "several"))
        pads = _pad("plate", (2, 5, 10), soft=False)
        self._fill_position(code, each, pads=pads, fill=fill, reuse="freely")
        layer: Tree = {"position": code, "pad": "plate"}
        if self.likely(0.5):
            layer["count"] = "qty"
        return layer

    def _washer(self, name: str, each: str | None) -> Tree:
        code = f"{name}_washer"
        pads = _pad("seat", (Decimal("1.6"), Decimal("2.5")), soft=False)
        self._fill_position(code, each, pads=pads, kind="washer", always=True)
        return {"position": code, "pad": "seat", "per": "hole"}

    def _into(self, name: str, each: str | None, thread: str) -> Tree:
        size = int(thread[1:])
        if self.likely(0.2):
            nut = {"standard": "ISO 4032", "thread": thread,
                   "height_mm": Decimal(size) * Decimal("0.8"),
                   "tol": Decimal("0.2"), "property_class": "10"}  # fmt: skip
            nut.pop("property_class")
            code = f"{name}_nut"
            self.add_position(code, each=each, always=True, kind="nut", nut=nut)
            return {"nut": code}
        code = f"{name}_body"
        self.add_position(
            code,
            each=each,
            always=True,
            holes=lambda maker: {"rail": maker.hole(thread)},
            reuse="freely",
        )
        return {"position": code, "hole": "rail"}

    def hole(self, thread: str) -> Tree:
        """A tapped hole that most stacks can be screwed into."""
        size = int(thread[1:])
        hole: Tree = {"thread": thread, "form": "blind"}
        if self.likely(0.25):
            hole["form"] = "through"
            hole["thickness_mm"] = size * 3
            hole["thickness_tol"] = Decimal("0.2")
            hole["exit_mm"] = 1
        elif self.likely(0.3):
            hole["drilled_mm"] = size * 4 + self.rng.choice((4, 8))
        else:
            hole["threaded_mm"] = size * 3 + self.rng.choice((0, 4, 6))
        if self.likely(0.6):
            hole["entry_mm"] = 1
            hole["entry_tol"] = Decimal("0.25")
        hole["material"] = self.rng.choice(
            ("steel", "grey_iron", "ductile_iron", "aluminium")
        )
        if self.likely(0.2):
            hole["strength_mpa"] = self.rng.choice((220, 300))
        return hole

    def _screws(self, screw: Tree) -> None:
        size = screw["thread"]
        for standard in screw["standard"]:
            low, high = RANGES[standard, size]
            fitting = [length for length in _LENGTHS if low <= length <= high]
            keep = max(1, int(len(fitting) * self.rng.choice((0.4, 0.8))))
            for length in sorted(self.rng.sample(fitting, keep)):
                data = {**screw, "standard": standard, "length_mm": length}
                if self.likely(0.15):
                    data["preferred"] = True
                self.add_part(kind="screw", screw=data)

    def _groups(self, each: str | None, layers: list[Tree], screw: Tree) -> list[Tree]:
        groups = []
        per_hole = any(layer.get("per") == "hole" for layer in layers)
        for index in range(self.rng.choice((1, 2, 2, 3))):
            group: Tree = {"code": "abc"[index]}
            if index and not per_hole and self.likely(0.3):
                group["exists"] = self.condition(each, depth=0)
            count = self.rng.randint(1, 4)
            group["holes"] = [
                {"hole": 10 * index + n + 1, "x": 20 * n, "y": 30 * index}
                for n in range(count)
            ]
            kept = [layer for layer in layers if not index or self.likely(0.8)]
            group["layers"] = kept or layers[:1]
            self._extras(group, each, screw)
            groups.append(group)
        return groups

    def _extras(self, group: Tree, each: str | None, screw: Tree) -> None:
        if self.likely(0.15):
            group["engagement_mm"] = int(screw["thread"][1:])
        if self.likely(0.2):
            group["protrusion_mm"] = 12
        listed = [
            part["number"]
            for part in self.parts
            if part.get("screw", {}).get("thread") == screw["thread"]
            and part["screw"]["property_class"] == screw["property_class"]
        ]
        if listed and self.likely(0.25):
            conditions = self.partition(each, depth=1)
            if self.likely(0.6):
                conditions.pop()
            group["stated"] = [
                {"part": self.rng.choice(listed), "when": condition}
                for condition in conditions
            ]

    def _stud_group(
        self, name: str, each: str | None, thread: str, groups: list[Tree]
    ) -> None:
        if thread == "M12" or not self.likely(0.25):
            return
        size = int(thread[1:])
        stud = {
            "hole_thread": thread, "nut_thread": thread, "property_class": "8.8",
            "length_mm": size * 10, "set_mm": size * 2, "set_tol": Decimal("0.5"),
        }  # fmt: skip
        nut = {"standard": "ISO 4032", "thread": thread, "height_mm": size}
        bar, nuts, body = f"{name}_stud", f"{name}_studnut", f"{name}_studbody"
        self.add_position(bar, each=each, always=True, kind="stud", stud=stud)
        self.add_position(nuts, each=each, always=True, kind="nut", nut=nut)
        self.add_position(
            body,
            each=each,
            always=True,
            holes=lambda maker: {"rail": maker.hole(thread)},
            reuse="freely",
        )
        stays = self.likely(0.5)
        group: Tree = {
            "code": "s",
            "holes": [{"hole": 90, "x": 0, "y": 90}, {"hole": 91, "x": 9, "y": 90}],
            "layers": [
                layer for layer in groups[0]["layers"] if layer.get("per") != "hole"
            ],
            "into": {"position": body, "hole": "rail", "nut": nuts},
            "stud": {"position": bar} | ({"stays": True} if stays else {}),
        }
        groups.append(group)

    # --- steps and jobs ----------------------------------------------------

    def make_steps(self) -> None:
        """Ways in: each joint and each loose position has at least one."""
        for joint in self.joints:
            self._step(
                f"undo_{joint['code']}",
                each=joint.get("each") if self.likely(0.5) else None,
                opens=[joint["code"]],
                frees=[f"{joint['code']}_cover"],
            )
        loose = [p["code"] for p in self.positions if "_" not in p["code"]]
        for code in _STEPS[: self.knobs.steps]:
            self._random_step(code, loose)
        reached = {code for step in self.steps for code in step.get("frees", [])}
        stuck = [code for code in loose if code not in reached]
        for number, code in enumerate(stuck[:2]):
            self._step(f"take_{number + 1}", each=None, frees=[code])
        self._tie_steps()
        if self.likely(0.6):
            self._refit()

    def _step(self, code: str, *, each: str | None, **fields: Any) -> Tree:
        step: Tree = {"code": code, "label": code}
        if each:
            step["each"] = each
        if self.likely(0.15):
            step["exists"] = self.condition(each, depth=0)
        step |= {name: value for name, value in fields.items() if value}
        step["minutes_off"] = self.rng.choice(_MINUTES)
        if self.likely(0.5):
            step["minutes_on"] = self.rng.choice(_MINUTES)
        self.steps.append(step)
        return step

    def _random_step(self, code: str, loose: list[str]) -> None:
        each = None
        frees = self.rng.sample(loose, k=min(len(loose), self.rng.randint(0, 2)))
        opens, loosens = [], []
        if self.joints and self.likely(0.25):
            opens = [self.rng.choice(self.joints)["code"]]
        elif self.joints and self.likely(0.35):
            joint = self.rng.choice(self.joints)
            group = self.rng.choice(joint["groups"])
            loosens = [f"{joint['code']}.{group['code']}"]
        if self.covers and self.likely(0.3):
            frees.append(self.rng.choice(self.covers))
        self._step(code, each=each, frees=frees, opens=opens, loosens=loosens)

    def _tie_steps(self) -> None:
        """Needs and owed steps, now that all steps are known."""
        codes = [step["code"] for step in self.steps]
        reached = [code for step in self.steps for code in step.get("frees", [])]
        for step in self.steps:
            wanted = set()
            if self.likely(0.35):
                wanted.add(self.rng.choice(reached) if reached else "")
            if self.likely(0.3):
                wanted.add(self.rng.choice(codes))
            wanted -= {"", step["code"], *step.get("frees", [])}
            if wanted:
                step["needs"] = sorted(wanted)
            others = [code for code in codes if code != step["code"]]
            if others and self.likely(0.1):
                step["then"] = [self.rng.choice(others)]

    def _refit(self) -> None:
        use: Tree = {"part": self.add_part(kind="fluid", unit="LTR"), "qty": "4.5"}
        if self.likely(0.4):
            use["when"] = self.condition(None, depth=0)
        for step in self.rng.sample(self.steps, k=min(2, len(self.steps))):
            step.setdefault("then", []).append("refill")
        self.steps.append(
            {"code": "refill", "label": "refill", "minutes_on": 5, "uses": [use]}
        )

    def make_jobs(self) -> None:
        """The menu: renewals, reseals, steps to do and things to check."""
        reached = sorted({c for step in self.steps for c in step.get("frees", [])})
        joints = [joint["code"] for joint in self.joints]
        for number in range(self.knobs.jobs):
            job: Tree = {"code": f"job_{number + 1}", "label": f"Job {number + 1}"}
            if reached:
                job["renew"] = self.rng.sample(reached, k=min(len(reached), 1))
            if joints and self.likely(0.6):
                job["reseal"] = [self.rng.choice(joints)]
            if self.likely(0.2):
                job["do"] = [self.rng.choice(self.steps)["code"]]
            if self.likely(0.4):
                job["check"] = [self.rng.choice(self.positions)["code"]]
            if self.likely(0.2):
                job["exists"] = self.condition(None, depth=0)
            self.jobs.append(job)

    def tie_parts(self) -> None:
        """Some parts bring others along, or make others be renewed with them."""
        reached = {code for step in self.steps for code in step.get("frees", [])}
        once = {p["code"]: p for p in self.positions if "_" not in p["code"]}
        targets: set[str] = set()
        for code in self.rng.sample(sorted(once), k=min(3, len(once))):
            others = [
                other
                for other, position in once.items()
                if other != code
                and position.get("each") in (None, once[code].get("each"))
            ]
            if not others or code in targets:
                continue
            other = self.rng.choice(sorted(others))
            if other in reached and self.likely(0.5):
                self._tie(code, other, "renew_with")
            elif other not in targets and not self._brings(other):
                targets.add(other)
                self._tie(code, other, "includes")
                also = set(others) - {other} - targets
                self._tie_into_it(code, other, sorted(also))

    def _tie_into_it(self, code: str, inside: str, others: list[str]) -> None:
        """What comes with a part is often to be renewed with something as well."""
        if self.likely(0.3):
            self._tie(code, inside, "renew_with")
        if others and self.likely(0.5):
            via = self.rng.choice(others)
            # What is brought must not bring more: lists look one step deep.
            simply = self._brings(via) or self.likely(0.5)
            self._tie(code, via, "renew_with" if simply else "includes")
            self._tie(via, inside, "renew_with")

    def _tie(self, code: str, other: str, how: str) -> None:
        numbers = {f["part"] for f in self.fitments if f["position"] == code}
        for part in self.parts:
            if part["number"] in numbers and self.likely(0.8):
                named = part.get(how, [])
                part[how] = [*named, *({other} - set(named))]

    def _brings(self, code: str) -> bool:
        numbers = {f["part"] for f in self.fitments if f["position"] == code}
        return any(p.get("includes") for p in self.parts if p["number"] in numbers)


def workshop_document(seed: int, knobs: Knobs | None = None) -> Tree:
    """A document with joints and, when the knobs say so, steps and jobs."""
    knobs = knobs or Knobs(options=4, positions=3, joints=2, steps=2, jobs=2)
    maker = options_only(seed, knobs, Workshop)
    maker.make_positions()
    maker.make_joints()
    if knobs.jobs:
        maker.make_steps()
        maker.tie_parts()
        maker.make_jobs()
    maker.make_sets()
    return maker.tree()
