"""Which backups stay: the newest always, then fewer the older they are."""

from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from studio.backup.retention import DAYS, MONTHS, WEEKS, kept

moments = st.lists(st.datetimes(datetime(2024, 1, 1), datetime(2026, 12, 31)), min_size=1, max_size=60)


@given(moments)
def test_the_newest_always_stays_and_the_rest_is_bounded(made):
    stay = kept(made)

    assert max(made) in stay
    assert stay <= {*made}
    assert len(stay) <= DAYS + WEEKS + MONTHS


@given(moments)
def test_thinning_twice_is_as_good_as_once(made):
    assert kept(kept(made)) == kept(made)


def test_a_year_of_daily_backups_leaves_each_month_one():
    newest = datetime(2026, 11, 25, 3)
    stay = kept(newest - timedelta(days=day) for day in range(365))

    assert {(moment.year, moment.month) for moment in stay} >= {(2026, month) for month in range(1, 12)}
    assert sum(newest - moment < timedelta(days=7) for moment in stay) == 7
