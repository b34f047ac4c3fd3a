"""The tablet's own fault finder, held against the desk's over random networks."""

from random import Random

import pytest

from planner.engine.finding import read_network
from planner.engine.finding.finder import Finder, first_looks
from planner.finding.answers import table_of
from tests.engine.finding.networks import random_network

FITTING = """async ([table, all]) => {
  const { causesOf } = await import('/static/tablet/finder.js');
  return all.map((seen) => causesOf(table, seen).causes.map((cause) => cause.key));
}"""
CHAIN = """async ([table, truths]) => {
  const { causesOf, nextLook, oddOf } = await import('/static/tablet/finder.js');
  return truths.map((truth) => {
    const first = oddOf(table, truth)[0];
    const seen = { [first]: truth[first] };
    for (;;) {
      const { causes } = causesOf(table, seen);
      const next = causes.length > 1 ? nextLook(table, causes, seen) : null;
      if (!next) return causes.map((cause) => cause.key);
      seen[next.look] = truth[next.look];
    }
  });
}"""
PAIR = """async ([table, seen]) => {
  const { causesOf } = await import('/static/tablet/finder.js');
  const found = causesOf(table, seen);
  return [found.pairs, found.nothing, found.named.map((one) => one.words[0])];
}"""
PICK = """async ([table, look, figure]) => {
  const { classOf } = await import('/static/tablet/finder.js');
  return classOf(table, look, figure);
}"""


@pytest.fixture
def shell(new_page):
    page = new_page(width=820)
    page.goto("/tab/")
    return page


def truth_of(found, cause, random):
    shown = found.show((cause,))
    return {
        key: value if value is not None else random.choice(list(found.looks[key].answers))
        for key, value in shown.items()
    }


@pytest.mark.parametrize("seed", range(4))
def test_the_tablet_names_the_same_causes_as_the_desk(shell, seed):
    given = random_network(seed)
    found, random = Finder(read_network(given)), Random(seed)
    at_first = [look.key for look in first_looks(found)]
    truths = [truth_of(found, cause, random) for cause in found.causes]
    seens = [{key: truth[key] for key in at_first} for truth in truths]
    named = shell.evaluate(FITTING, [table_of(given), seens])
    for seen, keys in zip(seens, named, strict=True):
        fitting = found.fits(seen) if found.odd(seen) else {}
        single = {causes[0].key for causes in fitting if len(causes) == 1}
        assert set(keys) == single or len(next(iter(fitting))) == 2


@pytest.mark.parametrize("seed", range(4))
def test_a_chain_of_the_tablets_looks_ends_at_the_truth(shell, seed):
    given = random_network(seed)
    found, random = Finder(read_network(given)), Random(seed)
    truths = [truth_of(found, cause, random) for cause in found.causes]
    ended = shell.evaluate(CHAIN, [table_of(given), truths])
    assert ended == [[cause.key] for cause in found.causes]


def test_two_faults_at_once_are_named_as_a_pair_and_nonsense_as_nothing(shell):
    given = random_network(4, switches=2)
    found = Finder(read_network(given))
    dark = next(one for one in found.causes if one.kind == "power" and one.place[0] != "u1")
    refused = next(one for one in found.causes if one.kind == "refused" and one.place != dark.place)
    shown = found.show((dark, refused))
    seen = {key: shown[key] for key in (f"lit:{dark.place[0]}", f"release:{refused.place[0]}")}
    pairs, nothing, words = shell.evaluate(PAIR, [table_of(given), seen])
    assert (pairs, nothing) == (True, False)
    assert any("has no power" in each and "is refused" in each for each in words)
    nonsense = {"lit:sw1": "dark", "volts:sw1": "ok", "slow": "yes", "lit:u1": "dark"}
    kept = {key: value for key, value in nonsense.items() if key in found.looks}
    everything = {key: value for key, value in found.healthy.items() if value} | kept
    assert shell.evaluate(PAIR, [table_of(given), everything]) == [False, True, []]


@pytest.mark.parametrize(
    ("look", "figure", "answer"),
    [
        ("ohms:m:T1", 0.4, "short"), ("ohms:m:T1", 60, "60"), ("ohms:m:T1", 120, "120"),
        ("ohms:m:T1", 9000, "open"), ("volts:u1", 0, "none"), ("volts:u1", 10.1, "low"),
        ("volts:u1", 12.6, "ok"), ("node_volts:m:u1", 8.9, "low"), ("slow", 3, ""),
    ],
)  # fmt: skip
def test_readings_fall_into_the_classes_of_the_trade(shell, look, figure, answer):
    assert shell.evaluate(PICK, [table_of(random_network(4)), look, figure]) == answer
