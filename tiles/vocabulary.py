"""Closed lists of glazing and judging: what is stored, and the words on screen."""

from firings.vocabulary import Term


class GlazeKind(Term):
    GLAZE = "glaze", "glaze"
    FLUX = "flux", "flux (layer)"
    UNDERGLAZE = "underglaze", "underglaze"
    ENGOBE = "engobe", "engobe"
    WASH = "wash", "wash"


class ColourFamily(Term):
    """The fired colour of a clay body, as people ask for it."""

    WHITE = "white", "white"
    BUFF = "buff", "buff"
    RED = "red", "red"
    BROWN = "brown", "brown"
    DARK = "dark", "dark"


class FormShape(Term):
    FLAT = "flat", "flat tile"
    UPRIGHT = "upright", "upright tile"
    L_TILE = "l_tile", "L tile"
    T_TILE = "t_tile", "T tile"
    RING_CUT = "ring_cut", "ring-cut tile"
    BOWL = "bowl", "mini bowl"


class ZoneKind(Term):
    BAND = "band", "band"
    TEXTURE = "texture", "texture patch"
    BACK = "back", "back"
    FOOT = "foot", "foot"
    WHOLE = "whole", "whole face"


class Face(Term):
    FRONT = "front", "front"
    BACK = "back", "back"


class Method(Term):
    BRUSH = "brush", "brushed"
    DIP = "dip", "dipped"
    POUR = "pour", "poured"
    SPRAY = "spray", "sprayed"
    TRAIL = "trail", "trailed"
    SPONGE = "sponge", "sponged"


class Surface(Term):
    """From mirror to chalk. No standard binds these words to gloss units (common practice, no source)."""

    GLOSSY = "glossy", "glossy"
    SEMI_GLOSS = "semi", "semi-gloss"
    SATIN = "satin", "satin"
    MATT = "matt", "matt"
    DRY = "dry", "dry"


class Opacity(Term):
    TRANSPARENT = "transparent", "transparent"
    TRANSLUCENT = "translucent", "translucent"
    OPAQUE = "opaque", "opaque"


class Degree(Term):
    """How much of pooling, of breaking over texture."""

    NONE = "none", "none"
    SLIGHT = "slight", "slight"
    MARKED = "marked", "marked"


class FlawKind(Term):
    CRAZING = "crazing", "crazing"
    SHIVERING = "shivering", "shivering"
    CRAWLING = "crawling", "crawling"
    PINHOLING = "pinholing", "pinholing"
    PITTING = "pitting", "pitting"
    BLISTERING = "blistering", "blistering"
    CRATERING = "cratering", "cratering"
    DIMPLING = "dimpling", "dimpling"
    STREAKING = "streaking", "streaking"
    SCUMMING = "scumming", "scumming"
    DEVITRIFICATION = "devitrification", "devitrification"
    UNDERFIRED = "underfired", "underfired"
    OVERFIRED = "overfired", "overfired"
    DUNTING = "dunting", "dunting"
    BLOATING = "bloating", "bloating"
    PLUCKING = "plucking", "plucking"


class Severity(Term):
    SLIGHT = "slight", "slight"
    MARKED = "marked", "marked"
    SEVERE = "severe", "severe"


class Verdict(Term):
    """What the tester makes of it, apart from what is seen: one tradition's flaw is another's aim."""

    KEEP = "keep", "keep"
    RETEST = "retest", "test again"
    REJECT = "reject", "leave it"


class ColourBasis(Term):
    CHART = "chart", "colour chart"
    GREY_CARD = "grey_card", "grey card"
    UNCORRECTED = "uncorrected", "uncorrected"
    INSTRUMENT = "instrument", "instrument"


class FlowCup(Term):
    """Cups of long-standing standards: ISO 2431, ASTM D1200 (Ford), ASTM D4212 (Zahn)."""

    ISO_4 = "iso_4", "ISO cup 4 mm"
    ISO_5 = "iso_5", "ISO cup 5 mm"
    ISO_6 = "iso_6", "ISO cup 6 mm"
    FORD_4 = "ford_4", "Ford cup 4"
    FORD_5 = "ford_5", "Ford cup 5"
    ZAHN_2 = "zahn_2", "Zahn cup 2"
    ZAHN_4 = "zahn_4", "Zahn cup 4"
    OTHER = "other", "own cup"


