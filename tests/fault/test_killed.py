"""SIGKILL at any moment: the next start picks everything up, nothing is there twice."""

from collections.abc import Callable

from tests.fault.desk import Desk, report, wait_until

Ask = Callable[[Desk, int], None]

# The fifth acceptance is cut off in the middle: job and steps written, papers not yet asked for.
ACCEPT_UNTIL_KILLED = """
import os, signal
from shopapp.jobs.services import opening
asked = []
real = opening.request_document
def request_or_die(**wish):
    asked.append(wish)
    if len(asked) == 9:
        os.kill(os.getpid(), signal.SIGKILL)
    return real(**wish)
opening.request_document = request_or_die
from shopapp.jobs.models import Quote
from shopapp.jobs.services.acceptance import accept_quote
for quote in Quote.objects.filter(state="sent"):
    option = quote.options.filter(offered=True).first()
    accept_quote(quote=quote, option=option, name="Odile Farrow", address=None)
"""
COUNT_JOBS = """
import json
from shopapp.jobs.models import Job, Quote
approved = Quote.objects.filter(state="approved")
print(json.dumps({
    "approved": approved.count(),
    "jobs": Job.objects.count(),
    "without_both": [
        job.pk for job in Job.objects.all()
        if sorted(job.documents.values_list("kind", flat=True)) != ["pick_list", "work_order"]
    ],
    "without_steps": Job.objects.filter(steps=None).count(),
}))
"""


def all_ready(desk: Desk) -> bool:
    return all(row["row_state"] == "ready" for row in desk.papers())


def ready_count(desk: Desk) -> int:
    return sum(row["row_state"] == "ready" for row in desk.papers())


def test_a_worker_killed_again_and_again_leaves_no_paper_behind(desk: Desk, ask: Ask) -> None:
    ask(desk, 12)
    kills = 0
    for goal in (1, 3, 5):
        worker = desk.start("manage.py", "work", "--idle-seconds", "0.05")
        assert wait_until(lambda goal=goal: ready_count(desk) >= goal, seconds=60)
        desk.kill(worker)
        kills += 1
    desk.start("manage.py", "work", "--idle-seconds", "0.05")
    assert wait_until(lambda: all_ready(desk), seconds=90)
    tried = f"embedded worker killed {kills} times over 12 papers"
    assert report(tried, desk) == (0, 0)


def test_a_worker_killed_between_file_and_row_leaves_one_file(desk: Desk, ask: Ask) -> None:
    ask(desk, 1)
    # The worker dies by its own SIGKILL at the worst moment: the file is named, the row is not.
    worker = desk.start(
        "-c",
        "import django; django.setup()\n"
        "import os, signal\n"
        "from shopapp.jobs.models.document import DocumentQuerySet\n"
        "DocumentQuerySet.finish = lambda *a, **k: os.kill(os.getpid(), signal.SIGKILL)\n"
        "from django.core.management import call_command\n"
        "call_command('work', once=True)\n",
    )
    assert worker.wait(timeout=60) == -9
    lost, left_over = desk.count()
    assert (lost, left_over) == (1, 1)
    desk.start("manage.py", "work", "--idle-seconds", "0.05")
    assert wait_until(lambda: all_ready(desk), seconds=60)
    assert wait_until(lambda: desk.count() == (0, 0), seconds=5)
    assert report("worker killed between writing the file and finishing the row", desk) == (0, 0)


def test_two_workers_side_by_side_make_each_paper_once(desk: Desk, ask: Ask) -> None:
    ask(desk, 12)
    for _ in range(2):
        desk.start("manage.py", "work", "--idle-seconds", "0.05")
    assert wait_until(lambda: all_ready(desk), seconds=90)
    # A claim that both saw is one row's one try: nobody prints what another holds.
    assert [row["tries"] for row in desk.papers()] == [1] * 12
    assert report("two embedded workers over 12 papers", desk) == (0, 0)


def test_a_web_process_killed_while_customers_accept_leaves_no_half_job(desk: Desk) -> None:
    accepting = desk.start("-c", "import django; django.setup()\n" + ACCEPT_UNTIL_KILLED)
    assert accepting.wait(timeout=90) == -9
    found = desk.tell(COUNT_JOBS)
    assert found["approved"] == found["jobs"] == 4
    assert found["without_both"] == []
    assert found["without_steps"] == 0
    desk.start("manage.py", "work", "--idle-seconds", "0.05")
    assert wait_until(lambda: all_ready(desk), seconds=120)
    tried = "web killed in the middle of the fifth acceptance, then the worker over 8 papers"
    assert report(tried, desk) == (0, 0)
