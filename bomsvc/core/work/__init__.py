"""Work: from jobs to the least-minutes closed set of steps and what it disturbs."""

from bomsvc.core.work.planner import plan, plan_literals, work_literals
from bomsvc.core.work.values import Plan, Stuck, WorkSettings

__all__ = [
    "Plan",
    "Stuck",
    "WorkSettings",
    "plan",
    "plan_literals",
    "work_literals",
]
