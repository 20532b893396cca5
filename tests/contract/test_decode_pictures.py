"""Whatever the file holds, the pictures are ordinary 8-bit RGB."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace

from causeline.model.clip import Picture
from causeline.sources import hdr
from causeline.sources.decode import PyavClips
from causeline.sources.picture import PictureMaker
from tests.clips import HEIGHT, WIDTH, Recipe, ffmpeg_pictures, number_of, numbered, write_clip

CLIPS = PyavClips()
UNSPECIFIED = 2
"""The matrix of ITU-T H.273 that says nothing."""
PATCHES = np.array(
    [
        *([0] * 3, [60] * 3, [128] * 3, [191] * 3, [148] * 3, [255] * 3),
        *([150, 110, 90], [70, 110, 60], [90, 110, 150]),
        *([170, 150, 130], [60, 50, 40], [40, 60, 80]),
    ],
    dtype=np.uint8,
)
"""Twelve patches: greys, and the muted colours of skin, grass, sky and cloth."""


def _patchwork(colours: Picture) -> Picture:
    return np.repeat(np.repeat(colours.reshape(3, 4, 3), 32, axis=0), 32, axis=1)


def _middles(picture: Picture) -> Picture:
    return picture[16::32, 16::32].reshape(12, 3)


@pytest.mark.parametrize(
    "pixels",
    [
        *("yuv420p", "yuvj420p", "yuv422p", "yuv444p", "yuv440p", "yuv411p", "nv12", "uyvy422"),
        *("yuva420p", "yuv420p10le", "yuv422p10le", "yuv444p12le", "p010le", "gbrp", "gbrp10le"),
        *("rgb24", "bgra", "rgb48le", "gbrapf32le"),
    ],
)
def test_odd_pixel_formats(pixels: str) -> None:
    frame = VideoFrame.from_ndarray(_patchwork(PATCHES), format="rgb24").reformat(format=pixels)
    picture = PictureMaker(WIDTH, HEIGHT).picture(frame)
    assert picture.dtype == np.uint8
    # Rounding to 8 bits of limited range and back: 2 levels, a third for subsampled chroma.
    assert np.abs(_middles(picture).astype(int) - PATCHES).max() <= 3


@pytest.mark.parametrize("pixels", ["yuv420p", "yuvj420p", "yuv420p10le"])
@pytest.mark.parametrize("share", [(1, 2), (7, 16)])
def test_a_shrunk_picture_has_the_same_colours(pixels: str, share: tuple[int, int]) -> None:
    """Shrunk before or after its colours are made, and to an odd number of lines."""
    width, height = (side * share[0] // share[1] - 1 for side in (WIDTH, HEIGHT))
    frame = VideoFrame.from_ndarray(_patchwork(PATCHES), format="rgb24").reformat(format=pixels)
    picture = PictureMaker(width, height).picture(frame)
    assert picture.shape == (height, width, 3)
    rows = (np.arange(3) + 0.5) * height / 3
    columns = (np.arange(4) + 0.5) * width / 4
    middles = picture[rows.astype(int)][:, columns.astype(int)].reshape(12, 3)
    assert np.abs(middles.astype(int) - PATCHES).max() <= 3


@pytest.mark.parametrize("matrix", ["none said", Colorspace.ITU709, Colorspace.ITU601])
@pytest.mark.parametrize("values", [ColorRange.UNSPECIFIED, ColorRange.MPEG, ColorRange.JPEG])
@pytest.mark.parametrize("pixels", ["yuv420p", "yuvj420p"])
def test_a_film_in_hd_has_the_same_colours_however_small_it_is_shown(
    pixels: str, values: ColorRange, matrix: Colorspace | str
) -> None:
    """A film that does not say its matrix has the one of its own size, not of the picture's."""
    hd = np.repeat(np.repeat(_patchwork(PATCHES), 8, axis=0), 8, axis=1)
    frame = VideoFrame.from_ndarray(hd, format="rgb24").reformat(format=pixels)
    frame.colorspace = UNSPECIFIED if isinstance(matrix, str) else int(matrix)
    frame.color_range = int(values)
    whole, small = (
        PictureMaker(WIDTH * n, HEIGHT * n).picture(frame)[16 * n :: 32 * n] for n in (8, 2)
    )
    differs = whole[:, 16 * 8 :: 32 * 8].astype(int) - small[:, 16 * 2 :: 32 * 2]
    assert np.abs(differs).max() <= 2


@pytest.mark.parametrize("pixels", ["gray", "gray10le", "monob"])
def test_grey_pictures_have_three_equal_channels(pixels: str) -> None:
    frame = VideoFrame.from_ndarray(_patchwork(PATCHES), format="rgb24").reformat(format=pixels)
    picture = PictureMaker(WIDTH, HEIGHT).picture(frame)
    assert picture.shape == (HEIGHT, WIDTH, 3)
    assert np.ptp(picture.astype(int), axis=2).max() <= 1


@pytest.mark.parametrize("size", [(127, 95), (33, 17), (2, 2)])
def test_odd_sizes(size: tuple[int, int]) -> None:
    frame = VideoFrame.from_ndarray(_patchwork(PATCHES), format="rgb24")
    small = frame.reformat(size[0], size[1], "yuv420p")
    assert PictureMaker(*size).picture(small).shape == (size[1], size[0], 3)


def test_colours_are_those_of_the_ffmpeg_command(tmp_path: Path) -> None:
    recipe = Recipe(colour=(1, 1, 1), kbps=2000)
    path = write_clip(tmp_path / "clip.mp4", [_patchwork(PATCHES)] * 3, recipe)
    clip = CLIPS.probe(path)
    ours = [frame.picture for frame in CLIPS.frames(path, clip, range(3))]
    theirs = ffmpeg_pictures(path, WIDTH, HEIGHT)
    assert np.abs(_middles(ours[1]).astype(int) - _middles(theirs[1])).max() <= 3


