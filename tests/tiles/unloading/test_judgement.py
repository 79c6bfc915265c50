"""Judgements in words, and what judging starts from."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.unloading.judgement import Judgement, expected, in_order, judgement_words
from tiles.vocabulary import FlawKind, Severity


def test_everything_that_was_seen_is_in_the_line():
    seen = Judgement(
        surface="satin",
        opacity="translucent",
        run_mm=Decimal("2.50"),
        runs_off=True,
        pooling="marked",
        breaking="slight",
        gloss_gu=Decimal("41.0"),
        verdict="retest",
        remark="a hair of blue on the rim",
        flaws=(("crazing", "slight"), ("pinholing", "severe")),
    )
    words = judgement_words(seen).replace("\u00a0", " ")

    assert words == (
        "satin, translucent, run 2.5 mm, off the foot, marked pooling, breaks over texture, slight, 41 GU; "
        "slight crazing, severe pinholing; test again; a hair of blue on the rim"
    )


def test_an_empty_judgement_has_no_words():
    assert judgement_words(Judgement()) == ""


@pytest.mark.parametrize(
    "seen", [Judgement(), Judgement(run_mm=Decimal(0)), Judgement(verdict="keep"), Judgement(pooling="none")]
)
def test_a_run_or_a_verdict_alone_is_no_judgement(seen):
    assert not seen.says_something


@pytest.mark.parametrize(
    "seen",
    [
        Judgement(surface="matt"),
        Judgement(remark="stuck"),
        Judgement(runs_off=True),
        Judgement(flaws=(("plucking", "severe"),)),
    ],
)
def test_a_surface_a_flaw_a_remark_or_a_run_off_the_foot_is_one(seen):
    assert seen.says_something


def test_judging_starts_from_what_the_glaze_promises_and_no_run():
    assert expected("satin", "opaque") == Judgement(surface="satin", opacity="opaque", run_mm=Decimal(0))


@given(st.permutations(FlawKind.values()), st.sampled_from(Severity.values()))
def test_flaws_seen_in_any_order_are_the_same_judgement(kinds, severity):
    assert in_order([(kind, severity) for kind in kinds]) == tuple(
        (kind, severity) for kind in FlawKind.values()
    )
