"""The engine running: timing, idle and pulls."""

from __future__ import annotations

from logbook.text.kinds.row import Kind, Slot, words

_HEADING = "Running"
_BOOST = Slot("boost", "pressure", "psi", "bar", "-15", "60", means="at the manifold, by the gauge")
_AFR = Slot(
    "afr",
    "mixture",
    "afr",
    "afr",
    "8",
    "25",
    means="as the display shows it",
    synonyms=("mixture", "lambda"),
    also=("mixture lambda",),
)
_RPM = Slot("rpm", "rpm", "rpm", "rpm", "100", "16000", means="speed of the crank")

RUNNING: tuple[Kind, ...] = (
    Kind(
        "timing",
        _HEADING,
        "one",
        "When the spark comes.",
        "timing: 12 btdc @ idle",
        dimension="angle",
        us="deg",
        metric="deg",
        words=words("btdc atdc"),
        low="-30",
        high="70",
        bound_unit="deg",
        colon_synonyms=("ignition",),
    ),
    Kind(
        "dwell",
        _HEADING,
        "one",
        "How long the contact points stay closed.",
        "dwell: 47 deg @ idle",
        dimension="angle",
        us="deg",
        metric="deg",
        low="10",
        high="80",
        bound_unit="deg",
        synonyms=("dwell angle", "points dwell"),
        also=("percent",),
    ),
    Kind(
        "idle",
        _HEADING,
        "slots",
        "What it does at idle, at one glance.",
        "idle: rpm 750, vacuum 64 kPa vac, oil 2.8 bar, smooth",
        words=words("rough smooth hunts"),
        synonyms=("idles",),
        slots=(
            _RPM,
            Slot("oil", "pressure", "psi", "bar", "0", "150", means="pressure of the oil", synonyms=("oil-pressure",)),
            Slot("coolant", "temperature", "F", "C", "-40", "300"),
            Slot("vacuum", "vacuum", "inHg", "kPa vac", "0", "30", synonyms=("vac",)),
            _AFR,
            _BOOST,
            Slot("timing", "angle", "deg", "deg", "-30", "70"),
            Slot("pulse", "time", "ms", "ms", "0", "50", means="of an injector"),
        ),
    ),
    Kind(
        "pull",
        _HEADING,
        "pull",
        "A run at full throttle: a quantity a line, in the order of the speeds.",
        "pull 2 boost: 1.0 3.5 6.2 psi",
        qualifiers=words("RUN"),
        words=words("heard none"),
        synonyms=("wot",),
        colon_synonyms=("run",),
        caution="A boosted engine can break itself within a second of detonation: lift at the first rattle.",
        slots=(
            _RPM,
            _BOOST,
            _AFR,
            Slot("timing", "angle", "deg", "deg", "-30", "70"),
            Slot("egt", "temperature", "F", "C", "0", "2200", means="temperature of the exhaust gas"),
            Slot("knock", "count", "count", "count", "0", "100000"),
            Slot("duty", "percent", "%", "%", "0", "100", means="of the injectors"),
            Slot(
                "intake-air",
                "temperature",
                "F",
                "C",
                "-40",
                "500",
                synonyms=("iat", "intake air", "intake temperature"),
            ),
            Slot("fuel-pressure", "pressure", "psi", "bar", "0", "200", synonyms=("fuel pressure",)),
            Slot("oil-pressure", "pressure", "psi", "bar", "0", "200", synonyms=("oil pressure",)),
            Slot("pulse", "time", "ms", "ms", "0", "100"),
        ),
    ),
)
