"""What the bench of turns tells, on errors written by hand."""

from bench.turns import BOTH, Turned, agreement_of, table_of

FACE, BEHIND = "face-on", "down-the-line"


def _turned(swing: str, views: str, error: float, sd: float = 4.0) -> Turned:
    return Turned(swing, views, "pelvis_turn", "impact", error, sd)


def test_the_table_tells_bias_mean_intervals_and_what_went_astray() -> None:
    line = list(table_of([_turned("a", FACE, 2.0), _turned("b", FACE, -14.0)]))[-1]
    assert line == (
        "| face-on | pelvis_turn | impact | 2 | -6.0 | 8.0 | 13.4 | 50% | 1 | 100% | 8.0 | 13.4 |"
    )


def test_what_was_not_answered_is_counted_and_not_averaged() -> None:
    lines = list(table_of([_turned("a", FACE, float("nan"), float("nan"))]))
    assert lines[-1] == "| face-on | pelvis_turn | impact | 1 | - | - | - | - | - | 0% | - | - |"


def test_views_agree_within_the_two_errors_together() -> None:
    near = [_turned("a", FACE, 2.0), _turned("a", BEHIND, -3.0)]
    far = [_turned("b", FACE, 9.0), _turned("b", BEHIND, -6.0)]
    alone = [_turned("c", FACE, 50.0), _turned("a", BOTH, 30.0)]
    # 5 and 15 degrees apart; 1.645 * sqrt(4² + 4²) is 9.3
    assert list(agreement_of(near + far + alone))[-1] == "| pelvis_turn | impact | 2 | 10.0 | 50% |"
