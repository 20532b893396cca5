"""Tell whether a change is larger than the error of measurement and the golfer's variation."""
