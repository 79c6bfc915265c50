"""The requests themselves; run by tests.bench.fuzz, which gives them a studio of their own."""

import random
import re
import sys
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Iterable

import django

django.setup()

from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.test import Client  # noqa: E402
from django.urls import URLPattern, URLResolver, get_resolver  # noqa: E402

from studio.api.services import make_key  # noqa: E402
from studio.people.services import add_person  # noqa: E402
from studio.roles import Role  # noqa: E402
from tiles.models import Glaze, Outcome, Photo, Tile  # noqa: E402

MARK = "<x-mark onx=1>\"'&"
JUNK = [
    "",
    "0",
    "-1",
    "1",
    "2",
    "99999999999999999999",
    "1.5",
    "1,5",
    "NaN",
    "1e999",
    "null",
    "true",
    "cone 6",
    "022",
    "2026-02-30",
    "25.11.2026",
    "../../etc/passwd",
    "\u202eאבג\u0301",
    "𝔘𝔫𝔦",
    "a" * 5_000,
    "\x00",
    "\x01\x1f",
    "\ud800",
    "' OR 1=1 --",
    '{"a":[1,{}]}',
    "=1+1",
    MARK,
]
NAMES = [
    "q",
    "glaze",
    "body",
    "cone",
    "cone_from",
    "cone_to",
    "coats",
    "run",
    "gloss",
    "from",
    "to",
    "sort",
    "start",
    "page",
    "o",
    "like",
    "near",
    "within",
    "next",
    "tile",
    "tiles",
    "placement",
    "zone",
    "name",
    "note",
    "stamp",
    "state",
    "firing",
    "results",
    "stock",
    "first",
    "number",
    "series",
    "body_lot",
    "kind",
    "value",
    "file",
    "photo",
    "surface",
    "opacity",
    "flaw",
    "flaws",
    "verdict",
    "person",
    "role",
    "said",
    "username",
    "form-TOTAL_FORMS",
    "form-INITIAL_FORMS",
    "form-0-name",
    "over",
    "under",
    "atmosphere",
    "hold",
    "form",
    "levels",
    "strength",
    "rows",
    "columns",
    "keys",
    "options",
    "text",
    "lot",
    "target",
    "at",
    "point",
    "rate_c_per_h",
]
FORM = re.compile(r"<form\b[^>]*method=\"?post\"?[^>]*>.*?</form>", re.IGNORECASE | re.DOTALL)
ELSEWHERE = re.compile(
    r"(?:src|href|action)=[\"'](?:https?:)?//(?!localhost|127\.0\.0\.1)[^\"']+", re.IGNORECASE
)
# Signing out would end a client's session; every other address is asked.
NOT_ASKED = ("people:sign_out", "people:sign_out_elsewhere", "people:person", "people:password")
# What a page's own forms call their fields: these reach further into it than names at large.
FIELD = re.compile(r"<(?:input|select|textarea|button)\b[^>]*?\bname=\"([^\"]+)\"", re.IGNORECASE)
FILES = [
    b"",
    b"\x00" * 64,
    b"\xff\xd8\xff\xe0 no photo",
    b"PK\x03\x04 no archive",
    b"a;b\n1;=1+1\n",
    b"{",
    b"%PDF-1.7",
]
MOST_FIELDS = 200
READ_BY_PROGRAMS = "api/1/"
PLACE = re.compile(r"<(?:(\w+):)?\w+>")
TOLD_EVERY = 2_000


