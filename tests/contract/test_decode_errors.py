"""What is no clip is refused in plain words; what is half broken is read as far as it goes."""

from __future__ import annotations

import inspect
import os
import re
import socket
import wave
from fractions import Fraction
from pathlib import Path

import av
import av.error as av_error
import numpy as np
import pytest
from PIL import Image

from causeline.errors import (
    ClipError,
    ClipNotFound,
    ClipTooLarge,
    ClipUnreadable,
    NoFrames,
    NotAVideo,
    SettingError,
)
from causeline.sources import faults
from causeline.sources.decode import PyavClips
from causeline.sources.limits import Limits
from tests.clips import (
    Recipe,
    blot,
    cut_off,
    ffmpeg,
    number_of,
    numbered,
    numbered_pictures,
    write_clip,
)

CLIPS = PyavClips()
FAST_START = {"movflags": "faststart"}


class TestWhatIsRefused:
    def test_a_path_without_a_file(self, tmp_path: Path) -> None:
        with pytest.raises(ClipNotFound, match=r"swing\.mp4 is not there"):
            CLIPS.probe(tmp_path / "swing.mp4")

    def test_a_path_through_a_file(self, tmp_path: Path) -> None:
        (tmp_path / "notes").write_text("x")
        with pytest.raises(ClipUnreadable, match="is not a file"):
            CLIPS.probe(tmp_path / "notes" / "swing.mp4")

    def test_a_name_that_is_too_long(self, tmp_path: Path) -> None:
        with pytest.raises(ClipUnreadable, match="File name too long"):
            CLIPS.probe(tmp_path / ("swing" * 100))

    def test_a_folder(self, tmp_path: Path) -> None:
        with pytest.raises(ClipUnreadable, match="is a folder"):
            CLIPS.probe(tmp_path)

    def test_a_pipe_is_refused_without_waiting_for_it(self, tmp_path: Path) -> None:
        os.mkfifo(tmp_path / "swing.mp4")
        with pytest.raises(ClipUnreadable, match="is not an ordinary file"):
            CLIPS.probe(tmp_path / "swing.mp4")

    def test_a_socket(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.chdir(tmp_path)
        with socket.socket(socket.AF_UNIX) as door:
            door.bind("swing.mp4")
            with pytest.raises(ClipUnreadable, match="is not an ordinary file"):
                CLIPS.probe(Path("swing.mp4"))

    def test_a_file_that_may_not_be_opened(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Permission bits do not bind the superuser, who may run tests: the refusal is acted."""
        path = write_clip(tmp_path / "swing.mp4", numbered_pictures(3))

        def refuse(*_: object, **__: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "open", refuse)
        with pytest.raises(ClipUnreadable, match=r"swing\.mp4 may not be opened"):
            CLIPS.probe(path)

    def test_an_empty_file(self, tmp_path: Path) -> None:
        (tmp_path / "swing.mp4").touch()
        with pytest.raises(NotAVideo, match=r"is empty \(0 bytes\)"):
            CLIPS.probe(tmp_path / "swing.mp4")

    @pytest.mark.parametrize("content", [b"a letter to a friend\n" * 50, bytes(5000), b"\x00"])
    def test_a_file_that_is_no_video(self, tmp_path: Path, content: bytes) -> None:
        (tmp_path / "swing.mp4").write_bytes(content)
        with pytest.raises(NotAVideo, match=r"swing\.mp4 is"):
            CLIPS.probe(tmp_path / "swing.mp4")

    def test_a_file_of_chance_bytes(self, tmp_path: Path) -> None:
        for seed in range(20):
            (tmp_path / "swing.mov").write_bytes(np.random.default_rng(seed).bytes(20000))
            with pytest.raises(ClipError):
                CLIPS.probe(tmp_path / "swing.mov")

    def test_a_clip_cut_off_before_its_table(self, tmp_path: Path) -> None:
        path = cut_off(write_clip(tmp_path / "swing.mp4", numbered_pictures(60)), 0.5)
        with pytest.raises(NotAVideo, match=r"was cut off.*Copy it from the camera once more"):
            CLIPS.probe(path)

    def test_a_clip_without_a_single_frame(self, tmp_path: Path) -> None:
        whole = write_clip(tmp_path / "whole.mp4", numbered_pictures(30))
        ffmpeg("-i", str(whole), "-frames:v", "0", "-c", "copy", str(tmp_path / "none.mp4"))
        with pytest.raises(ClipError, match="holds"):
            CLIPS.probe(tmp_path / "none.mp4")

    def test_a_clip_whose_frames_are_all_broken(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "swing.mp4", numbered_pictures(8), Recipe(options={"g": "1"}))
        for packet in range(8):
            blot(path, packet, 10**6)
        with pytest.raises(NoFrames, match=r"not one frame can be decoded \(h264, 8 frames"):
            CLIPS.probe(path)

    @pytest.mark.parametrize("suffix", [".m4a", ".mp4", ".mkv"])
    def test_sound_alone(self, tmp_path: Path, suffix: str) -> None:
        path = tmp_path / f"swing{suffix}"
        ffmpeg("-f", "lavfi", "-i", "sine=duration=0.5", str(path))
        with pytest.raises(NotAVideo, match="holds sound only"):
            CLIPS.probe(path)

    def test_sound_with_a_cover_picture(self, tmp_path: Path) -> None:
        Image.fromarray(numbered(3)).save(tmp_path / "cover.jpg")
        ffmpeg(
            *("-f", "lavfi", "-i", "sine=duration=0.5", "-i", str(tmp_path / "cover.jpg")),
            *("-map", "0", "-map", "1", "-c:v", "copy", "-disposition:v", "attached_pic"),
            str(tmp_path / "song.m4a"),
        )
        with pytest.raises(NotAVideo, match="holds sound only"):
            CLIPS.probe(tmp_path / "song.m4a")

    def test_a_clip_with_a_cover_picture_is_read(self, tmp_path: Path) -> None:
        whole = write_clip(tmp_path / "whole.mp4", numbered_pictures(20))
        Image.fromarray(numbered(3)).save(tmp_path / "cover.jpg")
        ffmpeg(
            *("-i", str(tmp_path / "cover.jpg"), "-i", str(whole), "-map", "0", "-map", "1"),
            *("-c", "copy", "-disposition:v:0", "attached_pic", str(tmp_path / "swing.mp4")),
        )
        assert len(CLIPS.probe(tmp_path / "swing.mp4").clock) == 20

    def test_a_sound_file_of_another_kind(self, tmp_path: Path) -> None:
        with wave.open(str(tmp_path / "swing.wav"), "wb") as file:
            file.setparams((1, 2, 8000, 0, "NONE", "not compressed"))
            file.writeframes(bytes(16000))
        with pytest.raises(NotAVideo, match="of a kind that is not opened"):
            CLIPS.probe(tmp_path / "swing.wav")

    @pytest.mark.parametrize("suffix", [".jpg", ".png", ".gif", ".webp"])
    def test_a_picture(self, tmp_path: Path, suffix: str) -> None:
        Image.fromarray(numbered(3)).save(tmp_path / f"swing{suffix}")
        with pytest.raises(NotAVideo, match=r"not opened|not a video"):
            CLIPS.probe(tmp_path / f"swing{suffix}")

    def test_a_still_picture_in_a_film_container(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "swing.mp4", [numbered(3)])
        with pytest.raises(NotAVideo, match=r"holds a single still picture.*not a photo"):
            CLIPS.probe(path)

    def test_a_coding_that_nobody_knows(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "swing.mp4", numbered_pictures(5))
        path.write_bytes(path.read_bytes().replace(b"avc1", b"zzz9"))
        with pytest.raises(ClipError):
            CLIPS.probe(path)


class TestNothingElseIsOpened:
    """The only protocol is `file`, and containers that name other files are not opened."""

    @pytest.mark.parametrize(
        ("name", "text"),
        [
            ("swing.m3u8", "#EXTM3U\n#EXTINF:1,\n{uri}\n#EXT-X-ENDLIST\n"),
            ("swing.mp4", "#EXTM3U\n#EXTINF:1,\n{uri}\n#EXT-X-ENDLIST\n"),
            ("swing.txt", "ffconcat version 1.0\nfile '{uri}'\n"),
            ("swing.sdp", "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nt=0 0\nm=video 5004 RTP/AVP 96\n"),
            ("swing.asx", '<asx version="3.0"><entry><ref href="{uri}"/></entry></asx>'),
        ],
    )
    def test_a_playlist_does_not_fetch(self, tmp_path: Path, name: str, text: str) -> None:
        inner = write_clip(tmp_path / "inner.ts", numbered_pictures(10))
        with socket.create_server(("127.0.0.1", 0)) as server:
            server.settimeout(0.2)
            port = server.getsockname()[1]
            for uri in (f"http://127.0.0.1:{port}/x.ts", str(inner), inner.name):
                (tmp_path / name).write_text(text.format(uri=uri))
                with pytest.raises(NotAVideo):
                    CLIPS.probe(tmp_path / name)
            with pytest.raises(TimeoutError):
                server.accept()

    @pytest.mark.parametrize("name", ["data:swing.mp4", "http:swing.mp4", "concat:a|b.mp4"])
    def test_a_name_like_a_protocol_is_a_file(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
    ) -> None:
        write_clip(tmp_path / "swing.mp4", numbered_pictures(5)).rename(tmp_path / name)
        monkeypatch.chdir(tmp_path)
        clip = CLIPS.probe(Path(name))
        assert (clip.name, len(clip.clock)) == (name, 5)


@pytest.mark.parametrize(
    "name",
    ["my swing (1).mp4", "Schwüng – ⛳.mp4", "-i.mp4", "100%d.mp4", "'quoted'.mp4", "a\\b.mp4"],
)
def test_names_with_odd_characters(tmp_path: Path, name: str) -> None:
    write_clip(tmp_path / "swing.mp4", numbered_pictures(5)).rename(tmp_path / name)
    clip = CLIPS.probe(tmp_path / name)
    assert clip.name == name
    assert len(list(CLIPS.frames(tmp_path / name, clip, range(5)))) == 5


@pytest.mark.parametrize("name", [b"sch\xfcng.mp4", b"a\nb.mp4", b"\x1b[31mred.mp4"])
def test_a_name_that_cannot_be_printed_is_shown_with_marks(tmp_path: Path, name: bytes) -> None:
    path = tmp_path / os.fsdecode(name)
    write_clip(tmp_path / "swing.mp4", numbered_pictures(5)).rename(path)
    clip = CLIPS.probe(path)
    assert clip.name.isprintable()
    assert clip.name.encode().count("\ufffd".encode()) == 1
    assert len(list(CLIPS.frames(path, clip, range(5)))) == 5


class TestLimits:
    @pytest.mark.parametrize("suffix", [".mp4", ".mkv", ".avi", ".ts"])
    def test_too_many_pixels(self, tmp_path: Path, suffix: str) -> None:
        path = write_clip(tmp_path / f"swing{suffix}", numbered_pictures(30))
        with pytest.raises(ClipTooLarge, match=r"128 × 96 pixels.*limit is 12000.*4K or smaller"):
            PyavClips(Limits(pixels=12000)).probe(path)
        assert PyavClips(Limits(pixels=12288)).probe(path).width == 128

    def test_8k_is_over_and_5k_under_the_usual_limit(self) -> None:
        assert 5312 * 2988 < Limits().pixels < 7680 * 4320

    @pytest.mark.parametrize("suffix", [".mp4", ".mkv", ".avi"])
    def test_two_hours(self, tmp_path: Path, suffix: str) -> None:
        recipe = Recipe(codec="mpeg4", stamps=range(0, 7200, 60), time_base=Fraction(1))
        path = write_clip(tmp_path / f"swing{suffix}", numbered_pictures(120), recipe)
        with pytest.raises(ClipTooLarge, match=r"plays for 71\d\d s|plays for 7200 s"):
            CLIPS.probe(path)
        assert len(PyavClips(Limits(seconds=8000)).probe(path).clock) >= 120

    def test_too_many_bytes(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "swing.mp4", numbered_pictures(3))
        with pytest.raises(ClipTooLarge, match="The limit is 100"):
            PyavClips(Limits(bytes=100)).probe(path)

    @pytest.mark.parametrize("name", ["pixels", "seconds", "bytes"])
    def test_a_limit_of_nothing_is_refused(self, name: str) -> None:
        with pytest.raises(SettingError, match=name):
            Limits(**{name: 0})


class TestDamage:
    def test_a_clip_cut_off_after_its_table(self, tmp_path: Path) -> None:
        recipe = Recipe(container=FAST_START, options={"g": "10", "bf": "0"}, kbps=3000)
        path = cut_off(write_clip(tmp_path / "swing.mp4", numbered_pictures(60), recipe), 0.6)
        clip = CLIPS.probe(path)
        read = len(clip.clock)
        assert 10 < read < 59
        assert clip.damaged == 60 - read
        numbers = [number_of(f.picture) for f in CLIPS.frames(path, clip, range(read))]
        assert numbers == list(range(read))

    def test_a_clip_cut_off_between_two_packets(self, tmp_path: Path) -> None:
        recipe = Recipe(container=FAST_START, options={"g": "10", "bf": "0"}, kbps=3000)
        path = write_clip(tmp_path / "swing.mp4", numbered_pictures(60), recipe)
        with av.open(str(path)) as container:
            place = [packet.pos or 0 for packet in container.demux(video=0) if packet.size][25]
        path.write_bytes(path.read_bytes()[:place])
        clip = CLIPS.probe(path)
        assert (len(clip.clock), clip.damaged) == (25, 35)

    @pytest.mark.parametrize("suffix", [".mkv", ".ts", ".avi"])
    def test_other_containers_cut_off(self, tmp_path: Path, suffix: str) -> None:
        recipe = Recipe(options={"g": "1"}, kbps=3000)
        path = cut_off(write_clip(tmp_path / f"swing{suffix}", numbered_pictures(60), recipe), 0.6)
        clip = CLIPS.probe(path)
        numbers = [number_of(f.picture) for f in CLIPS.frames(path, clip, range(60))]
        assert 10 < len(numbers) < 60
        assert numbers == list(range(len(numbers)))

    def test_a_fragmented_clip_cut_off(self, tmp_path: Path) -> None:
        recipe = Recipe(
            container={"movflags": "frag_keyframe+empty_moov"},
            options={"g": "10", "bf": "0"},
            kbps=3000,
        )
        path = cut_off(write_clip(tmp_path / "swing.mp4", numbered_pictures(60), recipe), 0.6)
        clip = CLIPS.probe(path)
        assert clip.damaged >= 1
        numbers = [number_of(f.picture) for f in CLIPS.frames(path, clip, range(60))]
        assert numbers == list(range(len(clip.clock)))

    @pytest.mark.parametrize("codec", ["libx264", "libx265"])
    def test_a_broken_packet_costs_its_own_frames(self, tmp_path: Path, codec: str) -> None:
        options = {"g": "10", "bf": "0"}
        if codec == "libx265":
            options = {"x265-params": "log-level=none:keyint=10:bframes=0"}
        recipe = Recipe(codec=codec, options=options, kbps=2000)
        path = blot(write_clip(tmp_path / "swing.mp4", numbered_pictures(40), recipe), 20)
        clip = CLIPS.probe(path)
        assert len(clip.clock) == 40
        frames = {f.index: number_of(f.picture) for f in CLIPS.frames(path, clip, range(40))}
        assert 20 not in frames
        # From the next key frame on, and before the damage, nothing is missing or wrong.
        for index in [*range(20), *range(30, 40)]:
            assert frames[index] == index


class TestTranslation:
    """Every error class of the video library falls in a branch of the table, not past its end."""

    CLASSES = sorted(
        {
            kind
            for kind in vars(av_error).values()
            if inspect.isclass(kind)
            and issubclass(kind, av_error.FFmpegError)
            and kind is not av_error.FFmpegError
        },
        key=lambda kind: kind.__name__,
    )

    @pytest.mark.parametrize("kind", CLASSES, ids=lambda kind: kind.__name__)
    def test_each_class_has_a_row(self, kind: type[Exception]) -> None:
        assert any(issubclass(kind, row[0]) for row in faults.TRANSLATED)

    @pytest.mark.parametrize("kind", CLASSES, ids=lambda kind: kind.__name__)
    def test_each_class_becomes_one_of_ours(self, kind: type[Exception]) -> None:
        with pytest.raises(ClipError) as caught, faults.decode_faults("swing.mp4"):
            raise kind(9, "what the library says")
        assert re.match(r"swing\.mp4 .+ \(what the library says\)\. .+\.", str(caught.value))
        assert isinstance(caught.value.__cause__, kind)

    def test_a_bare_minus_one_of_the_library_is_no_matter_of_permission(self) -> None:
        plain = av_error.PermissionError(1, "Operation not permitted")
        assert isinstance(faults.decode_fault(plain, "a.mp4"), NotAVideo)
        refused = PermissionError(1, "Operation not permitted")
        assert isinstance(faults.decode_fault(refused, "a.mp4"), ClipUnreadable)

    def test_an_unknown_one_is_translated_too(self) -> None:
        class NewError(av_error.FFmpegError):
            pass

        assert isinstance(faults.decode_fault(NewError(1, "new"), "a.mp4"), NotAVideo)

    def test_errors_raised_on_purpose_pass_through(self) -> None:
        with pytest.raises(NoFrames), faults.decode_faults("swing.mp4"):
            raise NoFrames("none")
