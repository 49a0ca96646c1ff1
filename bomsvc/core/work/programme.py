"""The large case: the same problem as an integer programme, solved by HiGHS.

One 0/1 variable per step, a row per root and per requirement. Mutual waiting is
kept out by landmark rows, added when an answer needs them: an answer in which
steps wait on one another has no step of some landmark (see `cover.landmark`), and
every valid set has one. Gap 0. Ties are settled by code order in further runs
where few steps are left open; in larger problems the solver's choice among plans of
equal minutes and count stands.

SciPy is imported here only, and only when the planner's own search gave up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from bomsvc.core.work.cover import Cover, bits, landmark, largest_valid, thinned
from bomsvc.core.work.search import Found

if TYPE_CHECKING:
    import numpy as np

TIE_STEPS = 20
"""Steps whose code order is settled in one run: 2**20 keeps doubles exact."""
TIE_RUNS = 5
"""Runs spent on ties at most; of more steps the solver's own choice stands."""
NEARLY_WHOLE = 1e-3
RELATIVE_TOLERANCE = 1e-7
"""How far a bound of HiGHS is trusted: its feasibility tolerances, from memory."""
LARGEST_EXACT = 1e6
"""Largest sum of objective terms for which minutes and count share an objective."""


@dataclass(slots=True)
class _Row:
    """`least <= sum of coefficient * step <= most`."""

    terms: dict[int, int]
    least: float
    most: float = float("inf")


@dataclass(frozen=True, slots=True)
class _Answer:
    """One run: the steps chosen (None: none), the proven bound of the objective."""

    chosen: int | None
    bound: float
    settled: bool


