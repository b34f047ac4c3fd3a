"""Sources and cautions that several sums share, word for word."""

B258 = "ASTM B258 (formula from memory; agrees with a published list of exact areas)"
SAE = "SAE J1127/J1128 minimum areas, as reprinted in public marine wiring handbooks"
E11 = "ABYC E-11 voltage-drop formula, as quoted publicly"
TABLE_5 = "33 CFR 183.425 Table 5"
OVERCURRENT = "33 CFR 183.455(c)"
ISO_DROP = "ISO 10133 / ISO 13297 informative annex, as reproduced by an electrical supplier"
NMEA_2000 = "NMEA 2000 rules as printed in public installation guides"

ESTIMATE = (
    "An estimate, not a survey: local codes, the maker's manual and a licensed or certified "
    "person decide."
)
LAW_BINDS = (
    "33 CFR part 183 subpart I binds boats with gasoline inboard engines; other boats follow "
    "ABYC E-11 by custom."
)
BUNDLES_UNDER_50_V = (
    "In the law (33 CFR 183.435) the bundle factor binds only three or more conductors of 50 V "
    "or more; under 50 V it is taken because it was asked for."
)
SMALLEST = (
    "33 CFR 183.425: at least 16 AWG installed alone, 18 AWG only inside a sheath and not more "
    "than 30 in out of it."
)
NOT_UNDER_183_425 = (
    "33 CFR 183.425 leaves out communication systems, electronic navigation equipment and "
    "circuits under 1 A."
)
