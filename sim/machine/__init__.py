"""To the machine: layer sheet, procedure, boring, quantities, between layers."""
