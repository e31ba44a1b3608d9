"""``logbook editor``: a language server (LSP 3.17) that reads a log while it is typed."""