def test_a_clip_that_changes_its_size_half_way_keeps_one_size() -> None:
    maker = PictureMaker(WIDTH, HEIGHT)
    whole = VideoFrame.from_ndarray(numbered(9), format="rgb24")
    for other in (whole.reformat(format="yuv420p"), whole.reformat(64, 48, "yuv444p")):
        picture = maker.picture(other)
        assert picture.shape == (HEIGHT, WIDTH, 3)
        assert number_of(picture) == 9


@pytest.mark.parametrize(("order", "number"), [("tff=1", 5), ("bff=1", 1234)])
def test_of_two_fields_the_first_is_shown(tmp_path: Path, order: str, number: int) -> None:
    """The stamp is that of the first field, and a club moves between the two."""
    woven = numbered(5)
    woven[1::2] = numbered(1234)[1::2]
    options = {"flags": "+ildct+ilme", "x264-params": order}
    path = write_clip(tmp_path / "clip.mp4", [woven] * 6, Recipe(options=options, kbps=3000))
    clip = CLIPS.probe(path)
    frames = list(CLIPS.frames(path, clip, range(6)))
    assert [number_of(frame.picture) for frame in frames] == [number] * 6
    assert np.abs(np.diff(frames[2].picture[4:28, 70].astype(int), axis=0)).max() < 40


class TestHighDynamicRange:
    """Expected values from the functions of ITU-R BT.2100 and of BT.2408, section 2.1."""

    @pytest.mark.parametrize(("transfer", "code"), [(hdr.HLG, 0.75), (hdr.PQ, 0.58)])
    def test_reference_white_is_a_light_grey(self, transfer: int, code: float) -> None:
        """BT.2408, section 2.1: 203 cd/m² is 75 % of HLG, 58 % of PQ; it stays below clipping."""
        tone = hdr.decode_tone(transfer)
        assert tone is not None
        assert 225 <= tone.curve[round(255 * code)] <= 245

    @pytest.mark.parametrize("transfer", [hdr.HLG, hdr.PQ])
    def test_the_curve_rises_from_black_to_white(self, transfer: int) -> None:
        tone = hdr.decode_tone(transfer)
        assert tone is not None
        assert (tone.curve[0], tone.curve[255]) == (0, 255)
        assert np.all(np.diff(tone.curve) >= 0)

    @pytest.mark.parametrize("transfer", [hdr.HLG, hdr.PQ])
    def test_greys_stay_grey(self, transfer: int) -> None:
        tone = hdr.decode_tone(transfer)
        assert tone is not None
        greys = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
        assert np.ptp(tone.apply(greys).astype(int), axis=2).max() <= 1

    def test_the_two_transfers_agree_on_the_same_light(self) -> None:
        """18 % of reference white, 26 cd/m²: 36.5 % of PQ and 38 % of HLG by BT.2100."""
        hlg, pq = hdr.decode_tone(hdr.HLG), hdr.decode_tone(hdr.PQ)
        assert hlg is not None
        assert pq is not None
        # 8-bit codes are steps of up to 3 levels here.
        assert abs(hlg.curve[_hlg_code(26.0)] - pq.curve[_pq_code(26.0)]) <= 4

    @pytest.mark.parametrize("transfer", [hdr.HLG, hdr.PQ])
    def test_a_film_comes_out_as_it_would_have_been_filmed_without(
        self, tmp_path: Path, transfer: int
    ) -> None:
        """Muted colours up to 60 % of white, coded as HDR, come back within 12 levels of 255."""
        wanted = (PATCHES.astype(float) * 0.75).astype(np.uint8)
        light = _linear(wanted / 255.0) @ np.linalg.inv(hdr._TO_709).T * hdr.WHITE_NITS
        code = np.vectorize(_hlg_code if transfer == hdr.HLG else _pq_code)(light)
        recipe = Recipe(
            codec="libx265",
            pixels="yuv420p10le",
            kbps=2000,
            colour=(9, transfer, 9),
            options={"x265-params": "log-level=none:lossless=1"},
        )
        pictures = [_patchwork(code.astype(np.uint8))] * 5
        path = write_clip(tmp_path / "clip.mp4", pictures, recipe)
        clip = CLIPS.probe(path)
        (frame,) = CLIPS.frames(path, clip, range(1, 2))
        assert np.abs(_middles(frame.picture).astype(int) - wanted).max() <= 12
        plain = write_clip(tmp_path / "plain.mp4", pictures, replace(recipe, colour=(9, 14, 9)))
        (dull,) = CLIPS.frames(plain, CLIPS.probe(plain), range(1, 2))
        assert np.abs(_middles(dull.picture).astype(int) - wanted).max() > 25


def _linear(code: np.typing.NDArray[np.float64]) -> np.typing.NDArray[np.float64]:
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def _hlg_code(nits: float) -> int:
    """BT.2100, table 5: inverse system gamma of 1.2 at 1000 cd/m², then the HLG curve."""
    scene = (max(nits, 0.0) / 1000.0) ** (1 / 1.2)
    a, b, c = 0.17883277, 0.28466892, 0.55991073
    code = np.sqrt(3 * scene) if scene <= 1 / 12 else a * np.log(12 * scene - b) + c
    return round(255 * float(code))


def _pq_code(nits: float) -> int:
    """BT.2100, table 4: the inverse PQ curve."""
    m1, m2, c1, c2, c3 = 0.1593017578125, 78.84375, 0.8359375, 18.8515625, 18.6875
    power = (max(nits, 0.0) / 10000.0) ** m1
    return round(255 * float(((c1 + c2 * power) / (1 + c3 * power)) ** m2))
