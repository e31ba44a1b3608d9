"""Runs the stages over a set of logs: what is there, what has changed, what must be made again, and the move in."""
