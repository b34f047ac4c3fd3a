"""All that a job's page at the desk shows."""

from typing import Any

from shopapp.accounts.models import User
from shopapp.jobs import job_queries
from shopapp.jobs.forms.jobs import PickedForm
from shopapp.jobs.models import Job
from shopapp.jobs.queries import papers_of
from shopapp.jobs.services.changing import CHANGEABLE
from shopapp.jobs.services.comebacks import CAME_BACK_FROM
from shopapp.jobs.services.risk import undecided_on
from shopapp.jobs.services.scheduling import may_work, moves_for
from shopapp.roles import may
from shopapp.ui.history import changes_of


def page_facts(job: Job, user: User) -> dict[str, Any]:
    """The facts of `jobs/job.html`; what the role may not see is not fetched."""
    pick_list, lines = job_queries.pick_lines_of(job)
    steps = job_queries.steps_of(job)
    sees_money = may(user, "quotes.see")
    facts = {
        "job": job,
        "moves": moves_for(job=job, user=user),
        "may_work": may_work(job=job, user=user),
        "steps": steps,
        "answered": sum(1 for step in steps if step.state != "todo"),
        "pick_list": pick_list,
        "lines": lines,
        "short": any(line.short and not line.spare for line in lines),
        "drawing": job_queries.drawing_of(job),
        "ports": job_queries.port_rows(job),
        "papers": papers_of(job=job),
        "problems": job.problems.select_related("model", "counterpart", "noted_by"),
        "record_moves": _moves(job),
        "comebacks": _comebacks(job),
        "changes": changes_of(job, limit=20),
        "undecided": undecided_on(job),
        "sees_money": sees_money,
        "change_orders": job.changes.defer("plan", "lines"),
        "may_change": job.quote_id and job.state in CHANGEABLE and may(user, "changes.make"),
        "causes": Job.Cause.choices,
        "may_come_back": job.state in CAME_BACK_FROM and may(user, "problems.note"),
        "may_take_risk": may(user, "queue.see") and job.risk_taken_by_id is None,
    }
    if may(user, "jobs.pick") and pick_list and pick_list.state in {"open", "staged"}:
        facts["pick_form"] = PickedForm(lines=lines)
    if sees_money and job.option:
        facts["money_lines"] = job.option.lines.filter(left_out=False)
    return facts


def _comebacks(job: Job) -> list[Job]:
    if job.state not in CAME_BACK_FROM:
        return []
    return list(job.comebacks.only("number", "title", "opened_at", "comeback_cause"))


def _moves(job: Job) -> list[tuple[str, str, Any]]:
    words = dict(Job.State.choices)
    rows = job.moves.select_related("by")
    return [(words.get(row.before, ""), words.get(row.after, row.after), row) for row in rows]
