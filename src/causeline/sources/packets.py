"""Walking a film's packets and decoding them, past whatever is damaged."""

from __future__ import annotations

from collections.abc import Iterator

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


def decode_whole_frames(film: Film) -> Iterator[VideoFrame]:
    """Every frame that decodes, in order of presentation."""
    for packet in decode_packets(film):
        if not packet.is_corrupt:
            yield from decode_packet(film, packet) or ()
    yield from decode_packet(film, None) or ()
