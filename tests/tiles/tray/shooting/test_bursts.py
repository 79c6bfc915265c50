"""Photos taken one after the other belong together."""

from datetime import datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tiles.tray.shooting.bursts import LONGEST_PAUSE, Taken, bursts

NOON = datetime(2026, 10, 14, 12)


def test_a_long_pause_ends_a_burst():
    later = NOON + LONGEST_PAUSE + timedelta(seconds=1)

    assert bursts([Taken(1, NOON, 7), Taken(2, NOON, 7), Taken(3, later, 7)]) == [[1, 2], [3]]


def test_photos_sent_from_another_firings_page_are_another_burst():
    sent = [Taken(1, NOON, 7, firing=41), Taken(2, NOON, 7), Taken(3, NOON, 7, firing=42), Taken(4, NOON, 7)]

    assert bursts(sent) == [[1, 2], [3, 4]]


@given(st.lists(st.tuples(st.integers(0, 3000), st.sampled_from([None, 7, 8])), max_size=40))
def test_every_photo_is_in_one_burst_of_one_person_in_the_order_taken(shots):
    taken = [
        Taken(photo, NOON + timedelta(seconds=at), by)
        for photo, (at, by) in enumerate(sorted(shots, key=lambda s: s[0]))
    ]
    found = bursts(taken)

    assert sorted(photo for burst in found for photo in burst) == list(range(len(taken)))
    for burst in found:
        assert burst == sorted(burst)
        assert len({taken[photo].by for photo in burst}) == 1
        assert all(taken[b].at - taken[a].at <= LONGEST_PAUSE for a, b in pairwise(burst))
