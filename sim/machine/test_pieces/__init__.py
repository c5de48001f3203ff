"""The shop's own test pieces: bead on plate, pad, clock test, cut section; what they tell."""
