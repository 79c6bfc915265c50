"""Rows of last year's results as tiles, layers and firings: who belongs together, and what is to mend."""

import hashlib
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import partial
from typing import Any, NamedTuple, TypeAlias

from firings.cones import series
from firings.vocabulary import Atmosphere, ReachedSource
from studio.importing import cells
from studio.importing.cells import Amount, Laid, Misread
from studio.importing.fields import OF_ONE_FLAW
from studio.importing.names import BODY, FORM, GLAZE, KILN, LONGEST, Names, folded
from studio.importing.report import ROWS_SHOWN, Report, Shown
from studio.importing.sheet import Sheet
from tiles import numbers
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.line import conditions_line
from tiles.earlier.facts import (
    Cover,
    Earlier,
    EarlierFired,
    EarlierFiring,
    EarlierLayer,
    EarlierResult,
    EarlierTile,
    Seen,
)
from tiles.vocabulary import Degree, FlawKind, Method, Opacity, Severity, Surface, Verdict

# Flaws with how severe each is, in the list's own order.
Flaws: TypeAlias = tuple[tuple[str, str], ...]
# What the one zone of a new form is called where the sheet names none.
WHOLE_FACE = "face"
LONGEST_ZONE, LONGEST_PLACE = 30, 40
MOST_ZONES = 12


@dataclass(frozen=True, slots=True)
class KnownForm:
    """The zones of a form by folded name, and the one meant where none is named."""

    zones: Mapping[str, str]
    first: str


@dataclass(frozen=True, slots=True)
class Log:
    """What of a file may be in the log already.

    tiles, firings : keys of records by the mark of the row they came from, of imports that still stand
    results : which zones, by folded name, of which tiles have a result of which firing
    numbered : firings by number, kiln and day
    """

    tiles: Mapping[str, int] = field(default_factory=dict)
    firings: Mapping[str, int] = field(default_factory=dict)
    results: frozenset[tuple[int, str, int]] = frozenset()
    numbered: Mapping[tuple[int, int, date], int] = field(default_factory=dict)


@dataclass(slots=True)
class Reckoned:
    """What a file comes to: `earlier` with references of names, forms to make with their zones, and the report."""

    earlier: Earlier
    names: dict[str, Names]
    form_zones: dict[int, list[str]]
    report: Report


class _Fired(NamedTuple):
    """What a row says of its firing."""

    number: str
    day: date | None
    kiln: int
    order: int | None
    atmosphere: str
    hold: int | None
    top_temp: int | None


class _Row(NamedTuple):
    at: int
    zone: str
    stack: int
    firing: int
    place: str
    seen: Seen


def mark_of(*told: object) -> str:
    """A short mark of what tells one tile or firing from another."""
    return hashlib.blake2b("\x1f".join(map(str, told)).encode(), digest_size=16).hexdigest()


def run(text: str, unit: str) -> tuple[Decimal | None, bool]:
    """How far a glaze ran, and whether it ran off the foot.

    >>> run("ran off", "mm"), run("2", "mm")
    ((None, True), (Decimal('2.0'), False))
    """
    if cells.bare(text) in ("off", "ran off", "runs off", "off the tile", "ran off the foot"):
        return None, True
    return cells.length_mm(text, unit or "mm"), False


def reckoned(
    sheet: Sheet,
    names: dict[str, Names],
    forms: Mapping[int, KnownForm],
    log: Log,
    *,
    days: str,
    file_mark: str,
) -> Reckoned:
    """What the rows come to. `file_mark` sets tile numbers that begin anew apart from those of other files."""
    return _Reckoning(sheet, names, forms, log, days, file_mark).done()


