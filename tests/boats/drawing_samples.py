"""Invented boats for the drawing: small, middling and crowded."""

from shopapp.boats.drawing import Backbone, BoatSheet, Place, Plate, Run, Tee


def small_boat() -> BoatSheet:
    """An open console with five units, one of them new and one coming out."""
    return BoatSheet(
        name="Morning Errand",
        length_ft=22,
        beam_ft=8.5,
        kind="open console",
        places=(
            Place("console", "Console", "console"),
            Place("bow", "Bow", "bow"),
            Place("transom", "Transom", "transom"),
        ),
        units=(
            Plate(
                "d1",
                "Console display",
                "Display 9 B",
                "display",
                "console",
                "updated",
                "2.2",
                "2.6",
                ports=1,
            ),
            Plate(
                "d2", "Bow display", "Display 12 C", "display", "bow", "new", None, "2.6", ports=1
            ),
            Plate(
                "d0",
                "Old bow display",
                "Display 7 A",
                "display",
                "bow",
                "removed",
                "1.4",
                None,
                networked=False,
            ),
            Plate(
                "s1", "Sonar box", "Sonar 3 B", "sonar", "console", "kept", "3.1", "3.1", ports=1
            ),
            Plate(
                "sw",
                "Switch 1",
                "Five-port switch, second kind",
                "switch",
                "console",
                "new",
                ports=5,
            ),
        ),
        runs=(
            Run("d1", "sw", 1, 1, "CON-1", 5, "new"),
            Run("d2", "sw", 1, 2, "BOW-1", 20, "new"),
            Run("s1", "sw", 1, 3, "SON-1", 5, "new"),
            Run("d1", "s1", 1, 1, "OLD LINK", 10, "removed"),
        ),
        backbone=(
            Backbone(
                tees=(
                    Tee("bow", unit="d2", feet=6, fate="new"),
                    Tee("console", power="Power, 3 A"),
                    Tee("console", unit="d1", feet=3),
                    Tee("transom", spare=True),
                ),
                feet=18,
            ),
        ),
    )


def middling_boat() -> BoatSheet:
    """A cruiser with twelve units, two switches and one backbone."""
    names = (
        ("h1", "Helm display, port", "Display 12 C", "display", "helm", "updated", "2.2", "2.6", 1),
        (
            "h2",
            "Helm display, starboard",
            "Display 12 C",
            "display",
            "helm",
            "updated",
            "2.2",
            "2.6",
            1,
        ),
        ("f1", "Flybridge display", "Display 9 C", "display", "fly", "new", None, "2.6", 1),
        (
            "f0",
            "Flybridge display (old)",
            "Display 8 A",
            "display",
            "fly",
            "removed",
            "1.9",
            None,
            0,
        ),
        (
            "sw1",
            "Switch 1",
            "Five-port switch, first kind",
            "switch",
            "helm",
            "kept",
            None,
            None,
            5,
        ),
        ("sw2", "Switch 2", "Five-port switch, first kind", "switch", "arch", "new", None, None, 5),
        ("ra", "Radar", "Open array, 4 ft", "radar", "arch", "kept", "5.0", "5.0", 1),
        ("so", "Sonar box", "Sonar 3 B", "sonar", "engine", "replaced", "3.0", "3.2", 1),
        ("hd", "Heading sensor", "Heading 2", "sensor", "cabin", "kept", "1.1", "1.1", 0),
        ("gp", "Position antenna", "Antenna 10", "antenna", "arch", "kept", "1.6", "1.6", 0),
        (
            "eg",
            "Engine gateway",
            "Gateway, two engines",
            "gateway",
            "engine",
            "kept",
            None,
            None,
            0,
        ),
        ("ap", "Pilot head", "Pilot head 2", "pilot", "helm", "off-network", "1.0", "1.0", 0),
    )
    units = tuple(
        Plate(
            i,
            n,
            m,
            k,
            p,
            f,
            before,
            after,
            ports=ports,
            networked=f not in {"off-network", "removed"},
            model_after="Sonar 4 C" if f == "replaced" else "",
        )
        for i, n, m, k, p, f, before, after, ports in names
    )
    return BoatSheet(
        name="Second Wind",
        length_ft=34,
        beam_ft=11.5,
        kind="cruiser",
        places=(
            Place("helm", "Helm", "helm"),
            Place("fly", "Flybridge", "flybridge"),
            Place("arch", "Radar arch", "arch"),
            Place("engine", "Engine space", "engine"),
            Place("cabin", "Cabin", "cabin"),
            Place("bow", "Anchor locker", "locker"),
        ),
        units=units,
        runs=(
            Run("h1", "sw1", 1, 1, "HELM-P", 5),
            Run("h2", "sw1", 1, 2, "HELM-S", 5),
            Run("so", "sw1", 1, 3, "SON-1", 20),
            Run("f0", "sw1", None, 4, "FLY-OLD", 15, "removed"),
            Run("f1", "sw1", 1, 4, "FLY-1", 15, "new"),
            Run("sw1", "sw2", 5, 1, "CHAIN 1–2", 20, "new"),
            Run("ra", "sw2", 1, 2, "RADAR", None, "kept"),
        ),
        backbone=(
            Backbone(
                tees=(
                    Tee("engine", unit="eg", feet=6),
                    Tee("arch", unit="gp", feet=15),
                    Tee("helm", power="Power, 3 A fuse"),
                    Tee("helm", unit="h1", feet=3),
                    Tee("helm", unit="h2", feet=3),
                    Tee("fly", unit="f1", feet=10, fate="new"),
                    Tee("cabin", spare=True),
                    Tee("cabin", unit="hd"),
                ),
                feet=32,
                terminator_last=None,
            ),
        ),
    )


