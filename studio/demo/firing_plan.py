"""The demo studio's firings: bisque and glaze, two atmospheres, four cones, with and without a hold."""

from studio.demo.story import FiringStory

FIRINGS: tuple[FiringStory, ...] = (
    FiringStory(
        1, "Oriel", "06", 172, -5.0, "bisque", note="First bisque of the year, 60 °C an hour to 600."
    ),
    FiringStory(2, "Oriel", "06", 158, -4.9, "bisque"),
    FiringStory(3, "Oriel", "5", 150, 5.0, evidence="target", note="Forgot the cones. Never again."),
    FiringStory(4, "Oriel", "6", 143, 5.9),
    FiringStory(5, "Oriel", "6", 131, 6.2, hold_min=15, note="Same as the one before, but held."),
    FiringStory(6, "Thimble", "04", 122, -3.1),
    FiringStory(7, "Oriel", "04", 112, -3.0, "bisque", note="Hotter bisque for the gassy dark clay."),
    FiringStory(
        8,
        "Bellows",
        "10",
        101,
        9.9,
        atmosphere="reduction",
        note="Body reduction from cone 08, cleaned up for ten minutes.",
    ),
    FiringStory(9, "Bellows", "10", 84, 10.3, atmosphere="reduction", hold_min=15),
    FiringStory(
        10,
        "Bellows",
        "6",
        71,
        6.0,
        atmosphere="reduction",
        note="Short firing: what does reduction do at cone 6?",
    ),
    FiringStory(11, "Oriel", "6", 58, 6.0, hold_min=10, note="Eight tiles in for the second time."),
    FiringStory(12, "Oriel", "06", 47, -5.0, "bisque"),
    FiringStory(13, "Thimble", "04", 40, -2.9, hold_min=5, evidence="controller"),
    FiringStory(14, "Oriel", "6", 26, 6.1, hold_min=15),
    FiringStory(
        15,
        "Bellows",
        "10",
        9,
        9.7,
        atmosphere="reduction",
        state="fired",
        note="Wind in the chimney, stalled at cone 8.",
    ),
    FiringStory(16, "Oriel", "5", 3, 5.0, hold_min=10, state="loaded", note="Ready to go."),
    FiringStory(17, "Thimble", "04", 2, -3.0, state="planned"),
)
HALF_UNLOADED = 15