class _Reckoning:
    """One pass over a sheet."""

    def __init__(
        self,
        sheet: Sheet,
        names: dict[str, Names],
        forms: Mapping[int, KnownForm],
        log: Log,
        days: str,
        file_mark: str,
    ) -> None:
        self.sheet, self.names, self.forms, self.log = sheet, names, forms, log
        self.days, self.file_mark = days, file_mark
        self.earlier = Earlier()
        self.form_zones: dict[int, list[str]] = {}
        self.stack_places: dict[tuple[Cover, ...], int] = {}
        self.unchanged = 0

    def done(self) -> Reckoned:
        fired = self._firings()
        rows = self._rows(fired)
        self._tiles(rows)
        self._leave_empty_firings()
        return Reckoned(self.earlier, self.names, self.form_zones, self._report())

    # Columns

    def _column(self, key: str, read: Callable[[str], Any], nothing: Any = None) -> Sequence[Any]:
        return self.sheet.values(key, read, nothing)

    def _unit(self, key: str) -> str:
        column = self.sheet.columns.get(key)
        return column.unit if column else ""

    def _references(self, kind: str) -> Sequence[int]:
        """A column of names as references; 0 where nothing is said."""
        counts = self.sheet.counted(kind)

        def read(cell: str) -> int:
            if len(cell) > LONGEST[kind]:
                raise Misread(f"The name is too long; write {LONGEST[kind]} letters at most.")
            return self.names[kind].reference(cell, counts[cell] or len(self.sheet))

        return self._column(kind, read, 0)

    # Firings

    def _firings(self) -> list[int]:
        """For each row the place of its firing; -1 where it can't be told."""
        facts = self._facts_of_firings()
        kilns: dict[str, set[int]] = defaultdict(set)
        for one in facts:
            if one.number and one.kiln:
                kilns[one.number].add(one.kiln)
        groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
        for at, one in enumerate(facts):
            if one.number and not one.kiln and len(kilns[one.number]) == 1:
                # The kiln was written once for the firing.
                (kiln,) = kilns[one.number]
                one = facts[at] = one._replace(kiln=kiln)
            groups[(one.number, one.kiln) if one.number else one[1:6]].append(at)
        found = [-1] * len(facts)
        for members in groups.values():
            place = self._firing([facts[at] for at in members], members)
            for at in members:
                found[at] = place
        return found

    def _facts_of_firings(self) -> list[_Fired]:
        cones = self._column("cone", cells.cone)
        gases = self._column("atmosphere", lambda cell: cells.term(Atmosphere, cell), "")
        hold_unit = self._unit("hold") or "min"
        return [
            _Fired(
                number, day, kiln, fire and fire.order, gas or (fire.atmosphere if fire else ""), hold, top
            )
            for number, day, kiln, fire, gas, hold, top in zip(
                self._column("firing", folded, ""),
                self._column("date", lambda cell: cells.day(cell, self.days)),
                self._references(KILN),
                cones,
                gases,
                self._column("hold", lambda cell: _hold(cell, hold_unit)),
                self._column("top_temp", lambda cell: cells.degrees_c(cell, self._unit("top_temp") or "c")),
                strict=True,
            )
        ]

    def _firing(self, told: list[_Fired], members: list[int]) -> int:
        """Take a firing down from all its rows: what one leaves out another may say. -1 where something is missing."""
        first = next((one for one in told if one.day), told[0])
        facts = {
            name: next((value for one in told if (value := getattr(one, name)) not in (None, "", 0)), None)
            for name in _Fired._fields
        }
        if facts["day"] is None or not facts["kiln"]:
            self._say_missing(members, told)
            return -1
        self._say_contradictions(members, told, facts)
        hold = next((one.hold for one in told if one.hold is not None), 0)
        top = f"Hottest {facts['top_temp']} °C, as the spreadsheet says." if facts["top_temp"] else ""
        number = first.number
        kiln = self.names[KILN].name_of(facts["kiln"])
        atmosphere = facts["atmosphere"] or Atmosphere.OXIDATION.value
        key = mark_of("firing", number, folded(kiln), facts["day"], facts["order"], atmosphere, hold)
        as_number = (
            int(number) if number.isascii() and number.isdigit() and 0 < int(number) < 1_000_000 else None
        )
        known = self.log.firings.get(key) or self.log.numbered.get(
            (as_number or 0, facts["kiln"], facts["day"]), 0
        )
        note = " ".join(filter(None, (f"Firing {number} in its spreadsheet." if number else "", top)))
        firing = EarlierFiring(
            facts["day"], facts["kiln"], facts["order"], atmosphere, hold, as_number, note, key, known
        )
        self.earlier.firings.append(firing)
        if facts["order"] is None:
            words = "No cone is said of this firing; its results are kept without one."
            self.sheet.say(members[0], "cone", words, stops=False)
        return len(self.earlier.firings) - 1

    def _say_missing(self, members: Sequence[int], told: Sequence[_Fired]) -> None:
        for at, one in zip(members, told, strict=True):
            if at in self.sheet.spoiled:
                continue
            if one.day is None:
                self.sheet.say(
                    at, "date", "On what day was it fired? Write it, or set one day for the whole sheet."
                )
            else:
                self.sheet.say(
                    at, "kiln", "In which kiln was it fired? Write it, or set one for the whole sheet."
                )

    def _say_contradictions(
        self, members: Sequence[int], told: Sequence[_Fired], facts: dict[str, Any]
    ) -> None:
        if len(set(told)) == 1:
            return
        for name, key, words in (
            ("day", "date", "day"),
            ("order", "cone", "cone"),
            ("atmosphere", "atmosphere", "atmosphere"),
            ("hold", "hold", "hold"),
        ):
            for at, one in zip(members, told, strict=True):
                value = getattr(one, name)
                if value not in (None, "", facts[name]) and not (value == 0 and facts[name] is None):
                    self.sheet.say(
                        at,
                        key,
                        f"Firing {one.number} has another {words} in other rows. Make them the same.",
                    )

    def _leave_empty_firings(self) -> None:
        """Firings all of whose rows are in the log, or to be mended, are not made again."""
        used = sorted({fired.firing for tile in self.earlier.tiles for fired in tile.fired})
        places = {old: new for new, old in enumerate(used)}
        self.earlier.firings = [self.earlier.firings[old] for old in used]
        for tile in self.earlier.tiles:
            tile.fired = [one._replace(firing=places[one.firing]) for one in tile.fired]

    # Rows

    def _rows(self, fired: list[int]) -> dict[str, list[_Row]]:
        """The rows that can be told, by the mark of their tile."""
        bodies, forms = self._references(BODY), self._references(FORM)
        zones = self._column("zone", _short(LONGEST_ZONE), "")
        stacks = self._stacks()
        seen = self._seen()
        places = self._column("place", _short(LONGEST_PLACE), "")
        tiles = self._column("tile", _short(60), "")
        body_words = {one: folded(self.names[BODY].name_of(one)) for one in set(bodies) if one}
        form_words = {one: folded(self.names[FORM].name_of(one)) for one in set(forms) if one}
        tile_names = {one: folded(one) for one in set(tiles)}
        found: dict[str, list[_Row]] = defaultdict(list)
        alike: Counter[str] = Counter()
        self.facts: dict[str, tuple[int, int, str]] = {}
        marks: dict[tuple[object, ...], str] = {}
        firings = self.earlier.firings
        spoiled = self.sheet.spoiled
        for at, (body, form, zone, stack, place, tile) in enumerate(
            zip(bodies, forms, zones, stacks, places, tiles, strict=True)
        ):
            if at in spoiled:
                continue
            if not body or not form or stack < 0 or fired[at] < 0:
                self._say_incomplete(at, body, form, stack)
                continue
            named = self._zone(at, form, zone)
            if not named:
                continue
            if tile:
                told = (tile_names[tile], body, form)
                mark = marks.get(told)
                if mark is None:
                    mark = mark_of("tile", self.file_mark, told[0], body_words[body], form_words[form])
                    marks[told] = mark
            else:
                mark = mark_of(
                    "row",
                    body_words[body],
                    form_words[form],
                    named,
                    self._stack_words(stack),
                    firings[fired[at]].key,
                    place,
                )
                alike[mark] += 1
                mark = f"{mark[:26]}{alike[mark]:06d}"
            self.facts.setdefault(mark, (body, form, tile))
            found[mark].append(_Row(at, named, stack, fired[at], place, seen[at]))
        return found

    def _say_incomplete(self, at: int, body: int, form: int, stack: int) -> None:
        if not body:
            self.sheet.say(at, "body", "On which clay body? Write it, or set one for the whole sheet.")
        elif not form:
            self.sheet.say(at, "form", "Which tile form? Write it, or set one for the whole sheet.")
        elif stack == -1:
            self.sheet.say(
                at,
                "stack" if "stack" in self.sheet.columns else "glaze",
                "No glaze is named. Write one, or leave the row out.",
            )

    def _zone(self, at: int, form: int, zone: str) -> str:
        """The zone's name on its form; "" where the form has none of that name, which is said."""
        if form < 0:
            wanted = zone or WHOLE_FACE
            listed = self.form_zones.setdefault(form, [])
            same = next((one for one in listed if folded(one) == folded(wanted)), None)
            if same is None and len(listed) >= MOST_ZONES:
                self.sheet.say(
                    at, "zone", f"A new form has {MOST_ZONES} zones at most. Write fewer names of zones."
                )
                return ""
            if same is None:
                listed.append(wanted)
            return same or wanted
        known = self.forms[form]
        if not zone:
            return known.first
        found = known.zones.get(folded(zone)) or known.zones.get(f"band {folded(zone)}")
        if not found:
            names = ", ".join(known.zones.values())
            self.sheet.say(
                at,
                "zone",
                f"The form {self.names[FORM].name_of(form)} has no zone “{zone}”. Write one of: {names}.",
            )
        return found or ""

    # Stacks

    def _stacks(self) -> list[int]:
        """For each row the place of its stack; -1 where no glaze is named, -2 where it was said what is wrong."""
        written = self._column("stack", cells.stack, ())
        tops = self._column("glaze", cells.stack, ())
        coats = self._column("coats", cells.amount)
        unders = self._column("under", cells.stack, ())
        under_coats = self._column("under_coats", cells.amount)
        methods = self._column("method", lambda cell: cells.term(Method, cell), Method.BRUSH.value)
        known: dict[tuple[object, ...], int | str] = {}
        found = []
        for at, told in enumerate(zip(written, tops, coats, unders, under_coats, methods, strict=True)):
            place = known.get(told)
            if place is None:
                place = known[told] = self._stack(*told)
            if isinstance(place, str):
                if at not in self.sheet.spoiled:
                    self.sheet.say(at, self._where_layers_stand(at), place)
                place = -2
            found.append(place)
        return found

    def _where_layers_stand(self, at: int) -> str:
        """The column whose cell names a row's layers."""
        cells_ = self.sheet.cells
        return next((key for key in ("stack", "glaze") if key in cells_ and cells_[key][at]), "glaze")

    def _stack(
        self,
        written: tuple[Laid, ...],
        top: tuple[Laid, ...],
        coats: Amount | None,
        under: tuple[Laid, ...],
        under_coats: Amount | None,
        method: str,
    ) -> int | str:
        """The place of a stack, or what is to be said of it."""
        layers = written or (*under, *top)
        if not layers:
            return -1
        covers = []
        for place, layer in enumerate(layers):
            amount = layer.amount or (coats if place == len(layers) - 1 else under_coats)
            if amount is None:
                return f"How many coats of {layer.glaze}? Write them behind the name, as in {layer.glaze} x2."
            if not layer.glaze or len(layer.glaze) > LONGEST[GLAZE]:
                return f"Write a name for each layer, {LONGEST[GLAZE]} letters at most."
            how = Method.DIP.value if amount.dip_s is not None else method
            covers.append(Cover(self.names[GLAZE].reference(layer.glaze), how, amount.coats, amount.dip_s))
        return self._stack_place(tuple(covers))

    def _stack_place(self, covers: tuple[Cover, ...]) -> int:
        place = self.stack_places.get(covers)
        if place is None:
            place = self.stack_places[covers] = len(self.earlier.stacks)
            self.earlier.stacks.append(covers)
        return place

    def _stack_words(self, place: int) -> str:
        glazes = self.names[GLAZE]
        return "|".join(
            f"{folded(glazes.name_of(one.glaze))}:{one.method}:{one.coats or one.dip_s}"
            for one in self.earlier.stacks[place]
        )

    # What was seen

    def _seen(self) -> list[Seen]:
        unit = self._unit("run")
        runs = self._column("run", lambda cell: run(cell, unit), (None, False))
        offs = self._column("runs_off", cells.yes_or_no, False)
        columns = (
            self._column("surface", lambda cell: cells.term(Surface, cell), ""),
            self._column("opacity", lambda cell: cells.term(Opacity, cell), ""),
            [one for one, _ in runs],
            [said or off for (_, off), said in zip(runs, offs, strict=True)],
            self._column("pooling", lambda cell: cells.term(Degree, cell), ""),
            self._column("breaking", lambda cell: cells.term(Degree, cell), ""),
            self._column("gloss", lambda cell: cells.figure_within(cell, 0, 200)),
            self._column("verdict", lambda cell: cells.term(Verdict, cell), ""),
            self._column("remark", str, ""),
            self._flaws(),
        )
        return [Seen(*told) for told in zip(*columns, strict=True)]

    def _flaws(self) -> Sequence[Flaws]:
        """Each row's flaws, from one column for all and from columns of one flaw; of two the more severe holds."""
        found: Sequence[Flaws] = self._column("flaws", cells.flaws, ())
        for kind in FlawKind.values():
            if (key := f"{OF_ONE_FLAW}{kind}") in self.sheet.cells:
                severities = self._column(key, partial(cells.flaw, kind), "")
                found = [_with_flaw(told, kind, one) for told, one in zip(found, severities, strict=True)]
        return found

    # Tiles

    def _tiles(self, rows: dict[str, list[_Row]]) -> None:
        for mark, members in rows.items():
            if known := self.log.tiles.get(mark):
                self._look_up(known, members)
            elif tile := self._tile(mark, members):
                self.earlier.tiles.append(tile)

    def _look_up(self, tile_id: int, rows: Sequence[_Row]) -> None:
        """Rows of a tile that came in before: each has its result, or it is said that it has not."""
        for row in rows:
            firing = self.earlier.firings[row.firing].known
            if (tile_id, folded(row.zone), firing) in self.log.results:
                self.unchanged += 1
                continue
            words = (
                "A tile of this number and body came in before, without a result of this zone in this firing. If it is "
                "another tile, tick that numbers begin anew. If it is the same, write the result on the tile’s page "
                "and leave this row out."
            )
            self.sheet.say(row.at, "tile", words)

    def _tile(self, mark: str, rows: list[_Row]) -> EarlierTile | None:
        body, form, named = self.facts[mark]
        tile = EarlierTile(body, form, _note(named), _number(named), mark, self.sheet.numbers[rows[0].at])
        if len(rows) == 1:
            (row,) = rows
            tile.layers = [
                EarlierLayer(cover.glaze, cover.method, 0, {row.zone: cover})
                for cover in self.earlier.stacks[row.stack]
            ]
            tile.fired = [EarlierFired(row.firing, row.place, [self._result(row)])]
            return tile
        firings = sorted({row.firing for row in rows}, key=lambda one: (self.earlier.firings[one].day, one))
        turn = {firing: place for place, firing in enumerate(firings)}
        by_zone: dict[str, list[_Row]] = defaultdict(list)
        for row in sorted(rows, key=lambda one: (turn[one.firing], one.at)):
            by_zone[row.zone].append(row)
        for zone, members in by_zone.items():
            if not self._lay(tile, zone, members, turn):
                return None
        for firing in firings:
            there = [row for row in rows if row.firing == firing]
            results = [self._result(row) for row in there]
            place = next((row.place for row in there if row.place), "")
            tile.fired.append(EarlierFired(firing, place, results))
        return tile

    def _result(self, row: _Row) -> EarlierResult:
        return EarlierResult(row.zone, row.stack, row.seen, self.sheet.numbers[row.at])

    def _lay(self, tile: EarlierTile, zone: str, rows: Sequence[_Row], turn: Mapping[int, int]) -> bool:
        """Lay a zone's stack on the tile; what a later firing has more of came before it. False if it can't be."""
        below: tuple[Cover, ...] = ()
        seen: dict[int, int] = {}
        at = 0
        for row in rows:
            if (earlier := seen.setdefault(row.firing, row.at)) != row.at:
                stands = self.sheet.numbers[earlier]
                words = f"This zone stands in row {stands} already, for this firing. Keep one of the two."
                self.sheet.say(row.at, "tile", words)
                return False
            covers = self.earlier.stacks[row.stack]
            if covers[: len(below)] != below:
                words = "Other layers lay on this zone in an earlier firing. Write those first, then what was added."
                self.sheet.say(row.at, "stack" if "stack" in self.sheet.columns else "glaze", words)
                return False
            for cover in covers[len(below) :]:
                at = _laid_on(tile.layers, zone, cover, turn[row.firing] if below else 0, at)
            below = covers
        return True

    # Report

    def _report(self) -> Report:
        earlier = self.earlier
        results = sum(len(fired.results) for tile in earlier.tiles for fired in tile.fired)
        report = Report(
            counts={
                "rows": len(self.sheet),
                "tiles": len(earlier.tiles),
                "results": results,
                "firings": sum(not one.known for one in earlier.firings),
            },
            new={kind: list(names.new) for kind, names in self.names.items() if names.new},
            unchanged=self.unchanged,
        )
        report.shown = [one for tile in earlier.tiles[:ROWS_SHOWN] for one in self._shown(tile)][:ROWS_SHOWN]
        report.hear(self.sheet.messages)
        return report

    def _shown(self, tile: EarlierTile) -> list[Shown]:
        return [
            Shown(
                result.row,
                tile.note.rstrip("."),
                f"{result.zone}: {conditions_line(self._conditions(tile, fired, result, count))}",
                seen_words(result.seen),
            )
            for count, fired in enumerate(tile.fired, start=1)
            for result in fired.results
        ]

    def _conditions(
        self, tile: EarlierTile, fired: EarlierFired, result: EarlierResult, count: int
    ) -> Conditions:
        firing = self.earlier.firings[fired.firing]
        glazes = self.names[GLAZE]
        return Conditions(
            zone=result.zone,
            textured=False,
            layers=tuple(
                LayerFacts(0, glazes.name_of(one.glaze), None, "", one.method, one.coats, one.dip_s)
                for one in self.earlier.stacks[result.stack]
            ),
            body_id=0,
            body=self.names[BODY].name_of(tile.body),
            form=self.names[FORM].name_of(tile.form),
            firing="",
            target_order=firing.order,
            reached_number=series.of_order(firing.order).number if firing.order else None,
            reached_order=firing.order,
            reached_source=ReachedSource.TARGET.value,
            atmosphere=firing.atmosphere,
            hold_min=firing.hold_min,
            kiln=self.names[KILN].name_of(firing.kiln),
            shelf=None,
            place=fired.place,
            fired_on=firing.day,
            firing_count=count,
        )


