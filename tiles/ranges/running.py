"""Running off in words: what was seen on these tiles, and what is to be expected when like tiles are counted in."""

from firings.estimate import Estimate

# What like tiles are: the chance leans on all stacks and cones of the question (tiles/evidence/runs.py).
LIKE_TILES = "Like tiles are this glaze’s other stacks and cones; an interval of 95\u00a0% certainty."


def seen_words(ran_off: int, n: int) -> str:
    """
    >>> seen_words(0, 4), seen_words(4, 4), seen_words(1, 4), seen_words(0, 1)
    ('none of 4 ran off', 'all 4 ran off', '1 of 4 ran off', 'the only one did not run off')
    """
    if n == 1:
        return "the only one ran off" if ran_off else "the only one did not run off"
    if ran_off == n:
        return f"all {n} ran off"
    return f"{ran_off or 'none'} of {n} ran off"


def expected_words(chance: Estimate) -> str:
    """How many of a hundred would run off, and between what.

    >>> expected_words(Estimate(0.021, 0.0, 0.19, 4, ""))
    'from like tiles, about 2 in 100, could be up to 19'
    >>> expected_words(Estimate(0.001, 0.0, 0.004, 400, ""))
    'from like tiles, fewer than 1 in 100'
    >>> expected_words(Estimate(0.31, 0.08, 0.64, 6, ""))
    'from like tiles, about 31 in 100, could be 8 to 64'
    >>> expected_words(Estimate(0.97, 0.8, 0.999, 9, ""))
    'from like tiles, about 97 in 100, could be no fewer than 80'
    """
    low, about, high = (round(share * 100) for share in (chance.low, chance.value, chance.high))
    said = f"about {about} in 100" if about else "fewer than 1 in 100"
    if high == low:
        return f"from like tiles, {said}"
    if low == 0:
        return f"from like tiles, {said}, could be up to {high}"
    if high == 100:
        return f"from like tiles, {said}, could be no fewer than {low}"
    return f"from like tiles, {said}, could be {low} to {high}"


def running_words(ran_off: int, n: int, chance: Estimate | None) -> str:
    """Both in a line; nothing where no tile was judged.

    >>> running_words(0, 4, Estimate(0.021, 0.0, 0.19, 4, ""))
    'none of 4 ran off; from like tiles, about 2 in 100, could be up to 19'
    >>> running_words(1, 2, None)
    '1 of 2 ran off; not enough to say more'
    """
    if n == 0:
        return ""
    expected = expected_words(chance) if chance else "not enough to say more"
    return f"{seen_words(ran_off, n)}; {expected}"
