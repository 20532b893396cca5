"""The talk-through's film: what is on it when, and that sound and pictures stay together."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise
from typing import Any

import av
import numpy as np
import pytest

from causeline.model.clip import Frame, Picture, Sound
from causeline.model.talk import (
    Layers,
    Marked,
    Row,
    Rows,
    Screen,
    Sight,
    Stepped,
    Take,
    Talk,
    Voice,
)
from causeline.model.talk_cuts import respoken, whole, without
from causeline.quantities.angle import Floats
from causeline.render.talk_facts import SwingFacts, Tracked
from causeline.render.talk_film import (
    LEAST_MS,
    STILL_MS,
    Player,
    Spoken,
    render_screen,
    render_spoken,
)
from causeline.render.talk_voice import RATE_HZ, render_voice
from causeline.sources.encode import encode_spoken
from tests.talks import FACE, LINE, a_mark, a_take

TOGETHER_MS = 40
"""ITU-R BT.1359-1: sound 45 ms ahead to 125 ms behind is not noticed; we ask for less."""


def _facts(width: int = 270, height: int = 480) -> SwingFacts:
    frames = np.arange(500)
    xy = np.column_stack([np.full(500, 135.0), np.full(500, 100.0)])
    nose = Tracked(xy, np.full(500, 2.0), np.ones(500))
    return SwingFacts(width, height, frames, {"lead_wrist": nose}, {"top": 40, "impact": 60})


def _grey(frame: int) -> Frame:
    """A picture as bright as its number says."""
    return Frame(frame, np.full((480, 270, 3), frame % 256, dtype=np.uint8))


def _spoken(talk: Talk, picture: Any = _grey) -> Spoken:
    player = Player(_facts(), picture, "Ivo, 6 April")
    return Spoken(talk, "Talk-through", {FACE: player, LINE: player}, {"top": "Top"})


def _seen(picture: Picture) -> int:
    """Brightness in the middle of the first row."""
    return int(picture[560, 360, 0])


def test_pictures_come_when_something_changes_and_once_a_second() -> None:
    take = a_take((Stepped(200, 0, 90), Stepped(3500, 0, 120)), 5000, frame=30)
    made = list(render_spoken(_spoken(Talk((take,), whole([take])))))
    assert [at for at, _ in made] == [0, 200, 1200, 2200, 3200, 3500, 4500]
    assert [_seen(picture) for _, picture in made] == [30, 90, 90, 90, 90, 120, 120]
    assert made[2][1] is made[1][1]  # what stands still is not painted again


def test_what_changes_faster_than_the_film_waits_and_the_last_wins() -> None:
    take = a_take(tuple(Stepped(10 * k, 0, k) for k in range(1, 101)), 2000)
    made = list(render_spoken(_spoken(Talk((take,), whole([take])))))
    times = [at for at, _ in made]
    assert min(np.diff(times)) >= LEAST_MS
    for at, picture in made[:-1]:
        assert 0 <= at // 10 - _seen(picture) <= LEAST_MS / 10 + 1  # late by a picture at most
    assert _seen(made[-1][1]) == 100


def test_rows_stand_beside_each_other_and_a_missing_swing_stays_dark() -> None:
    talk = a_take((Rows(0, (Row(0, 200), Row(1, 40, mirrored=True))),))
    spoken = _spoken(Talk((talk,), whole([talk])))
    page = render_screen(spoken, talk, talk.screen_at(0))
    assert (page[500, 100, 0], page[500, 620, 0]) == (200, 40)
    gone = replace(spoken, players={FACE: spoken.players[FACE]})
    dark = render_screen(gone, talk, talk.screen_at(0))
    assert dark[500, 620].tolist() == [10, 20, 27]
    assert render_screen(spoken, talk, Screen(())).shape == (1280, 720, 3)


def test_zoom_shows_the_place_that_the_bench_shows() -> None:
    """Zoom 4 at a quarter from the left: a column of the clip lies where view.ts puts it."""

    def ruled(frame: int) -> Frame:
        picture = np.zeros((480, 270, 3), dtype=np.uint8)
        picture[:, 60:75] = 255  # around x = 67.5, a quarter of the width
        return Frame(frame, picture)

    take = a_take(frame=10)
    screen = Screen((Row(0, 10, Sight(4.0, 0.25, 0.5)),), layers=Layers(body=False))
    page = render_screen(_spoken(Talk((take,), whole([take])), ruled), take, screen)
    lit = 90 + np.flatnonzero(page[560, 90:630, 0] > 128)  # left and right of it is paper
    assert abs(lit.mean() - 360) < 2  # the middle of the row
    assert abs(len(lit) - 15 * 4 * (1016 - 44) / 480) < 4


def test_marks_are_on_the_picture_where_they_were_drawn() -> None:
    mark = a_mark(spots=[[20.0, 240.0], [250.0, 240.0]], ink=1)
    take = a_take((Marked(100, 0, mark),), 1000)
    made = list(render_spoken(_spoken(Talk((take,), whole([take])))))
    before, after = made[0][1], made[1][1]
    changed = np.abs(after.astype(int) - before).sum(axis=2) > 60
    rows = np.flatnonzero(changed[:, 500])
    assert abs(rows.mean() - (76 + (1016 - 44) / 2)) < 3
    assert after[rows[len(rows) // 2], 500].tolist() == [255, 194, 71]


def _clicks(times_ms: list[int], lasts_ms: int, starts_ms: int) -> Sound:
    """A voice with a click at each instant of its take's clock."""
    samples = np.zeros(RATE_HZ * (lasts_ms - starts_ms) // 1000, dtype=np.float32)
    for at in times_ms:
        first = RATE_HZ * (at - starts_ms) // 1000
        samples[first : first + 240] = 0.9 * np.sin(np.arange(240) * 0.8)
    return Sound(samples, float(RATE_HZ), 0.0)


def _heard(samples: Any, rate_hz: float) -> list[float]:
    """Milliseconds at which a click begins."""
    loud = np.flatnonzero(np.abs(samples) > 0.2)
    starts = loud[np.diff(loud, prepend=-(10**9)) > 0.05 * rate_hz]
    return [1000 * float(at) / rate_hz for at in starts]


def _take(name: str, times_ms: list[int], lasts_ms: int, starts_ms: int) -> Take:
    steps = tuple(Stepped(at, 0, 60 + 40 * (k % 4)) for k, at in enumerate(times_ms))
    voice = Voice("audio/webm;codecs=opus", starts_ms)
    return replace(a_take(steps, lasts_ms, name, frame=20), voice=voice)


@pytest.fixture
def edited() -> tuple[Talk, dict[str, Sound]]:
    """Two takes whose sound begins late and early, a passage cut and one spoken anew."""
    first_ms, second_ms = [500, 1700, 2900, 4100, 5300, 6500], [400, 1300, 2200]
    one, two = _take("t1", first_ms, 8000, 37), _take("t2", second_ms, 3000, -21)
    pieces = without(whole([one]), 1000, 2300)  # takes a click with it
    pieces = respoken(pieces, 2400, 3300, two)
    sounds = {"t1": _clicks(first_ms, 8000, 37), "t2": _clicks(second_ms, 3000, -21)}
    return Talk((one, two), pieces), sounds


def test_sound_and_steps_stay_together_through_cuts(
    edited: tuple[Talk, dict[str, Sound]],
) -> None:
    talk, sounds = edited
    voice = render_voice(talk, sounds)
    assert voice is not None
    assert len(voice.samples) == talk.lasts_ms * RATE_HZ // 1000
    heard = _heard(voice.samples, RATE_HZ)
    stepped = [at for at, take, screen in talk.changes() if screen.rows[0].frame != 20]
    joins = {at for at, _, _ in talk.placed()}
    steps = [at for at in stepped if at not in joins]
    assert len(heard) == len(steps) > 5
    assert max(abs(a - b) for a, b in zip(heard, steps, strict=True)) < 1


def test_the_film_keeps_them_together_too(edited: tuple[Talk, dict[str, Sound]]) -> None:
    talk, sounds = edited
    film = encode_spoken(render_spoken(_spoken(talk)), talk.lasts_ms, render_voice(talk, sounds))
    pictures, samples, rate, starts_s = _played(film)
    heard = [at + 1000 * starts_s for at in _heard(samples, rate)]
    changes = [at for (_, before), (at, now) in pairwise(pictures) if before != now]
    off = [min(abs(at - change) for change in changes) for at in heard]
    assert len(heard) > 5
    assert max(off) <= TOGETHER_MS
    assert abs(pictures[-1][0] - talk.lasts_ms) <= STILL_MS


def _played(film: bytes) -> tuple[list[tuple[float, int]], Floats, float, float]:
    """Brightness of each picture with its millisecond; samples, their rate, their first second."""
    with av.open(io.BytesIO(film), "r") as file:
        pictures = [
            (
                1000 * float(frame.time or 0),
                round(frame.to_ndarray(format="rgb24")[560, 360].mean()) // 8,
            )
            for frame in file.decode(video=0)
        ]
    with av.open(io.BytesIO(film), "r") as file:
        frames = list(file.decode(audio=0))
        parts = [frame.to_ndarray().reshape(-1) for frame in frames]
        return pictures, np.concatenate(parts), frames[0].sample_rate, float(frames[0].time or 0)


def test_the_film_is_what_phones_play(edited: tuple[Talk, dict[str, Sound]]) -> None:
    """H.264 baseline and AAC-LC in MP4, index first: Apple's HTTP Live Streaming authoring rules
    ask for no less of what plays everywhere (from memory)."""
    talk, sounds = edited
    film = encode_spoken(render_spoken(_spoken(talk)), talk.lasts_ms, render_voice(talk, sounds))
    with av.open(io.BytesIO(film), "r") as file:
        picture, voice = file.streams.video[0], file.streams.audio[0]
        assert (picture.codec_context.name, voice.codec_context.name) == ("h264", "aac")
        assert "Baseline" in (picture.profile or "")
        assert voice.profile == "LC"
    assert film.index(b"moov") < film.index(b"mdat")
    assert len(film) < 400_000


def test_a_talk_without_a_voice_is_a_film_without_sound() -> None:
    take = a_take((Stepped(200, 0, 90),), 3000)
    talk = Talk((take,), whole([take]))
    assert render_voice(talk, {}) is None
    film = encode_spoken(render_spoken(_spoken(talk)), talk.lasts_ms, None)
    with av.open(io.BytesIO(film), "r") as file:
        assert (len(file.streams.video), len(file.streams.audio)) == (1, 0)
        assert float(file.duration or 0) / 1e6 == pytest.approx(3.0, abs=0.06)


def test_no_click_is_heard_where_pieces_meet() -> None:
    """A steady tone cut anywhere: no step between neighbours is larger than the tone's own."""
    tone = Sound(np.sin(np.arange(RATE_HZ * 4) * 0.05).astype(np.float32), float(RATE_HZ), 0.0)
    take = _take("t1", [], 4000, 0)
    talk = Talk((take,), without(whole([take]), 1003, 2517))
    voice = render_voice(talk, {"t1": tone})
    assert voice is not None
    assert np.abs(np.diff(voice.samples)).max() <= 0.0505
