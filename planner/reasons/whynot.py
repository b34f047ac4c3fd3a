"""The questions that people ask of a plan, and their answers in words."""

from dataclasses import dataclass
from typing import Any

from django.http import Http404

from planner import engine
from planner.pages import Clash, clash_of
from planner.pins import pin_words
from planner.reasons.chosen import Chosen, in_page
from planner.reasons.wording import shop_words
from planner.telling import in_words, opening_sentence

JsonDict = dict[str, Any]


@dataclass(frozen=True)
class Question:
    """One usual question; `number` counts from 1."""

    number: int
    words: str
    pin: JsonDict


@dataclass(frozen=True)
class Answer:
    """What would come of it: `possible` is None where that was not proven in time."""

    question: Question
    pin_words: str
    possible: bool | None
    extra_cents: int | None
    charged_cents: int | None
    sentence: str
    forbidden_by: list[Clash]
    text: str

    @property
    def size_cents(self) -> int:
        """The difference without its sign."""
        return abs(self.extra_cents or 0)

    @property
    def charged_size_cents(self) -> int:
        """The difference on the bill without its sign."""
        return abs(self.charged_cents or 0)


def questions_of(chosen: Chosen) -> list[Question]:
    """What people ask of such a plan, always in the same order; other new models come last."""
    rows = engine.usual_questions(chosen.case, chosen.plan)
    rows = sorted(rows, key=lambda row: row["pin"].get("fate") == "added")
    return [
        Question(number, in_words(chosen.case, chosen.plan, row["question"]), row["pin"])
        for number, row in enumerate(rows, 1)
    ]


def question_of(chosen: Chosen, number: int) -> Question:
    """The question of that number; 404 where there is none."""
    for question in questions_of(chosen):
        if question.number == number:
            return question
    raise Http404("This plan has no such question.")


def answer_of(chosen: Chosen, question: Question) -> Answer:
    """Plan with that forced, and compare; a page's time at most."""
    told = engine.why_not(chosen.case, question.pin, plan=chosen.plan, should_stop=in_page())
    plan = told.get("plan")
    return Answer(
        question=question,
        pin_words=pin_words(chosen.case, question.pin),
        possible=told["possible"],
        extra_cents=told["extra_cents"],
        charged_cents=_charged(chosen.case, plan) - _charged(chosen.case, chosen.plan)
        if plan
        else None,
        sentence=opening_sentence(chosen.case, plan) if plan else "",
        forbidden_by=[clash_of(chosen.case, name) for name in told["forbidden_by"]],
        text=shop_words(chosen.case, chosen.plan, told["text"], chosen.run.shop.currency),
    )


def _charged(case: JsonDict, plan: JsonDict) -> int:
    """Parts and labour in cents, without what is given up."""
    labour = case["catalogue"]["rates"]["labour_cents_per_minute"]
    return plan["parts_cents"] + plan["labour_minutes"] * labour
