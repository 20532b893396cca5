"""Walking a film's packets and decoding them, past whatever is damaged."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

import av.error as av_error
from av.packet import Packet
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from causeline.sources.opening import Film

_BROKEN = (
    av_error.InvalidDataError,
    av_error.EOFError,
    av_error.PatchWelcomeError,
    av_error.UndefinedError,
)
Spare = Callable[[int], bool]
"""Whether the frame of a stamp is not needed for itself."""
_LEAVE_OUT = ("h264", "hevc")
"""Decoders that can be told for each packet to leave out a frame that no other is built on. Others
take such an order once for the whole film, or not at all."""


def decode_packets(film: Film) -> Iterator[Packet[VideoStream]]:
    """The picture packets in the order of decoding, to the end or to where the file breaks off."""
    try:
        for packet in film.container.demux(film.stream):
            if packet.size:
                yield packet
    except (av_error.InvalidDataError, av_error.EOFError):
        return


def decode_packet(film: Film, packet: Packet[VideoStream] | None) -> list[VideoFrame] | None:
    """Whole frames that a packet completes, none that is marked corrupt; None flushes the decoder.

    Gives None where the packet does not decode.
    """
    try:
        frames = film.stream.decode(packet)
    except _BROKEN:
        return None
    return [frame for frame in frames if not frame.is_corrupt]


def decode_whole_frames(
    film: Film, spare: Spare | None = None, over: Collection[int] = ()
) -> Iterator[VideoFrame]:
    """Every frame that decodes, in order of presentation.

    `spare` is asked of each stamp before its frame is decoded. Where it says yes and no other frame
    is built on that one, it may be left out, which saves a quarter of the work in a usual stream.
    The stamps of `over` are passed over: all frames between some key frames.
    """
    leaves = spare is not None and film.stream.codec_context.name in _LEAVE_OUT
    left = False
    for packet in decode_packets(film):
        if packet.pts in over:
            left = True
            continue
        if left and packet.is_keyframe:
            # What is pending comes out, and the decoder does not look for what it was not given.
            yield from decode_packet(film, None) or ()
            film.stream.codec_context.flush_buffers()
        left = False
        if not packet.is_corrupt:
            if leaves and spare is not None:
                spared = packet.pts is not None and spare(packet.pts)
                film.stream.codec_context.skip_frame = "NONREF" if spared else "DEFAULT"
            yield from decode_packet(film, packet) or ()
    yield from decode_packet(film, None) or ()
