"""The fault finder: what fits, what is named first, and that its looks end at the truth.

Fault trees and weights are common practice of the trade, no source; 120 Ω for one terminator and
60 Ω for two: NMEA 2000, as public installation guides print it.
"""

from collections import Counter
from random import Random

import pytest

from planner.engine.finding import NetworkFault, find_faults, read_network
from planner.engine.finding.causes import WEIGHTS
from planner.engine.finding.finder import Finder, first_looks, tell
from tests.engine.finding.networks import random_network

NETWORKS = 200
READINGS = {"release", "volts", "node_volts"}


def finder(seed, **wanted):
    return Finder(read_network(random_network(seed, **wanted)))


def seen_of(found, shown, random):
    """Everything that may be looked at, answered as a person would; either way where it may be."""
    return {
        key: value if value is not None else random.choice(list(found.looks[key].answers))
        for key, value in shown.items()
    }


def injected():
    """Every single fault of 200 random networks: finder, fault, what all looks would show."""
    for seed in range(NETWORKS):
        found = finder(seed)
        random = Random(seed)
        for cause in found.causes:
            yield found, cause, seen_of(found, found.show((cause,)), random)


@pytest.mark.slow
def test_every_single_fault_of_200_networks_is_named_early_never_missing_and_found():
    tried, early, missing, lost = Counter(), Counter(), [], []
    for found, cause, truth in injected():
        at_once = {look.key for look in found.looks.values() if look.kind in READINGS}
        at_once |= {look.key for look in first_looks(found)}
        seen = {key: truth[key] for key in at_once}
        fitting = found.fits(seen)
        tried[cause.kind] += 1
        early[cause.kind] += any((cause,) in each.faults for each in found.named(fitting)[:3])
        if (cause,) not in fitting:
            missing.append(cause.key)
        while looks := found.next_looks(fitting, seen):
            seen[looks[0].key] = truth[looks[0].key]
            fitting = found.fits(seen)
        if list(fitting) != [(cause,)]:
            lost.append(cause.key)
    assert tried.total() > 10_000
    assert early.total() / tried.total() >= 0.99
    assert {kind for kind, count in tried.items() if early[kind] / count < 0.95} == set()
    assert set(tried) == set(WEIGHTS)
    assert missing == []
    assert lost == []


def test_a_chain_from_one_symptom_alone_ends_at_the_truth():
    found = finder(4, switches=2)
    random = Random(1)
    for cause in found.causes:
        truth = seen_of(found, found.show((cause,)), random)
        odd = found.odd(truth)
        seen = {odd[0]: truth[odd[0]]}
        fitting = found.fits(seen)
        assert (cause,) in fitting
        while looks := found.next_looks(fitting, seen):
            seen[looks[0].key] = truth[looks[0].key]
            fitting = found.fits(seen)
        assert list(fitting) == [(cause,)]


def small(**changes):
    given = {
        "units": [
            {"id": "sw", "name": "Bridge switch", "kind": "switch", "lights": True, "ports": 5,
             "most_displays": 4},
            {"id": "d1", "name": "Helm display", "kind": "display"},
            {"id": "d2", "name": "Bow display", "kind": "display"},
        ],
        "cables": [
            {"id": "N1", "ends": [{"unit": "sw", "port": 1}, {"unit": "d1", "port": 1}]},
            {"id": "N2", "ends": [{"unit": "sw", "port": 2},
                                  {"unit": "d2", "port": 1, "adapter": True}]},
        ],
        "view": "d1",
    }  # fmt: skip
    return given | changes


def words(seen, given=None):
    return [cause["words"] for cause in find_faults(given or small(), seen)["causes"]]


def test_a_dark_port_with_the_unit_on_is_cable_adapter_or_port_in_that_order():
    lit = {"light:sw:2": "dark", "lit:d2": "on", "lit:sw": "on"}
    assert words(lit | {"volts:d2": 12.6, "volts:sw": 12.6}) == [
        "Cable N2 is broken, or a plug of it",
        "Adapter lead at Bow display port 1: wrong, bent or wet",
        "A dead port: Bridge switch port 2 or Bow display port 1",
    ]


def test_the_first_look_at_a_dark_port_is_whether_the_unit_is_on():
    [first, *_] = find_faults(small(), {"light:sw:2": "dark"})["next"]
    assert first["question"] == "Is Bow display on (screen, lamp)?"
    assert first["minutes"] == 1


def test_all_dark_is_the_switchs_feed():
    assert words({"lit:sw": "dark"}) == [
        "Bridge switch has no power: fuse, lead, polarity, cut-off",
        "Bridge switch is short of volts: thin wire, bad joint, low battery",
    ]
    assert words({"lit:sw": "dark", "volts:sw": 10.1})[0].startswith("Bridge switch is short")


def test_link_up_but_not_seen_is_release_or_too_many():
    found = words({"light:sw:1": "up", "light:sw:2": "up", "seen:d2": "no", "lit:d1": "on"})
    refused = [
        f"{name} display is refused: its generation or release does not suit"
        for name in ("Bow", "Helm")
    ]
    assert sorted(found[:2]) == refused
    assert "Too many displays on the network" in found


def test_everything_slow_is_a_loop_and_the_switch_is_looked_at():
    found = find_faults(small(), {"slow": "yes"})
    assert found["causes"][0]["kinds"] == ["loop"]