CROWD_PLACES = (
    ("helm", "Helm"),
    ("fly", "Flybridge"),
    ("bow", "Bow"),
    ("arch", "Radar arch"),
    ("nav", "Nav station"),
    ("engine", "Engine space"),
    ("well", "Transducer well"),
    ("stern", "Stern cockpit"),
)
CROWD_UNITS = (
    ("Helm display 1", "Display 16 C", "helm", "updated"),
    ("Helm display 2", "Display 16 C", "helm", "updated"),
    ("Helm pilot head", "Pilot head 3", "helm", "kept"),
    ("Helm radio", "Radio 25 W with position receiver", "helm", "kept"),
    ("Flybridge display 1", "Display 12 C", "fly", "new"),
    ("Flybridge display 2", "Display 12 C", "fly", "new"),
    ("Flybridge display (old)", "Display 8 A", "fly", "removed"),
    ("Bow display", "Display 12 C", "bow", "new"),
    ("Trolling motor gateway", "Gateway 2", "bow", "kept"),
    ("Open-array radar", "Open array, 6 ft, 25 kW", "arch", "kept"),
    ("Position antenna", "Antenna 10", "arch", "kept"),
    ("Nav display", "Display 9 B", "nav", "off-network"),
    ("Chart computer", "Computer 2", "nav", "replaced"),
    ("Engine gateway, port", "Gateway, one engine", "engine", "kept"),
    ("Engine gateway, starboard", "Gateway, one engine", "engine", "kept"),
    ("Sonar box", "Sonar 4 C", "well", "kept"),
    ("Stern camera", "Network camera", "stern", "new"),
)


def crowded_boat() -> BoatSheet:
    """Twenty-two units, five of them switches, in eight places, all joined."""
    units = [
        Plate(
            f"u{i}",
            name,
            model,
            "unit",
            place,
            fate,
            "2.2",
            "2.6" if fate == "updated" else None,
            networked=fate not in {"off-network", "removed"},
            ports=1,
            model_after="Computer 3" if fate == "replaced" else "",
        )
        for i, (name, model, place, fate) in enumerate(CROWD_UNITS, 1)
    ]
    homes = ("helm", "fly", "arch", "nav", "stern")
    units += [
        Plate(
            f"sw{i}",
            f"Switch {i}",
            "Five-port switch",
            "switch",
            home,
            "kept" if i < 4 else "new",
            ports=5,
        )
        for i, home in enumerate(homes, 1)
    ]
    feeds = (
        ("u1", 1),
        ("u2", 1),
        ("u5", 2),
        ("u6", 2),
        ("u8", 1),
        ("u10", 3),
        ("u13", 4),
        ("u16", 5),
        ("u17", 5),
    )
    used = dict.fromkeys(range(1, 6), 1)
    runs = []
    for unit, switch in feeds:
        used[switch] += 1
        fate = next(u.fate for u in units if u.id == unit)
        runs.append(
            Run(
                unit,
                f"sw{switch}",
                1,
                used[switch],
                f"E{len(runs) + 1:02}",
                5 * (1 + len(runs) % 5),
                "new" if fate == "new" else "kept",
            )
        )
    runs.append(Run("u7", "sw2", None, 3, "E-OLD", 10, "removed"))
    for n in range(1, 5):
        runs.append(
            Run(f"sw{n}", f"sw{n + 1}", 5, 1, f"CHAIN {n}–{n + 1}", 30, "kept" if n < 3 else "new")
        )
    tees = [
        Tee(unit.place, unit=unit.id, feet=6, fate="new" if unit.fate == "new" else "kept")
        for unit in units
        if unit.id in {"u1", "u2", "u3", "u4", "u5", "u8", "u9", "u11", "u14", "u15"}
    ]
    order = {"bow": 0, "fly": 1, "helm": 2, "nav": 3, "arch": 4, "engine": 5}
    tees.sort(key=lambda tee: order[tee.place])
    tees[5:5] = [Tee("helm", power="Power, 3 A fuse"), Tee("helm", spare=True)]
    return BoatSheet(
        name="Long Reckoning",
        length_ft=46,
        beam_ft=14.25,
        kind="cruiser",
        places=tuple(Place(i, name, i) for i, name in CROWD_PLACES),
        units=tuple(units),
        runs=tuple(runs),
        backbone=(Backbone(tuple(tees), "Backbone", 52, terminator_last=False),),
    )
