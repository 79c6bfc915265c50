"""What to heed at a kiln, beside the work. Local codes and licensed practice come first."""

from firings.vocabulary import KilnKind

# Sources: two kiln sellers' safety pages (distances, opening, wiring); a home-kiln page and a cone chart page
# (glasses); an occupational hazard database and a university page (fumes); a kiln maker's mailing list (watching).
# Flame failure device and leak test: from memory, unverified.
WATCH = (
    "A log, an alarm or a forecast here does not watch the kiln. Be there at the expected end, know how to cut the "
    "power or the gas, and do not rely on a single shut-off."
)
HEAT = (
    "The outside burns. Keep 30 cm from any surface and 45 cm from what can burn, and store nothing on or under the "
    "kiln. Open it only when it is cool."
)
EYES = "Look through the spy hole only with glasses rated for infrared; sunglasses will not do."
FUMES = (
    "Firing gives off carbon monoxide, sulphur dioxide and other gases, most of all in reduction. Vent to the outside, "
    "fit a carbon monoxide alarm, and do not sleep or work beside a kiln that is firing."
)
WIRING = (
    "Wiring, sockets, relays and elements are work for a licensed electrician or a trained service person, with the "
    "power off at the isolator. No extension leads. Local codes decide."
)
GAS = (
    "A gas kiln needs a flame failure device, a leak test and a hood, put in by a licensed gas fitter to the local "
    "gas code."
)
OUTDOORS = "Raku and salt belong outdoors, with a respirator for the vapours."

# Sources: potters' tip pages and glossaries (dry foot, cookie, kiln wash); two kiln sellers' safety pages (opening);
# a potters' page on damp ware. Sharp drips: from memory, unverified.
LOADING = (
    "Glaze that leaves the foot glues a tile to the shelf and may cut into it: leave a dry foot, use a cookie and kiln "
    "wash. Damp or thick clay bursts: dry it through first."
)
UNLOADING = (
    "Open a kiln only when it is cool: ware can crack and burn. Fired drips are sharp; wear gloves, and glasses when "
    "you chip them off. What you note here is no test of whether ware is fit for food."
)
# Source: two kiln sellers' safety pages.
OPENING = "Read the cones when the kiln is cool: open too early it burns you, and ware can crack."

BY_KIND = {
    KilnKind.ELECTRIC: (WIRING,),
    KilnKind.GAS: (GAS,),
    KilnKind.RAKU: (GAS, OUTDOORS),
}


def cautions_for(kind: str) -> tuple[str, ...]:
    """The cautions for one kind of kiln, the most general first."""
    return (WATCH, HEAT, FUMES, EYES, *BY_KIND.get(KilnKind(kind), ()))