class SeriesState(Term):
    PLANNED = "planned", "planned"
    GLAZING = "glazing", "glazing"
    FIRING = "firing", "firing"
    DONE = "done", "done"


class PlaceKind(Term):
    """Where tiles lie that hang on no board."""

    BOX = "box", "box"
    SHELF = "shelf", "shelf"
    DRAWER = "drawer", "drawer"


class FiledBy(Term):
    """How a photo came to its tile."""

    HAND = "hand", "by hand"
    CODE = "code", "by the code in view"
    NUMBER = "number", "by the number in view"
    UNLOADING = "unloading", "taken at unloading"
    ORDER = "order", "by the order of shooting"


class ScaleBasis(Term):
    """How the size of things in a photo is known."""

    MAT = "mat", "photo mat"
    TILE = "tile", "the tile’s own size"
    CODE = "code", "the printed code’s size"


class AbsorptionMethod(Term):
    """How water was brought into fired ware before it was weighed wet."""

    C373_BOIL = "c373_boil", "ASTM C373, boiled"
    C373_VACUUM = "c373_vacuum", "ASTM C373, vacuum"
    ISO_BOIL = "iso_boil", "ISO 10545-3, boiled"
    ISO_VACUUM = "iso_vacuum", "ISO 10545-3, vacuum"
    SOAK = "soak", "soaked, by no standard"


class LeachMethod(Term):
    """By which standard a laboratory drew metals out of a glaze."""

    ISO_6486_1 = "iso_6486_1", "ISO 6486-1"
    ASTM_C738 = "astm_c738", "ASTM C738"
    EN_1388_1 = "en_1388_1", "EN 1388-1"
    EU_84_500 = "eu_84_500", "84/500/EEC, annex I"
    OTHER = "other", "another, as the report says"


class Element(Term):
    """What laboratories look for in the acid, lead and cadmium first."""

    LEAD = "Pb", "lead (Pb)"
    CADMIUM = "Cd", "cadmium (Cd)"
    ALUMINIUM = "Al", "aluminium (Al)"
    ANTIMONY = "Sb", "antimony (Sb)"
    ARSENIC = "As", "arsenic (As)"
    BARIUM = "Ba", "barium (Ba)"
    BORON = "B", "boron (B)"
    CHROMIUM = "Cr", "chromium (Cr)"
    COBALT = "Co", "cobalt (Co)"
    COPPER = "Cu", "copper (Cu)"
    IRON = "Fe", "iron (Fe)"
    LITHIUM = "Li", "lithium (Li)"
    MANGANESE = "Mn", "manganese (Mn)"
    NICKEL = "Ni", "nickel (Ni)"
    STRONTIUM = "Sr", "strontium (Sr)"
    TIN = "Sn", "tin (Sn)"
    TITANIUM = "Ti", "titanium (Ti)"
    VANADIUM = "V", "vanadium (V)"
    ZINC = "Zn", "zinc (Zn)"
    ZIRCONIUM = "Zr", "zirconium (Zr)"


class LeachUnit(Term):
    """By the volume of acid, or by the area it stood on."""

    MG_PER_L = "mg_per_l", "mg/l"
    MG_PER_DM2 = "mg_per_dm2", "mg/dm²"


class LeachRule(Term):
    """Whose limits a figure is set beside; `tiles.laboratory.limits` holds them."""

    EU_FLAT = "eu_flat", "EU: cannot be filled, or to 25 mm deep"
    EU_FILLED = "eu_filled", "EU: can be filled"
    EU_COOKING = "eu_cooking", "EU: cooking ware; vessels over 3 l"
    US_FLAT = "us_flat", "US: flatware"
    US_SMALL = "us_small", "US: hollowware under 1.1 l, not cups and mugs"
    US_LARGE = "us_large", "US: hollowware of 1.1 l and over, not pitchers"
    US_CUPS = "us_cups", "US: cups, mugs, pitchers"
    CA_FLAT = "ca_flat", "California: flatware"
    CA_OTHER = "ca_other", "California: other tableware"
    REPORT = "report", "the limits that the report names"
