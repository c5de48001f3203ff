"""Wire, gas, time and money."""
