"""The diagnosis, written anew; it is not called yet.

It answers better than ``logbook.diagnosis`` on cases that neither had seen, and takes its place once the whole suite
holds with it. Until then ``logbook.diagnosis`` is what pages, data and terminal ask; nothing but tests uses this room.
"""
