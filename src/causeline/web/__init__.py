"""The door to browsers: the coach's workbench, and what a golfer opens.

A route is thin: it asks the library or the desk, fills one record of `contract`, and shows it.
"""
