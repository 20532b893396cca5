"""The one thing to change, said to the golfer: strengths, cause, answer, drills, step, plan."""
