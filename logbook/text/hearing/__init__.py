"""What a builder jots, heard: a line that is not canonical becomes none, one or a few complete canonical lines."""
