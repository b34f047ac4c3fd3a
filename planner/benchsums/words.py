"""What a technician reads on the forms of the sums: titles, labels, helps, choices."""

from typing import NamedTuple


class Page(NamedTuple):
    """A sum's title, what it is for, and the output that answers first."""

    title: str
    purpose: str
    main: str


class Label(NamedTuple):
    """A field's label with its unit, and a line of help."""

    label: str
    help: str = ""


GROUPS: tuple[tuple[str, dict[str, Page]], ...] = (
    (
        "Wire and fuse",
        {
            "conductor": Page(
                "Wire for a circuit", "Size by voltage drop and by current, the larger.", "awg"
            ),
            "ampacity": Page("What a wire carries", "Amperes by gauge and insulation.", "amps"),
            "circuit_fuse": Page(
                "Fuse of a circuit", "Rating, colour and place, all in one.", "verdict"
            ),
            "fuse_for_load": Page("Fuse for a load", "The blade fuse for a load.", "amps"),
            "largest_fuse": Page("Largest fuse for a wire", "What the law allows.", "amps"),
            "fuse_colour": Page("Colour of a fuse", "Blade fuses by their rating.", "colour"),
            "fuse_block": Page(
                "Fuse block and cut-off", "All circuits against block and switch.", "verdict"
            ),
            "wire_colour": Page("Colour of a wire", "By what the wire is for.", "colour"),
            "metric_drop": Page("Drop in a metric wire", "Volts lost by mm².", "drop_volts"),
            "area": Page("Area of a gauge", "Circular mils and mm².", "mm2"),
        },
    ),
    (
        "Battery",
        {
            "update_volts": Page(
                "Power for an update", "Whether the bank holds through it.", "holds"
            ),
            "standby": Page("Days to flat", "How long a bank feeds what is always on.", "days"),
        },
    ),
    (
        "NMEA 2000 backbone",
        {
            "backbone": Page(
                "A whole backbone", "Volts at every node, faults, expected ohms.", "worst_volts"
            ),
            "bus_drop": Page("Drop, simple", "Volts lost to the furthest device.", "drop_volts"),
            "bus_units": Page("Load of a device", "LEN from milliamperes.", "len"),
            "bus_ohms": Page("Ohms to expect", "By the terminators, power off.", "ohms"),
        },
    ),
    (
        "Ethernet",
        {
            "cable_run": Page("Cable to buy", "Route, slack, next length sold.", "buy_ft"),
            "ethernet_loops": Page("Loops among cables", "Which cable closes a ring.", "loops"),
            "switch_chain": Page("Free ports of a chain", "Switches in a row.", "free_ports"),
            "link_speed": Page("Speed of a link", "The best that both ends can.", "mbit"),
            "poe_power": Page("Power over Ethernet", "Watts by its type.", "device_watts"),
            "bend_radius": Page("Bend of a cable", "How tight it may lie.", "radius_mm"),
        },
    ),
    (
        "Place of a unit",
        {
            "ignition": Page("Petrol vapour", "May it sit there?", "verdict"),
            "splash": Page("Splash and heat", "Rating against the place.", "verdict"),
            "cutout": Page("Hole in the dash", "Does the unit fit the hole?", "verdict"),
            "separation": Page("Antennas apart", "How far, by kind.", "verdict"),
            "compass_distance": Page(
                "Distance to a compass", "Far enough from the nearest one?", "verdict"
            ),
            "compass": Page("Compass", "Deviation that gear may cause.", "largest_deviation_deg"),
        },
    ),
    (
        "Numbers and sentences",
        {
            "hull_number": Page("Hull number", "Read and checked.", "valid"),
            "mmsi": Page("MMSI", "Kind of station.", "kind"),
            "sentence": Page("NMEA 0183 sentence", "Checksum and length.", "checksum"),
        },
    ),
)
PAGES = {name: page for _group, pages in GROUPS for name, page in pages.items()}

