"""The words that stand beside what was measured on fired ware."""

ABSORPTION = (
    "This is a note, not a certificate. Absorption tells how much water a body takes up, and nothing about use with "
    "food: that needs a leach test by an accredited laboratory for this glaze, clay, firing and shape, under the "
    "rules where the ware is sold."
)
