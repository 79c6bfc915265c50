"""Who may do what: the only table of it. Views ask for a permission, never for a role."""

from fnmatch import fnmatchcase

from firings.vocabulary import Term


class Role(Term):
    """A person holds one of these; each may do all that the one before may."""

    VIEWER = "viewer", "viewer"
    RECORDER = "recorder", "recorder"
    KEEPER = "keeper", "keeper"


# Patterns over "app.codename". A model added later is covered without a change here.
ALLOWED = {
    Role.VIEWER: ("firings.view_*", "tiles.view_*"),
    Role.RECORDER: (
        "firings.view_*",
        "tiles.view_*",
        "firings.add_*",
        "tiles.add_*",
        "firings.change_*",
        "tiles.change_*",
    ),
    Role.KEEPER: ("firings.*", "tiles.*", "studio.*"),
}


def may(role: Role, permission: str) -> bool:
    """Whether a role holds a permission, written ``app.codename``.

    >>> may(Role.VIEWER, "tiles.view_outcome"), may(Role.VIEWER, "tiles.change_outcome")
    (True, False)
    >>> may(Role.RECORDER, "tiles.change_outcome"), may(Role.RECORDER, "tiles.delete_outcome")
    (True, False)
    >>> may(Role.KEEPER, "studio.change_studiopreferences")
    True
    """
    return any(fnmatchcase(permission, pattern) for pattern in ALLOWED[role])
