"""The shop order: as_worn, bored_clean, deposit, finish, judge."""
