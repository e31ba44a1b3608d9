"""Text to entries: the log language. ``reader.read`` is the way in, ``tidy.tidy`` the way back."""
