"""``python -m logbook`` is the command ``logbook``."""

from logbook.cli import main

if __name__ == "__main__":
    main()
