"""The pages of the guide in the order of the work, and the pages of the studio from which each is linked."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Task:
    """One page of the guide: its address, its words after "How to", and where it is needed."""

    slug: str
    title: str
    needed_on: tuple[str, ...]

    @property
    def template(self) -> str:
        return f"studio/guide/{self.slug}.html"


CONTENTS = (
    (
        "Begin",
        (
            Task(
                "first-day",
                "set up a studio",
                (
                    "tiles:catalogue:index",
                    "tiles:catalogue:new_glaze",
                    "tiles:catalogue:new_body",
                    "tiles:catalogue:new_form",
                    "firings:kilns:list",
                    "firings:kilns:new",
                    "preferences:edit",
                    "people:list",
                    "people:add",
                ),
            ),
            Task(
                "spreadsheet",
                "bring in last year’s spreadsheet",
                ("importing:list", "importing:sheet"),
            ),
        ),
    ),
    (
        "Make and fire",
        (
            Task(
                "plan",
                "plan a series",
                (
                    "tiles:recording:series_list",
                    "tiles:planner:new",
                    "tiles:planner:plan",
                    "tiles:gaps:index",
                ),
            ),
            Task(
                "glaze",
                "glaze by the clip-board sheet",
                (
                    "tiles:recording:list",
                    "tiles:recording:new",
                    "tiles:recording:series",
                    "tiles:planner:sheet",
                ),
            ),
            Task(
                "load",
                "load and fire",
                (
                    "firings:logbook:list",
                    "firings:logbook:new",
                    "firings:logbook:firing",
                    "tiles:to_fire:page",
                    "tiles:loading:firing",
                ),
            ),
            Task(
                "heat",
                "bring in a logger’s file and witness cones",
                (
                    "firings:curves:new",
                    "firings:curves:look",
                    "firings:curves:curve",
                    "firings:logbook:cones",
                ),
            ),
        ),
    ),
    (
        "See and judge",
        (
            Task("unload", "unload and photograph", ("tiles:tray:burst",)),
            Task("sort", "sort photos", ("tiles:tray:tray", "tiles:tray:sort", "tiles:tray:runs")),
            Task("judge", "judge a tile", ("tiles:unloading:firing", "tiles:unloading:tile")),
            Task(
                "colour",
                "measure colour with the photo mat",
                ("tiles:prints:mat", "tiles:colour:measure", "tiles:colour:outcome", "tiles:colour:map"),
            ),
        ),
    ),
    (
        "Show and find",
        (
            Task(
                "print",
                "print cards and labels",
                (
                    "tiles:prints:choose",
                    "tiles:prints:tray",
                    "tiles:prints:stocks",
                    "tiles:prints:used_sheet",
                    "tiles:prints:printers",
                ),
            ),
            Task(
                "board",
                "lay out a board and find a tile again",
                (
                    "tiles:boards:list",
                    "tiles:boards:board",
                    "tiles:boards:lay_out",
                    "tiles:boards:slot",
                    "tiles:places:list",
                    "tiles:places:place",
                    "tiles:places:bring",
                ),
            ),
            Task(
                "find",
                "find and compare results",
                ("tiles:search:results", "tiles:compare:compare", "tiles:saved:list"),
            ),
            Task(
                "ask",
                "ask what a glaze does",
                (
                    "tiles:answers:answer",
                    "tiles:ranges:glazes",
                    "tiles:ranges:sheet",
                    "tiles:ranges:combinations",
                    "tiles:evidence:studio",
                    "tiles:evidence:glaze",
                ),
            ),
            Task("share", "show a page to everybody", ("tiles:public:pages",)),
        ),
    ),
    (
        "Keep",
        (
            Task(
                "sign-in",
                "sign in, also by a passkey",
                ("people:account", "people:password", "people:passkeys:list"),
            ),
            Task("keep", "back up and bring back", ("backup:list", "export:list")),
            Task("mend", "mend a mistake", ("history:changes", "history:bin_page", "tiles:recording:edit")),
        ),
    ),
)

TASKS = {task.slug: task for _, tasks in CONTENTS for task in tasks}
BY_PAGE = {page: task for task in TASKS.values() for page in task.needed_on}


def needed_on(page: str) -> Task | None:
    """The page of the guide that a page of the studio links to, by that page's name in the site map.

    >>> needed_on("tiles:tray:burst").title
    'unload and photograph'
    >>> needed_on("people:passkeys:rename") is None
    True
    """
    return BY_PAGE.get(page)
