"""Holds and schedule of a large house re-evaluated, against a bare networkx pass over the same graph."""

from __future__ import annotations

import random
import tempfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import networkx

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.records.project import Project
from retrofit_desk.rules import holds as hold_rules
from retrofit_desk.rules import schedule as schedule_rules
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.services.dated_steps import dated_steps, steps_of, tasks_in
from retrofit_desk.services.hold_records import all_evidence, inspection_roots, recorded_holds
from retrofit_desk.services.holds import holds_in
from tests.bench.ratio import Ratio, best_seconds

TASKS, PAPERS, HOLDS, NEEDS = 500, 2_000, 250, 4
TODAY = date(2026, 11, 20)
SEED = 1964
GOAL = 5.0


def rows() -> list[Ratio]:
    """The rules alone on plain values, and the whole way from the stored record."""
    with tempfile.TemporaryDirectory() as folder, large_house(Path(folder) / "house") as project:
        edges, days = _graph(project)
        bare = best_seconds(lambda: bare_pass(edges, days), 5)
        with project.session() as session:
            roots = inspection_roots(session)
            plain = [one.plain(roots) for one in recorded_holds(session)]
            evidence, steps = all_evidence(session), steps_of(session, tasks_in(session))

        def rules_alone() -> None:
            known = hold_rules.Known(evidence)
            for hold in plain:
                hold_rules.answer(hold, known, TODAY)
            schedule_rules.plan(steps, TODAY)

        def whole_way() -> None:
            with project.session() as session:
                dated_steps(session, TODAY, holds_in(session, TODAY))

        return [
            Ratio.at_most("works-rules-against-networkx", best_seconds(rules_alone, 5) / bare, GOAL),
            Ratio.at_most("works-from-record-against-networkx", best_seconds(whole_way, 5) / bare, GOAL),
        ]


def bare_pass(edges: list[tuple[str, str]], days: dict[str, int]) -> int:
    """Build the graph, order it, and carry earliest ends forward and latest ends back: nothing else."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(days)
    graph.add_edges_from(edges)
    order = list(networkx.topological_sort(graph))
    ends: dict[str, int] = {}
    for node in order:
        ends[node] = max((ends[one] for one in graph.predecessors(node)), default=0) + days[node]
    finish = max(ends.values())
    latest: dict[str, int] = {}
    for node in reversed(order):
        latest[node] = min((latest[one] - days[one] for one in graph.successors(node)), default=finish)
    return sum(latest[node] - ends[node] for node in order)


def large_house(folder: Path) -> Project:
    """500 steps that wait for each other, 250 holds of four needs, 2,000 papers that answer them."""
    draw = random.Random(SEED)
    project = Project.create(folder)
    with project.action("A large house") as work:
        session = work.session
        session.add(m.Site(name="Large house", time_zone="America/New_York", story_date=TODAY))
        measure = m.Measure(key="all", kind="air_sealing", title="All of it")
        session.add(measure)
        session.flush()
        holds = [_hold(number, measure.id) for number in range(HOLDS)]
        session.add_all(holds)
        session.flush()
        needs = [need.id for hold in holds for need in hold.needs]
        session.add_all(_paper(number, needs[number % len(needs)]) for number in range(PAPERS))
        tasks = [_task(number, measure.id, draw) for number in range(TASKS)]
        for task, hold in zip(tasks[::2], holds, strict=True):
            task.hold_id = hold.id
        session.add_all(tasks)
        session.flush()
        for number, task in enumerate(tasks[1:], start=1):
            before = draw.sample(range(max(0, number - 40), number), k=min(number, draw.randint(1, 3)))
            session.add_all(m.TaskLink(before_id=tasks[one].id, after_id=task.id) for one in before)
    return project


def _hold(number: int, measure_id: int) -> m.Hold:
    return m.Hold(
        key=f"hold-{number}",
        action=HoldAction.COVER,
        what=f"wall {number}",
        subject=m.HoldSubject.MEASURE,
        subject_id=measure_id,
        measure_id=measure_id,
        needs=[
            m.HoldNeed(
                position=at,
                kind=NeedKind.PHOTO_SET if at % 2 else NeedKind.PAPER,
                text=f"paper {at}",
                count=2,
            )
            for at in range(NEEDS)
        ],
    )


def _paper(number: int, need_id: int) -> m.Paper:
    return m.Paper(
        kind=PaperKind.PHOTO,
        title=f"Photo {number}",
        original_name=f"{number}.jpg",
        sha256=f"{number:064x}",
        size_bytes=1,
        media_type="image/jpeg",
        on_paper=TODAY - timedelta(days=number % 300),
        filed_at=datetime(2026, 11, 1, tzinfo=UTC),
        uses=[m.PaperUse(subject=PaperSubject.HOLD_NEED, subject_id=need_id)],
    )


def _task(number: int, measure_id: int, draw: random.Random) -> m.Task:
    kind = draw.choice([TaskKind.WORK, TaskKind.WORK, TaskKind.WAIT, TaskKind.VISIT])
    return m.Task(
        key=f"task-{number}",
        title=f"Task {number}",
        kind=kind,
        days=draw.randint(1, 6),
        measure_id=measure_id,
    )


def _graph(project: Project) -> tuple[list[tuple[str, str]], dict[str, int]]:
    """Every step, hold, need and paper as a node; what must come before what as an edge."""
    with project.session() as session:
        days = {f"task {row.id}": int(row.days) for row in session.query(m.Task)}
        edges = [(f"task {one.before_id}", f"task {one.after_id}") for one in session.query(m.TaskLink)]
        edges += [
            (f"hold {row.hold_id}", f"task {row.id}")
            for row in session.query(m.Task)
            if row.hold_id is not None
        ]
        edges += [(f"need {row.id}", f"hold {row.hold_id}") for row in session.query(m.HoldNeed)]
        edges += [(f"paper {row.paper_id}", f"need {row.subject_id}") for row in session.query(m.PaperUse)]
    days |= {node: 0 for edge in edges for node in edge if node not in days}
    return edges, days
