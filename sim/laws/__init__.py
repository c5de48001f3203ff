"""What metal, heat and tool do: one law a file, numbers in, numbers out."""
