"""The room of measures: pure functions of a swing's landmarks, moments and clock.

`measure_context` gathers what they need, `measure_swing` runs the `CATALOGUE`, `measure_filming`
says what to film better.
"""