def backbone(*terminators):
    return {
        "units": [],
        "backbones": [
            {
                "id": "Main",
                "segments": [{"from": "T1", "to": "T2"}, {"from": "T2", "to": "T3"}],
                "drops": [{"unit": "wind", "tee": "T2"}, {"unit": "depth", "tee": "T2"}],
                "feeds": [{"tee": "T2"}],
                "terminators": list(terminators or ("T1", "T3")),
            }
        ],
    }


@pytest.mark.parametrize(
    ("ohms", "kind"),
    [(60, None), (120, "terminator"), (40, "extra_terminator"), (30, "joined"), (0.4, "short")],
)
def test_ohms_power_off_tell_their_cause(ohms, kind):
    found = find_faults(backbone(), {"ohms:Main:T1": ohms})
    assert found["healthy"] is (kind is None)
    if kind:
        assert found["causes"][0]["kinds"] == [kind]


def test_one_unit_without_volts_is_its_drop_and_all_without_is_the_feed():
    [found, *_] = words({"node_volts:Main:depth": 0.0, "listed:Main:depth": "no"}, backbone())
    assert found.startswith(("Drop to depth", "No feed"))
    both = {"node_volts:Main:depth": 0, "node_volts:Main:wind": 0, "fuse:Main:T2": "whole"}
    assert find_faults(backbone(), both)["pairs"] is True
    both["fuse:Main:T2"] = "blown"
    assert words(both, backbone()) == ["No feed at T2: fuse, lead, cut-off"]


def test_a_short_is_halved_to_its_segment():
    found = Finder(read_network(backbone()))
    truth = next(cause for cause in found.causes if cause.key == "short:Main:segment:T2–T3")
    seen, asked = {"ohms:Main:T1": "short"}, []
    fitting = found.fits(seen)
    while looks := found.next_looks(fitting, seen):
        asked.append(looks[0].kind)
        seen[looks[0].key] = found.show((truth,))[looks[0].key]
        fitting = found.fits(seen)
    assert list(fitting) == [(truth,)]
    assert "halve" in asked


def test_two_faults_at_once_are_found_as_a_pair_where_no_single_one_fits():
    given = small()
    seen = {"light:sw:2": "dark", "lit:d2": "on", "release:d1": "refused", "swap_cable:N2": "comes"}
    found = find_faults(given, seen)
    assert found["pairs"] is True
    assert {"cable", "refused"} == set(found["causes"][0]["kinds"])
    assert "; and " in found["causes"][0]["words"]


def test_it_says_when_nothing_fits_and_what_to_look_at_again():
    seen = {"lit:sw": "dark", "volts:sw": "ok", "light:sw:1": "up", "light:sw:2": "up"}
    found = find_faults(small(), seen)
    assert found["fits"] is False
    assert found["causes"] == []
    assert any("Bridge switch" in look for look in found["nearest"][0]["look_again"])


def test_nothing_seen_yet_is_healthy_so_far_and_still_names_what_may_hide():
    found = find_faults(small(), {})
    assert found["healthy"] is True
    assert found["fits"] is True
    assert found["next"]
    assert any("larger" in caution for caution in found["cautions"])


@pytest.mark.parametrize(
    ("given", "seen", "field"),
    [
        (None, {}, "units"),
        ({"units": [3]}, {}, "units"),
        ({"units": [{"id": "a"}]}, {}, "units"),
        ({"units": [{"id": str(n), "kind": "display"} for n in range(201)]}, {}, "units"),
        (small(cables=[{"id": "N1", "ends": []}]), {}, "cables"),
        (small(cables=[{"id": "N1", "ends": [{"unit": "sw", "port": 1}]}]), {}, "cables"),
        (small(), [], "seen"),
        (small(), {"light:sw:9": "dark"}, "seen.light:sw:9"),
        (small(), {"light:sw:1": "purple"}, "seen.light:sw:1"),
        (small(), {"light:sw:1": None}, "seen.light:sw:1"),
        (backbone(), {"ohms:Main:T1": -1}, "seen.ohms:Main:T1"),
        (backbone(), {"ohms:Main:T1": True}, "seen.ohms:Main:T1"),
        (small(cables=[{"id": "N9", "ends": [{"unit": "sw", "port": 1},
                                             {"unit": "ghost", "port": 1}]}]), {}, "cables"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_named(given, seen, field):
    with pytest.raises(NetworkFault) as caught:
        find_faults(given, seen)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("volts", "answer"), [(0, "none"), (0.9, "none"), (8.9, "low"), (9, "ok"), (14.4, "ok")]
)
def test_volts_are_read_by_the_nine_of_a_node(volts, answer):
    found = Finder(read_network(backbone()))
    from_number = tell(found, {"node_volts:Main:wind": answer})
    assert find_faults(backbone(), {"node_volts:Main:wind": volts}) == from_number


def test_same_question_same_answer():
    given = random_network(7)
    assert find_faults(given, {"slow": "yes"}) == find_faults(given, {"slow": "yes"})


def test_an_empty_boat_has_nothing_to_find():
    found = find_faults({"units": [], "cables": [], "backbones": []}, {})
    assert found["causes"] == []
    assert found["next"] == []
