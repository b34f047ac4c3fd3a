"""How long all checks of a plan take on the demo's largest boat.

Run with `make bench`. Prints the time of reading the records, of judging one plan, and of all the
options of a planning; only the number of queries is asserted, times are for reading.
"""

import os
import statistics
import time
from collections.abc import Callable

from django.core.management import call_command
from django.db import connection
from django.db.models import Count
from django.test.utils import CaptureQueriesContext

from planner.checks import check_plan, check_plans, read_check_records
from planner.checks.facts import PlanFacts
from planner.engine.checks import run_checks
from planner.plans import plan_columns
from planner.services import start_plan
from shopapp.boats.models import Boat

ROUNDS = 15
BOATS = int(os.environ.get("DESK_BENCH_CHECKED", "60"))
MOST_QUERIES = 13


def test_all_checks_of_a_plan(db, capsys):
    call_command("demo", boats=BOATS, seed=1, verbosity=0)
    boat = Boat.objects.annotate(size=Count("units")).order_by("-size", "pk").first()
    wishes = {"requests": [], "switches": {"models": [], "locations": [], "max_new": 0}}
    run = start_plan(boat=boat, wishes=wishes, by=None)
    plans = [column.plan for column in plan_columns(run.answer)]
    records = read_check_records(boat=run.boat, plans=plans)
    facts = PlanFacts(records, run.case, plans[0]).collect()
    rows = {
        "read the records": lambda: read_check_records(boat=run.boat, plans=plans),
        "judge the facts": lambda: run_checks(facts),
        "one plan, read already": lambda: check_plan(records=records, case=run.case, plan=plans[0]),
        "one plan, all in all": lambda: check_plans(boat=run.boat, case=run.case, plans=plans[:1]),
        f"{len(plans)} options, all in all": lambda: check_plans(
            boat=run.boat, case=run.case, plans=plans
        ),
    }
    with capsys.disabled():
        print(f"\nChecks of {boat}: {boat.size} units, {len(run_checks(facts))} findings")
        for name, act in rows.items():
            median, slowest = measure(act)
            print(f"  {name:<26}{median:7.1f} ms at the median, {slowest:7.1f} ms the slowest")
    with CaptureQueriesContext(connection) as asked:
        check_plans(boat=run.boat, case=run.case, plans=plans)
    assert len(asked) <= MOST_QUERIES


def measure(act: Callable[[], object]) -> tuple[float, float]:
    """Processor time in ms, the median and the slowest of some rounds."""
    act()
    times = []
    for _ in range(ROUNDS):
        begin = time.process_time()
        act()
        times.append((time.process_time() - begin) * 1000)
    return statistics.median(times), max(times)