@dataclass(slots=True)
class Programme:
    """The integer programme of a cover.

    Attributes:
        usable: Steps that may be chosen.
        avoid: A set that must not be contained in the answer; 0 for none.
        landmarks: Sets of steps of which every valid set has one.
    """

    cover: Cover
    usable: int
    node_limit: int
    avoid: int = 0
    landmarks: tuple[int, ...] = ()
    _rows: list[_Row] = field(default_factory=list)
    _fixed: dict[int, int] = field(default_factory=dict)

    def solve(self) -> Found:
        """Return the least-weight valid set, or the best known with a bound."""
        self._rows = list(self._requirement_rows())
        chosen: int | None = None
        bound = 0
        for objective, unit in self._stages():
            answer = self._valid_answer(objective)
            if answer.chosen is None:
                proven = answer.settled and chosen is None
                return Found(chosen, self._weight(chosen), bound, proven)
            chosen = thinned(self.cover, answer.chosen)
            reached = sum(objective[i] for i in bits(chosen))
            least = _whole_bound(answer, reached)
            bound = max(bound, least // unit * self.cover.unit)
            if least < reached:
                return Found(chosen, self._weight(chosen), bound, proven=False)
            self._rows.append(_Row(dict(objective), 0, reached + 0.5))
        assert chosen is not None
        return self._least_in_code_order(chosen, bound)

    def _weight(self, chosen: int | None) -> int:
        return -1 if chosen is None else self.cover.weight(chosen)

    def _stages(self) -> list[tuple[dict[int, int], int]]:
        """Return (objective, its figure for one unit of minutes) in turn.

        Minutes first, and the fewest steps among equals: in one objective while
        the figures stay small enough for HiGHS's tolerances, else one by one.
        """
        count = self.usable.bit_count() + 1
        minutes = {i: self.cover.minutes[i] for i in bits(self.usable)}
        ones = dict.fromkeys(minutes, 1)
        if sum(minutes.values()) * count < LARGEST_EXACT:
            return [({i: m * count + 1 for i, m in minutes.items()}, count)]
        return [(minutes, 1), (ones, 1)]

    def _requirement_rows(self) -> list[_Row]:
        rows = [
            _Row(dict.fromkeys(bits(r & self.usable), 1), 1) for r in self.cover.roots
        ]
        for i in bits(self.usable):
            for mask in self.cover.every[i]:
                terms = dict.fromkeys(bits(mask & self.usable), 1)
                if i not in terms:
                    rows.append(_Row({**terms, i: -1}, 0))
        for cut in self.landmarks:
            rows.append(_Row(dict.fromkeys(bits(cut & self.usable), 1), 1))
        if self.avoid:
            terms = dict.fromkeys(bits(self.avoid & self.usable), 1)
            rows.append(_Row(terms, 0, self.avoid.bit_count() - 1))
        return rows

    def _valid_answer(self, objective: dict[int, int]) -> _Answer:
        """Solve, adding landmark rows until no steps wait on one another."""
        while True:
            answer = self._run(objective)
            if answer.chosen is None:
                return answer
            removal = largest_valid(self.cover, answer.chosen)
            unmet = [r for r in self.cover.roots if not r & removal.alive]
            if not unmet:
                return _Answer(removal.alive, answer.bound, answer.settled)
            for root in unmet:
                cut = landmark(root, self.usable, answer.chosen, removal.witness)
                self._rows.append(_Row(dict.fromkeys(bits(cut), 1), 1))

    def _least_in_code_order(self, chosen: int, bound: int) -> Found:
        """Settle ties: fix steps in code order, as many in a run as stay exact."""
        ordered = sorted(bits(self.usable), key=self.cover.ranks.__getitem__)
        if len(ordered) > TIE_STEPS * TIE_RUNS:
            return Found(chosen, self._weight(chosen), bound, proven=False)
        for start in range(0, len(ordered), TIE_STEPS):
            chunk = ordered[start : start + TIE_STEPS]
            wanted = {i: -(1 << (len(chunk) - 1 - n)) for n, i in enumerate(chunk)}
            answer = self._valid_answer(wanted)
            if not answer.settled or answer.chosen is None:
                return Found(chosen, self._weight(chosen), bound, proven=False)
            chosen = answer.chosen
            self._fixed.update({i: chosen >> i & 1 for i in chunk})
        weight = self._weight(chosen)
        return Found(chosen, weight, weight, proven=True)

    def _run(self, objective: dict[int, int]) -> _Answer:
        """Run HiGHS once over the rows as they stand."""
        import numpy as np
        from scipy.optimize import Bounds, milp

        columns = {i: n for n, i in enumerate(bits(self.usable))}
        costs = np.zeros(len(columns))
        for i, cost in objective.items():
            costs[columns[i]] = cost
        lower = np.zeros(len(columns))
        upper = np.ones(len(columns))
        for i, value in self._fixed.items():
            lower[columns[i]] = upper[columns[i]] = value
        result = milp(
            costs,
            integrality=np.ones(len(columns)),
            bounds=Bounds(lower, upper),
            constraints=self._constraints(columns),
            options={"mip_rel_gap": 0.0, "node_limit": self.node_limit},
        )
        return self._read(result, columns)

    def _constraints(self, columns: dict[int, int]) -> Any:  # noqa: ANN401
        from scipy.optimize import LinearConstraint
        from scipy.sparse import csr_array

        data: list[int] = []
        inner: list[int] = []
        ends = [0]
        for row in self._rows:
            data += row.terms.values()
            inner += (columns[i] for i in row.terms)
            ends.append(len(data))
        matrix = csr_array(
            (data, inner, ends), shape=(len(self._rows), len(columns)), dtype=float
        )
        least = [row.least for row in self._rows]
        return LinearConstraint(matrix, least, [row.most for row in self._rows])

    def _read(self, result: Any, columns: dict[int, int]) -> _Answer:  # noqa: ANN401
        infeasible, optimal = 2, 0
        if result.x is None:
            return _Answer(None, 0.0, result.status == infeasible)
        chosen = _chosen(result.x, columns)
        bound = result.mip_dual_bound
        return _Answer(
            chosen,
            0.0 if bound is None else float(bound),
            result.status == optimal,
        )


def _chosen(values: np.ndarray[Any, Any], columns: dict[int, int]) -> int:
    chosen = 0
    for i, n in columns.items():
        if values[n] > 0.5:  # noqa: PLR2004 - a 0/1 variable within tolerance
            chosen |= 1 << i
    return chosen


def _whole_bound(answer: _Answer, reached: int) -> int:
    """Return a whole number that no valid set goes below.

    The solver's bound, less its tolerance; `reached` itself where that is nearer
    than one.
    """
    tolerance = NEARLY_WHOLE + abs(answer.bound) * RELATIVE_TOLERANCE
    least = reached if answer.settled and tolerance < 1 else answer.bound - tolerance
    return min(reached, max(0, math.ceil(least)))
