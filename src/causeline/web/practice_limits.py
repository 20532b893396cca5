"""How often a link may be used: enough for anybody who practises, too little for who guesses."""

from __future__ import annotations

from dataclasses import dataclass, field

from starlette.requests import Request

from causeline.web.rates import Rate

MINUTE_S, DAY_S = 60.0, 86_400.0


@dataclass(frozen=True, slots=True)
class PracticeLimits:
    """Judged: a page with its pictures is about twenty requests."""

    asks: Rate = field(default_factory=lambda: Rate(400, MINUTE_S))
    """Anything, by link."""
    clips: Rate = field(default_factory=lambda: Rate(20, DAY_S))
    """Clips, by link."""
    strangers: Rate = field(default_factory=lambda: Rate(30, MINUTE_S))
    """Addresses that lead nowhere, by who asks."""


def limits_of(request: Request) -> PracticeLimits:
    """The limits of the app that answers."""
    state = request.app.state
    if not hasattr(state, "practice_limits"):
        state.practice_limits = PracticeLimits()
    limits: PracticeLimits = state.practice_limits
    return limits
