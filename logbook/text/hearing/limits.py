"""How much is heard: hearing is bounded, whatever a file holds."""

MOST_SAID = 300  # characters of a jotted line; longer ones are sentences
MOST_HEARD = 120_000  # characters of refused lines in one log
FIRST_LINES = 30  # refused lines after which a file in which nothing is an entry is not heard any more
