"""A change in one line: where it may lie, beside what could be chance."""

from __future__ import annotations

from html import escape

from causeline.model.progress import Change

WIDE, HIGH, MIDDLE, EDGE = 220.0, 34.0, 17.0, 8.0
INK, MARK, FIELD = "#0d2335", "#b23a1c", "#dfe7ea"
AIR = 1.12


def render_change_bar(change: Change, upward: bool, told: str) -> str:
    """One `<svg>` element; wanted changes run to the right, whatever the measure's own sign.

    The tint is what could be chance, the upright line no change, the bar the 95 % interval.
    `told` says the same in words.
    """
    sign = 1.0 if upward else -1.0
    low, high = sorted((change.low * sign, change.high * sign))
    reach = AIR * max(abs(low), abs(high), change.detectable)

    def x(value: float) -> float:
        return EDGE + (WIDE - 2 * EDGE) * (value + reach) / (2 * reach)

    left, right = x(-change.detectable), x(change.detectable)
    return (
        f'<svg class="change-bar" xmlns="http://www.w3.org/2000/svg" role="img" '
        f'viewBox="0 0 {WIDE:.0f} {HIGH:.0f}"><title>{escape(told)}</title>'
        f'<rect class="pc-field" x="{left:.1f}" y="5" width="{right - left:.1f}" '
        f'height="{HIGH - 10:.0f}" fill="{FIELD}"/>'
        f'<path class="pc-ink" d="M{x(0):.1f} 2V{HIGH - 2:.0f}" stroke="{INK}" fill="none"/>'
        f'<path class="pc-mark" d="M{x(low):.1f} {MIDDLE}H{x(high):.1f}" stroke="{MARK}" '
        f'stroke-width="3" fill="none"/>'
        f'<circle class="pc-mark-fill" cx="{x(change.difference.value * sign):.1f}" cy="{MIDDLE}" '
        f'r="5.5" fill="{MARK}"/></svg>'
    )
