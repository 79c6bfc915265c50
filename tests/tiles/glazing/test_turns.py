"""Whose turn it is: what is dry goes before what dries, and the glaze on the brush before another one."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from tiles.glazing.turns import Coat, Job, in_hand, in_turn

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
HALF_AN_HOUR = timedelta(minutes=30)


def coats(layer: int, of: int, glaze: int = 1, drying: timedelta = HALF_AN_HOUR) -> tuple[Coat, ...]:
    return tuple(Coat(layer, number, of, glaze, drying) for number in range(1, of + 1))


def job(tile: int, of: int = 2, laid_ago: tuple[int, ...] = (), glaze: int = 1) -> Job:
    """A tile with one layer, its first coats laid so many minutes before noon."""
    row = coats(tile, of, glaze)
    laid = {coat.key: NOON - timedelta(minutes=ago) for coat, ago in zip(row, laid_ago, strict=False)}
    return Job(tile, tile, row, laid)


def order(*jobs: Job, now: datetime = NOON) -> list[int]:
    return [one.tile for one in in_turn(jobs, now)]


def test_while_one_dries_the_next_is_brushed():
    assert order(job(1, laid_ago=(5,)), job(2), job(3)) == [2, 3, 1]


def test_a_tile_that_is_dry_gets_its_next_coat_before_another_is_begun():
    assert order(job(1, laid_ago=(31,)), job(2)) == [1, 2]


def test_the_tile_dry_longest_comes_first():
    assert order(job(1, laid_ago=(35,)), job(2, laid_ago=(50,))) == [2, 1]


def test_the_glaze_on_the_brush_goes_before_another_glaze():
    assert order(job(1, laid_ago=(5,), glaze=7), job(2, glaze=8), job(3, glaze=7)) == [3, 2, 1]


def test_where_all_dries_the_first_to_be_dry_is_next():
    assert order(job(1, laid_ago=(5,)), job(2, laid_ago=(20,))) == [2, 1]


def test_a_glazed_tile_has_no_turn():
    assert order(job(1, of=1, laid_ago=(1,)), job(2)) == [2]


def test_a_coat_dries_as_long_as_the_label_of_what_was_laid_says():
    under, over = coats(1, 1, glaze=1, drying=timedelta(hours=2)), coats(2, 1, glaze=2)
    tile = Job(1, 0, under + over, {under[0].key: NOON})

    assert tile.ready_at == NOON + timedelta(hours=2)
    assert not tile.is_ready(NOON + timedelta(minutes=119))
    assert tile.is_ready(NOON + timedelta(minutes=120))


def test_a_glaze_whose_label_says_nothing_is_never_waited_for():
    tile = Job(1, 0, coats(1, 2, drying=timedelta(0)), {(1, 1): NOON})

    assert tile.is_ready(NOON)


@st.composite
def benches(draw: st.DrawFn) -> list[Job]:
    jobs = []
    for tile in range(1, draw(st.integers(1, 8)) + 1):
        layers = draw(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 3)), min_size=1, max_size=3))
        row = tuple(
            coat
            for layer, (of, glaze) in enumerate(layers)
            for coat in coats(tile * 10 + layer, of, glaze, timedelta(minutes=10 * glaze))
        )
        on = draw(st.integers(0, len(row)))
        moments = sorted(draw(st.lists(st.integers(0, 90), min_size=on, max_size=on)), reverse=True)
        jobs.append(
            Job(
                tile,
                tile,
                row,
                {coat.key: NOON - timedelta(minutes=m) for coat, m in zip(row, moments, strict=False)},
            )
        )
    return jobs


@given(benches())
def test_everyone_who_wants_a_coat_has_one_turn_and_wet_tiles_come_last(jobs):
    turns = in_turn(jobs, NOON)

    assert sorted(one.tile for one in turns) == sorted(one.tile for one in jobs if one.left)
    ready = [one.is_ready(NOON) for one in turns]
    assert ready == sorted(ready, reverse=True)
    wet = [one.ready_at for one in turns if not one.is_ready(NOON)]
    assert wet == sorted(wet)


@given(benches())
def test_tapping_on_glazes_every_tile_and_puts_each_coat_on_once_in_its_order(jobs):
    """The bench as it is worked: whoever's turn it is gets its coat, and time goes on where all is wet."""
    now, on = NOON + timedelta(minutes=1), {one.tile: dict(one.laid) for one in jobs}
    standing = list(jobs)
    while turns := in_turn(standing, now):
        current = turns[0]
        if not current.is_ready(now):
            now = current.ready_at
            continue
        glaze = in_hand(standing)
        wanted = [one for one in turns if one.is_ready(now) and one.next.glaze == glaze]
        assert not wanted or current.next.glaze == glaze
        on[current.tile][current.next.key] = now
        standing = [Job(one.tile, one.place, one.coats, dict(on[one.tile])) for one in standing]
        now += timedelta(minutes=1)

    for one in standing:
        assert [*on[one.tile]] == [coat.key for coat in one.coats]
        times = [on[one.tile][coat.key] for coat in one.coats]
        assert times == sorted(times)
