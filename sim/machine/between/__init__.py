"""Between layers: readings, what they tell, cards, the record."""
