"""Words that name force, extension and time in the column titles of other people's tables.

English, German, French, Portuguese and Spanish, without accents. A column of the right unit is also found without
such a word, but after those that have one.
"""

from __future__ import annotations

import re
import unicodedata

from analysis.tables.units import Unit


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


FORCE, EXTENSION, TIME = "force", "extension", "time"

FORCE_WORDS = _words("force load kraft zugkraft prufkraft carga forca fuerza effort charge")
#: Words for a length that grows, best first: what is called extension is preferred to a mere position.
EXTENSION_WORDS = (
    _words(
        "extension elongation verlangerung langenanderung alongamento alargamiento allongement "
        "estiramento estiramiento dehnung"
    ),
    _words("displacement verschiebung deslocamento desplazamiento deplacement weg"),
    _words("position posicao posicion pos crosshead traverse travel stroke traversenweg course distance"),
)
STRAIN_WORDS = _words(
    "strain elongation extension dehnung deformation deformacao deformacion alongamento alargamiento allongement "
    "estiramento estiramiento verlangerung"
)
LENGTH_WORDS = _words("length lange comprimento longitud longueur")
TIME_WORDS = _words("time zeit prufzeit temps tempo tiempo elapsed t")
#: Words of columns that are no samples of the quantity: limits, extremes, and sizes of the specimen.
OTHER_WORDS = _words(
    "max maximum peak min minimum mean average limit rate target soll diameter width thickness "
    "durchmesser breite dicke diametro diametre largura espessura ancho espesor area"
)
GAUGE_WORDS = frozenset(("gauge", "gage"))
#: German makes one word of two: the last part says what it is.
COMPOUND_ENDS = (("kraft", "kraft"), ("weg", "weg"), ("zeit", "zeit"), ("dehnung", "dehnung"))
CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")

#: Ranks, best first; a title without a unit comes after all that have one.
STRAIN_RANK, LENGTH_RANK, UNIT_ONLY_RANK, NO_UNIT_RANK = 3, 4, 5, 10


def words_of(title: str) -> frozenset[str]:
    """The words of a title in small letters without accents."""
    plain = unicodedata.normalize("NFKD", CAMEL.sub(" ", title)).casefold()
    letters = "".join(c for c in plain if not unicodedata.combining(c))
    words = re.findall(r"[a-z]+", letters)
    return frozenset(words) | {end for word in words for tail, end in COMPOUND_ENDS if word.endswith(tail)}


def rank(title: str, unit: Unit | None, quantity: str) -> int | None:
    """How well a column fits a quantity: the lower the better; None if it does not."""
    words = words_of(title)
    if words & OTHER_WORDS or (words & GAUGE_WORDS and words & LENGTH_WORDS):
        return None
    dimension = unit.dimension if unit else ""
    best = {FORCE: _force, EXTENSION: _extension, TIME: _time}[quantity](words, dimension)
    return None if best is None else best + (0 if unit else NO_UNIT_RANK)


def _force(words: frozenset[str], dimension: str) -> int | None:
    return _named_or_unit(words & FORCE_WORDS, dimension, "force")


def _time(words: frozenset[str], dimension: str) -> int | None:
    return _named_or_unit(words & TIME_WORDS, dimension, "time")


def _named_or_unit(named: frozenset[str], dimension: str, wanted: str) -> int | None:
    if dimension not in ("", wanted):
        return None
    if named:
        return 0
    return UNIT_ONLY_RANK if dimension else None


def _extension(words: frozenset[str], dimension: str) -> int | None:
    if dimension == "ratio" or (not dimension and words & STRAIN_WORDS == {"strain"}):
        return STRAIN_RANK if words & STRAIN_WORDS else None
    for place, group in enumerate(EXTENSION_WORDS):
        if words & group and dimension in ("", "length"):
            return place
    if dimension == "length":
        return LENGTH_RANK if words & LENGTH_WORDS else UNIT_ONLY_RANK
    return None
