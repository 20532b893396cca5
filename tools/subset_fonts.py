"""Cut the faces of page, print and film out of open fonts, into src/causeline/render/assets.

    npm install @fontsource-variable/source-serif-4@5.3.1 @fontsource-variable/encode-sans@5.3.0
    python tools/subset_fonts.py node_modules/@fontsource-variable

Both are under the SIL Open Font License 1.1, whose text goes beside each file. Its reserved names
("Source", "Encode Sans") may not name a changed font, so the faces are renamed. Needs fonttools
and brotli.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

ASSETS = Path(__file__).parents[1] / "src" / "causeline" / "render" / "assets"

LATIN = (*range(0x20, 0x7F), *range(0xA0, 0x100), 0x131, 0x152, 0x153)
SIGNS = (
    0x2009, 0x2013, 0x2014, 0x2018, 0x2019, 0x201A, 0x201C, 0x201D, 0x201E, 0x2022, 0x2026, 0x2032,
    0x2033, 0x2212,
)  # fmt: skip
FEATURES = ["ccmp", "kern", "liga", "locl", "mark", "mkmk", "pnum", "tnum"]
NAMED = (1, 3, 4, 6, 16)
"""Name records that hold the family's name."""


@dataclass(frozen=True)
class Face:
    """One file to cut: where it comes from, what it becomes, which axes stay free."""

    package: str
    source: str
    target: str
    family: str
    axes: dict[str, float | tuple[float, float]]


FACES = (
    Face(
        "source-serif-4",
        "source-serif-4-latin-standard-normal.woff2",
        "source-serif-4.woff2",
        "Causeline Serif",
        {"wght": 400, "opsz": (12, 40)},
    ),
    Face(
        "source-serif-4",
        "source-serif-4-latin-standard-italic.woff2",
        "source-serif-4-italic.woff2",
        "Causeline Serif Italic",
        {"wght": 400, "opsz": 14},
    ),
    Face(
        "encode-sans",
        "encode-sans-latin-standard-normal.woff2",
        "encode-sans.woff2",
        "Causeline Figures",
        {"wght": (300, 600), "wdth": 87.5},
    ),
)

SERIF, SERIF_ITALIC, SANS = (
    ("source-serif-4", "source-serif-4-latin-standard-normal.woff2"),
    ("source-serif-4", "source-serif-4-latin-standard-italic.woff2"),
    ("encode-sans", "encode-sans-latin-standard-normal.woff2"),
)
PRINT_FACES = (
    Face(*SERIF, "print-text.ttf", "Causeline Text", {"wght": 400, "opsz": 12}),
    Face(*SERIF, "print-display.ttf", "Causeline Display", {"wght": 400, "opsz": 36}),
    Face(*SERIF_ITALIC, "print-italic.ttf", "Causeline Italic", {"wght": 400, "opsz": 14}),
    Face(*SANS, "print-figures.ttf", "Causeline Figures", {"wght": 400, "wdth": 87.5}),
    Face(*SANS, "print-strong.ttf", "Causeline Strong", {"wght": 600, "wdth": 87.5}),
)
"""For print and film, whose libraries know neither WOFF2 nor axes: each weight is a family."""


def main(packages: Path) -> None:
    """Cut every face and copy its licence."""
    for face in (*FACES, *PRINT_FACES):
        font = _cut(TTFont(packages / face.package / "files" / face.source))
        font = instancer.instantiateVariableFont(font, face.axes)
        _rename(font, face.family)
        font.flavor = "woff2" if face.target.endswith(".woff2") else None
        font.save(ASSETS / face.target)
        licence = (packages / face.package / "LICENSE").read_text(encoding="utf-8")
        (ASSETS / f"{face.package}.LICENSE.txt").write_text(licence, encoding="utf-8")
        print(f"{face.target}: {(ASSETS / face.target).stat().st_size} bytes")


def _cut(font: TTFont) -> TTFont:
    options = subset.Options(layout_features=FEATURES, hinting=False, name_IDs=["*"])
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[*LATIN, *SIGNS])
    cutter.subset(font)
    return font


def _rename(font: TTFont, family: str) -> None:
    for record in font["name"].names:
        if record.nameID in NAMED:
            text = family.replace(" ", "") if record.nameID == 6 else family
            font["name"].setName(text, record.nameID, *_place(record))


def _place(record: object) -> tuple[int, int, int]:
    return (record.platformID, record.platEncID, record.langID)  # type: ignore[attr-defined]


if __name__ == "__main__":
    main(Path(sys.argv[1]))
