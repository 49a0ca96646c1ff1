"""`like`: an item takes over every field of another that it does not write itself.

The taking over is by whole fields; null takes a field away. Chains are followed;
a circle, and an unknown item, are problems. What is spread out is weighed, so that
a short document cannot grow without limit.
"""

from __future__ import annotations

from collections.abc import Callable

from bomsvc.core.catalogue.forms.base import plain_text
from bomsvc.core.catalogue.forms.records import Likened
from bomsvc.core.catalogue.limits import Limits
from bomsvc.core.catalogue.reading import WHOLE, Place, Reading, circle
from bomsvc.core.catalogue.shape import LIKENED
from bomsvc.core.terms.numbers import Number, Tree
from bomsvc.core.terms.problems import Problem, TooLarge
from bomsvc.core.terms.words import part_identity

Items = dict[str, dict[str, Tree]]


def expand_likes(
    document: dict[str, Tree], reading: Reading, limits: Limits
) -> dict[str, Tree]:
    """Return the document with every `like` spread out.

    Items that name an unknown item, or themselves by a circle, are reported and
    stand as they are without `like`.

    Raises:
        TooLarge: Spread out, the document is over `limits.bytes`.
    """
    spread = dict(document)
    weigher = _Weigher(limits.bytes)
    for name, key in LIKENED.items():
        items = document.get(name)
        if isinstance(items, list) and any(_names_another(item) for item in items):
            expander = _Expander(items, Place(WHOLE, name), key, reading, weigher)
            spread[name] = expander.expanded()
    return spread


def _names_another(item: Tree) -> bool:
    return isinstance(item, dict) and "like" in item


class _Expander:
    """Expands one list."""

    def __init__(
        self,
        items: list[Tree],
        place: Place,
        key: str,
        reading: Reading,
        weigher: _Weigher,
    ) -> None:
        self.items = items
        self.place = place
        self.key = key
        self.reading = reading
        self.weigher = weigher
        self.normal: Callable[[str], str] = part_identity if key == "number" else str
        self.index = self._index()
        self.names = tuple(self.index)
        self.done: dict[int, Tree] = {}

    def _index(self) -> dict[str, int]:
        """Name to the first item with it; a name twice is reported elsewhere."""
        index: dict[str, int] = {}
        for number, item in enumerate(self.items):
            name = plain_text(item.get(self.key)) if isinstance(item, dict) else None
            if name is not None:
                index.setdefault(self.normal(name), number)
        return index

    def expanded(self) -> list[Tree]:
        for number in range(len(self.items)):
            self._expand(number)
        return [self.done[number] for number in range(len(self.items))]

    def _expand(self, number: int) -> None:
        """Expand an item after those it is like, the farthest first."""
        chain: dict[int, None] = {}
        following: int | None = number
        while following is not None and following not in self.done:
            if following in chain:
                names = list(chain)
                self._refuse_circle(names[names.index(following) :])
                break
            chain[following] = None
            following = self._model(following)
        for each in reversed(chain):
            if each not in self.done:
                self.done[each] = self._taken_over(each)

    def _model(self, number: int) -> int | None:
        """The item that this one is like; None where it names none that is known."""
        item = self.items[number]
        if not isinstance(item, dict) or item.get("like") is None:
            return None
        name = plain_text(item["like"])
        return None if name is None else self.index.get(self.normal(name))

    def _taken_over(self, number: int) -> Tree:
        item = self.items[number]
        if not isinstance(item, dict) or item.get("like") is None:
            return item
        model = self._model(number)
        if model is None:
            self._refuse_unknown(item["like"], Place(self.place, number))
            return _own(item, followed=False)
        return self._merged(_own(item), self.done[model], model)

    def _merged(self, own: Likened, model: Tree, number: int) -> Tree:
        assert isinstance(model, dict), "only objects have names"
        origins = model.origins if isinstance(model, Likened) else {}
        own.followed = not isinstance(model, Likened) or model.followed
        there = Place(self.place, number)
        for name, value in model.items():
            if name not in own and name not in (self.key, "like"):
                self.weigher.add(value)
                own[name] = value
                own.origins[name] = origins.get(name, Place(there, name))
        return own

    def _refuse_circle(self, chain: list[int]) -> None:
        for each in chain:
            item = self.items[each]
            assert isinstance(item, dict), "only objects name others"
            self.done[each] = _own(item, followed=False)
        names = circle([self._name(each) for each in chain])
        self.reading.report(
            Place(Place(self.place, chain[0]), "like"),
            "like_circle",
            f"`like` goes round in a circle: {names}; write one of them out",
        )

    def _name(self, number: int) -> str:
        item = self.items[number]
        return (
            (plain_text(item.get(self.key)) or "?") if isinstance(item, dict) else "?"
        )

    def _refuse_unknown(self, like: Tree, place: Place) -> None:
        here = Place(place, "like")
        name = plain_text(like)
        if name is None:
            says = f"`like` names one item of the list by its {self.key}"
            self.reading.report(here, "wrong_type", says)
            return
        says = f'no item of this list has the {self.key} "{name[:60]}"'
        self.reading.unknown(here, "unknown_reference", name, says, self.names)


def _own(item: dict[str, Tree], *, followed: bool = True) -> Likened:
    """What an item writes itself."""
    own = Likened({name: value for name, value in item.items() if name != "like"})
    own.origins = {}
    own.followed = followed
    return own


class _Weigher:
    """Adds up what `like` copies, in rough characters."""

    def __init__(self, limit: int) -> None:
        self.limit = limit
        self.total = 0
        self.known: dict[int, int] = {}

    def add(self, value: Tree) -> None:
        weight = self.known.get(id(value))
        if weight is None:
            weight = self.known[id(value)] = _weight(value)
        self.total += weight
        if self.total > self.limit:
            says = (
                f"with every `like` spread out the document is over {self.limit:,} "
                "bytes; name fewer or smaller items"
            )
            raise TooLarge([Problem("", says, "too_many_bytes")])


def _weight(value: Tree) -> int:
    """Characters of text and numbers in a value, and a few for each holder."""
    weight, waiting = 0, [value]
    while waiting:
        each = waiting.pop()
        weight += _LEAST
        if isinstance(each, dict):
            weight += sum(map(len, each))
            waiting.extend(each.values())
        elif isinstance(each, list):
            waiting.extend(each)
        elif isinstance(each, str):
            weight += len(each)
        elif isinstance(each, Number):
            weight += len(each.text)
    return weight


_LEAST = 4
"""Quotes, comma and blank about a value."""
