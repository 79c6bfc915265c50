"""The mixes of a blend as levels of the glaze, named by their parts."""

from collections.abc import Mapping
from dataclasses import replace

from tiles.plans.blends import Mix, blend
from tiles.plans.sketch import Mixing, Sketch, in_order


def mixes_of(mixing: Mixing) -> dict[str, Mix]:
    """Each mix by its level: a corner is the glaze itself, any other says its parts, such as "12:3+14:1".

    Raises
    ------
    ValueError : figures out of range, in words

    >>> list(mixes_of(Mixing(("12", "14"), 2, 100)))
    ['12', '12:1+14:1', '14']
    """
    if not mixing.glazes:
        return {}
    mixes = blend(len(mixing.glazes), mixing.steps, mixing.batch_g)
    return {level_of(mixing, mix): mix for mix in mixes}


def level_of(mixing: Mixing, mix: Mix) -> str:
    """The level that names a mix."""
    parts = [
        (glaze, round(part * mixing.steps))
        for glaze, part in zip(mixing.glazes, mix.parts, strict=True)
        if part
    ]
    return parts[0][0] if len(parts) == 1 else "+".join(f"{glaze}:{count}" for glaze, count in parts)


def is_mix(level: str) -> bool:
    """Whether a level of the glaze is a mix of several."""
    return ":" in level


def mix_name(level: str, names: Mapping[str, str]) -> str:
    """The mix in words, by parts of a hundred.

    >>> mix_name("12:3+14:1", {"12": "Harbour", "14": "Quay"})
    'Harbour 75 + Quay 25'
    """
    parts = [part.split(":") for part in level.split("+")]
    whole = sum(int(count) for _, count in parts)
    return " + ".join(f"{names.get(glaze, '?')} {100 * int(count) / whole:.4g}" for glaze, count in parts)


def with_mixes(sketch: Sketch) -> Sketch:
    """The plan with the mixes of its blend among the levels of the glaze."""
    if not sketch.mixing.glazes:
        return sketch
    glazes = [*sketch.levels.get("glaze", ()), *mixes_of(sketch.mixing)]
    return replace(sketch, levels=in_order({**sketch.levels, "glaze": glazes}))