INPUTS = {
    "amps": Label("Current, A"),
    "one_way_ft": Label("Run one way, ft", "From the source to the device; counted both ways."),
    "one_way_m": Label("Run one way, m", "From the source to the device; counted both ways."),
    "volts": Label("System, V"),
    "drop_percent": Label("Drop allowed, %", "3 for electronics and feeders, 10 for the rest."),
    "areas": Label("Wire areas by", "SAE minimum areas are smaller, so they ask for more."),
    "insulation_c": Label("Insulation, °C", "Printed on the wire: 105 on most boat cable."),
    "engine_space": Label("Runs through an engine space"),
    "bundled": Label("Wires bundled together", "Those that carry current."),
    "awg": Label("Gauge, AWG"),
    "mm2": Label("Wire, mm²"),
    "continuous_amps": Label("Continuous load, A"),
    "circuit": Label("The wire is for"),
    "poe_type": Label("Type", "Printed on source and device."),
    "maker_amps": Label("Fuse its maker asks for, A", "Leave empty where not known."),
    "fitted_amps": Label("Fuse fitted, A", "The number printed on it. Empty: none yet."),
    "inches": Label("Fuse from the source, in", "Along the wire. Leave empty where not known."),
    "sheathed": Label("Wire covered all the way there", "In a sheath or an enclosure."),
    "there_cm": Label("To the nearest compass, cm"),
    "safe_cm": Label("Maker's safe distance, cm", "Leave empty where not known."),
    "draw_ma": Label("Draw, mA"),
    "bank_ah": Label("Bank, Ah"),
    "usable_percent": Label("Usable part, %", "Lead-acid 50, LiFePO4 80 to 90."),
    "len": Label("Load, LEN", "Of all devices from the feed to that end."),
    "metres": Label("Length, m"),
    "ohm_per_m": Label("Cable, Ω/m", "One conductor; light cable 0.053."),
    "terminators": Label("Terminators", "Pieces of 120 Ω found."),
    "switches": Label("Switches in the chain"),
    "ports_each": Label("Ports of each"),
    "mbit_a": Label("Speeds of one end, Mbit/s", "With commas: 10, 100"),
    "mbit_b": Label("Speeds of the other, Mbit/s", "With commas: 100, 1000"),
    "diameter_mm": Label("Cable across, mm"),
    "field_ut": Label("Earth's horizontal field, µT", "At the place; 18 µT on many US coasts."),
    "kind": Label("Compass"),
    "text": Label("As read"),
    "loads_amps": Label("Circuits, A", "One for each circuit, with commas: 3, 5, 7.5"),
    "block_amps": Label("Block rated, A"),
    "circuit_amps": Label("One way rated, A"),
    "cutoff_amps": Label("Cut-off rated, A", "Continuous. Leave empty where not known."),
    "rested_volts": Label("Bank rested, V"),
    "system_volts": Label("System, V"),
    "chemistry": Label("Kind of bank"),
    "charger": Label("Charger on"),
    "load_amps": Label("On during the update, A", "All that is switched on."),
    "route_ft": Label("Route, ft", "Along the way it will lie."),
    "slack_ft": Label("Slack, ft"),
    "slack_percent": Label("Slack, % of the route", "The larger of the two slacks counts."),
    "sold_ft": Label("Lengths sold, ft", "With commas: 5, 10, 15, 20, 30"),
    "fuel": Label("Fuel"),
    "vapour": Label("Petrol vapour possible here"),
    "protected": Label("Unit ignition protected"),
    "isolated": Label("Cut off from the petrol by"),
    "distance_ft": Label("Away from the petrol, ft", "Counts only in open air."),
    "one": Label("One antenna"),
    "other": Label("Other antenna"),
    "stacked": Label("One straight above the other"),
    "place": Label("The place is"),
    "ip": Label("Unit's IP code", "As printed, for example IP67; or unknown."),
    "place_c": Label("Hottest there, °C", "Leave empty where not known."),
    "unit_most_c": Label("Unit takes, °C", "Leave empty where not known."),
    "hole_width_mm": Label("Hole wide, mm"),
    "hole_height_mm": Label("Hole high, mm"),
    "unit_width_mm": Label("Unit asks, wide, mm", "The cut-out in its guide."),
    "unit_height_mm": Label("Unit asks, high, mm"),
    "bezel_width_mm": Label("Front covers, wide, mm"),
    "bezel_height_mm": Label("Front covers, high, mm"),
    "depth_there_mm": Label("Depth behind, mm"),
    "unit_depth_mm": Label("Unit deep, mm"),
    "plug_mm": Label("Plugs and bends, mm"),
    "cable": Label("Backbone cable"),
    "own_ohm_per_m": Label("Or its Ω/m", "One conductor; overrules the kind."),
    "ends": Label("Terminators on tees", "With commas: T1, T9"),
    "from": Label("From"),
    "to": Label("To"),
    "tee": Label("Tee"),
    "unit": Label("Unit"),
}
OF_SUM = {
    ("ethernet_loops", "links"): Label("Cables"),
    ("bus_drop", "metres"): Label("To the furthest device, m"),
    ("feeds", "volts"): Label("Volts there"),
    ("separation", "metres"): Label("Between them, m"),
    ("update_volts", "one_way_ft"): Label("Wire from bank to plug, ft", "One way."),
    ("fuse_colour", "amps"): Label("Rating, A", "As printed on the fuse."),
    ("hull_number", "text"): Label("Hull number", "As read from the plate, 12 signs."),
    ("mmsi", "text"): Label("MMSI", "Nine figures."),
    ("sentence", "text"): Label("Sentence", "With or without the * and two signs behind."),
}
CHOICES = {
    "sae": "SAE minimum areas",
    "awg": "Exact AWG areas",
    "dc_positive": "DC positive",
    "dc_negative": "DC negative, return",
    "bonding": "Bonding, DC grounding",
    "starting": "Starting switch to solenoid",
    "bilge_blower": "Bilge blower",
    "navigation_lights": "Navigation lights, tachometer",
    "pumps": "Pumps, generator armature, charge light",
    "accessory": "Accessory feed, panel to switch",
    "ignition": "Ignition, instrument feed",
    "cabin_lights": "Cabin and instrument lights",
    "oil_pressure": "Oil pressure sender",
    "water_temperature": "Water temperature sender",
    "fuel_gauge": "Fuel gauge sender",
    "tilt_down": "Tilt down, trim in",
    "tilt_up": "Tilt up, trim out",
    "generator_field": "Generator field (older list)",
    "ac_neutral": "AC neutral, grounded",
    "ac_hot": "AC ungrounded",
    "bus_positive": "NMEA 2000 power +",
    "bus_negative": "NMEA 2000 power −",
    "bus_high": "NMEA 2000 data high",
    "bus_low": "NMEA 2000 data low",
    "bus_shield": "NMEA 2000 shield",
    "standard": "Standard",
    "steering": "Steering",
    "light": "Light",
    "mid": "Mid",
    "heavy": "Heavy",
    "lead": "Lead-acid (flooded, AGM, gel)",
    "lithium": "Lithium iron phosphate",
    "unknown": "Not known",
    "yes": "Yes",
    "no": "No",
    "gasoline": "Gasoline (petrol)",
    "diesel": "Diesel",
    "electric": "Electric",
    "none": "Nothing",
    "bulkhead": "A bulkhead",
    "level": "Another level, with means",
    "open_air": "Open air and distance",
    "dry": "Dry",
    "splash": "Splashed",
    "wet": "Wet, seas or a hose reach it",
    "standing": "Under water now and then",
    "vhf": "VHF",
    "gnss": "Satellite position",
    "ais": "AIS",
    "radar": "Radar",
    "other": "Other",
}
FIRST = {
    "volts": 12,
    "drop_percent": 3,
    "insulation_c": 105,
    "system_volts": 12,
    "sold_ft": "5, 10, 15, 20, 30",
    "ports_each": 5,
    "chemistry": "unknown",
    "charger": "unknown",
    "fuel": "unknown",
    "vapour": "unknown",
    "protected": "unknown",
    "isolated": "unknown",
    "place": "unknown",
    "ip": "unknown",
    "cable": "light",
    "awg": "10",
}
"""What stands in a fresh form, where the sum itself has no default."""