def seen_words(seen: Seen) -> str:
    """What was seen, in a line."""
    run_words = f"run {seen.run_mm.normalize():f} mm" if seen.run_mm is not None else ""
    flaws = [f"{Severity.label_of(severity)} {FlawKind.label_of(kind)}" for kind, severity in seen.flaws]
    told = (
        Surface.label_of(seen.surface),
        Opacity.label_of(seen.opacity),
        run_words,
        "ran off the foot" if seen.runs_off else "",
        *flaws,
        Verdict.label_of(seen.verdict),
        seen.remark,
    )
    return ", ".join(filter(None, told)) or "nothing noted"


def _with_flaw(told: Flaws, kind: str, severity: str) -> Flaws:
    if not severity:
        return told
    rank = Severity.values().index
    of = dict(told)
    of[kind] = max(of.get(kind, severity), severity, key=rank)
    return tuple((one, of[one]) for one in FlawKind.values() if one in of)


def _hold(cell: str, unit: str) -> int:
    found = cells.minutes(cell, unit)
    if not 0 <= found <= 6000:
        raise Misread(f"“{cell}” is no hold; write up to 6000 minutes.")
    return found


def _short(longest: int) -> Callable[[str], str]:
    def read(cell: str) -> str:
        if len(cell) > longest:
            raise Misread(f"This is too long; write {longest} letters at most.")
        return cell

    return read


def _note(named: str) -> str:
    return f"Old number {named}." if named else ""


def _number(named: str) -> int | None:
    """The tile's number, where the sheet has one with its check digit, as this log writes them."""
    try:
        return numbers.read(named) if "-" in named else None
    except ValueError:
        return None


def _laid_on(layers: list[EarlierLayer], zone: str, cover: Cover, after: int, at: int) -> int:
    """Lay one cover on a zone, on a layer of the same glaze from place `at` on, or on a new one; the place after it."""
    for place in range(at, len(layers)):
        layer = layers[place]
        if (layer.glaze, layer.method, layer.after) == (
            cover.glaze,
            cover.method,
            after,
        ) and zone not in layer.covers:
            layer.covers[zone] = cover
            return place + 1
    if after:
        at = len(layers)
    layers.insert(at, EarlierLayer(cover.glaze, cover.method, after, {zone: cover}))
    return at + 1
