"""The answer sheet as a kind of print; its key is the question's own address."""

from collections.abc import Iterator

from django.http import QueryDict
from django.urls import reverse

from tiles.answers.forms import QuestionForm
from tiles.answers.paper.sheet import PHOTOS_ACROSS, Part, SheetFacts, lay_out
from tiles.answers.queries import Answer, ShownNear, Usual, answer_to
from tiles.models import Outcome
from tiles.photos.renditions import Size
from tiles.prints.kinds import Asked, sheet_kind
from tiles.prints.marks import Layout
from tiles.prints.queries import picture_for_paper
from tiles.ranges.running import LIKE_TILES, running_words
from tiles.search.cards.queries import photos_of

MOST_EXACT_LINES, MOST_NEAR_LINES = 6, 6
NO_POT = "A tile is not a pot: more glaze, steeper walls and longer drops run further."


def _answer(key: str, asked: Asked) -> Answer:
    """The answer of a key; raises LookupError where the glaze or the body is gone."""
    form = QuestionForm(QueryDict(key))
    if not form.is_valid():
        raise LookupError("This question cannot be asked any more: its glaze or its clay body is gone.")
    return answer_to(form.cleaned_data["glaze"], form.asked(), asked.preferences.length_unit)


def facts_of(answer: Answer, asked: Asked) -> SheetFacts:
    """What stands on the page of an answer."""
    keys = [one.zones[0].card.pk for one in answer.exact[: PHOTOS_ACROSS * 2]]
    by_key = Outcome.objects.filter(pk__in=keys).select_related("tile").in_bulk()
    photos = photos_of(list(by_key.values()), looked_into=False)
    pictures = {photo.sha256: photo for key in keys if (photo := photos.get(key))}
    return SheetFacts(
        question=answer.question,
        sure=answer.sure.words,
        photos=tuple(
            picture_for_paper(photo, Size.MEDIUM if asked.for_paper else None) for photo in pictures.values()
        ),
        parts=tuple(_parts(answer)),
        address=f"{asked.preferences.address}{reverse('tiles:answers:answer')}?{answer.query}",
        studio=asked.preferences.studio_name,
    )


def _parts(answer: Answer) -> Iterator[Part]:
    exact = tuple(one.said for one in answer.exact[:MOST_EXACT_LINES]) or ("Nothing was fired just so.",)
    yield Part("Fired just so", (*filter(None, [answer.rule]), *exact))
    if answer.risk:
        yield Part("Running off", (_risk_words(answer), NO_POT))
    if answer.cautions:
        yield Part("Mind", tuple(answer.cautions))
    if answer.near:
        yield Part("Nearest to it", tuple(_near_words(one) for one in answer.near[:MOST_NEAR_LINES]))


def _risk_words(answer: Answer) -> str:
    risk = answer.risk
    assert risk is not None
    if risk.n == 0:
        return "Not enough to say. No tile of this stack was judged at this cone."
    words = running_words(risk.ran_off, risk.n, risk.chance)
    like = f" {LIKE_TILES}" if risk.chance else ""
    return f"{words[0].upper()}{words[1:]}. Judged tiles of this stack at this cone, on any clay.{like}"


def _near_words(one: ShownNear) -> str:
    changes = "; ".join(_change_words(change.words, change.usual) for change in one.changes)
    return f"{one.card.label}, {one.card.zone}, {changes} Seen there: {one.card.seen}."


def _change_words(words: str, usual: Usual | None) -> str:
    if usual is None:
        return f"{words}: what that does, not enough to say."
    effect = usual.effect
    told = ", ".join(line.sentence for line in effect.clear) or "no clear change in anything judged"
    return f"{words}; what usually happens, {effect.change.words}: {told} ({effect.n} pairs)."


def _layouts(asked: Asked) -> list[Layout]:
    return [lay_out(facts_of(_answer(key, asked), asked), asked.preferences.paper) for key in asked.keys]


def _says(asked: Asked) -> str:
    return "; ".join(_answer(key, asked).question for key in asked.keys)


ANSWER_SHEET = sheet_kind(
    "answer-sheet",
    "answer sheet",
    "answer sheets",
    "tiles.view_outcome",
    says=_says,
    layouts=_layouts,
)
