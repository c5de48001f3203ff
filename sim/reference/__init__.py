"""What is looked up: units, defaults with their source, words, cautions."""
