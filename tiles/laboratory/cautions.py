"""The words that stand beside what was measured on fired ware."""

ABSORPTION = (
    "This is a note, not a certificate. Absorption tells how much water a body takes up, and nothing about use with "
    "food: that needs a leach test by an accredited laboratory for this glaze, clay, firing and shape, under the "
    "rules where the ware is sold."
)

LEACH = (
    "This is a note of a laboratory’s report, not a certificate. Whether ware may be used with food is decided by an "
    "accredited laboratory and by the rules in force where it is sold, for this glaze, clay, firing and shape. "
    "Changing any of these, layering included, makes it a new case. The rules named here count lead and cadmium only; "
    "other metals may leach and have few limits."
)
