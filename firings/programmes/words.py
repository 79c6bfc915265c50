"""Temperatures, rates and times of a programme in words, in the unit a person reads."""

from firings.programmes.segments import Unit, fahrenheit

# A stored tenth of a °C is 0.18 °F: a whole degree no farther away than half of that is what was typed.
HALF_A_STEP_F = 0.0901


def plain(figure: float) -> str:
    """A figure with a tenth at most, without idle noughts.

    >>> plain(60.0), plain(55.56)
    ('60', '55.6')
    """
    return f"{figure:.1f}".removesuffix(".0")


def in_unit(figure_f: float) -> str:
    whole = round(figure_f)
    return str(whole) if abs(figure_f - whole) <= HALF_A_STEP_F else plain(figure_f)


def temp_figure(temp_c: float, unit: Unit) -> str:
    """A temperature as it is typed, without its unit.

    >>> temp_figure(1222.2, Unit.FAHRENHEIT), temp_figure(1222.0, Unit.CELSIUS)
    ('2232', '1222')
    """
    return plain(temp_c) if unit is Unit.CELSIUS else in_unit(fahrenheit(temp_c))


def rate_figure(rate_c_per_h: float, unit: Unit) -> str:
    """A rate as it is typed, without its unit.

    >>> rate_figure(60.0, Unit.FAHRENHEIT)
    '108'
    """
    return plain(rate_c_per_h) if unit is Unit.CELSIUS else in_unit(rate_c_per_h * 1.8)


def temp_words(temp_c: float, unit: Unit) -> str:
    return f"{temp_figure(temp_c, unit)} °{unit}"


def rate_words(rate_c_per_h: float, unit: Unit) -> str:
    return f"{rate_figure(rate_c_per_h, unit)} °{unit}/h"


def duration_words(hours: float) -> str:
    """A length of time to the minute.

    >>> duration_words(10.25), duration_words(0.5), duration_words(3)
    ('10 h 15 min', '30 min', '3 h')
    """
    whole_h, minutes = divmod(round(hours * 60), 60)
    parts = [f"{whole_h} h" if whole_h else "", f"{minutes} min" if minutes or not whole_h else ""]
    return " ".join(filter(None, parts))


def clock_words(hours: float) -> str:
    """Hours and minutes since the start, as on a clock.

    >>> clock_words(9.5), clock_words(26.0)
    ('9:30', '26:00')
    """
    whole_h, minutes = divmod(round(hours * 60), 60)
    return f"{whole_h}:{minutes:02d}"
