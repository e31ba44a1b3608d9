"""Job and findings to frozen view models: rounded, worded and private-free. No HTML here."""
