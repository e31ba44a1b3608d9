"""Traces: what a cheap recorder adds to a notebook. Pure numerics on arrays; knows nothing of logs."""
