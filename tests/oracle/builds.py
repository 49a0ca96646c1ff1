"""Condition language and all valid builds of a document, by brute force.

Reading taken:
- A quantified reference (`size[all]`, `size[any]`) puts the quantifier
  outermost: `size[all] in (a, b)` asks of every member that it is a or b, and
  `size[any] != a` that some member is not a.
- Every comparison with `serial` cuts it, wherever it stands in the document,
  also in a condition that can never matter.
- An interval of one number is coded `5..5`; an uncut serial is `1..`.
- `serial` comes last among the options.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from tests.oracle.conditions import Condition, parse_condition

Tree = dict[str, Any]
Value = str | frozenset[str] | None
Build = dict[str, Value]

SERIAL_LAST = 999_999_999


@dataclass
class OptionAt:
    """One option at one member of its series."""

    key: str
    code: str
    member: int | None
    choices: list[str]
    parent: tuple[str, str] | None
    usual: list[str]
    many: bool = False
    measured: bool = False
    asked: bool = False


@dataclass
class RuleAt:
    """One rule at one member of its series; conditions with the series seen from."""

    code: str
    member: int | None
    when: tuple[Condition, str | None]
    then: tuple[Condition, str | None]
    factory: bool

    @property
    def key(self) -> str:
        """`code`, or `code[member]`."""
        return key_of(self.code, self.member)


@dataclass
class Model:
    """A document with its series written out and its conditions read."""

    doc: Tree
    series: dict[str, int]
    options: list[OptionAt] = field(default_factory=list)
    rules: list[RuleAt] = field(default_factory=list)
    intervals: list[tuple[int, int]] = field(default_factory=list)
    each: dict[str, str | None] = field(default_factory=dict)
    read: dict[str, Condition] = field(default_factory=dict)
    known_builds: dict[tuple[str, ...], list[Build]] = field(default_factory=dict)

    def condition(self, text: str | None) -> Condition:
        """Read a condition once; no text means always."""
        text = "always" if text is None else text
        if text not in self.read:
            self.read[text] = parse_condition(text)
        return self.read[text]

    def members(self, each: str | None) -> list[int | None]:
        """The members of a series, or the one place of a thing without series."""
        if each is None:
            return [None]
        return list(range(1, self.series[each] + 1))

    def holds(self, text: str | None, build: Build, item: Tree, member: int | None
              ) -> bool:  # fmt: skip
        """Whether a condition of `item` at `member` holds in the build."""
        return self.test(self.condition(text), build, item.get("each"), member)

    def test(
        self, condition: Condition, build: Build, each: str | None, member: int | None
    ) -> bool:
        """Whether a condition holds, seen from a member of the series `each`."""
        kind = condition[0]
        if kind in ("always", "never"):
            return bool(kind == "always")
        if kind == "not":
            return not self.test(condition[1], build, each, member)
        if kind in ("and", "or"):
            inner = [self.test(part, build, each, member) for part in condition[1]]
            return all(inner) if kind == "and" else any(inner)
        return self._statement(condition, build, each, member)

    def _statement(
        self, condition: Condition, build: Build, each: str | None, member: int | None
    ) -> bool:
        _, name, index, sign, words = condition
        if name in self.series:
            assert name == each, f"{name} stands outside its series"
            assert member is not None
            return compare(member, sign, int(words[0]))
        if name == "serial":
            low, _high = read_interval(str(build["serial"]))
            return compare(low, sign, int(words[0]))
        keys = self._keys(name, index, each, member)
        truths = [chosen(build[key], sign, words) for key in keys]
        return any(truths) if index == "any" else all(truths)

    def _keys(
        self, name: str, index: str | None, each: str | None, member: int | None
    ) -> list[str]:
        own = self.each[name]
        if index in ("any", "all"):
            assert own is not None
            return [f"{name}[{m}]" for m in self.members(own)]
        if index is not None:
            return [f"{name}[{index}]"]
        if own is None:
            return [name]
        assert own == each, f"{name} does not say which member"
        return [f"{name}[{member}]"]

    def option(self, key: str) -> OptionAt:
        """The option of that key."""
        return next(option for option in self.options if option.key == key)


def compare(left: int, sign: str, right: int) -> bool:
    """One comparison of whole numbers."""
    return {
        "<": left < right, "<=": left <= right, ">": left > right,
        ">=": left >= right, "=": left == right, "!=": left != right,
    }[sign]  # fmt: skip


def chosen(value: Value, sign: str, words: list[str]) -> bool:
    """Whether a value is (among) the words, or is not, for `!=`."""
    have = set() if value is None else {value} if isinstance(value, str) else set(value)
    found = bool(have & set(words))
    return not found if sign == "!=" else found


def interval_code(low: int, high: int) -> str:
    """How a serial interval is written."""
    return f"{low}.." if high == SERIAL_LAST else f"{low}..{high}"


def read_interval(code: str) -> tuple[int, int]:
    """The first and last number of a written interval."""
    low, _, high = code.partition("..")
    return int(low), int(high) if high else SERIAL_LAST


def key_of(code: str, member: int | None) -> str:
    """`code`, or `code[member]`."""
    return code if member is None else f"{code}[{member}]"


def code_and_member(key: str) -> tuple[str, int | None]:
    """The two halves of a key."""
    code, _, rest = key.partition("[")
    return code, int(rest[:-1]) if rest else None


def texts_of(tree: Any) -> Iterator[str]:
    """Every text that stands where a condition may stand."""
    if isinstance(tree, dict):
        for name, value in tree.items():
            if name in ("when", "then", "exists") and isinstance(value, str):
                yield value
            else:
                yield from texts_of(value)
    elif isinstance(tree, list):
        for value in tree:
            yield from texts_of(value)


def _serial_cuts(condition: Condition) -> Iterator[int]:
    if condition[0] in ("and", "or"):
        for part in condition[1]:
            yield from _serial_cuts(part)
    elif condition[0] == "not":
        yield from _serial_cuts(condition[1])
    elif condition[0] == "is" and condition[1] == "serial":
        number = int(condition[4][0])
        yield from {
            "<": [number], ">=": [number], "<=": [number + 1], ">": [number + 1],
            "=": [number, number + 1], "!=": [number, number + 1],
        }[condition[3]]  # fmt: skip


def intervals_of(model: Model) -> list[tuple[int, int]]:
    """The serial intervals between all comparisons of the document."""
    cuts = {1, SERIAL_LAST + 1}
    for text in texts_of(model.doc):
        cuts.update(_serial_cuts(model.condition(text)))
    inside = sorted(cut for cut in cuts if 1 <= cut <= SERIAL_LAST + 1)
    return [(low, high - 1) for low, high in itertools.pairwise(inside)]


def read_model(doc: Tree) -> Model:
    """Write out the series and read all conditions of options and rules."""
    model = Model(doc, dict(doc["family"].get("series", {})))
    for option in doc.get("options", []):
        model.each[option["code"]] = option.get("each")
    for option in doc.get("options", []):
        for member in model.members(option.get("each")):
            model.options.append(_option_at(model, option, member))
    model.intervals = intervals_of(model)
    codes = [interval_code(low, high) for low, high in model.intervals]
    model.options.append(
        OptionAt("serial", "serial", None, codes, None, codes[:1], asked=True)
    )
    for rule in doc.get("rules", []):
        for member in model.members(rule.get("each")):
            model.rules.append(
                RuleAt(
                    rule["code"],
                    member,
                    _owned(model, rule.get("when"), rule),
                    _owned(model, rule["then"], rule),
                    rule.get("strength", "factory") == "factory",
                )
            )
    return model


def _owned(model: Model, text: str | None, item: Tree) -> tuple[Condition, str | None]:
    """A condition together with the series it is seen from."""
    return (model.condition(text), item.get("each"))


def _option_at(model: Model, option: Tree, member: int | None) -> OptionAt:
    parent = None
    if "under" in option:
        above, _, choice = option["under"].partition(".")
        above_member = member if model.each[above] is not None else None
        parent = (key_of(above, above_member), choice)
    many = option["choose"] == "any"
    choices = [choice["code"] for choice in option["choices"]]
    usual = option.get("usual", [] if many else choices[0])
    return OptionAt(
        key_of(option["code"], member),
        option["code"],
        member,
        choices,
        parent,
        list(usual) if many else [usual],
        many=many,
        measured=option.get("known") == "measured",
        asked="ask" in option,
    )


def is_active(option: OptionAt, build: Build) -> bool:
    """Whether the choice that the option hangs under holds."""
    if option.parent is None:
        return True
    above, choice = option.parent
    return chosen(build[above], "=", [choice])


def values_of(option: OptionAt, build: Build) -> list[Value]:
    """All values the option can take beside what is already set."""
    if not is_active(option, build):
        return [None]
    if not option.many:
        return list(option.choices)
    return [
        frozenset(subset)
        for size in range(len(option.choices) + 1)
        for subset in itertools.combinations(option.choices, size)
    ]


def tree_builds(model: Model) -> Iterator[Build]:
    """Every full set of answers that meets the option tree, rules aside."""
    waiting, ordered = list(model.options), []
    while waiting:
        ready = [o for o in waiting if not o.parent or o.parent[0] not in
                 {w.key for w in waiting}]  # fmt: skip
        assert ready, "options hang under one another in a ring"
        ordered += ready
        waiting = [o for o in waiting if o not in ready]

    def fill(build: Build, rest: list[OptionAt]) -> Iterator[Build]:
        if not rest:
            yield {option.key: build[option.key] for option in model.options}
            return
        for value in values_of(rest[0], build):
            yield from fill({**build, rest[0].key: value}, rest[1:])

    yield from fill({}, ordered)


def meets(model: Model, rule: RuleAt, build: Build) -> bool:
    """Whether the build obeys the rule."""
    when, each = rule.when
    then, _ = rule.then
    if not model.test(when, build, each, rule.member):
        return True
    return model.test(then, build, each, rule.member)


def builds_under(model: Model, keep: Callable[[RuleAt], bool]) -> list[Build]:
    """All builds of the tree that obey the rules kept."""
    rules = [rule for rule in model.rules if keep(rule)]
    return [
        build
        for build in tree_builds(model)
        if all(meets(model, rule, build) for rule in rules)
    ]


def valid_builds(model: Model, waived: tuple[str, ...] = ()) -> list[Build]:
    """All valid builds; factory rules named in `waived` are left out.

    A rule of a series may be waived whole, by its code, or for one member.
    """
    if waived not in model.known_builds:
        model.known_builds[waived] = builds_under(
            model,
            lambda rule: not (rule.factory and {rule.code, rule.key} & set(waived)),
        )
    return model.known_builds[waived]