class Fuzz:
    """Junk requests of one seed, and what came back."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.statuses: Counter[int] = Counter()
        self.faults: Counter[str] = Counter()
        self.routes = sorted(_routes(get_resolver().url_patterns))
        self.clients = [Client(raise_request_exception=False, SERVER_NAME="localhost") for _ in range(4)]
        self.people = {}
        self.keys = ["no key of ours", ""]
        for client, role in zip(self.clients, Role, strict=False):
            self.people[client] = add_person(f"Nobody {role.value}", role)
            client.force_login(self.people[client])
            self.keys += [make_key(self.people[client], "fuzz")] * 2
        self.fields: dict[str, set[str]] = defaultdict(set)
        self.refused: set[tuple[str, str]] = set()
        self.real = [
            str(pk) for model in (Glaze, Outcome) for pk in model.objects.values_list("pk", flat=True)[:20]
        ]
        self.real += [tile.label for tile in Tile.objects.all()[:20]]
        self.hashes = [*Photo.objects.values_list("sha256", flat=True)[:5], "0" * 64]

    def one(self) -> None:
        """One request, and a look at the answer."""
        route = self.chance.choice(self.routes)
        path = "/" + PLACE.sub(lambda place: self.in_place(place[1]), route)
        client, given = self.chance.choice(self.clients), self.given(route)
        method = self.chance.choice(["get", "get", "post", "post", "put", "delete", "head"])
        if (route, method) in self.refused and self.chance.random() < 0.5:
            method = "post" if method in ("get", "head") else "get"
        headers = {"hx-request": "true"} if self.chance.random() < 0.3 else {}
        if route.startswith(READ_BY_PROGRAMS):
            headers["authorization"] = f"Bearer {self.chance.choice(self.keys)}"
        if method == "post" and self.chance.random() < 0.1:
            name = self.chance.choice([*sorted(self.fields[route]), "file", "photo"])
            given[name] = [
                SimpleUploadedFile(self.chance.choice(JUNK[:20]) or "file", self.chance.choice(FILES))
            ]
        try:
            answer = (
                getattr(client, method)(path, given, headers=headers)
                if method in ("get", "post", "head")
                else (getattr(client, method)(path, headers=headers))
            )
        except UnicodeEncodeError:
            return  # no client can send half a letter in an address
        except Exception:
            self.note(f"{method} {route}: {traceback.format_exc().strip().splitlines()[-1][:200]}")
            return
        self.look(f"{method} {route}", answer)
        if answer.status_code == 302 and "/sign-in" in answer.headers["Location"] and client in self.people:
            client.force_login(self.people[client])
        if answer.status_code == 405:
            self.refused.add((route, method))
        self.learn(route, answer)

    def in_place(self, kind: str | None) -> str:
        """Something for a place of an address, mostly of its kind."""
        if kind == "int":
            return self.chance.choice(["1", "2", "3", "7", "0", "99999999999999999999", *self.real])
        if kind == "sha256":
            return self.chance.choice(self.hashes)
        return self.chance.choice(["small", "tiles", "glaze", "1", "..", "%00", "a" * 300, *self.real])

    def learn(self, route: str, answer) -> None:  # type: ignore[no-untyped-def]
        """Remember the fields of a page, to fill them with junk the next time."""
        if not answer.streaming and "html" in answer.headers.get("Content-Type", ""):
            own = self.fields[route]
            own.update(FIELD.findall(answer.content.decode(errors="replace"))[: MOST_FIELDS - len(own)])

    def given(self, route: str) -> dict[str, list[object]]:
        """Fields with junk in them: often the page's own, in their order, as a form sends them."""
        names = self.chance.sample(NAMES, self.chance.randint(0, 6))
        if (own := sorted(self.fields[route] - {"csrfmiddlewaretoken"})) and self.chance.random() < 0.6:
            names = self.chance.sample(own, min(len(own), self.chance.randint(1, 25)))
        return {name: [self.word() for _ in range(self.chance.choice([1, 1, 1, 2]))] for name in names}

    def word(self) -> str:
        return self.chance.choice(JUNK if self.chance.random() < 0.6 else self.real)

    def note(self, fault: str) -> None:
        """Count a fault, and tell it the first time."""
        self.faults[fault] += 1
        if self.faults[fault] == 1:
            print(f"fault: {fault}", flush=True)

    def look(self, what: str, answer) -> None:  # type: ignore[no-untyped-def]
        """Count the answer, and find what it must not be."""
        self.statuses[answer.status_code] += 1
        if answer.status_code >= 500:
            raised = answer.exc_info[1] if getattr(answer, "exc_info", None) else ""
            self.note(f"{what}: {answer.status_code} {raised!r}"[:300])
        if answer.streaming or "html" not in answer.headers.get("Content-Type", ""):
            return
        page = answer.content.decode(errors="replace")
        if "<x-mark" in page:
            self.note(f"{what}: what was sent comes back as markup")
        if any("csrfmiddlewaretoken" not in form for form in FORM.findall(page)):
            self.note(f"{what}: a form without its token")
        if found := ELSEWHERE.search(page):
            self.note(f"{what}: names another host, {found[0][:80]}")


def _routes(patterns: Iterable[URLPattern | URLResolver], before: str = "", space: str = "") -> list[str]:
    """Every address of the site map, with its places."""
    found = []
    for entry in patterns:
        route = before + str(entry.pattern)
        if isinstance(entry, URLResolver):
            name = f"{space}:{entry.namespace}" if space and entry.namespace else entry.namespace or space
            found += _routes(entry.url_patterns, route, name)
        elif f"{space}:{entry.name}" not in NOT_ASKED:
            found.append(route.replace("^", "").replace("$", ""))
    return found


def main(count: int, seed: int) -> int:
    """Make the requests and print what came back; 1 where there was a fault."""
    call_command("migrate", verbosity=0)
    call_command("demo", every=40)
    fuzz, began = Fuzz(random.Random(seed)), time.monotonic()
    for done in range(1, count + 1):
        fuzz.one()
        if done % TOLD_EVERY == 0:
            print(f"{done:>7,} requests, {done / (time.monotonic() - began):.0f} a second", flush=True)
    print(f"{sum(fuzz.statuses.values()):,} answered at {len(fuzz.routes)} addresses, seed {seed}")
    print(", ".join(f"{number:,} × {status}" for status, number in sorted(fuzz.statuses.items())))
    for fault, number in sorted(fuzz.faults.items()):
        print(f"{number} × {fault}")
    print(f"{len(fuzz.faults)} faults")
    return int(bool(fuzz.faults))


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
