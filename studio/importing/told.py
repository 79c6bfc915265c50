"""How a file is to be read, as a person chose it: columns, names, days, what empty cells mean; kept as JSON."""

from dataclasses import asdict, dataclass, field
from typing import Any, Self

# What a name that is not known yet is to become, instead of the key of a record that is.
MAKE_NEW = 0


@dataclass(slots=True)
class Told:
    """How a file is read.

    header : where the headings stand among the rows that hold something; -1 until it was looked for
    columns : for each column's place its field's key, "" where it is left out
    above : places of columns in which an empty cell means the same as above
    defaults : what holds where the sheet says nothing, by field
    days : whether days or months come first in dates, "" where not told
    names : for each kind (body, form, glaze, kiln) and name as written, folded, the record's key or MAKE_NEW
    joined : for each kind and new name as written, folded, the other new name that means the same
    mended : for each column's place the cells that were mended: as they stood, and as they are to be read
    left : numbers of rows that are left out
    asides : numbers of rows that hold no record, with what they are: a remark, a total
    anew : tile numbers begin anew in this file: they are none of an earlier file's
    seen : somebody looked at the columns and said that they are right
    """

    sheet: str = ""
    header: int = -1
    columns: dict[str, str] = field(default_factory=dict)
    above: list[int] = field(default_factory=list)
    defaults: dict[str, str] = field(default_factory=dict)
    days: str = ""
    names: dict[str, dict[str, int]] = field(default_factory=dict)
    joined: dict[str, dict[str, str]] = field(default_factory=dict)
    mended: dict[str, dict[str, str]] = field(default_factory=dict)
    left: list[int] = field(default_factory=list)
    asides: dict[str, str] = field(default_factory=dict)
    anew: bool = False
    seen: bool = False

    def plain(self) -> dict[str, Any]:
        """As JSON keeps it."""
        return asdict(self)

    @classmethod
    def of(cls, plain: dict[str, Any]) -> Self:
        """From JSON; what is not known any more is passed over."""
        return cls(**{name: value for name, value in plain.items() if name in cls.__dataclass_fields__})

    def remembered(self, earlier: "Told") -> None:
        """Take over how a file with the same headings was read; mended cells and rows left out stay that file's."""
        for name in ("columns", "above", "defaults", "days", "names", "joined", "anew", "seen"):
            setattr(self, name, getattr(earlier, name))
