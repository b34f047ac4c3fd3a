"""A real boat with a job opened from an accepted quote, to be worked on in tests."""

from datetime import timedelta

from django.utils import timezone

from planner import engine
from planner.loaders import build_case
from planner.services import start_plan
from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import EquipmentModel, Part
from shopapp.jobs.models import Job, Quote, WorkStep
from shopapp.jobs.services.acceptance import accept_quote
from shopapp.jobs.services.quotes import create_quote
from shopapp.jobs.services.scheduling import schedule_job, start_job
from shopapp.jobs.services.steps import Answer, answer_step
from shopapp.stock.models import StockItem
from tests.factories.catalog import explain
from tests.planner.worlds import World, add, two_displays


class Works:
    """The world, its people and the job."""

    def __init__(self, shop: Shop, writer: User, technician: User, *wishes: dict) -> None:
        self.world: World = two_displays(shop)
        self.shop, self.writer, self.technician = shop, writer, technician
        display = self.world.units["d1"]
        display.release = display.model.releases.get(name="2.0")
        display.save()
        self.stock_up(9)
        self.job = self.open_job(*(wishes or (add(),)))

    def stock_up(self, pieces: int) -> None:
        for part in Part.objects.of(self.shop):
            item, made = StockItem.objects.get_or_create(
                shop=self.shop, part=part, place="Shelf 1", defaults={"on_hand": pieces}
            )
            if made:
                explain(item)

    def open_job(self, *wishes: dict) -> Job:
        run = start_plan(boat=self.world.boat, wishes=self.world.wishes(*wishes), by=self.writer)
        quote = create_quote(run=run, by=self.writer)
        Quote.objects.filter(pk=quote.pk).update(
            state="sent", token=f"token-{quote.pk}", sent_at=timezone.now()
        )
        quote.refresh_from_db()
        options = list(quote.options.order_by("position"))
        option = next((one for one in options if "keep_all" in one.strategies), options[0])
        quote.options.filter(pk=option.pk).update(offered=True)
        option.offered = True
        job = accept_quote(quote=quote, option=option, name="Ada Finch", address=None)
        job.refresh_from_db()
        return job

    def start(self) -> Job:
        """Scheduled for today and begun by the technician."""
        if self.job.state == "waiting":
            Job.objects.filter(pk=self.job.pk).update(state="ready")
            self.job.refresh_from_db()
        schedule_job(
            job=self.job, technician=self.technician, day=timezone.localdate(), by=self.writer
        )
        self.job.refresh_from_db()
        start_job(job=self.job, by=self.technician)
        self.job.refresh_from_db()
        return self.job

    def steps(self, kind: str = "", unit: str = "") -> list[WorkStep]:
        rows = self.job.steps.select_related("job").order_by("-caution", "position")
        rows = rows.filter(kind=kind) if kind else rows
        return list(rows.filter(unit_key=unit) if unit else rows)

    def answer(self, step: WorkStep, **facts: object) -> WorkStep:
        step.job = self.job
        answer = Answer(**{"state": "done", **facts})
        return answer_step(step=step, by=self.technician, answer=answer)

    def do_all(self, *, but: tuple[str, ...] = ()) -> None:
        """Answer every step as planned; those of the kinds in `but` could not be done."""
        for step in self.steps():
            if step.state != "todo":
                continue
            if step.kind in but:
                self.answer(step, state="could_not", note="The panel is rotten.")
            else:
                self.answer(step, **_as_planned(step))

    def plan_again(self) -> dict:
        """The answer for the boat as recorded now, with no wish at all."""
        built = build_case(boat=self.world.boat, wishes=self.world.wishes())
        return engine.answer_case(built.case)


def _as_planned(step: WorkStep) -> dict:
    if step.asks == "serial":
        return {"found": f"SN-{step.unit_key}"}
    if step.asks == "release":
        return {"found": step.expect_text}
    if step.asks == "reading":
        return {"reading": step.expect_high or step.expect_low or 13}
    return {}


def tomorrow():
    return timezone.localdate() + timedelta(days=1)


def model(shop: Shop, code: str) -> EquipmentModel:
    return EquipmentModel.objects.get(shop=shop, code=code)
